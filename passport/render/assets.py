"""Where the templates, styles and fonts are: beside the checkout, or inside the installed package."""

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
