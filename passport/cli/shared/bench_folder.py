"""The private folder beside the content, where cards and sheets for the bench are put, and how a file is named there."""

from pathlib import Path

FOLDER_NAME = "bench"


def bench_folder(content: Path) -> Path:
    """The private folder beside the content, where cards and sheets for the bench are put; no part of the site."""
    return content.resolve().parent / FOLDER_NAME


def shown(path: Path) -> Path:
    """A path as short as it can be typed from here."""
    full = path.resolve()
    return full.relative_to(Path.cwd()) if full.is_relative_to(Path.cwd()) else path
