"""The records of some players read and checked, and what is to be made of them worked out, here or in several processes."""

import pickle
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from typing import TypeVar

from passport.publish.build.changes import Shared
from passport.publish.build.run import Failed, FaultyRecords, RecordsLook, Unsteady
from passport.publish.cache import build_state, player_state
from passport.publish.cache.build_state import SHOP, PlayerState
from passport.publish.cache.cache_database import CacheDatabase
from passport.publish.cache.invalidation import affected
from passport.publish.cache.player_state import Gathered, Reviewed
from passport.publish.workers import worker_tasks
from passport.publish.workers.pool import Lost, Readers
from passport.records import checks
from passport.records.faults import Fault, has_errors
from passport.records.language.worded import worded
from passport.records.load import Content, load
from passport.workshop.strings.string_priors import StringPriors

T = TypeVar("T", Gathered, Reviewed)
_LEAST_CHUNK, _MOST_CHUNK = 16, 64
"""Players that are read or gathered at a time: few enough for every process to have some, many enough for what all of them
share to be read seldom."""
READ, GATHER = 0.008, 0.012
"""About how long reading and gathering a player take, s."""


class Records:
    """The records of all players, of which some are read anew."""

    def __init__(self, run: RecordsLook, shared: Shared, readers: Readers) -> None:
        """Read nothing yet."""
        self.run, self.shared, self._readers = run, shared, readers

    def survey(self, names: Sequence[str]) -> None:
        """Read and check the records of some players."""
        read = partial(worker_tasks.survey, self.run.order.content, self.run.order.today, self.run.name)
        for chunk, found in self._readers.each(read, _chunks(names, self._readers)):
            if isinstance(found, Lost):
                raise Failed([(worded("the records of {chunk}", chunk=", ".join(chunk)), found.reason)])
            for one in found:
                state = self.run.states.setdefault(one.name, PlayerState(one.name))
                marks = {path: self.shared.mark(path) for path in one.files}
                state.surveyed(one, self.shared.base, self.shared.catalogue, marks)
                self.run.changed.add(one.name)
            self.run.step(f"reading the records of {chunk[-1]}", READ * len(chunk))

    def bring(self, dirty: Sequence[str], gone: Sequence[str]) -> tuple[Content, set[str]]:
        """Read what changed, forget who is gone; all records, and the players of whom something may be otherwise now.

        Raises FaultyRecords.
        """
        states = self.run.states
        # A new player told nothing before: what a bed of theirs tells is news to others all the same.
        told = {name: list(states[name].told) if name in states else [] for name in {*dirty, *gone}}
        self.survey(dirty)
        for name in gone:
            del states[name]
        slim = self.all_records()
        return slim, {*dirty, *affected(told, states)}

    def all_records(self) -> Content:
        """All records as far as the checks across them look (`player_state.light`), their errors stopped at.

        Raises FaultyRecords at those of each player, those of what all share, and those that lie between players.
        """
        surveys = (state.survey for name, state in sorted(self.run.states.items()) if name != SHOP)
        found = player_state.light(self.shared.common, surveys)
        faults = [*self.shared.faults, *(fault for state in self.run.states.values() for fault in state.faults)]
        today = self.run.order.today
        if has_errors(faults) or any(next(iter(check(found, today)), None) for check in checks.ACROSS):
            raise FaultyRecords
        return found

    def gather(self, names: Sequence[str], database: CacheDatabase) -> None:
        """Work out what is to be made of some players, and keep their facts."""
        order = self.run.order
        if not names:
            return
        work = partial(worker_tasks.gather, order.content, order.today, self.run.name, order.cards, self._priors())
        for state, one in self._each_again(work, names, "working out what to make for"):
            state.gathered(one)
            build_state.keep_facts(database, one)
            if has_errors(state.faults):
                raise FaultyRecords

    def review(self, names: Sequence[str]) -> Iterator[Reviewed]:
        """Hold the records of some players against the bench's sums."""
        if not names:
            return
        work = partial(worker_tasks.review, self.run.order.content, self.run.order.today, self.run.name, self._priors())
        for state, one in self._each_again(work, names, "working out the strings of"):
            state.reviewed(one)
            if has_errors(state.faults):
                raise FaultyRecords
            yield one

    def _priors(self) -> StringPriors | bytes:
        """What all beds told, as it is sent to the readers."""
        priors = StringPriors(told for state in self.run.states.values() for told in state.told)
        # Pickled once here, not once an item: the executor would do that for each chunk.
        return priors if self._readers.size == 1 else pickle.dumps(priors)

    def _each_again(
        self, work: Callable[[Sequence[str]], list[T]], names: Sequence[str], said: str
    ) -> Iterator[tuple[PlayerState, T]]:
        """What some work on the records of each player brings, with the player's state."""
        for chunk, found in self._readers.each_again(work, _chunks(names, self._readers)):
            if isinstance(found, Lost):
                raise Failed([(worded("the records of {chunk}", chunk=", ".join(chunk)), found.reason)])
            for one in found:
                state = self.run.states[one.name]
                # Saved by an editor between the two readings: facts and checks would be of different texts.
                if any(state.files.get(path) != print_ for path, print_ in one.files.items()):
                    raise Unsteady(one.name)
                self.run.changed.add(one.name)
                yield state, one
            self.run.step(f"{said} {chunk[-1]}", GATHER * len(chunk))


def namesakes(slim: Content, today: date) -> list[Fault]:
    """What concerns several players' records together and stops nothing, told where it stands in their texts.

    ``slim`` are all records as far as `player_state.light` goes.
    """
    found = [fault for check in checks.NAMESAKES for fault in check(slim, today)]
    if not found:
        return []
    called = {slim.players[_whose(fault)].record.name.casefold() for fault in found}
    whole = load(slim.root, {name for name, e in slim.players.items() if e.record.name.casefold() in called})[0]
    frames = {name: whole.frames.get(name, entry) for name, entry in slim.frames.items()}
    both = replace(slim, frames=frames, players={**slim.players, **whole.players})
    return sorted({fault for check in checks.NAMESAKES for fault in check(both, today)})


def _whose(fault: Fault) -> str:
    """The player of a fault that was found in what is recalled."""
    return fault.place.file.removeprefix(f"{player_state.PLAYERS}/").rstrip("/")


def _chunks(names: Sequence[str], readers: Readers) -> Iterator[tuple[str, ...]]:
    size = min(max(len(names) // (4 * readers.size), _LEAST_CHUNK), _MOST_CHUNK)
    return (tuple(names[at : at + size]) for at in range(0, len(names), size))
