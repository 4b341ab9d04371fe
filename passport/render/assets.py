"""Where the templates, styles and fonts are: beside the checkout, or inside the installed package.

Whatever uses a file of the templates folder says so by `note`, also when it holds the file already, so that a build
knows what each page and card was made from.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent


@cache
def shipped(name: str) -> Path:
    """The folder ``templates`` or ``content_demo`` that belongs to this installation.

    Raises FileNotFoundError where the installation is damaged.
    """
    for folder in (_PACKAGE / "shipped" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    message = f"This installation lacks its '{name}' folder; install racquet-passport anew."
    raise FileNotFoundError(message)


def templates() -> Path:
    """The shipped templates."""
    return shipped("templates")


def fonts() -> Path:
    """The shipped fonts."""
    return templates() / "fonts"


_NOTED: ContextVar[set[str] | None] = ContextVar("noted", default=None)


def note(name: str) -> None:
    """Say that a file of the templates folder is used, by its path below that with forward slashes."""
    names = _NOTED.get()
    if names is not None:
        names.add(name)


@contextmanager
def noted() -> Iterator[set[str]]:
    """Collect the names of all files that are used inside the block; they also count for a block around it."""
    names: set[str] = set()
    token = _NOTED.set(names)
    try:
        yield names
    finally:
        _NOTED.reset(token)
        for name in names:
            note(name)
