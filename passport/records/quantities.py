"""Quantities as people write them, ``27 lb``, ``13 7/8 in``, ``4 pt HH``, read into one canonical unit.

Each keeps the number and the unit as written, so that a page can show what the technician typed. A bare number where a
unit is needed, an unknown unit and an impossible value are errors that say what to write.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from passport.physics import units as u


@dataclass(frozen=True, slots=True)
class Quantity:
    """A quantity: ``value`` in the canonical unit of its dimension, and as written: ``amount`` and ``unit``."""

    value: float
    amount: float
    unit: str
    text: str


@dataclass(frozen=True, slots=True)
class Band:
    """A target with its tolerance, both in the canonical unit; ``tolerance`` is None where none was written."""

    target: Quantity
    tolerance: Quantity | None
    text: str


@dataclass(frozen=True, slots=True)
class Dimension:
    """What a quantity may be: its units with their factors to the canonical one, its possible range, an example."""

    name: str
    units: Mapping[str, float]
    low: float
    high: float
    example: str


def _bare(unit: str) -> str:
    """A unit without what people write in different ways: capitals, spaces, dots, hats, raised figures."""
    return re.sub(r"[\s·⋅*^.]", "", unit.lower()).replace("²", "2").replace("″", '"').replace("”", '"')


def _names(factor: float, *names: str) -> dict[str, float]:
    return {_bare(name): factor for name in names}


_MASS_UNITS = _names(1, "g", "gr", "gram", "grams") | _names(1000, "kg") | _names(u.G_PER_OZ, "oz")
_LENGTH_UNITS = _names(1, "mm") | _names(10, "cm") | _names(1000, "m") | _names(u.MM_PER_IN, "in", "inch", '"')
_TENSION_UNITS = _names(u.N_PER_LBF, "lb", "lbs", "lbf") | _names(u.N_PER_KGF, "kg", "kgs", "kgf") | _names(1, "N")
_INERTIA_UNITS = _names(1, "kg·cm²") | _names(u.KGCM2_PER_OZIN2, "oz·in²")
_TIME_UNITS = _names(1, "min", "minutes") | _names(1 / 60, "s") | _names(60, "h", "hours") | _names(1440, "d", "days")
_SHOWN = [
    "Hz",
    "g",
    "lb",
    "kg",
    "N",
    "oz",
    "mm",
    "cm",
    "in",
    "m",
    "kgcm2",
    "oz·in²",
    "g/m",
    "g/cm",
    "%",
    "min",
    "s",
    "ms",
    "h",
    "d",
    "deg",
]

MASS = Dimension("a mass", _MASS_UNITS, 0.0, 1000.0, "312.4 g")
LENGTH = Dimension("a length", _LENGTH_UNITS, 0.0, 1000.0, "352 mm")
BALANCE = Dimension("a balance", _LENGTH_UNITS, 0.0, 1000.0, "322 mm")
GAUGE = Dimension("a string's thickness", _names(1, "mm"), 0.4, 2.0, "1.25 mm")
TENSION = Dimension("a tension", _TENSION_UNITS, 20.0, 450.0, "24.5 lb")
INERTIA = Dimension("a moment of inertia", _INERTIA_UNITS, 0.0, 700.0, "164 kgcm2")
DENSITY = Dimension("a mass per length", _names(1, "g/m") | _names(100, "g/cm"), 0.05, 500.0, "1.52 g/m")
PERCENT = Dimension("a percentage", _names(1, "%"), -0.001, 40.0, "10 %")
MINUTES = Dimension("a time", _TIME_UNITS, -0.001, 60 * 24 * 3660, "15 min")
SECONDS = Dimension("a time", _names(1, "s") | _names(0.001, "ms"), 0.0, 7200.0, "1.293 s")
ANGLE = Dimension("an angle", _names(1, "deg", "°"), 0.0, 90.0, "5 deg")
FREQUENCY_UNITS = _names(1, "Hz")
RING = Dimension("a reading", FREQUENCY_UNITS | _TENSION_UNITS, 20.0, 3000.0, "585 Hz")
ANYTHING = Dimension(
    "a quantity",
    _TENSION_UNITS | _MASS_UNITS | _LENGTH_UNITS | _INERTIA_UNITS | FREQUENCY_UNITS,
    0.0,
    1e5,
    "200 g",
)

_NUMBER = r"[0-9]+/[0-9]+|[+-]?[0-9]+(?:[.,][0-9]+)?(?: [0-9]+/[0-9]+)?"
_QUANTITY = re.compile(rf"({_NUMBER}) ?((?![ 0-9.,/]).*)?")
_BAND = re.compile(r"(.+?) ?(?:±|\+/-|\+-) ?(.+)")


def _fail(kind: str, what: str, do: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{what}", {"rule": kind, "what": what, "do": do})


def _tidy(text: str) -> str:
    """One plain space for any run of spaces, no-break ones included, and a plain hyphen for a minus sign."""
    return " ".join(text.split()).replace("−", "-")


def _amount(text: str) -> float:
    whole, _, part = text.replace(",", ".").partition(" ")
    if "/" in whole:
        whole, part = "0", whole
    try:
        return float(whole) + (float(Fraction(part)) if part else 0.0)
    except ZeroDivisionError:
        do = "Write the fraction as in '13 7/8 in'."
        raise _fail("impossible-value", f"'{text}' divides by zero.", do) from None


def parse(text: str, dimension: Dimension) -> Quantity:
    """Read one quantity.

    Raises PydanticCustomError with ``rule`` (missing-unit, unknown-unit, impossible-value, bad-value), ``what``, ``do``.
    """
    clean = _tidy(text)
    match = _QUANTITY.fullmatch(clean)
    if not match or len(clean) > 60:
        do = f"Write {dimension.name} as in '{dimension.example}'."
        raise _fail("bad-value", f"'{clean[:60]}' is not {dimension.name}.", do)
    amount, unit = _amount(match[1]), (match[2] or "").rstrip(" .")
    known = ", ".join(_short_units(dimension))
    if not unit:
        do = f"Add the unit, as in '{match[1]} {dimension.example.rpartition(' ')[2]}' (one of: {known})."
        raise _fail("missing-unit", f"'{clean}' has no unit.", do)
    factor = dimension.units.get(_bare(unit))
    if factor is None:
        do = f"Use one of: {known}. For example '{dimension.example}'."
        raise _fail("unknown-unit", f"'{unit}' is not a unit of {dimension.name}.", do)
    value = amount * factor
    if not dimension.low < value <= dimension.high:
        low = "at least 0" if dimension.low < 0 else f"more than {dimension.low / factor:.4g}"
        do = f"Check the number and its unit: {low} and at most {dimension.high / factor:.4g} {unit} is possible."
        raise _fail("impossible-value", f"'{clean}' cannot be right for {dimension.name} here.", do)
    return Quantity(value, amount, unit, clean)


def parse_band(text: str, dimension: Dimension) -> Band:
    """Read ``312 g ± 1 g``, ``312 ± 1 g`` or ``312 g ± 1``; without ± the tolerance is left to the workshop's."""
    clean = _tidy(text)
    match = _BAND.fullmatch(clean)
    if not match:
        return Band(parse(clean, dimension), None, clean)
    target, tolerance = lend_unit(match[1], match[2])
    return Band(parse(target, dimension), parse(tolerance, replace(dimension, low=0.0)), clean)


