"""The finished state of a frame: strung and gripped as the setup asks for, without tuning.

Grips, sleeve, overgrip and the like come from the frame that is rebuilt; tape, silicone and putty do not, they are what
a plan supplies. Spares of a kind that every frame leaves the factory with count only where both records name them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from passport.records.language.worded import worded
from passport.records.schema.catalogue import Part, PartKind
from passport.records.schema.frame import Fitted, Stringing
from passport.records.timeline import ONE_AT_A_TIME, Holding
from passport.workshop.facts.spoken_names import name_said
from passport.workshop.measuring.states import State

TUNING: frozenset[PartKind] = frozenset({"tape", "silicone", "putty"})
"""Kinds that a plan supplies."""

FACTORY: frozenset[PartKind] = frozenset({"grommets", "bumper", "butt cap", "pallet foam"})
"""Kinds that a frame has from the factory, named in a record only where somebody weighed one."""


@dataclass(frozen=True, slots=True)
class Finish:
    """What makes a blank ready to play: parts that stay on it, come off it, and are fitted to it; and its strings."""

    stays: tuple[Fitted, ...]
    off: tuple[Fitted, ...]
    fit: tuple[Fitted, ...]
    stringing: Stringing | None
    notes: tuple[str, ...] = ()

    @property
    def state(self) -> State:
        """The finished state."""
        return State((*self.stays, *self.fit), True, self.stringing)


def finish(blank: Iterable[Fitted], wanted: Holding, parts: Mapping[str, Part]) -> Finish:
    """What to do to a blank with these parts on so that it is gripped and strung like the frame that is rebuilt."""

    def kind(fitted: Fitted) -> PartKind:
        return parts[fitted.part].kind

    on = list(blank)
    asked = [f for f in wanted.parts if kind(f) not in TUNING]
    has = {kind(f) for f in on}
    skipped = [f for f in asked if kind(f) in FACTORY and kind(f) not in has]
    asked = [f for f in asked if f not in skipped]
    stays, off, fit = list[Fitted](), list[Fitted](), list(asked)
    for own in on:
        same = next((f for f in fit if _same(f, own)), None)
        if same is not None:
            stays.append(own)
            fit.remove(same)
        elif kind(own) == "overgrip" or (kind(own) in ONE_AT_A_TIME and kind(own) in {kind(f) for f in asked}):
            off.append(own)
        else:
            stays.append(own)
    return Finish(tuple(stays), tuple(off), tuple(fit), wanted.stringing, tuple(_notes(skipped, fit, off, parts)))


def _same(one: Fitted, other: Fitted) -> bool:
    return one.part == other.part and one.place.spot == other.place.spot


def _notes(
    skipped: Iterable[Fitted], fit: Iterable[Fitted], off: Iterable[Fitted], parts: Mapping[str, Part]
) -> Iterable[str]:
    for fitted in skipped:
        name = parts[fitted.part].name
        yield worded(
            "The old frame has '{name}'; the blank's own {kind} is taken to weigh the same.",
            name=name,
            kind=name_said(parts[fitted.part].kind),
        )
    grips = [f for f in fit if parts[f.part].kind == "base grip"]
    if grips and not any(parts[f.part].kind == "base grip" for f in off):
        yield worded("The blank's record names no base grip, so it is taken to have been measured without one.")
