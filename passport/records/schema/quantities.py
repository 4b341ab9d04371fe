"""Quantities as people write them, ``27 lb``, ``13 7/8 in``, ``4 pt HH``, read into one canonical unit.

Each keeps the number and the unit as written, so that a page can show what the technician typed. A bare number where a
unit is needed, an unknown unit and an impossible value are errors that say what to write.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Annotated, Any, Literal

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from passport.physics import units as u
from passport.records.language.worded import unsaid, worded


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


@lru_cache(maxsize=1024)
def bare_unit(unit: str) -> str:
    """A unit without what people write in different ways: capitals, spaces, dots, hats, raised figures."""
    return re.sub(r"[\s·⋅*^.]", "", unit.lower()).replace("²", "2").replace("″", '"').replace("”", '"')


def _names(factor: float, *names: str) -> dict[str, float]:
    return {bare_unit(name): factor for name in names}


_MASS_UNITS = _names(1, "g", "gr", "gram", "grams") | _names(1000, "kg") | _names(u.G_PER_OZ, "oz")
_LENGTH_UNITS = (
    _names(1, "mm") | _names(10, "cm") | _names(1000, "m") | _names(u.MM_PER_IN, "in", "inch", "inches", '"')
)
_TENSION_UNITS = _names(u.N_PER_LBF, "lb", "lbs", "lbf") | _names(u.N_PER_KGF, "kg", "kgs", "kgf") | _names(1, "N")
_INERTIA_UNITS = _names(1, "kg·cm²") | _names(1e4, "kg·m²") | _names(u.KGCM2_PER_OZIN2, "oz·in²")
_TIME_UNITS = _names(1, "min", "minutes") | _names(1 / 60, "s") | _names(60, "h", "hours") | _names(1440, "d", "days")
_SHOWN = [
    "Hz",
    "g",
    "lb",
    "kg",
    "N",
    "kg/cm",
    "lb/in",
    "N/cm",
    "N/mm",
    "°C",
    "°F",
    "oz",
    "mm",
    "cm",
    "in",
    "m",
    "kgcm2",
    "kgm2",
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

MASS = Dimension(unsaid("a mass"), _MASS_UNITS, 0.0, 1000.0, "312.4 g")
LENGTH = Dimension(unsaid("a length"), _LENGTH_UNITS, 0.0, 1000.0, "352 mm")
BALANCE = Dimension(unsaid("a balance"), _LENGTH_UNITS, 0.0, 1000.0, "322 mm")
GAUGE = Dimension(unsaid("a string's thickness"), _names(1, "mm"), 0.4, 2.0, "1.25 mm")
TENSION = Dimension(unsaid("a tension"), _TENSION_UNITS, 20.0, 450.0, "24.5 lb")
INERTIA = Dimension(unsaid("a moment of inertia"), _INERTIA_UNITS, 0.0, 700.0, "164 kgcm2")
DENSITY = Dimension(unsaid("a mass per length"), _names(1, "g/m") | _names(100, "g/cm"), 0.05, 500.0, "1.52 g/m")
PERCENT = Dimension(unsaid("a percentage"), _names(1, "%"), -0.001, 40.0, "10 %")
MINUTES = Dimension(unsaid("a time"), _TIME_UNITS, -0.001, 60 * 24 * 3660, "15 min")
SPOT = replace(LENGTH, low=-0.001, example="10 mm")
"""A place along the frame, which may be the butt itself."""
SECONDS = Dimension(unsaid("a time"), _names(1, "s") | _names(0.001, "ms"), 0.0, 7200.0, "1.293 s")
ANGLE = Dimension(unsaid("an angle"), _names(1, "deg", "°"), 0.0, 90.0, "5 deg")
FREQUENCY_UNITS = _names(1, "Hz")
STIFFNESS_UNITS = (
    _names(u.N_PER_KGF, "kg/cm", "kgf/cm")
    | _names(u.N_PER_LBF / u.MM_PER_IN * 10, "lb/in", "lbs/in", "lbf/in")
    | _names(1, "N/cm")
    | _names(10, "N/mm")
)
"""How hard a string bed pushes back for each length that it gives way; the canonical unit is N/cm."""
RING = Dimension(unsaid("a reading"), FREQUENCY_UNITS | _TENSION_UNITS | STIFFNESS_UNITS, 20.0, 3000.0, "585 Hz")
TEMPERATURE = Dimension(unsaid("a temperature"), _names(1, "°C", "C", "°F", "F"), -30.0, 130.0, "21 °C")
ANYTHING = Dimension(
    "a quantity",
    _TENSION_UNITS | _MASS_UNITS | _LENGTH_UNITS | _INERTIA_UNITS | FREQUENCY_UNITS | STIFFNESS_UNITS,
    0.0,
    1e5,
    "200 g",
)

_NUMBER = r"[0-9]+/[0-9]+|[+-]?[0-9]+(?:[.,][0-9]+)?(?: [0-9]+/[0-9]+)?"
_QUANTITY = re.compile(rf"({_NUMBER}) ?((?![ 0-9.,/]).*)?")
_BAND = re.compile(r"(.+?) ?(?:±|\+/-|\+-) ?(.+)")


_DENOMINATORS = (2, 4, 8, 16, 32, 64)
"""Of fractions as rulers and scales have them; ``52/5`` is a slip for two values."""


def fail(kind: str, what: str, do: str) -> PydanticCustomError:
    """An error of a quantity, with its rule's name, what is wrong and what to do."""
    return PydanticCustomError("quantity", "{what}", {"rule": kind, "what": what, "do": do})


