"""Whether a folder can be read, which listing it does not always tell: `Path.glob` takes a closed folder for an empty one."""

import os
from collections.abc import Iterable
from pathlib import Path

from passport.records.faults import Fault, Place

CLOSED = "closed-folder"
"""The rule of a folder that is there but cannot be read."""
_STOPPING = ("no-workshop", CLOSED)


def refusal(folder: Path | str) -> OSError | None:
    """Why a folder cannot be listed, or what stands in it cannot be reached; None where both can, or where there is none."""
    try:
        with os.scandir(folder):
            pass
        os.stat(os.path.join(folder, "."))  # noqa: PTH116, PTH118 - the dot asks for the right to enter; Path drops it
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        return error
    return None


def closed_folder(folder: Path | str, error: OSError) -> Fault:
    """The fault of a folder that cannot be read, and what to do."""
    what = f"This folder cannot be read: {error.strerror or error}."
    do = f"See with 'ls -ld {folder}' what it is, and put a folder that can be read in its place."
    if isinstance(error, PermissionError):
        do = f"Give yourself the right to list and to enter it; 'ls -ld {folder}' shows whose it is."
    return Fault(Place(str(folder)), CLOSED, what, do)


def blocked(faults: Iterable[Fault]) -> bool:
    """Whether too little could be read to go on: no workshop, or a closed folder, whose records would seem to be gone."""
    return any(fault.rule in _STOPPING for fault in faults)