def lend_unit(first: str, second: str) -> tuple[str, str]:
    """Two quantities as written (a target and its tolerance, both ends of a span), each with the other's unit if bare."""
    matches = _QUANTITY.fullmatch(first), _QUANTITY.fullmatch(second)
    one, other = ((match[2] or "") if match else "" for match in matches)
    if matches[0] and not one:
        first = f"{first.strip()} {other}"
    if matches[1] and not other:
        second = f"{second.strip()} {one}"
    return first, second


@dataclass(frozen=True, slots=True)
class BalanceValue:
    """A balance: mm from the butt, or points head light (positive) or head heavy, which need the frame's length."""

    mm_value: float | None
    points_light: float | None
    tolerance_mm: float | None
    text: str

    def mm(self, length: float) -> float:
        """Balance in mm from the butt for a frame of ``length`` mm."""
        if self.mm_value is not None:
            return self.mm_value
        return u.balance_from_head_light(self.points_light or 0.0, length)


MOST_POINTS = 60.0
_POINT = r"([+-]?[0-9]+(?:[.,][0-9]+)?) ?(?:pts?|points?)"
_SIDE = r"(HL|HH|EB|head[ -]?light|head[ -]?heavy|even)"
_POINTS = re.compile(rf"{_POINT}(?: ?{_SIDE})?|([+-]?[0-9]+(?:[.,][0-9]+)?) ?{_SIDE}", re.IGNORECASE)


