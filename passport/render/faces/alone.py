"""Keeps the operating system's fonts out of what is printed, so that the same records print the same bytes everywhere."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_ASKED = "FONTCONFIG_FILE"
"""Where fontconfig looks for its settings (fontconfig's manual); ours name no folder of fonts."""


@contextmanager
def alone(shipped: Path) -> Iterator[None]:
    """Let a font configuration that is made inside the block know no font but those that are then given to it.

    The setting is taken back at the end: browsers and other programs that are started later have their fonts.
    """
    before = os.environ.get(_ASKED)
    os.environ[_ASKED] = str(shipped / "alone.conf")
    try:
        yield
    finally:
        if before is None:
            del os.environ[_ASKED]
        else:
            os.environ[_ASKED] = before
