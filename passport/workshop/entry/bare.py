"""What a bare figure means where a person types it: the shop's unit, where the shop has said which. Pure.

In records a unit is always written; here it is lent to what is said, before anything is read.
"""

import re
from collections.abc import Sequence

from passport.records.schema.workshop import Units
from passport.workshop.entry.job_from_text import Said

_BARE = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?(?:\s*(?:/|±|\+/-|\+-)\s*[0-9]+(?:[.,][0-9]+)?)?")
"""A figure, or two: for mains and crosses, or a target and its tolerance."""
_ONE_UNIT = {"mass": "g", "swingweight": "kgcm2", "twistweight": "kgcm2", "gauge": "mm", "prestretch": "%"}
"""What the trade gives in one unit alone."""
USUAL_UNITS = {"mass": "g", "balance": "mm", "swingweight": "kgcm2", "twistweight": "kgcm2", "ring": "Hz"}
"""What a question asks for where the shop has not said its units."""
SPOKEN = {"pt": "points, HL or HH"}
"""How a unit is asked for where its sign alone does not say enough."""
_BALANCE = {"mm": "mm", "in": "in", "points": "pt"}


def unit_of(name: str, units: Units) -> str:
    """The unit of a bare figure of a job's field, as ``mains_tension`` or ``before_mass``; empty where it has none.

    A shop that has not said its units has none: it writes them.
    """
    field = name.removeprefix("before_")
    if units == Units():
        return ""
    if field.endswith("tension"):
        return units.tension or ""
    if field == "balance":
        return _BALANCE.get(units.balance or "", "")
    return _ONE_UNIT.get(field, "")


def lent(text: str, unit: str) -> str:
    """A text with the unit behind it where it is a bare figure, or two for mains and crosses."""
    return f"{text.strip()} {unit}" if unit and _BARE.fullmatch(text.strip()) else text


def with_units(words: Said, units: Units) -> dict[str, str | Sequence[str]]:
    """What is said of a job with the shop's units lent to bare figures."""
    return {name: lent(text, unit_of(name, units)) if isinstance(text, str) else text for name, text in words.items()}
