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


def part_text(part: PartFacts, f: Formats, *, grips_placed: bool = True) -> PartText:
    """A fitted part in words: how long it is cut, its place (an hour on the hoop), what was noted of it.

    A grip is along the handle, and needs no saying so where ``grips_placed`` is False.
    """
    said = grips_placed or part.kind not in ("base grip", "overgrip") or part.place != "along the handle"
    mass = "" if part.mass is None else f.mass(part.mass)
    return PartText(
        mass, part.name, ", ".join(w for w in (_cut(part, f), place(part.place, f) if said else "", part.note) if w)
    )


def _cut(part: PartFacts, f: Formats) -> str:
    """The length to which a part is cut, and how many of it, where somebody wrote it down."""
    if not part.length or not part.is_fact("length"):
        return ""
    length = f"{f.short(part.length, 0)}{THIN}mm"
    return length if part.count == 1 else f"{part.count}{KEEP}×{KEEP}{length}"
