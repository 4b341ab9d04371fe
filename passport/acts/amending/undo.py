"""Taking the last change of the records back: shown with what comes of it, agreed to, done whole or not at all."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path, PurePosixPath

from passport.acts.change import PHOTOS, Asking, Base, Change, base_of, held
from passport.acts.clock import now, today
from passport.acts.reading import checked
from passport.acts.refused import Misused, Refused, writing
from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.photofile import PhotoFile
from passport.records.transaction import undo, version_control
from passport.records.transaction.entries import FileChange, Transaction
from passport.records.trial import tried
from passport.records.yaml.difference import difference

_SHOWN = 12
"""The most lines of one file that are shown."""


def changes(folder: Path) -> tuple[Transaction, ...]:
    """What was changed and stands, newest first. Raises Refused where it cannot be read."""
    with _read(folder):
        return undo.changes(folder)


def last_taken_back(folder: Path) -> Transaction | None:
    """What would be brought back now; None where nothing was taken back. Raises Refused where it cannot be read."""
    with _read(folder):
        return undo.last_undo(folder)


def undone(
    folder: Path, asking: Asking, number: int | None = None, *, redo: bool = False, dry_run: bool = False
) -> Transaction | None:
    """Take back the last change, or the one of that ``number``, where nobody changed its files since; with ``redo`` the
    last taking back, so that what it took back is there again.

    Returns the change that was taken back, or None where nothing was written. Raises Refused with the reason where it
    cannot be done; with ``dry_run`` nothing is written.
    """
    entry = _taken_back(folder) if redo else _meant(folder, number)
    base = base_of(folder, _players(entry), asking.reading)
    with _read(folder), _in_words(folder):
        undo.refuse(folder, entry)
        shown = described(folder, entry)
    change = Change({}, shown, (shown.partition("\n")[0],))
    if not asking.agreed(change, _faults(base, entry)) or dry_run:
        return None
    with held(folder, undo.WORK, asking.say), writing(f"'{folder}'"), _in_words(folder):
        if number is None and (undo.last_undo(folder) if redo else undo.last(folder)) != entry:
            raise Refused(
                worded("Another command changed the records meanwhile, so nothing was taken back. Try again.")
            )
        done = undo.revert(folder, entry, today(), now())
        version_control.keep(folder, done, asking.say)
    return entry


def title(entry: Transaction) -> str:
    """A change in a line: its number, when it was made, by which command, and what it was."""
    when = datetime.fromisoformat(entry.time).astimezone()
    return f"{int(entry.name)}  {when:%Y-%m-%d %H:%M}  {entry.work}: {entry.summary}"


def described(folder: Path, entry: Transaction) -> str:
    """A change for a person, and what becomes of each file when it is taken back. Raises OSError."""
    lines = [title(entry)]
    for step in entry.steps:
        lines += [f"  {step.path}{_fate(step)}", *(f"    {line}" for line in _lines(step))]
    for line in undo.withdrawn(folder, entry):
        of = worded("Passport {number}", number=line.number) if line.number else worded("The player's address")
        rest = worded("its number is not given again, and ") if line.number else ""
        lines.append(worded("  {of} is withdrawn: {rest}the address says that it is closed.", of=of, rest=rest))
    return "\n".join(lines)


def _meant(folder: Path, number: int | None) -> Transaction:
    with _read(folder):
        found = undo.last(folder) if number is None else _numbered(folder, number)
    if found is None:
        base_of(folder, ())  # says what is wrong where this is no workshop
        if number is not None:
            raise Misused(
                worded(
                    "There is no change {number} that stands. 'passport undo {folder} --list' shows them.",
                    number=number,
                    folder=folder,
                )
            )
        raise Refused(worded("Nothing is remembered that could be taken back in '{folder}'.", folder=folder))
    return found


def _taken_back(folder: Path) -> Transaction:
    with _read(folder):
        found = undo.last_undo(folder)
    if found is None:
        base_of(folder, ())  # says what is wrong where this is no workshop
        raise Refused(worded("Nothing is remembered that was taken back in '{folder}'.", folder=folder))
    return found


def _numbered(folder: Path, number: int) -> Transaction | None:
    return next((entry for entry in undo.changes(folder) if int(entry.name) == number), None)


def _players(entry: Transaction) -> set[str] | None:
    """The players whose records are enough to read; None where all are."""
    parts = [PurePosixPath(path).parts for path in entry.files]
    return {part[1] for part in parts} if all(part[0] == "players" for part in parts) else None


def _faults(base: Base, entry: Transaction) -> Sequence[Fault]:
    """The faults that the records have when a change is taken back, and not now."""
    texts = {step.path: _text(step.before.data) for step in entry.steps if step.path.endswith(".yaml")}
    back = {step.path.removeprefix(PHOTOS) for step in entry.steps if step.path.startswith(PHOTOS) and step.before.data}
    records = replace(base.records, photos={**base.records.photos, **dict.fromkeys(back, PhotoFile(1, 1, "back"))})
    return tried(records, texts, base.faults, checked)[1]


def _fate(step: FileChange) -> str:
    if step.before.data is None:
        return worded(" goes")
    return worded(" comes back") if step.after.data is None else ""


def _lines(step: FileChange) -> list[str]:
    if step.before.data is None or step.after.data is None:
        return []
    return difference(_text(step.after.data) or "", _text(step.before.data) or "", _SHOWN)


def _text(data: bytes | None) -> str | None:
    return None if data is None else data.decode("utf-8", errors="replace")


@contextmanager
def _read(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise Refused(
            worded("What was changed in '{folder}' cannot be read: {error}.", folder=folder, error=error)
        ) from None


@contextmanager
def _in_words(folder: Path) -> Iterator[None]:
    """A change that cannot be taken back, with what to do instead."""
    try:
        yield
    except undo.CannotRevert as reason:
        do = worded(
            "'passport correct' changes what is wrong; 'passport undo {folder} --list' shows the changes before.",
            folder=folder,
        )
        raise Refused(worded("Nothing was taken back: {reason}\n  {do}", reason=reason, do=do)) from None
