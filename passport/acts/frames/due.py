"""Who is due for restringing, with what of it is private."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from passport.acts.reading import SoundPart, known, sound
from passport.publish.cache.cache_database import Damaged
from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Entry, load_players
from passport.records.schema.player import Player
from passport.workshop.facts.bedfacts import DueReason
from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.due import DueEntry, DueRow, due_rows


@dataclass(frozen=True, slots=True)
class DueList:
    """When each strung frame in play is due, the first first; the first of those that were ``wanted``, with player and
    contact.

    ``faults`` are the warnings in the records.
    """

    rows: Sequence[DueRow]
    wanted: int
    entries: tuple[DueEntry, ...]
    faults: Sequence[Fault]


def due_in(
    folder: Path,
    today: date,
    wanted: Callable[[DueRow], bool],
    most: int | None = None,
    part: SoundPart | None = None,
) -> DueList:
    """Who is due of a content folder, which must be free of errors; ``part`` is what was read of it already.

    Of those that are wanted no more than ``most``. Raises Faulty where there are errors.
    """
    found = part.known if part else known(folder)
    if found:
        with suppress(Damaged):
            rows = found.due
            chosen = [row for row in rows if wanted(row)]
            players = load_players(folder, {_owner(row) for row in chosen[:most]})
            return DueList(rows, len(chosen), _entries(chosen[:most], players, today), found.faults)
    records, faults = (part.records, part.faults) if part and not part.known else sound(folder)
    rows = sorted(due_rows(records, BedBook(records)), key=lambda row: row.order)
    chosen = [row for row in rows if wanted(row)]
    return DueList(rows, len(chosen), _entries(chosen[:most], records.players, today), faults)


def _entries(rows: Sequence[DueRow], players: Mapping[str, Entry[Player]], today: date) -> tuple[DueEntry, ...]:
    return tuple(row.on(today, players[_owner(row)].record) for row in rows)


def _owner(row: DueRow) -> str:
    return row.frame.partition("/")[0]


def why(reason: DueReason) -> str:
    """A reason in words."""
    match reason.kind:
        case "plays":
            return worded("plays {amount:g} a week", amount=reason.amount)
        case "loss":
            return worded("{amount:g} % of the fresh tension gone", amount=100 * reason.amount)
        case "hours":
            return worded(
                "{amount:g} h played, at {weekly:.1f} h a week", amount=reason.amount / 60, weekly=reason.weekly / 60
            )
