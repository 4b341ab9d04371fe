"""Places on a racquet where something is fitted, as the trade says them: ``3 and 9``, ``throat``, ``under the bumper``.

A place is either on the hoop, at an o'clock position with its mirror image (``3 only`` has none), or a span along the
long axis. The spans are proportions of the model's own dimensions; a record may give exact millimetres instead.
"""

import difflib
import re
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from pydantic_core import PydanticCustomError

from passport.physics.geometry import RacquetShape
from passport.records.language.worded import unsaid, worded
from passport.records.schema.quantities import LENGTH, TextValue, lend_unit, parse

_TIME = r"[0-9]{1,2}(?::[0-9]{2}|\.(?:[0-9]|25|75))?"
_CLOCK = re.compile(rf"({_TIME})(?: ?(?:and|&|/|\+) ?({_TIME}))?(?: ?o['’]?clock)?(?P<alone> (?:only|alone))?", re.I)
_LIKE_CLOCK = re.compile(r"[0-9.: ]+(?:(?:and|&|/|\+)[0-9.: ]+)?(?: ?o['’]?clock)?(?: only| alone)?", re.I)
_SPAN = re.compile(r"(?:at )?([0-9].*?)(?: ?(?:to|–|-) ?([0-9].*))?", re.I)
_FACE = unsaid("Use hours from 1 to 12, as in '12', '10 and 2' or '10:30 and 1:30'; millimetres need their unit.")
Side = Literal["", "left", "right"]
"""The one side of the hoop that something lies on, with the tip up; empty where it lies on both or in the middle."""
NAMED: Final = (
    "under the bumper",
    "throat",
    "top of the handle",
    "along the handle",
    "inside the handle",
    "butt cap",
    "between the mains",
    "on the string bed",
)


@dataclass(frozen=True, slots=True)
class FittedPlace:
    """Where a part sits: ``hour`` on the hoop (mirrored unless 12 or 6), or a ``name``, or a span in mm.

    ``hours`` are the one or two that were written, in that order, 0 for 12; ``hour`` is the one on the right. What lies
    on one ``side`` alone (``3 only``) has no mirror image; the clock is read with the tip up.
    """

    text: str
    hour: float | None = None
    name: str = ""
    span: tuple[float, float] | None = None
    hours: tuple[float, ...] = ()
    side: Side = ""

    def __str__(self) -> str:
        """As it was written."""
        return self.text

    @property
    def spot(self) -> tuple[object, ...]:
        """The place without its spelling: equal for '3 and 9' and '9 & 3', another one for '9 only'."""
        return (self.hour, self.name, self.span, self.side) if self.side else (self.hour, self.name, self.span)

    @property
    def at(self) -> float | None:
        """The hour that a strip is centred at: the written one where it lies on one side alone, else that on the right."""
        return self.hours[0] if self.side else self.hour

    @property
    def mirrored(self) -> bool:
        """Whether it stands for two places on the hoop, one on each side."""
        return self.hour is not None and not self.side and self.hour not in (0.0, 6.0)

    def extent(self, shape: RacquetShape, length: float | None = None) -> tuple[float, float]:
        """From and to, mm from the butt, on a frame of ``shape``; ``length`` in mm shortens a named span.

        The named spans are common practice, no source; a record that knows better gives millimetres.
        """
        if self.span:
            return self.span
        if self.hour is not None:
            x = shape.on_hoop(self.hour)[0]
            return x, x
        low, high = self._named(shape)
        return (low, high) if length is None else _shorten(self.name, low, high, length)

    def _named(self, shape: RacquetShape) -> tuple[float, float]:
        throat = shape.head_centre - shape.head_length / 2
        return {
            "under the bumper": (shape.length - shape.rim, shape.length),
            "throat": (throat - 0.35 * (throat - shape.handle), throat - 0.15 * (throat - shape.handle)),
            "top of the handle": (shape.handle - 40, shape.handle),
            "along the handle": (0.0, shape.handle),
            "inside the handle": (10.0, 60.0),
            "butt cap": (0.0, 10.0),
            "between the mains": (throat, max(throat + 1.0, min(shape.cross_positions(), default=throat))),
            "on the string bed": (throat, throat + shape.head_length),
        }[self.name]


