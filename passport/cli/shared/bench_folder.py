"""The private folder beside the content for cards and sheets, and how a path is shown."""

from pathlib import Path

FOLDER_NAME = "bench"


def bench_folder(content: Path) -> Path:
    """The private folder beside the content, where cards and sheets for the bench are put; no part of the site."""
    return content.resolve().parent / FOLDER_NAME


def shown(path: Path) -> Path:
    """A path as short as it can be typed from here."""
    full = path.resolve()
    return full.relative_to(Path.cwd()) if full.is_relative_to(Path.cwd()) else path
