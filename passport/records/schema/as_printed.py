"""What makers print on frames and string packets, read as it is printed: ``16x19``, ``100 sq in``, ``50-60 lb``, ``17``,
``4U``, ``G5``, ``L3``, ``3 1/4``.

Tolerant where the meaning is plain; what could mean two things is an error that says what to write.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Final

from passport.physics import units as u
from passport.physics.uncertainty import from_half_width
from passport.records.language.worded import worded
from passport.records.schema.quantities import (
    GAUGE,
    LENGTH,
    MASS,
    TENSION,
    Quantity,
    TextValue,
    fail,
    lend_unit,
    parse,
    tidy,
)

_PATTERN = re.compile(r"([0-9]{1,2}) ?[x×X*/] ?([0-9]{1,2})")
_AREA = re.compile(
    r"([0-9]+(?:[.,][0-9]+)?) ?"
    r"(sq\.? ?in\.?|square inch(?:es)?|in²|in2|in\^2|sq\.? ?cm\.?|cm²|cm2|cm\^2|mm²|mm2|mm\^2)",
    re.IGNORECASE,
)
_BOTH_WAYS = re.compile(r"([0-9]+(?:[.,][0-9]+)?)(?: ?[a-z]+)? ?[x×X*] ?([0-9]+(?:[.,][0-9]+)?) ?(mm|cm|in)")
_SPAN = re.compile(r"(.*?[0-9a-z]) ?(?:-|–|—|to) ?([0-9].*)", re.IGNORECASE)
_GAUGE = re.compile(r"([0-9]{2})( ?L)?(?: ?(?:ga|gauge|g)\.?)?", re.IGNORECASE)
_BOTH = re.compile(
    r"([0-9]+(?:[.,][0-9]+)? ?mm)? ?[/(]? ?([0-9]{2} ?L?)?(?: ?ga)? ?[/(]? ?([0-9]+(?:[.,][0-9]+)? ?mm)? ?\)?"
)
_CLASS = re.compile(r"([1-7]) ?U", re.IGNORECASE)
_GRIP_L = re.compile(r"L ?([0-5])", re.IGNORECASE)
_GRIP_G = re.compile(r"G ?([1-6])", re.IGNORECASE)
_GRIP_INCHES = re.compile(r'([2-5])(?: ([1357])/(8|4|2))?(?: ?(?:in|inch|"|″))?', re.IGNORECASE)

GAUGES: Final = {
    "15": (1.41, 1.49),
    "15L": (1.34, 1.40),
    "16": (1.26, 1.33),
    "16L": (1.22, 1.26),
    "17": (1.16, 1.25),
    "18": (1.06, 1.16),
    "19": (0.90, 1.06),
    "20": (0.80, 0.90),
    "21": (0.70, 0.80),
    "22": (0.60, 0.70),
}
"""The thickness in mm that makers print beside a gauge number, smallest and largest (from memory; numbers differ by
source, which is why a record should say mm)."""

MASS_CLASSES: Final = {n: (95.0 - 5 * (n - 1), 99.9 - 5 * (n - 1)) for n in range(1, 8)}
"""Badminton's classes 1U to 7U: the mass of the unstrung frame in g, 5 g a class downwards (from memory)."""


def pattern_counts(text: str) -> tuple[str, str] | None:
    """Mains and crosses of ``16x19``, ``18 × 20``, ``14/18``; None for anything else."""
    match = _PATTERN.fullmatch(tidy(text))
    return (match[1], match[2]) if match else None


def read_area(text: str) -> Quantity:
    """A head size as makers print it, ``100 sq in`` or ``645 cm²``, in mm².

    Raises the error of a quantity for what is no area, has no unit, or is an area that no head has.
    """
    clean = tidy(text)
    match = _AREA.fullmatch(clean)
    if not match:
        do = worded(
            "Write it with its unit, '100 sq in' or '645 cm²', or measure the strung ellipse: length and width."
        )
        raise fail("bad-value", worded("'{clean}' is not the size of a head.", clean=clean[:60]), do)
    unit = match[2].lower().replace(".", "")
    factor = u.MM_PER_IN**2 if "in" in unit else 1.0 if unit.startswith("mm") else 100.0
    area = float(match[1].replace(",", ".")) * factor
    if not 20_000 < area < 110_000:
        do = worded(
            "Tennis heads have about 85 to 135 sq in, squash 70 to 78, badminton 50 to 60. Check number and unit."
        )
        raise fail("impossible-value", worded("'{clean}' cannot be the size of a head.", clean=clean), do)
    return Quantity(area, float(match[1].replace(",", ".")), match[2], clean)


def head_parts(text: str, forms: Sequence[str]) -> dict[str, str]:
    """``100 sq in``, ``330 x 246 mm``, each with one of the ``forms`` behind it or not: the fields that it stands for."""
    size, _, last = tidy(text).rpartition(" ")
    form = {"form": last.lower()} if last.lower() in forms else {}
    said = size.rstrip(" ,") if form else tidy(text)
    both = _BOTH_WAYS.fullmatch(said)
    return {"length": f"{both[1]} {both[3]}", "width": f"{both[2]} {both[3]}"} | form if both else {"size": said} | form