def tidy(text: str) -> str:
    """One plain space for any run of spaces, no-break ones included, and a plain hyphen for a minus sign."""
    return " ".join(text.split()).replace("−", "-")


def _amount(text: str) -> float:
    whole, _, part = text.replace(",", ".").partition(" ")
    if "/" in whole:
        whole, part = "0", whole
    top, slash, bottom = part.partition("/")
    if slash and int(bottom) and (int(top) >= int(bottom) or int(bottom) not in _DENOMINATORS):
        do = worded("Write a fraction of an inch or ounce as in '13 7/8 in'; two values need both their units or none.")
        raise fail("bad-value", worded("'{text}' is no fraction that anybody measures in.", text=text), do)
    try:
        return float(whole) + (float(Fraction(part)) if part else 0.0)
    except ZeroDivisionError:
        do = worded("Write the fraction as in '13 7/8 in'.")
        raise fail("impossible-value", worded("'{text}' divides by zero.", text=text), do) from None


def parse(text: str, dimension: Dimension) -> Quantity:
    """Read one quantity.

    Raises PydanticCustomError with ``rule`` (missing-unit, unknown-unit, impossible-value, bad-value), ``what``, ``do``.
    """
    clean = tidy(text)
    match = _QUANTITY.fullmatch(clean)
    if not match or len(clean) > 60:
        do = worded("Write {dimension} as in '{example}'.", dimension=worded(dimension.name), example=dimension.example)
        raise fail(
            "bad-value", worded("'{clean}' is not {dimension}.", clean=clean[:60], dimension=worded(dimension.name)), do
        )
    amount, unit = _amount(match[1]), (match[2] or "").rstrip(" .")
    if not unit:
        usual = dimension.example.rpartition(" ")[2]
        do = worded(
            "Add the unit, as in '{match} {usual}' (one of: {short_units}).",
            match=match[1],
            usual=usual,
            short_units=_short_units(dimension),
        )
        raise fail("missing-unit", worded("'{clean}' has no unit.", clean=clean), do)
    factor = dimension.units.get(bare_unit(unit))
    if factor is None:
        do = worded(
            "Use one of: {short_units}. For example '{example}'.",
            short_units=_short_units(dimension),
            example=dimension.example,
        )
        raise fail(
            "unknown-unit",
            worded("'{unit}' is not a unit of {dimension}.", unit=unit, dimension=worded(dimension.name)),
            do,
        )
    value = amount * factor
    if not dimension.low < value <= dimension.high:
        low = worded("at least 0") if dimension.low < 0 else worded("more than {low:.4g}", low=dimension.low / factor)
        do = worded(
            "Check the number and its unit: {low} and at most {high:.4g} {unit} is possible.",
            low=low,
            high=dimension.high / factor,
            unit=unit,
        )
        raise fail(
            "impossible-value",
            worded("'{clean}' cannot be right for {dimension} here.", clean=clean, dimension=worded(dimension.name)),
            do,
        )
    return Quantity(value, amount, unit, clean)


