"""Runs the ``main`` of a module and notes how much memory this process held at most: held MODULE ARGUMENTS…

The number, MB, goes into the file that the variable HELD names. What it starts is not counted.
"""

import atexit
import json
import os
import resource
import sys
from importlib import import_module
from pathlib import Path


def note() -> None:
    """Write down the most that was held."""
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    Path(os.environ["HELD"]).write_text(json.dumps(most), encoding="utf-8")


if __name__ == "__main__":
    del sys.argv[0]
    atexit.register(note)
    sys.exit(import_module(sys.argv[0]).main())
