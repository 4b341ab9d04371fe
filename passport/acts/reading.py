"""Reading the records for an act: all that can be read, and every fault that any check finds."""

from collections.abc import Collection, Iterable
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from passport.acts.clock import today
from passport.acts.memory import RECORDS, memory
from passport.acts.refused import Faulty, Misused
from passport.records import checks
from passport.records.checks import references
from passport.records.faults import Fault, has_errors
from passport.records.folders import blocked
from passport.records.language.worded import numbered, worded
from passport.records.load import Content, load
from passport.render import look_checks
from passport.render.theme import assets
from passport.workshop.gathering import checks as bench_checks

if TYPE_CHECKING:
    from passport.publish.build.known_records import KnownRecords
    from passport.workshop.stockroom.use import UseBook
    from passport.workshop.strings.string_priors import StringPriors


@dataclass(frozen=True, slots=True)
class SoundPart:
    """Sound records of which some players' are at hand, with the warnings of all.

    ``known`` is what is known of the others; None where all players are at hand.
    """

    records: Content
    faults: list[Fault]
    known: "KnownRecords | None" = None

    @property
    def priors(self) -> "StringPriors | None":
        """What the string beds of all players told; None where all are at hand."""
        return self.known.priors if self.known else None

    @property
    def book(self) -> "UseBook | None":
        """What the jobs of all players took from stock; None where all are at hand, or no book is kept."""
        return self.known.book if self.known and self.records.lots else None


def stopping(faults: Iterable[Fault]) -> bool:
    """Whether too little could be read to go on, or records of a newer program that nothing can be said of."""
    known = list(faults)
    return blocked(known) or any(fault.rule == "newer-format" for fault in known)


def read(folder: Path, only: Collection[str] | None = None) -> tuple[Content, list[Fault]]:
    """Read a content folder and run all checks; returns what could be read and every fault.

    With ``only`` no other players than those are read, by the names of their folders. Raises Misused without a folder.
    """
    if not folder.exists():
        raise Misused(worded("There is no folder '{folder}'. Name the folder that holds workshop.yaml.", folder=folder))
    content, faults = load(folder, only)
    if stopping(faults):
        return content, faults
    assets.use(folder)
    return content, sorted([*faults, *checked(content)])


def checked(content: Content) -> list[Fault]:
    """Every fault that the checks across records find today, those that take the bench's sums and those of the shop's
    own look among them."""
    now = today()
    return [*checks.run(content, now), *bench_checks.run(content, now), *look_checks.run(content)]


def sound(folder: Path) -> tuple[Content, list[Fault]]:
    """Read a content folder that must have no errors; with its warnings. Raises Faulty where it has errors.

    What did not change since it was last checked is not checked again.
    """
    if found := known(folder):
        return found.read(None), found.faults
    content, faults = read(folder)
    if has_errors(faults):
        count = sum(f.severity == "error" for f in faults)
        text = numbered(
            count,
            "\nNothing was written: {count} error in the records.",
            "\nNothing was written: {count} errors in the records.",
        )
        raise Faulty(faults, text)
    return content, faults


def known(folder: Path, *, review: bool = True) -> "KnownRecords | None":
    """What is known of sound records, of which only those that changed are read; None where all have to be read.

    Without ``review`` as `passport.publish.build.known_records.known_records` says.
    """
    from passport.publish.build.known_records import known_records  # brings numpy and more
    from passport.publish.build.run import Failed, Unsteady

    if not folder.exists():
        return None
    remembered = partial(memory, folder, RECORDS, _nobody)
    with suppress(Failed, Unsteady):
        return known_records(folder, today(), remembered, _unwatched, review=review)
    return None


def _nobody(words: str) -> None:
    """Where to remember is the commands' own matter."""


def _unwatched(said: str, done: float, total: float) -> None:
    """Nobody is told how far it is."""


def surveyed(folder: Path) -> tuple[Content, list[Fault]]:
    """All records as far as lists and numbers need them, and every fault that `read` finds. Raises Misused."""
    found = known(folder)
    return (found.all, found.faults) if found else read(folder)


def part(folder: Path, players: Collection[str] | None, *, unfinished: bool = False, review: bool = True) -> SoundPart:
    """The whole records of some players of a content folder without errors; of all where None. Raises Faulty.

    With ``unfinished`` those of all players besides whose frames wait at the bench, or to be collected, or are owed for.
    Without ``review`` sooner, and perhaps without the warnings that take the bench's sums.
    """
    found = known(folder, review=review) if players is not None else None
    if found and players is not None:
        more = found.unfinished if unfinished else set[str]()
        return SoundPart(found.read({*players, *more}), found.faults, found)
    return SoundPart(*sound(folder))


def owned(folder: Path, player: str) -> SoundPart:
    """The whole records of one player, which must have no errors, nor what all share; those of others may have some:
    then all records that can be relied on. Raises Faulty with the errors that stand in the way.
    """
    if found := known(folder, review=False):
        return SoundPart(found.read({player}), found.faults, found)
    content, faults = read(folder)
    others = [content.root / name for name in ("players", "blanks")]
    own = content.root / "players" / player
    in_the_way = [
        fault for fault in faults if fault.severity == "error" and (_below(fault, [own]) or not _below(fault, others))
    ]
    if in_the_way or stopping(faults) or content.workshop is None:
        raise Faulty(in_the_way or faults)
    return SoundPart(_sound_rest(content, faults), faults)


def _below(fault: Fault, folders: Iterable[Path]) -> bool:
    """Whether a fault stands in a file of one of some folders."""
    return any(Path(fault.place.file).is_relative_to(folder) for folder in folders)


def readable(folder: Path, players: Collection[str] | None = ()) -> SoundPart:
    """The records of some players and of all whose frames wait, of all where None, with every fault; where there are
    errors, all records that can be relied on: a fault in one record does not hide the others. Raises Faulty where too
    little can be read.
    """
    try:
        return part(folder, None if players is None else set(players), unfinished=True)
    except Faulty:
        content, faults = read(folder)
        if stopping(faults) or content.workshop is None:
            raise Faulty(faults) from None
        return SoundPart(_sound_rest(content, faults), faults)


def _sound_rest(content: Content, faults: Iterable[Fault]) -> Content:
    """The content without the frames that have errors, or rest on something that cannot be read."""
    bad = {fault.place.file for fault in faults if fault.severity == "error"}
    whole = replace(content, unread=set(), blanks={})
    named = (references.strings, references.models, references.parts)
    lacking = {fault.place.file for check in named for fault in check(whole, today())}
    kept = {
        name: entry
        for name, entry in content.frames.items()
        if entry.source.file not in bad | lacking and name.partition("/")[0] in content.players
    }
    return replace(content, frames=kept)