def _shorten(name: str, low: float, high: float, length: float) -> tuple[float, float]:
    """Things on the handle are laid from its top down or from the butt up; the rest is centred."""
    if name == "top of the handle":
        return high - length, high
    if name in ("along the handle", "inside the handle"):
        return low, low + length
    middle = (low + high) / 2
    return middle - length / 2, middle + length / 2


def _hour(text: str) -> float | None:
    """The hour between 0 and 12 of ``10``, ``10:30`` (half past) or ``10.5``; None for what no clock shows."""
    hours, _, rest = text.replace(".", ":").partition(":")
    past = int(rest or 0) / 60 if ":" in text else float(f"0.{rest or 0}")
    return int(hours) % 12 + past if 1 <= int(hours) <= 12 and past < 1 else None


def parse_place(text: str) -> FittedPlace:
    """Read a place: ``12``, ``10 and 2``, ``3 and 9``, one of the named places, or ``352 mm`` or ``20 mm to 60 mm``.

    Raises PydanticCustomError with ``rule`` (unknown-place, or those of a quantity), ``what`` and ``do``.
    """
    clean = " ".join(text.split())
    if clean.lower() in NAMED:
        return FittedPlace(clean.lower(), name=clean.lower())
    clock = _CLOCK.fullmatch(clean)
    if clock:
        return _clock_place(clean, clock)
    if _LIKE_CLOCK.fullmatch(clean):
        raise _unknown(f"'{clean[:60]}' is not on a clock's face.", worded(_FACE))
    span = _SPAN.fullmatch(clean)
    if span:
        return _span_place(clean, span)
    near = difflib.get_close_matches(clean.lower(), NAMED, n=1, cutoff=0.6)
    use = f"an o'clock position ('12', '10 and 2', '3 and 9'), millimetres ('20 mm to 60 mm') or: {', '.join(NAMED)}."
    raise _unknown(
        f"'{clean[:60]}' is not a place on a racquet.", f"Did you mean '{near[0]}'?" if near else f"Use {use}"
    )


def _span_place(text: str, span: re.Match[str]) -> FittedPlace:
    start, end = lend_unit(span[1], span[2]) if span[2] else (span[1], span[1])
    low, high = parse(start, LENGTH).value, parse(end, LENGTH).value
    if low > high:
        raise _unknown(f"'{text}' ends nearer to the butt than it begins.", "Write the end nearer to the butt first.")
    return FittedPlace(text, span=(low, high))


def _clock_place(text: str, clock: re.Match[str]) -> FittedPlace:
    if clock["alone"] and clock[2]:
        do = "Write the one hour, '3 only', or leave the word out: '3 and 9' are two strips."
        raise _unknown(f"'{text}' names two places, and says that there is one.", do)
    first = _hour(clock[1])
    if first is None or (clock[2] and _hour(clock[2]) is None):
        raise _unknown(f"'{text}' is not on a clock's face.", worded(_FACE))
    second = _hour(clock[2]) if clock[2] else (12 - first) % 12
    if second is None or abs((first + second + 6) % 12 - 6) > 1e-6:
        do = "Mirror positions add up to 12: '10 and 2', '3 and 9', '1 and 11'. Write 12 or 6 by itself; one strip alone is '3 only'."
        raise _unknown(f"'{text}' is not a position and its mirror image.", do)
    right = min(first, (12 - first) % 12) if first else 0.0
    side: Side = "" if not clock["alone"] or first in (0.0, 6.0) else "right" if first < 6 else "left"
    return FittedPlace(text, hour=right, hours=(first, second) if clock[2] else (first,), side=side)


def _unknown(what: str, do: str) -> PydanticCustomError:
    return PydanticCustomError("place", "{what}", {"rule": "unknown-place", "what": what, "do": do})


PlaceText = Annotated[FittedPlace, TextValue(parse_place, "3 and 9", native=True)]
