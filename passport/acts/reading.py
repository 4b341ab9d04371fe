"""Reading the records for an act: all that can be read, and every fault that any check finds."""

from collections.abc import Collection, Iterable
from pathlib import Path

from passport.acts.clock import today
from passport.acts.refused import Faulty, Misused
from passport.records import checks
from passport.records.faults import Fault, has_errors
from passport.records.folders import blocked
from passport.records.load import Content, load
from passport.render import look_checks
from passport.render.theme import assets
from passport.workshop.gathering import checks as bench_checks


def stopping(faults: Iterable[Fault]) -> bool:
    """Whether too little could be read to go on, or records of a newer program that nothing can be said of."""
    known = list(faults)
    return blocked(known) or any(fault.rule == "newer-format" for fault in known)


def read(folder: Path, only: Collection[str] | None = None) -> tuple[Content, list[Fault]]:
    """Read a content folder and run all checks; returns what could be read and every fault.

    With ``only`` no other players than those are read, by the names of their folders. Raises Misused without a folder.
    """
    if not folder.exists():
        raise Misused(f"There is no folder '{folder}'. Name the folder that holds workshop.yaml.")
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
    """Read a content folder that must have no errors; with its warnings. Raises Faulty where it has errors."""
    content, faults = read(folder)
    if has_errors(faults):
        count = sum(f.severity == "error" for f in faults)
        text = f"\nNothing was written: {count} {'error' if count == 1 else 'errors'} in the records."
        raise Faulty(faults, text)
    return content, faults
