"""Fitted parts in words: what the sums of widths need before a template can set them."""

from dataclasses import dataclass

from passport.render.theme.formats import KEEP, THIN, Formats
from passport.render.theme.wording import place
from passport.workshop.facts.facts import PartFacts


@dataclass(frozen=True, slots=True)
class PartText:
    """A fitted part in words: its mass, its name, its cut length and place."""

    mass: str
    name: str
    where: str


def part_text(part: PartFacts, f: Formats) -> PartText:
    """A fitted part in words; a strip says how long each piece is, a part on the hoop its hour."""
    mass = "" if part.mass is None else f.mass(part.mass)
    return PartText(mass, part.name, ", ".join(w for w in (_cut(part, f), place(part.place, f)) if w))


def _cut(part: PartFacts, f: Formats) -> str:
    """The length to which a strip is cut, and how many of it."""
    if part.kind != "tape" or not part.length or not part.is_fact("length"):
        return ""
    length = f"{f.short(part.length, 0)}{THIN}mm"
    return length if part.count == 1 else f"{part.count}{KEEP}×{KEEP}{length}"
