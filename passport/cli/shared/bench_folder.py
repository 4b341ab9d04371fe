"""The private folder beside the content, where cards and sheets for the bench are put."""

from pathlib import Path

FOLDER_NAME = "bench"


def bench_folder(content: Path) -> Path:
    """The private folder beside the content, where cards and sheets for the bench are put; no part of the site."""
    return content.resolve().parent / FOLDER_NAME
