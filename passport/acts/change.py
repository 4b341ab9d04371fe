"""A change of the records, from idea to disk: tried on the whole content, shown, agreed to, written under the lock.

The records are read and the questions asked without the lock. If another command wrote to one of the files meanwhile,
the change is worked out anew from what stands there then, so neither loses anything.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, ExitStack, contextmanager, nullcontext
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

from passport.acts.clock import now, refuse_early, today
from passport.acts.reading import checked, known, read, stopping
from passport.acts.refused import Faulty, Refused, writing
from passport.acts.remark import Spot, Texts, asked, remarked
from passport.records.disk import opening
from passport.records.faults import Fault, Place, has_errors
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.load import Content
from passport.records.photofile import PhotoFile
from passport.records.transaction import journal, lock, version_control
from passport.records.transaction.journal import Settled, Wanted
from passport.records.trial import tried
from passport.records.yaml.yamlplace import CannotEdit
from passport.render.pictures.camera import TakenPhoto

_TRIES = 5
PHOTOS = "photos/"
"""The folder of photos, as the path of a file begins."""
Say = Callable[[str], None]


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
                worded("This file is not UTF-8 text. Open it in an editor and save it with that encoding.")
            ) from None

    def ledger(self) -> ledger.Ledger:
        """The ledger as it stands; an empty one where none was begun. Raises Refused where it cannot be read."""
        try:
            data = self._read(ledger.FILE) or b""
        except OSError as error:
            fault = unread(self.records.root, error)
            raise Refused(f"{fault.place.file}: {fault.what}\n  {fault.do}") from None
        return ledger.parse(data.decode("utf-8", errors="replace"))

    def _read(self, path: str) -> bytes | None:
        """What a file holds, the same each time: what was worked out from it must not rest on two states of it."""
        if path not in self.seen:
            self.seen[path] = _bytes(self.records.root, path)
        return self.seen[path]


@dataclass(frozen=True)
class Change:
    """What is to be written: the new text of each file, in an order in which each step leaves the records sound.

    ``issued`` are lines for the ledger, written last; ``shown`` is what a person reads beforehand, in which the lines in
    ``headings`` stand out; ``summary`` is what the history says of it in a sentence. A file of None is taken away.
    """

    files: Texts
    shown: str = ""
    headings: tuple[str, ...] = ()
    issued: tuple[ledger.LedgerLine, ...] = ()
    doubts: Mapping[Spot, Sequence[str]] = field(default_factory=dict)
    """What is likely a slip and no check finds, each in a sentence, by where it is noted that a person agreed to it."""
    summary: str = ""
    photos: Mapping[str, TakenPhoto] = field(default_factory=dict)
    """New files of the photos folder by their names, written before the records that name them."""


class Asking(Protocol):
    """How an act speaks with the person whose act it is: at a terminal, or in a browser."""

    @property
    def waits(self) -> bool:
        """Whether a person may take time over a question, so that the records must not be held meanwhile."""

    @property
    def sure(self) -> bool:
        """Whether a person said beforehand that what is probably a slip is meant."""

    def reading(self) -> AbstractContextManager[None]:
        """Held while the records are read."""

    def agreed(self, change: Change, faults: Sequence[Fault]) -> bool:
        """Show a change with the warnings that it brings and its doubts; whether it may be written. Raises Refused."""

    def say(self, words: str) -> None:
        """A word on what is waited for, or done again."""


def carry_out(
    folder: Path,
    work: str,
    make: Callable[[Base], Change],
    asking: Asking,
    base: Base | None = None,
    *,
    dry_run: bool = False,
) -> Content | None:
    """Work a change out, try it, show it, ask, write it; the content with it, or None where nothing was written.

    ``base`` is where the content was read already. Raises Faulty where the change would bring an error, and Refused where
    it cannot be done; with ``dry_run`` nothing is written.
    """
    agreed: str | None = None
    players = base.players if base else None
    with ExitStack() as locked:
        for tries in range(1, _TRIES + 1):
            alone = tries == _TRIES and not asking.waits
            if alone:  # nobody has to be waited for, so nobody need be let in between
                locked.enter_context(held(folder, work, asking.say))
            base = base or base_of(folder, players, asking.reading)
            change = _made(make, base)
            after, new = _tried(base, change)
            noted = _noted(base, change, new)
            if asking.sure and noted:
                change, (after, new) = noted, _tried(base, noted)
            if change.shown != agreed or has_errors(new):
                if not asking.agreed(change, new):
                    return None
                agreed = change.shown
            if dry_run or not (change.files or change.issued):
                return None
            if noted and not asking.sure:  # somebody agreed to just that
                asking.say(noted.shown.removeprefix(change.shown).strip())
                change, after = noted, _tried(base, noted)[0]
            try:
                with nullcontext() if alone else held(folder, work, asking.say):
                    write(base, change, work, asking.say)
                return after
            except Overtaken:
                asking.say(worded("Another command changed the records meanwhile: worked out anew."))
                base = None
    raise Refused(worded("Other commands keep changing these records, so nothing was written. Try again."))


def rehearsed(base: Base, make: Callable[[Base], Change]) -> tuple[Change, Content, list[Fault]]:
    """A change, the content as it would be with it, and the faults that it would bring; nothing is written.

    Raises Refused where it cannot be done.
    """
    change = _made(make, base)
    return change, *_tried(base, change)


def _tried(base: Base, change: Change) -> tuple[Content, list[Fault]]:
    """The content as it would be, the photos that come with the change among it, and the faults that it would bring."""
    coming = {name: PhotoFile(one.width, one.height, "new") for name, one in change.photos.items()}
    records = replace(base.records, photos={**base.records.photos, **coming}) if coming else base.records
    texts = {path: text for path, text in change.files.items() if not path.startswith(PHOTOS)}
    return tried(records, texts, base.faults, checked)


def _noted(base: Base, change: Change, faults: Sequence[Fault]) -> Change | None:
    """The change with a remark in the records that somebody is sure of what is asked; None where nothing is."""
    if not (change.doubts or asked(faults)):
        return None
    files, said = remarked(base.records.root, change.files, faults, change.doubts)
    return replace(change, files=files, shown="\n".join(filter(None, (change.shown, said))))


def base_of(
    folder: Path,
    players: Collection[str] | None = None,
    reading: Callable[[], AbstractContextManager[None]] = nullcontext,
) -> Base:
    """The records as they are, with their faults. Raises Faulty where there is no workshop.

    A change that touches some players alone need read no others: ``players`` are their folders.
    """
    with reading():
        records, faults = read(folder, players)
    if stopping(faults):
        raise Faulty(faults)
    return Base(records, faults, players)


def outlines_of(folder: Path, reading: Callable[[], AbstractContextManager[None]] = nullcontext) -> Base:
    """The records as far as they are remembered: who is who, numbers, keys and standing; whole ones where they have
    errors. Raises Faulty where there is no workshop."""
    with reading():
        found = known(folder, review=False)
    return Base(found.all, found.faults) if found else base_of(folder, None, reading)


@contextmanager
def held(folder: Path, work: str, say: Callable[[str], None], *, clock: bool = True) -> Iterator[None]:
    """The lock of the content folder; ``say`` tells whom it waits for.

    Raises Refused where it is not to be had, and where the clock is earlier than what was written last.
    """
    with ExitStack() as stack:
        try:
            with writing(f"'{folder}'"):
                stack.enter_context(lock.locked(folder, work, say=say))
                _tell_of(journal.settle(folder), folder, say)
        except lock.Busy as error:
            raise Refused(worded("Nothing was written: {error}", error=error)) from None
        if clock:
            refuse_early(folder)
        yield


def write(base: Base, change: Change, work: str, say: Say) -> None:
    """Write a change, whole or not at all; the lock must be held. Raises `Overtaken` where a file is not as it was read."""
    root = base.records.root
    if overtaken(base):
        raise Overtaken
    files: dict[str, bytes | None] = {f"{PHOTOS}{name}": photo.jpeg for name, photo in change.photos.items()}
    files |= {path: None if text is None else text.encode("utf-8") for path, text in change.files.items()}
    summary = change.summary or f"{work.removeprefix('passport ')}: {', '.join(files) or 'the ledger'}"
    commit(root, Wanted(work, summary, files, change.issued), say)


def overtaken(base: Base) -> bool:
    """Whether a file that a change was worked out from is not as it was read; the lock must be held."""
    return any(_bytes(base.records.root, path) != data for path, data in base.seen.items())


def commit(root: Path, wanted: Wanted, say: Say) -> None:
    """Carry a transaction out today; the lock must be held. Raises Refused where something cannot be written."""
    with writing(f"'{root}'"):
        entry = journal.commit(root, wanted, today(), now())
    version_control.keep(root, entry, say)


def settled(folder: Path, say: Callable[[str], None]) -> None:
    """Do what is left of a command that was stopped while it wrote to a content folder, and say so; where that cannot
    be done now, the records are read as they are."""
    try:
        with lock.locked(folder, "passport", say=say):
            _tell_of(journal.settle(folder), folder, say)
    except (OSError, lock.Busy) as error:
        say(
            worded(
                "A command was stopped in '{folder}' and cannot be ended now: {error}.\n", folder=folder, error=error
            )
        )


def _tell_of(found: Settled | None, folder: Path, say: Callable[[str], None]) -> None:
    if found is None:
        return
    if found.entry is None:
        say(
            worded(
                "The journal of a command that was stopped in '{folder}' cannot be used: {problem}.\n",
                folder=folder,
                problem=found.problem,
            )
        )
        return
    entry = found.entry
    say(
        worded(
            "'{work}' was stopped before its end ({time}); it is ended now: {summary}",
            work=entry.work,
            time=entry.time,
            summary=entry.summary,
        )
    )
    version_control.keep(folder, entry, say)
    for path in found.edited:
        say(worded("  {folder} was changed by hand meanwhile and is left as it is: compare it.", folder=folder / path))
    if not entry.kept:
        say(worded("  Run that command again: it takes away what is left elsewhere."))


def unread(root: Path, error: OSError) -> Fault:
    """That the ledger of a content folder cannot be read, and what to do."""
    what = worded("This file could not be read: {value}.", value=error.strerror or error)
    do = worded("Give yourself the right to read it, or put the file back from a backup or from version control.")
    return Fault(Place(str(root / ledger.FILE)), "unread-ledger", what, do)


def _made(make: Callable[[Base], Change], base: Base) -> Change:
    try:
        return make(base)
    except CannotEdit as error:
        raise Refused(worded("Nothing was written. {error}", error=error)) from None


def _bytes(root: Path, path: str) -> bytes | None:
    try:
        return opening.read(root / path, inside=root)
    except FileNotFoundError:
        return None
