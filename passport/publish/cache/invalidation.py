"""How far a change in what string beds told reaches: whose pages may say something else because of it."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from passport.publish.cache.build_state import PlayerState
from passport.workshop.strings.string_priors import Evidence


def affected(before: Mapping[str, Iterable[Evidence]], states: Mapping[str, PlayerState]) -> Iterator[str]:
    """The players for whom something was known otherwise than it is now when one of their frames was strung.

    ``before`` is what the beds of some players told at the last build, by player, nothing for a new one; all others told
    what they still do. What is known of a stringing are the readings before its month (see
    `passport.workshop.strings.string_priors`); how far they scatter is known of all strings together.
    """
    since = _since(before, states)
    if since:
        yield from (name for name, state in states.items() if name not in before and _touched(state, since))


def _since(before: Mapping[str, Iterable[Evidence]], states: Mapping[str, PlayerState]) -> date | None:
    """The first day from which on something else was known."""
    days: list[date] = []
    for name, told in before.items():
        old = {(one.frame, one.job): one for one in told}
        new = {(one.frame, one.job): one for one in (states[name].told if name in states else ())}
        for bed in old.keys() | new.keys():
            days += _differences(old.get(bed), new.get(bed))
    return min(days, default=None)


def _differences(old: Evidence | None, new: Evidence | None) -> Iterator[date]:
    """From when on a bed told something else."""
    if old and new and (old.string, old.strung) == (new.string, new.strung):
        yield from (row[0] for row in {*old.readings} ^ {*new.readings})
        yield from (note[0] for note in {*old.played} ^ {*new.played})
    else:
        yield from (row[0] for one in (old, new) if one for row in one.readings[:1])


def _touched(state: PlayerState, since: date) -> bool:
    """Whether a frame of a player was strung in a month after something else was known."""
    return any(strung.replace(day=1) > since for _, _, strung in state.beds)
