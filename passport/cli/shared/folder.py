"""Folders that commands are given. Where an earlier command was stopped while it wrote to one, that is ended first."""

from pathlib import Path
from typing import Any

import click

from passport.records.transaction.private import NAME

_PENDING = "pending.json"


class _Folder(click.Path):
    """A path; what a stopped command left to do in it is done before anything is read there."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        path = super().convert(value, param, ctx)
        if isinstance(path, Path) and _interrupted(path):
            from passport.acts.change import settled  # hardly ever, and it brings the records' types

            settled(path, lambda words: click.echo(words, err=True))
        return path


def _interrupted(folder: Path) -> bool:
    """Whether a command was stopped there. Without the right to look into the program's own folder it is not known."""
    try:
        return (folder / NAME / _PENDING).is_file()
    except OSError:
        return False


FOLDER = _Folder(path_type=Path, readable=False)  # a closed one is told of like every other fault
