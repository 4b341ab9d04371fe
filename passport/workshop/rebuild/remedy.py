"""The cheapest measurement that would make a plan surer, and by how much.

What is cheap first: a part that lies on the bench is put on the scale; then ten metres of string; then an instrument is held
against something known.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from passport.records.language.worded import worded
from passport.records.schema.catalogue import StringType
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.measuring.assumed import USUAL, Assumptions
from passport.workshop.rebuild.chance import Deviation
from passport.workshop.rebuild.plan import Remedy

WORTH: Final = 0.02
"""By how much a measurement must raise the chance to be worth naming: what shows in whole per cents, twice."""

_MASS: Final = "mass of "
_STRING: Final = "string "
_UNCHECKED: Final = re.compile(r"(?P<kind>.+), unchecked")


def cheapest(
    found: Deviation, owner: str, strings: Mapping[str, StringType], assumed: Assumptions = USUAL
) -> Remedy | None:
    """The cheapest measurement that raises the chance by at least `WORTH`; None where none does.

    ``owner`` is the name of the frame that is worked on, which the names of its parts end with.
    """
    before = found.chance
    for kind in (_weighed(found, owner, assumed), _reeled(found, strings, assumed), _held(found)):
        remedies = [Remedy(what, before, found.better({name: by}).chance, by == 0) for what, name, by in kind]
        best = max(remedies, key=lambda remedy: remedy.after, default=None)
        if best and best.after >= before + WORTH:
            return best
    return None


def _weighed(found: Deviation, owner: str, assumed: Assumptions) -> Iterator[tuple[str, str, float]]:
    """Each part whose mass was taken from a list, with how much of its uncertainty weighing it leaves."""
    if "mass" not in found.quantities:
        return
    i = found.quantities.index("mass")
    for name, shift in found.shifts.items():
        if name.startswith(_MASS) and abs(shift[i]) > assumed.weighed * 1.01:
            thing, _, place = name.removeprefix(_MASS).removesuffix(f", {owner}").partition(", ")
            what = worded(
                "weigh the {part} ({place}) before it is fitted: its listed mass is taken to hold within {share:g} %",
                part=thing,
                place=name_said(place),
                share=100 * assumed.listed,
            )
            yield what, name, assumed.weighed / abs(float(shift[i]))


def _reeled(
    found: Deviation, strings: Mapping[str, StringType], assumed: Assumptions
) -> Iterator[tuple[str, str, float]]:
    """Each string that nobody weighed."""
    for name in found.shifts:
        key = name.removeprefix(_STRING)
        if name.startswith(_STRING) and key in strings and strings[key].weighed is None:
            what = worded(
                "weigh ten metres of {string} and write it down (its gauge tells it within {share:g} %)",
                string=strings[key].name,
                share=100 * assumed.string_estimated,
            )
            yield what, name, assumed.string / assumed.string_estimated


def _held(found: Deviation) -> Iterator[tuple[str, str, float]]:
    """Each instrument that was never checked."""
    for name in found.shifts:
        match = _UNCHECKED.fullmatch(name)
        if match:
            yield worded("check the {tool} against something known", tool=name_said(match["kind"])), name, 0.0
