"""What all records say, known without reading those that did not change since they were last looked at.

The rule of what still holds is the build's own (`changes`, `passport.publish.cache.build_state`); what is remembered
here belongs to the content and not to one site.
"""

from collections.abc import Callable, Collection
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Final, TypeVar

from passport.publish.build import worked_out
from passport.publish.build.changes import Shared
from passport.publish.build.reading import GATHER, READ, Records, namesakes
from passport.publish.build.run import FaultyRecords, Progress, RecordsLook
from passport.publish.build.worked_out import PlayerWork
from passport.publish.cache import build_state
from passport.publish.cache.build_state import SHOP, PlayerState, faults_in
from passport.publish.cache.cache_database import CacheDatabase, Damaged
from passport.publish.cache.up_to_date import BuildOrder, Seen
from passport.publish.folder.listing import UNSEEN
from passport.publish.workers.pool import Workers, rarely
from passport.records.faults import Fault
from passport.records.load import Content, load
from passport.workshop.facts.wire import packed, unpacked
from passport.workshop.gathering import checks as bench_checks
from passport.workshop.gathering.sureness import JudgedFigure, judged
from passport.workshop.measuring.strung_pairs import PairOutline, nearest, pair_outlines
from passport.workshop.stockroom.use import JobUse, UseBook, used
from passport.workshop.strings.due import DueRow
from passport.workshop.strings.string_priors import StringPriors

_DUE = "due"
R = TypeVar("R")
Opening = Callable[[], AbstractContextManager[CacheDatabase]]


@dataclass(frozen=True, slots=True)
class _DueRows:
    rows: tuple[DueRow, ...]


@dataclass(frozen=True, slots=True)
class _UseRows:
    rows: tuple[JobUse, ...]


@dataclass(frozen=True, slots=True)
class _FigureRows:
    rows: tuple[JudgedFigure, ...]


@dataclass(frozen=True, slots=True)
class _PairRows:
    rows: tuple[PairOutline, ...]


FIGURES: Final = PlayerWork("figures", _FigureRows, judged, lambda figure: figure.frame)
"""Where each figure stands that has a target."""
PAIRS: Final = PlayerWork("pairs", _PairRows, pair_outlines, lambda pair: pair.owner)
"""The frames that were weighed bare and then strung."""
USES: Final = PlayerWork("uses", _UseRows, used, lambda use: use.frame)
"""What each job took from stock."""


@dataclass
class KnownRecords:
    """Sound records: what is known of all of them.

    ``all`` are all players and frames as far as the checks across them look (`player_state.light`); ``faults`` are the
    warnings, with their places, without those of the bench's sums where the strings were not reviewed.
    """

    root: Path
    all: Content
    faults: list[Fault]
    _states: dict[str, PlayerState]
    _opening: Opening

    @cached_property
    def priors(self) -> StringPriors:
        """What all string beds told."""
        return StringPriors(told for state in self._states.values() for told in state.told)

    @property
    def unfinished(self) -> set[str]:
        """The players of frames that wait at the bench, or to be collected, or are owed for."""
        return {name.partition("/")[0] for name, e in self.all.frames.items() if e.record.unfinished}

    @cached_property
    def due(self) -> list[DueRow]:
        """When each strung frame in play is due, the first first. Raises `Damaged`."""
        with self._opening() as database:
            found = [row for _, data in database.all(_DUE) for row in _due_of(data)]
        return sorted(found, key=lambda row: row.order)

    def worked_out(self, work: PlayerWork[R]) -> tuple[R, ...]:
        """Something that is worked out of each player's records, in the order of all frames; of whom that is not
        remembered it is worked out now."""
        states = {name: state for name, state in sorted(self._states.items()) if name != SHOP}
        with self._opening() as database:
            found = worked_out.kept(work, states, database)
        lacking = [name for name in states if name not in found]
        made = {name: (rows, same) for name, rows, same in worked_out.fresh(work, self.root, states, lacking)}
        if made:
            with suppress(OSError, Damaged), self._opening() as database:  # it is only worked out again next time
                worked_out.keep(work, states, {name: rows for name, (rows, same) in made.items() if same}, database)
        return tuple(row for name in states for row in (found[name] if name in found else made[name][0]))

    @cached_property
    def figures(self) -> tuple[JudgedFigure, ...]:
        """Where the figures of all frames in play stand."""
        return self.worked_out(FIGURES)

    def paired(self, models: Collection[str]) -> set[str]:
        """The players whose frames say what the strings of some models weigh (`StrungPairs.of`)."""
        outlines = self.worked_out(PAIRS)
        sports = {name: entry.record.sport for name, entry in self.all.models.items()}
        return {
            one.owner.partition("/")[0] for model in models for one in nearest(outlines, model, sports, lambda one: one)
        }

    @cached_property
    def book(self) -> UseBook:
        """What all jobs took from stock."""
        return UseBook.of_uses(self.worked_out(USES))

    def read(self, players: Collection[str] | None) -> Content:
        """The whole records of some players, by the names of their folders, of all where None, and what all share."""
        return load(self.root, players)[0]


