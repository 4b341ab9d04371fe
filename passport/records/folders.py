"""Whether a folder can be read, which listing it does not always tell: `Path.glob` takes a closed folder for an empty one."""

from collections.abc import Iterable
from pathlib import Path

from passport.records.faults import Fault, Place
from passport.records.language.worded import worded

CLOSED = "closed-folder"
"""The rule of a folder that is there but cannot be read."""
_STOPPING = ("no-workshop", CLOSED)


def closed_folder(folder: Path | str, error: OSError) -> Fault:
    """The fault of a folder that cannot be read, and what to do."""
    what = worded("This folder cannot be read: {value}.", value=error.strerror or error)
    do = worded("See with 'ls -ld {folder}' what it is, and put a folder that can be read in its place.", folder=folder)
    if isinstance(error, PermissionError):
        do = worded(
            "Give yourself the right to list and to enter it; 'ls -ld {folder}' shows whose it is.", folder=folder
        )
    return Fault(Place(str(folder)), CLOSED, what, do)


def blocked(faults: Iterable[Fault]) -> bool:
    """Whether too little could be read to go on: no workshop, or a closed folder, whose records would seem to be gone."""
    return any(fault.rule in _STOPPING for fault in faults)
