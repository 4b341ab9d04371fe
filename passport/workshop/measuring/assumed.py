"""What is taken where nobody measured: the constants of common practice, each the shop's to set in workshop.yaml."""

from dataclasses import dataclass, replace
from typing import Final

from passport.physics.stringpath import OUTSIDE_U
from passport.physics.uncertainty import from_half_width
from passport.records.schema.workshop import Workshop

OUTSIDE_SHARES: Final = (2 / 3, 2 / 3, 1 / 3)
"""Of the uncertainty of the string outside the head: what all racquets have in common (the way it is estimated), what
those of one model have (its holes), and what each stringing has of its own (knots and tails). Their squares add to 1;
how they divide it is common practice, no source."""


@dataclass(frozen=True, slots=True)
class Assumptions:
    """Standard uncertainties taken where nothing was measured (common practice, no source, but for ``outside``).

    ``weighed``: of a thing that was weighed, g. ``listed``: of a mass from the catalogue, or of tape from its length, as
    a share. ``placed``: of where a thing lies along the frame, mm (within 3 mm). ``string`` and ``string_estimated``: of
    a string's mass per length as a share, weighed or estimated from its gauge. ``outside``: of the string outside the
    head as a share of it, see `passport.physics.stringpath.OUTSIDE_U`.
    """

    weighed: float = 0.05
    listed: float = 0.03
    placed: float = from_half_width(3.0)
    string: float = 0.02
    string_estimated: float = 0.05
    outside: float = OUTSIDE_U

    @classmethod
    def of(cls, workshop: Workshop) -> "Assumptions":
        """As the workshop sets them."""
        given = workshop.assumed
        found = cls()
        if given.listed_mass:
            found = replace(found, listed=given.listed_mass.value / 100)
        if given.placing:
            found = replace(found, placed=from_half_width(given.placing.value))
        if given.string:
            found = replace(found, string=given.string.value / 100)
        if given.string_outside:
            found = replace(found, outside=given.string_outside.value / 100)
        return found


USUAL: Final = Assumptions()
"""What is taken where a workshop sets nothing."""