def parse_balance(text: str) -> BalanceValue:
    """Read ``322 mm``, ``32.2 cm``, ``4 pt HH`` (head heavy), ``6 pt HL`` (head light), ``even``, each with ± if wanted."""
    clean = _tidy(text)
    target, _, tolerance = (part.strip() for part in clean.replace("+/-", "±").partition("±"))
    points = _points_light(target)
    if points is not None:
        return BalanceValue(None, points, _tolerance(tolerance), clean)
    if tolerance:
        target, tolerance = lend_unit(target, tolerance)
    return BalanceValue(parse(target, BALANCE).value, None, _tolerance(tolerance), clean)


def _points_light(target: str) -> float | None:
    """Points head light, negative for head heavy; None for a balance that is not in points."""
    if target.lower() in ("even", "eb"):
        return 0.0
    match = _POINTS.fullmatch(target)
    if not match:
        return None
    amount = float((match[1] or match[3]).replace(",", "."))
    side = re.sub("[ -]", "", match[2] or match[4] or "").lower()
    if not side and amount:
        what = f"'{target}' does not say to which side."
        raise _fail("missing-unit", what, "Add HL for head light or HH for head heavy, as in '4 pt HH'.")
    if abs(amount) > MOST_POINTS or (amount and side in ("eb", "even")):
        do = "Check the number: a point is an eighth of an inch. A usual one looks like '4 pt HH'."
        raise _fail("impossible-value", f"'{target}' cannot be right for a balance.", do)
    return amount if side in ("hl", "headlight") else -amount if amount else 0.0


def _tolerance(text: str) -> float | None:
    """A tolerance of a balance in mm; it may be written in points too."""
    if not text:
        return None
    match = re.fullmatch(_POINT, text, re.IGNORECASE)
    return float(match[1].replace(",", ".")) * u.MM_PER_POINT if match else parse(text, BALANCE).value


@dataclass(frozen=True, slots=True)
class TextValue:
    """Pydantic glue: a value read from text by ``reader``, described to people and editors by an example.

    ``native`` values may look like a plain number, which an editor does not take for text.
    """

    reader: Callable[[str], Any]
    example: str
    native: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """A validator that takes text, or a value that was read before."""

        def read(value: Any) -> Any:
            if isinstance(value, source):
                return value
            if not isinstance(value, str):
                raise _fail("bad-value", "A single value is needed here.", f"Write it as in '{self.example}'.")
            return self.reader(value)

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """The value as editors see it: text that looks like the example."""
        return {"type": ["string", "number"] if self.native else "string", "examples": [self.example]}


def _quantity(dimension: Dimension) -> TextValue:
    return TextValue(lambda text: parse(text, dimension), dimension.example)


def _band(dimension: Dimension) -> TextValue:
    return TextValue(
        lambda text: parse_band(text, dimension), f"{dimension.example} ± 1 {dimension.example.split()[-1]}"
    )


def _short_units(dimension: Dimension) -> list[str]:
    """One usual spelling for each unit that a dimension may have."""
    return [name for name in _SHOWN if _bare(name) in dimension.units]


Mass = Annotated[Quantity, _quantity(MASS)]
Length = Annotated[Quantity, _quantity(LENGTH)]
TensionSpread = Annotated[Quantity, _quantity(replace(TENSION, low=0.0, example="0.2 lb"))]
Gauge = Annotated[Quantity, _quantity(GAUGE)]
Tension = Annotated[Quantity, _quantity(TENSION)]
Inertia = Annotated[Quantity, _quantity(INERTIA)]
LinearDensity = Annotated[Quantity, _quantity(DENSITY)]
Percent = Annotated[Quantity, _quantity(PERCENT)]
Minutes = Annotated[Quantity, _quantity(MINUTES)]
Seconds = Annotated[Quantity, _quantity(SECONDS)]
Angle = Annotated[Quantity, _quantity(ANGLE)]
Ring = Annotated[Quantity, _quantity(RING)]
Anything = Annotated[Quantity, _quantity(ANYTHING)]
MassBand = Annotated[Band, _band(MASS)]
InertiaBand = Annotated[Band, _band(INERTIA)]
Balance = Annotated[BalanceValue, TextValue(parse_balance, "322 mm ± 2 mm")]
