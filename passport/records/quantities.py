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


def _names(factor: float, *names: str) -> dict[str, float]:
    return {name.lower(): factor for name in names}


_MASS_UNITS = _names(1, "g") | _names(1000, "kg") | _names(u.G_PER_OZ, "oz")
_LENGTH_UNITS = _names(1, "mm") | _names(10, "cm") | _names(1000, "m") | _names(u.MM_PER_IN, "in", "inch", '"')
_TENSION_UNITS = _names(u.N_PER_LBF, "lb", "lbs", "lbf") | _names(u.N_PER_KGF, "kg", "kgf") | _names(1, "n")
_INERTIA_UNITS = _names(1, "kg·cm²", "kgcm2", "kg·cm2", "kg cm²", "kg cm2", "kgcm²") | _names(
    u.KGCM2_PER_OZIN2, "oz·in²", "ozin2", "oz in2", "oz·in2"
)
_TIME_UNITS = _names(1, "min", "minutes") | _names(1 / 60, "s") | _names(60, "h", "hours") | _names(1440, "d", "days")

MASS = Dimension("a mass", _MASS_UNITS, 0.0, 1000.0, "312.4 g")
LENGTH = Dimension("a length", _LENGTH_UNITS, 0.0, 1000.0, "352 mm")
GAUGE = Dimension("a string's thickness", {"mm": 1.0}, 0.4, 2.0, "1.25 mm")
TENSION = Dimension("a tension", _TENSION_UNITS, 20.0, 450.0, "24.5 lb")
INERTIA = Dimension("a moment of inertia", _INERTIA_UNITS, 0.0, 700.0, "164 kgcm2")
DENSITY = Dimension("a mass per length", _names(1, "g/m") | _names(100, "g/cm"), 0.05, 500.0, "1.52 g/m")
PERCENT = Dimension("a percentage", _names(1, "%"), -0.001, 40.0, "10 %")
MINUTES = Dimension("a time", _TIME_UNITS, -0.001, 60 * 24 * 3660, "15 min")
SECONDS = Dimension("a time", _names(1, "s") | _names(0.001, "ms"), 0.0, 7200.0, "1.293 s")
ANGLE = Dimension("an angle", _names(1, "deg", "°"), 0.0, 90.0, "5 deg")
FREQUENCY_UNITS = _names(1, "hz")
RING = Dimension("a reading", FREQUENCY_UNITS | _TENSION_UNITS, 20.0, 3000.0, "585 Hz")
ANYTHING = Dimension(
    "a quantity",
    _MASS_UNITS
    | _LENGTH_UNITS
    | {k: v for k, v in _TENSION_UNITS.items() if k not in _MASS_UNITS}
    | _INERTIA_UNITS
    | FREQUENCY_UNITS,
    0.0,
    1e5,
    "200 g",
)

_NUMBER = r"[+-]?\d+(?:[.,]\d+)?(?:\s+\d+/\d+)?|\d+/\d+"
_QUANTITY = re.compile(rf"({_NUMBER})\s*(.*)", re.DOTALL)
_BAND = re.compile(r"(.+?)\s*(?:±|\+/-|\+-)\s*(.+)", re.DOTALL)


