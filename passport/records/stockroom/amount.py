"""How much there is of something in stock: a length of string or tape, a mass of paste, or pieces."""

import re
from dataclasses import dataclass, replace
from typing import Annotated, Final, Literal

from passport.records.language.worded import numbered, unsaid, worded
from passport.records.schema.quantities import LENGTH, MASS, TextValue, fail, parse, tidy

Measure = Literal["m", "g", "pieces"]
"""What an amount is measured in."""

_RUN: Final = replace(LENGTH, units={**LENGTH.units, "ft": 304.8}, low=-0.001, high=1e7, example="200 m")
_WEIGHT: Final = replace(MASS, low=-0.001, high=1e5, example="300 g")
_COUNT: Final = re.compile(r"([0-9]{1,5}(?:\.5)?) ?(pieces?|sets?|packs?|tubes?)", re.I)
_DO: Final = unsaid("Write a length as in '200 m', a mass as in '300 g', or a count as in '12 pieces' or '3 sets'.")


@dataclass(frozen=True, slots=True)
class StockAmount:
    """An amount: ``value`` in metres, grams or pieces, as ``measure`` says, and as it was written."""

    value: float
    measure: Measure
    text: str


def parse_amount(text: str) -> StockAmount:
    """Read ``200 m``, ``300 g``, ``12 pieces`` or ``3 sets``; half a set is ``0.5 sets``.

    Raises PydanticCustomError with ``rule`` (bad-value, or those of a quantity), ``what`` and ``do``.
    """
    clean = tidy(text)
    counted = _COUNT.fullmatch(clean)
    if counted:
        return StockAmount(float(counted[1]), "pieces", clean)
    unit = clean.lstrip("0123456789.,/ +").lower()
    for dimension, measure, factor in ((_RUN, "m", 1000.0), (_WEIGHT, "g", 1.0)):
        if unit in dimension.units:
            found = parse(clean, dimension)
            return StockAmount(found.value / factor, "m" if measure == "m" else "g", clean)
    raise fail("bad-value", worded("'{clean}' is not an amount of anything in stock.", clean=clean[:60]), worded(_DO))


def told(value: float, measure: Measure) -> str:
    """An amount in words: ``43.2 m``, ``120 g``, ``7 pieces``."""
    if measure == "pieces":
        return numbered(value, "{count:g} piece", "{count:g} pieces")
    text = unsaid("{value:.1f} {measure}") if abs(value) < 1000 else unsaid("{value:.0f} {measure}")
    return worded(text, value=value, measure=measure)


Amount = Annotated[StockAmount, TextValue(parse_amount, "200 m", native=True)]
