"""What the sheet of a set says, put into lines and figures."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from markupsafe import Markup

from passport.render.sheets.made_up import causes_of
from passport.render.sheets.view import (
    QUANTITIES,
    Stamp,
    against_warranty,
    bar_of,
    caution_kinds,
    plain_words,
    stamp_of,
)
from passport.render.theme.formats import NONE, Formats
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.causes import Cause
from passport.workshop.rebuild.plan import Figures, Plan, Rebuild, percent
from passport.workshop.rebuild.planset import Match


@dataclass(frozen=True, slots=True)
class SetRow:
    """One frame of the set: its figures before and after as printed, what is done to it, and what is in the way.

    ``chances`` to be inside the common target's tolerances stand with a bar of how what is unsure is made up;
    ``together`` is the chance for all quantities at once, empty where nothing is wanted.
    """

    name: str
    before: tuple[str, ...]
    after: tuple[str, ...]
    chances: tuple[tuple[Markup, str], ...]
    together: str
    does: str
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SpreadRow:
    """How far apart the frames are in one quantity, as printed."""

    quantity: QuantityName
    before: str
    after: str
    tolerance: str
    target: str


@dataclass(frozen=True)
class SetView:
    """The sheet of a set; ``to_name`` is the frame that the others are made equal to, as it is printed."""

    found: Match
    say: Any
    f: Formats
    to_name: str = ""

    @property
    def made(self) -> date:
        """The day of the plan."""
        return self.found.members[0].made

    @property
    def stamp(self) -> Stamp:
        """What the plans promise together, which is no verdict yet."""
        doubtful = any(stamp_of(member) == "doubtful" for member in self.found.members)
        return "doubtful" if self.found.status == "matched" and doubtful else self.found.status

    @property
    def title(self) -> str:
        """The set's own name where all frames have one, else the player, else how many frames they are."""
        frames = [member.frame for member in self.found.members]
        sets, players = {frame.set for frame in frames}, {frame.player for frame in frames}
        player = f"{players.pop()}{self.f.comma}" if len(players) == 1 else ""
        return (
            f"{player}{sets.pop()}"
            if len(sets) == 1 and "" not in sets
            else plain_words(self.say.count(player, len(frames)))
        )

    @property
    def quantities(self) -> tuple[QuantityName, ...]:
        """The quantities that a common target exists for, in the usual order."""
        aimed = {aim.quantity for aim in self.found.aims}
        return tuple(quantity for quantity in QUANTITIES if quantity in aimed)

    @cached_property
    def rows(self) -> tuple[SetRow, ...]:
        """The frames."""
        return tuple(
            SetRow(
                f"{member.frame.number or member.frame.name} {member.frame.label}".strip(),
                self._figures(member.start),
                self._figures(member.plans[0].predicted),
                tuple(self._chances(member.plans[0])),
                percent(member.plans[0].chance) if member.plans[0].outlook else "",
                self.say.additions(member.plans[0]) if has_work(member) else self.say.stays_as_it_is(),
                tuple(obstacle.text for obstacle in member.obstacles),
            )
            for member in self.found.members
        )

    def _figures(self, figures: Figures) -> tuple[str, ...]:
        found = (figures.get(quantity) for quantity in self.quantities)
        return tuple(f"{self.f.number(e.value)} ± {self.f.number(e.expanded())}" if e else NONE for e in found)

    def _chances(self, plan: Plan) -> Iterator[tuple[Markup, str]]:
        expected = {outlook.quantity: outlook for outlook in plan.outlook}
        for quantity in self.quantities:
            outlook = expected.get(quantity)
            if outlook is None:
                yield Markup(""), NONE
                continue
            yield bar_of(outlook.made_up, self.say, self.f), percent(outlook.probability)

    @property
    def causes(self) -> tuple[Cause, ...]:
        """What the bars are made up of."""
        return causes_of(outlook.made_up for member in self.found.members for outlook in member.plans[0].outlook)

    @property
    def spreads(self) -> tuple[SpreadRow, ...]:
        """How far apart the frames are before and after."""
        return tuple(self._spreads())

    def _spreads(self) -> Iterator[SpreadRow]:
        f, aims = self.f, {aim.quantity: aim for aim in self.found.aims}
        for spread in self.found.spreads:
            aim = aims.get(spread.quantity)
            target = f"{f.number(aim.target)} ± {f.number(aim.tolerance, 2)}" if aim else NONE
            before, after, within = (f.number(v) for v in (spread.before, spread.after, spread.tolerance))
            yield SpreadRow(spread.quantity, before, after, within, target)

    @property
    def limits(self) -> tuple[str, ...]:
        """The common target's limits, by quantity."""
        aims = {aim.quantity: aim for aim in self.found.aims}
        ends = ((aims[q].target - aims[q].tolerance, aims[q].target + aims[q].tolerance) for q in self.quantities)
        return tuple(f"{self.f.number(low)} – {self.f.number(high)}" for low, high in ends)

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions of all frames, each once."""
        kinds = dict.fromkeys(kind for member in self.found.members for kind in caution_kinds(member))
        warned = dict.fromkeys(self.say.warranty(m.frame) for m in self.found.members if against_warranty(m))
        above = dict.fromkeys(self.say.above_all(member.frame) for member in self.found.members)
        return (*(self.say.caution(kind) for kind in kinds), *warned, *above)


def has_work(member: Rebuild) -> bool:
    """Whether the best plan does anything to a frame."""
    plan: Plan = member.plans[0]
    return bool(plan.additions or plan.removals or plan.steps)