def is_of(quantity: Quantity, dimension: Dimension) -> bool:
    """Whether a quantity was written in a unit of this dimension."""
    return bare_unit(quantity.unit) in dimension.units


RingScale = Literal["Hz", "tension", "stiffness"]
"""What a reader of string beds shows: figures of one scale say nothing of those of another."""


def ring_scale(quantity: Quantity) -> RingScale:
    """The scale that a reading of a string bed is on."""
    unit = bare_unit(quantity.unit)
    return "Hz" if unit in FREQUENCY_UNITS else "stiffness" if unit in STIFFNESS_UNITS else "tension"


def parse_temperature(text: str) -> Quantity:
    """Read a temperature, in °C: ``21 °C`` or ``70 °F``, which is (70 − 32)/1.8 °C. Raises as :func:`parse`."""
    found = parse(text, TEMPERATURE)
    celsius = (found.amount - 32) / 1.8 if bare_unit(found.unit).endswith("f") else found.amount
    if not -20 < celsius < 60:
        raise fail(
            "impossible-value",
            worded("'{found}' is no temperature of a workshop.", found=found.text),
            worded("Check the number and its unit."),
        )
    return replace(found, value=celsius)


def parse_band(text: str, dimension: Dimension) -> Band:
    """Read ``312 g ± 1 g``, ``312 ± 1 g`` or ``312 g ± 1``; without ± the tolerance is left to the workshop's."""
    clean = tidy(text)
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
class TextValue:
    """Pydantic glue: a value read from text by ``reader``, described to people and editors by an example.

    ``native`` values may look like a plain number, which an editor does not take for text; the others match
    ``pattern``, which asks for a unit and not much more.
    """

    reader: Callable[[str], Any]
    example: str
    native: bool = False
    pattern: str = r"^\s*[+−-]?[0-9].*[^0-9.,\s]"

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """A validator that takes text, or a value that was read before."""

        def read(value: Any) -> Any:
            if isinstance(value, source):
                return value
            if not isinstance(value, str):
                raise fail(
                    "bad-value",
                    worded("A single value is needed here."),
                    worded("Write it as in '{example}'.", example=self.example),
                )
            return self.reader(value)

        return core_schema.no_info_plain_validator_function(read)

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        """The value as editors see it: text that looks like the example."""
        if self.native:
            return {"type": ["string", "number"], "examples": [self.example]}
        return {"type": "string", "pattern": self.pattern, "examples": [self.example]}


def _quantity(dimension: Dimension) -> TextValue:
    return TextValue(lambda text: parse(text, dimension), dimension.example)


def _band(dimension: Dimension) -> TextValue:
    return TextValue(
        lambda text: parse_band(text, dimension), f"{dimension.example} ± 1 {dimension.example.split()[-1]}"
    )


def _short_units(dimension: Dimension) -> str:
    """One usual spelling for each unit that a dimension may have."""
    return ", ".join(name for name in _SHOWN if bare_unit(name) in dimension.units)


Mass = Annotated[Quantity, _quantity(MASS)]
Length = Annotated[Quantity, _quantity(LENGTH)]
Spot = Annotated[Quantity, _quantity(SPOT)]
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
Temperature = Annotated[Quantity, TextValue(parse_temperature, TEMPERATURE.example)]
Anything = Annotated[Quantity, _quantity(ANYTHING)]
MassBand = Annotated[Band, _band(MASS)]
InertiaBand = Annotated[Band, _band(INERTIA)]