def _fail(kind: str, what: str, do: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{what}", {"rule": kind, "what": what, "do": do})


def _amount(text: str) -> float:
    whole, _, part = text.replace(",", ".").partition(" ")
    if "/" in whole:
        whole, part = "0", whole
    try:
        return float(whole) + (float(Fraction(part.strip())) if part.strip() else 0.0)
    except ZeroDivisionError:
        raise _fail("impossible-value", f"'{text}' divides by zero.", "Write the fraction as in 13 7/8 in.") from None


def parse(text: str, dimension: Dimension) -> Quantity:
    """Read one quantity.

    Raises PydanticCustomError with ``rule`` (missing-unit, unknown-unit, impossible-value, bad-value), ``what``, ``do``.
    """
    match = _QUANTITY.fullmatch(text.strip())
    if not match or len(text) > 60:
        do = f"Write {dimension.name} as in '{dimension.example}'."
        raise _fail("bad-value", f"'{text[:60]}' is not {dimension.name}.", do)
    amount, unit = _amount(match[1]), match[2].strip()
    known = ", ".join(_short_units(dimension))
    if not unit:
        do = f"Add the unit, as in '{match[1]} {dimension.example.rpartition(' ')[2]}' (one of: {known})."
        raise _fail("missing-unit", f"'{text}' has no unit.", do)
    factor = dimension.units.get(unit.lower())
    if factor is None:
        do = f"Use one of: {known}. For example '{dimension.example}'."
        raise _fail("unknown-unit", f"'{unit}' is not a unit of {dimension.name}.", do)
    value = amount * factor
    if not dimension.low < value <= dimension.high:
        do = f"Check the number and its unit; a typical value looks like '{dimension.example}'."
        raise _fail("impossible-value", f"'{text}' cannot be right for {dimension.name} on a racquet.", do)
    return Quantity(value, amount, unit, text.strip())


def parse_band(text: str, dimension: Dimension) -> Band:
    """Read ``312 g ± 1 g`` or ``312 ± 1 g``; without ± the tolerance is left to the workshop's."""
    match = _BAND.fullmatch(text.strip())
    if not match:
        return Band(parse(text, dimension), None, text.strip())
    tolerance = parse(match[2], replace(dimension, low=0.0))
    return Band(parse(_lend(match[1], tolerance), dimension), tolerance, text.strip())


def _lend(target: str, tolerance: Quantity) -> str:
    """``312 ± 1 g``: the unit behind the tolerance serves the target too."""
    return f"{target} {tolerance.unit}" if re.fullmatch(_NUMBER, target) else target


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


_POINTS = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*(?:pt|pts|points)\s*(HL|HH|EB)?", re.IGNORECASE)


def parse_balance(text: str) -> BalanceValue:
    """Read ``322 mm``, ``32.2 cm``, ``4 pt HH`` (head heavy), ``6 pt HL`` (head light), each with ± if wanted."""
    target, _, tolerance = (part.strip() for part in text.replace("+/-", "±").partition("±"))
    width = parse(tolerance, LENGTH) if tolerance else None
    match = _POINTS.fullmatch(target)
    if match:
        side = (match[2] or "").upper()
        if side not in ("HL", "HH"):
            what = f"'{target}' does not say to which side."
            raise _fail("missing-unit", what, "Add HL for head light or HH for head heavy, as in '4 pt HH'.")
        light = float(match[1].replace(",", ".")) * (1 if side == "HL" else -1)
        return BalanceValue(None, light, width.value if width else None, text.strip())
    mm = parse(_lend(target, width) if width else target, LENGTH).value
    return BalanceValue(mm, None, width.value if width else None, text.strip())


class _Text:
    """Pydantic glue: a value read from text by ``reader``, described to editors by an example."""

    def __init__(self, reader: Callable[[str], Any], example: str) -> None:
        self.reader, self.example = reader, example

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        def read(value: Any) -> Any:
            if isinstance(value, source):
                return value
            if not isinstance(value, str):
                raise _fail("bad-value", "A single value is needed here.", f"Write it as in '{self.example}'.")
            return self.reader(value)

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {"type": "string", "examples": [self.example]}


def _quantity(dimension: Dimension) -> _Text:
    return _Text(lambda text: parse(text, dimension), dimension.example)


def _band(dimension: Dimension) -> _Text:
    return _Text(lambda text: parse_band(text, dimension), f"{dimension.example} ± 1 {dimension.example.split()[-1]}")


def _short_units(dimension: Dimension) -> list[str]:
    """One spelling for each factor, in the order of the table."""
    seen: dict[float, str] = {}
    for name, factor in dimension.units.items():
        seen.setdefault(factor, {"n": "N", "hz": "Hz"}.get(name, name))
    return list(seen.values())


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
Balance = Annotated[BalanceValue, _Text(parse_balance, "322 mm ± 2 mm")]
