"""A change of the records, from idea to disk: tried on the whole content, shown, agreed to, written under the lock.

The records are read and the questions asked without the lock. If another command wrote to one of the files meanwhile,
the change is worked out anew from what stands there then, so neither loses anything.
"""

import sys
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path

import click

from passport.cli.shared.common import checked, read, report, today, writing
from passport.cli.shared.dialogue import at_terminal, confirmed, patience
from passport.records.faults import Fault, Place, has_errors
from passport.records.ledger import ledger
from passport.records.load import Content
from passport.records.transaction import atomic, lock
from passport.records.trial import tried
from passport.records.yaml.yamlplace import CannotEdit

_TRIES = 5
_GRAVE = frozenset({"tension-limit"})
"""Warnings of what can hurt somebody: there Enter alone does not agree."""


class Overtaken(Exception):
    """Another command changed one of the files that this change was worked out from."""


@dataclass
class Base:
    """The content that a change is worked out from; remembers each file's bytes as they were read."""

    records: Content
    faults: Sequence[Fault]
    players: Collection[str] | None = None
    """The players whose records were read, where it was not all of them."""
    seen: dict[str, bytes | None] = field(default_factory=dict)

    def text(self, path: str) -> str | None:
        """The text of a file below the content folder as it stands, line ends too, or None where there is none."""
        data = self._read(path)
        try:
            return None if data is None else data.decode("utf-8")
        except UnicodeDecodeError:
            raise CannotEdit(
                "This file is not UTF-8 text. Open it in an editor and save it with that encoding."
            ) from None

    def ledger(self) -> ledger.Ledger:
        """The ledger as it stands; an empty one where none was begun. Ends the command where it cannot be read."""
        try:
            data = self._read(ledger.FILE) or b""
        except OSError as error:
            fault = unread(self.records.root, error)
            raise click.ClickException(f"{fault.place.file}: {fault.what}\n  {fault.do}") from None
        return ledger.parse(data.decode("utf-8", errors="replace"))

    def _read(self, path: str) -> bytes | None:
        """What a file holds, the same each time: what was worked out from it must not rest on two states of it."""
        if path not in self.seen:
            self.seen[path] = _bytes(self.records.root / path)
        return self.seen[path]


@dataclass(frozen=True)
class Change:
    """What is to be written: the new text of each file, in an order in which each step leaves the records sound.

    ``issued`` are lines for the ledger, written last; ``shown`` is what a person reads beforehand.
    """

    files: dict[str, str]
    shown: str = ""
    issued: tuple[ledger.LedgerLine, ...] = ()


@dataclass(frozen=True)
class Options:
    """How far a person wants to be asked: ``yes`` agrees to all, ``question`` is asked in any case, ``dry_run`` stops."""

    yes: bool = False
    question: str = ""
    dry_run: bool = False


def carry_out(
    folder: Path, work: str, make: Callable[[Base], Change], options: Options, base: Base | None = None
) -> Content | None:
    """Work a change out, try it, show it, ask, write it; the content with it, or None where nothing was written.

    ``base`` is where the content was read already. A new error stops with code 1; a new warning is shown, and on a
    terminal asked about.
    """
    agreed: str | None = None
    players = base.players if base else None
    with ExitStack() as locked:
        for tries in range(1, _TRIES + 1):
            alone = tries == _TRIES and not _asks(options)
            if alone:  # nobody has to be waited for, so nobody need be let in between
                locked.enter_context(held(folder, work))
            base = base or base_of(folder, players)
            change = _made(make, base)
            after, new = tried(base.records, change.files, base.faults, checked)
            if change.shown != agreed or has_errors(new):
                click.echo(change.shown, nl=bool(change.shown))
                if not _agreed(new, options):
                    click.echo("Nothing was written.")
                    return None
                agreed = change.shown
            if options.dry_run or not (change.files or change.issued):
                return None
            try:
                with nullcontext() if alone else held(folder, work):
                    write(base, change)
                return after
            except Overtaken:
                click.echo("Another command changed the records meanwhile: worked out anew.", err=True)
                base = None
    raise click.ClickException("Other commands keep changing these records, so nothing was written. Try again.")


def _asks(options: Options) -> bool:
    """Whether a person may be asked something."""
    return not options.yes and at_terminal()


def base_of(folder: Path, players: Collection[str] | None = None) -> Base:
    """The records as they are, with their faults; ends the command where there is no workshop.

    A change that touches some players alone need read no others: ``players`` are their folders.
    """
    with patience("Reading the records …"):
        records, faults = read(folder, players)
    if records.workshop is None and any(fault.rule == "no-workshop" for fault in faults):
        report(faults)
        sys.exit(1)
    return Base(records, faults, players)


@contextmanager
def held(folder: Path, work: str) -> Iterator[None]:
    """The lock of the content folder; waits with a word on whom for, and ends the command where it is not to be had."""
    with ExitStack() as stack:
        try:
            with writing(f"'{folder}'"):
                stack.enter_context(lock.locked(folder, work, say=lambda words: click.echo(words, err=True)))
        except lock.Busy as error:
            raise click.ClickException(f"Nothing was written: {error}") from None
        yield


def write(base: Base, change: Change) -> None:
    """Write a change; the lock must be held. Raises `Overtaken` where a file is not as it was read."""
    root = base.records.root
    if any(_bytes(root / path) != data for path, data in base.seen.items()):
        raise Overtaken
    for path, text in change.files.items():
        with writing(f"'{root / path}'"):
            (root / path).parent.mkdir(parents=True, exist_ok=True)
            atomic.write(root / path, text.encode("utf-8"))
    with writing(f"'{root / ledger.FILE}'"):
        ledger.append(root, change.issued, today())


def unread(root: Path, error: OSError) -> Fault:
    """That the ledger of a content folder cannot be read, and what to do."""
    what = f"This file could not be read: {error.strerror or error}."
    do = "Give yourself the right to read it, or put the file back from a backup or from version control."
    return Fault(Place(str(root / ledger.FILE)), "unread-ledger", what, do)


def _made(make: Callable[[Base], Change], base: Base) -> Change:
    try:
        return make(base)
    except CannotEdit as error:
        raise click.ClickException(f"Nothing was written. {error}") from None


def _agreed(new: Sequence[Fault], options: Options) -> bool:
    """Whether the change may be written, after its faults were shown; an error ends the command."""
    report(new)
    if has_errors(new):
        click.echo("Nothing was written: the record would have an error.", err=True)
        sys.exit(1)
    if options.yes or options.dry_run:
        return True
    harmless = not any(fault.rule in _GRAVE for fault in new)
    if options.question:
        if not at_terminal():
            raise click.ClickException("Nothing was written: nobody is here to agree. Add --yes to do it all the same.")
        return confirmed(options.question, yes=False, default=harmless)
    return not (new and at_terminal()) or confirmed("Write it all the same?", yes=False, default=harmless)


def _bytes(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
