"""How far a change in what string beds told reaches: whose pages may say something else because of it."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from passport.publish.cache.build_state import Unit
from passport.workshop.strings.string_priors import Evidence, String


def affected(before: Mapping[str, Iterable[Evidence]], units: Mapping[str, Unit]) -> Iterator[str]:
    """The players for whom something was known otherwise than it is now when one of their frames was strung.

    ``before`` is what the beds of some players told at the last build, by player; all others told what they still do.
    What is known of a stringing are the readings before its month (see `passport.workshop.strings.string_priors`).
    """
    since = _since(before, units)
    if since:
        first = min(since.values())
        yield from (name for name, unit in units.items() if name not in before and _touched(unit, since, first))


def _since(before: Mapping[str, Iterable[Evidence]], units: Mapping[str, Unit]) -> dict[String, date]:
    """The first day, for each string, from which on something else was known."""
    since: dict[String, date] = {}
    for name, told in before.items():
        old = {(one.frame, one.job): one for one in told}
        new = {(one.frame, one.job): one for one in (units[name].told if name in units else ())}
        for bed in old.keys() | new.keys():
            for string, day in _differences(old.get(bed), new.get(bed)):
                since[string] = min(day, since.get(string, day))
    return since


def _differences(old: Evidence | None, new: Evidence | None) -> Iterator[tuple[String, date]]:
    """From when on a bed told its string something else."""
    if old and new and (old.string, old.strung) == (new.string, new.strung):
        days = [rate[0] for rate in {*old.rates} ^ {*new.rates}]
        yield from ((old.string, min(days)) for _ in days[:1])
    else:
        yield from ((one.string, one.rates[0][0]) for one in (old, new) if one)


def _touched(unit: Unit, since: Mapping[String, date], first: date) -> bool:
    """Whether a frame of a player was strung with a string after something else was known of it.

    A frame that had several strings also depends on the scatter of all strings when it was last strung.
    """
    frames: dict[str, list[tuple[String, date]]] = {}
    for frame, string, strung in unit.beds:
        frames.setdefault(frame, []).append((string, strung.replace(day=1)))
    for beds in frames.values():
        if any(month > since.get(string, date.max) for string, month in beds):
            return True
        if len({string for string, _ in beds}) > 1 and beds[-1][1] > first:
            return True
    return False