def known_records(
    content: Path, today: date, opening: Opening, progress: Progress, *, review: bool = True
) -> KnownRecords | None:
    """What is known of sound records; None where they have errors, or cannot all be read: then somebody reads them all.

    ``opening`` opens the database in which it is remembered, which is not held while records are read. Without ``review``
    nobody waits for the sums over the strings that changed, of which no error can come; whoever asks next works them out.
    Raises `passport.publish.build.run.Failed` and `passport.publish.build.run.Unsteady`.
    """
    rarely()  # what is remembered of ten thousand frames is no rubbish, however often one looks
    order = BuildOrder(content, content, today)
    reading = RecordsLook(order, Seen(order), progress)
    if UNSEEN in reading.seen.content.values():
        return None
    with opening() as database:
        reviewed = _recall(reading, database)
    try:
        with Workers(content) as workers:
            slim, due, late = _brought(reading, reviewed, workers, review=review)
    except FaultyRecords:
        return None
    if reading.changed:
        with opening() as database:
            _keep(reading, due, late, database)
    # Only whether a model is used is asked of the frames.
    dimensions = bench_checks.dimensions_assumed(slim, None, today)
    faults = sorted(
        [*reading.common, *faults_in(content, reading.states.values()), *namesakes(slim, today), *dimensions]
    )
    return KnownRecords(content, slim, faults, reading.states, opening)


def _recall(reading: RecordsLook, database: CacheDatabase) -> set[str]:
    """Take up what was remembered, nothing where it is damaged; of whom it is known when their strings are due."""
    try:
        reading.states = {name: PlayerState.of(data) for name, data in database.all(build_state.STATE)}
        return database.names(_DUE)
    except Damaged:
        database.discard()
        reading.states = {}
        return set()


def _brought(
    reading: RecordsLook, reviewed: set[str], workers: Workers, *, review: bool
) -> tuple[Content, dict[str, tuple[DueRow, ...]], set[str]]:
    """Bring what is known up to date: all records, when the strings are due of whom that changed, and the players of whom
    that is left for later.

    Raises FaultyRecords.
    """
    shared = Shared(reading)
    dirty, gone = shared.dirty(), shared.gone()
    reading.total = len(dirty) * (READ + GATHER)
    records = Records(reading, shared, workers.readers(reading.total, 0.0))
    slim, touched = records.bring(dirty, gone)
    reading.changed.update(gone)
    wanted = sorted(touched | (reading.states.keys() - reviewed))
    due = {one.name: one.due for one in records.review(wanted if review else ())}
    reading.common = shared.faults
    return slim, due, set() if review else touched


def _due_of(data: bytes) -> tuple[DueRow, ...]:
    try:
        return unpacked(_DueRows, data).rows
    except ValueError as error:
        raise Damaged from error


def _keep(reading: RecordsLook, due: dict[str, tuple[DueRow, ...]], late: set[str], database: CacheDatabase) -> None:
    database.drop([f"{_DUE} {name}" for name in late])
    for name in reading.changed:
        if name not in reading.states:
            database.drop((f"{build_state.STATE} {name}", f"{_DUE} {name}"))
            continue
        database.put(f"{build_state.STATE} {name}", reading.states[name].data, squeeze=False)
        if name in due:  # otherwise only the marks of a file are others
            database.put(f"{_DUE} {name}", packed(_DueRows(due[name])), squeeze=False)
    database.commit()