@dataclass(frozen=True, slots=True)
class WidthAt:
    """A head's ``width`` inside the hoop and the height ``at`` which it was measured above the throat's end, mm."""

    width: float
    at: float
    text: str


def read_width(text: str) -> WidthAt:
    """``62 mm at 40 mm``: a width with its height."""
    clean = tidy(text)
    width, said, at = clean.partition(" at ")
    if not said:
        do = worded("Write the width and its height above the throat's end of the strings, as in '62 mm at 40 mm'.")
        raise fail("bad-value", worded("'{clean}' is not a width with its height.", clean=clean[:60]), do)
    return WidthAt(parse(width, LENGTH).value, parse(at, LENGTH).value, clean)


def span(text: str) -> tuple[str, str] | None:
    """Both ends of ``50-60 lb``, ``22.5–27 kg`` or ``20 lb to 28 lb``, each with its unit; None for a single value."""
    match = _SPAN.fullmatch(tidy(text))
    if not match:
        return None
    low, high = lend_unit(match[1], match[2])
    for end in (low, high):
        parse(end, TENSION)
    return low, high


def read_gauge(text: str) -> Quantity:
    """A string's thickness: ``1.25 mm``, or a gauge number, ``17`` or ``16L ga``, as the mm that makers mean by it.

    A number's ``unit`` is ``ga``; which mm it became is its value. Of ``17 / 1.25 mm`` the mm count.
    """
    clean = tidy(text)
    both = _BOTH.fullmatch(clean)
    if both and both[2] and bool(both[1]) != bool(both[3]):
        return parse(both[1] or both[3], GAUGE)
    match = _GAUGE.fullmatch(clean)
    if not match:
        return parse(text, GAUGE)
    name = match[1] + ("L" if match[2] else "")
    if name not in GAUGES:
        do = worded(
            "Write the mm on the packet, as in '{example}'. Numbers known here: {gauges}.",
            example=GAUGE.example,
            gauges=", ".join(GAUGES),
        )
        raise fail("bad-value", worded("'{clean}' is not a gauge number that is known here.", clean=clean), do)
    low, high = GAUGES[name]
    return Quantity(round((low + high) / 2, 2), float(match[1]), "ga", clean)


def gauge_span(quantity: Quantity) -> tuple[float, float] | None:
    """The mm that makers print for a gauge number; None where the record said mm."""
    if quantity.unit != "ga":
        return None
    match = _GAUGE.fullmatch(quantity.text)
    return GAUGES.get(match[1] + ("L" if match[2] else "")) if match else None


def gauge_u(quantity: Quantity) -> float:
    """Standard uncertainty of the thickness that a gauge number stands for, as a share of it; 0 where the record said mm."""
    ends = gauge_span(quantity)
    return from_half_width((ends[1] - ends[0]) / 2) / quantity.value if ends else 0.0


@dataclass(frozen=True, slots=True)
class PrintedMass:
    """The mass that a maker prints for the unstrung frame, g: one figure, or a class with its ends."""

    low: float
    high: float
    text: str

    @property
    def is_class(self) -> bool:
        """Whether it is one of badminton's classes."""
        return self.low < self.high


def read_mass(text: str) -> PrintedMass:
    """A frame's mass as printed: ``300 g``, or badminton's ``4U``."""
    clean = tidy(text)
    match = _CLASS.fullmatch(clean)
    if match:
        return PrintedMass(*MASS_CLASSES[int(match[1])], clean)
    found = parse(clean, MASS)
    return PrintedMass(found.value, found.value, clean)


def grip_mm(text: str, sport: str) -> float | None:
    """The handle's circumference that a grip size stands for, mm; None where it is not plain.

    ``L3`` and a bare ``3`` are tennis sizes, 4 + n/8 in (common practice); ``4 3/8`` and ``3 1/4 in`` are inches.
    Badminton's ``G`` numbers run the other way and differ by maker, so they have no mm here.
    """
    clean = tidy(text)
    size = _GRIP_L.fullmatch(clean)
    if size or (sport == "tennis" and clean in ("0", "1", "2", "3", "4", "5")):
        number = int(size[1] if size else clean)
        return u.MM_PER_IN * (4 + number / 8)
    inches = _GRIP_INCHES.fullmatch(clean)
    if inches and inches[2]:
        return u.MM_PER_IN * (int(inches[1]) + int(inches[2]) / int(inches[3]))
    return None


def is_grip(text: str, sport: str) -> bool:
    """Whether a grip size is written as makers print them: ``L3``, ``G5``, ``4 3/8``, ``3 1/4 in``, ``3``."""
    clean = tidy(text)
    known = (_GRIP_L, _GRIP_G, _GRIP_INCHES)
    return clean in tuple("012345") or any(pattern.fullmatch(clean) for pattern in known)


Mass = Annotated[PrintedMass, TextValue(read_mass, "300 g", pattern=r"^\s*[0-9].*[^0-9.,\s]")]
"""The printed mass of an unstrung frame."""
Widths = Annotated[WidthAt, TextValue(read_width, "62 mm at 40 mm")]
"""A measured width of a head with its height."""
Area = Annotated[Quantity, TextValue(read_area, "645 cm²")]
"""A head's size in mm²."""
Thickness = Annotated[Quantity, TextValue(read_gauge, GAUGE.example, native=True)]
"""A string's thickness in mm, or a gauge number."""
