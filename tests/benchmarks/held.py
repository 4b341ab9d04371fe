"""Runs the ``main`` of a module and notes how much memory this process held at most: held MODULE ARGUMENTS…

The number, MB, goes into the file that the variable HELD names. What it starts is not counted.
"""

import atexit
import json
import os
import re
import sys
from importlib import import_module
from pathlib import Path


def most() -> float:
    """The most memory that this program has held so far, MB.

    The system's usual count (``ru_maxrss``) begins with what the process held that started this one, however large.
    """
    status = Path("/proc/self/status")
    if status.exists():
        (found,) = re.findall(r"^VmHWM:\s*(\d+) kB$", status.read_text(encoding="utf-8"), re.M)
        return int(found) / 1024
    import resource  # (not on every system)

    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def note() -> None:
    """Write down the most that was held."""
    Path(os.environ["HELD"]).write_text(json.dumps(most()), encoding="utf-8")


if __name__ == "__main__":
    del sys.argv[0]
    atexit.register(note)
    sys.exit(import_module(sys.argv[0]).main())
