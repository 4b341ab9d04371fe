"""Folders that commands are given, and which workshop a command is about where none is named.

Where an earlier command was stopped while it wrote to a folder, that is ended first.
"""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from passport.records.language.worded import worded
from passport.records.transaction.private import NAME

_PENDING = "pending.json"


class _Folder(click.Path):
    """A path, whose language is spoken from here on; what a stopped command left to do in it is done before anything is
    read there."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        path = super().convert(value, param, ctx)
        if isinstance(path, Path):
            _speak_as_in(path, ctx)
        if isinstance(path, Path) and _interrupted(path):
            from passport.acts.change import settled  # hardly ever, and it brings the records' types

            settled(path, lambda words: click.echo(words, err=True))
        return path


def _speak_as_in(folder: Path, ctx: click.Context | None) -> None:
    """Say everything in the language of a workshop, unless data is asked for, which is the same in every language."""
    from passport.records.language.worded import speak
    from passport.render.voice.bench_voice import language_of, voice_of

    if ctx is None or AS_DATA not in ctx.find_root().meta:
        speak(voice_of(language_of(folder)))


def _interrupted(folder: Path) -> bool:
    """Whether a command was stopped there. Without the right to look into the program's own folder it is not known."""
    try:
        return (folder / NAME / _PENDING).is_file()
    except OSError:
        return False


FOLDER = _Folder(path_type=Path, readable=False)  # a closed one is told of like every other fault

VARIABLE = "PASSPORT_CONTENT"
"""The environment variable that names a content folder."""
OPTION = "--content"
AS_DATA = "passport.as_data"
"""Kept with a command that prints data."""


def with_content(command: click.Command, ctx: click.Context, args: Sequence[str]) -> list[str]:
    """The arguments of a command, with its content folder before them where they do not begin with one.

    It is the one that ``--content`` names, before the command or behind it; else `VARIABLE`; else the folder with a
    workshop.yaml that one stands in, however deep. Raises ``click.UsageError`` where it is named twice.
    """
    first = next((param for param in command.params if isinstance(param, click.Argument)), None)
    if first is None or first.name != "content" or first.type is not FOLDER:
        return list(args)
    named, rest = _taken_out(args, ctx.obj or "")
    given, lacks = _parsed(command, ctx, rest)
    is_one = bool(given) and _is_workshop(Path(given))
    if named:
        if is_one:
            raise click.UsageError(
                worded(
                    "Two content folders are named: '{given}', and '{named}' with {option}.",
                    given=given,
                    named=named,
                    option=OPTION,
                )
            )
        return [named, *rest]
    if is_one:
        return rest
    found = os.environ.get(VARIABLE) or _around(Path.cwd())
    if found:
        return [str(found), *rest]
    if given and not _is_folder(Path(given)) and lacks:
        raise click.UsageError(
            worded(
                "'{given}' is no folder, and no workshop.yaml is in this folder or above it. Name the folder "
                "that holds it, or go there first: passport {command} CONTENT {given}",
                given=given,
                command=command.name,
            ),
            click.Context(command, ctx, command.name),
        )
    return rest


def site_of(content: Path) -> Path:
    """Where a site is looked for unless it is named: ``site`` in this folder, beside the workshop where one stands in it."""
    return content.resolve().parent / "site" if _stands_in(content) else Path("site")


def build_command(content: Path) -> str:
    """How to build the site from here, as it is typed."""
    return "passport build" if _stands_in(content) else f"passport build {content} --out site"


def _stands_in(content: Path) -> bool:
    """Whether the command was started in a workshop's folder, or in a folder in it."""
    return Path.cwd().is_relative_to(content.resolve())


def _around(folder: Path) -> Path | None:
    return next((place for place in (folder, *folder.parents) if _is_workshop(place)), None)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:
        return True  # there is something, and the command itself says that it may not be looked into


def _is_workshop(folder: Path) -> bool:
    """Whether a folder holds a workshop's records; one that may not be looked into is told of by the command itself."""
    try:
        return (folder / "workshop.yaml").is_file()
    except OSError:
        return False


def _taken_out(args: Sequence[str], before: str) -> tuple[str, list[str]]:
    """What ``--content`` names, and the arguments without it; ``before`` was named before the command."""
    named, rest = [before] if before else [], list[str]()
    waiting = iter(args)
    for word in waiting:
        if word == "--":
            rest += [word, *waiting]
        elif word == OPTION:
            value = next(waiting, None)
            if value is None:
                raise click.UsageError(
                    worded("{option} needs a folder: the one that holds workshop.yaml.", option=OPTION)
                )
            named.append(value)
        elif word.startswith(f"{OPTION}="):
            named.append(word.partition("=")[2])
        else:
            rest.append(word)
    if len(named) > 1:
        raise click.UsageError(
            worded(
                "Two content folders are named with {option}: '{named}' and '{named2}'.",
                option=OPTION,
                named=named[0],
                named2=named[1],
            )
        )
    return (named[0] if named else ""), rest


def _parsed(command: click.Command, ctx: click.Context, args: Sequence[str]) -> tuple[str, bool]:
    """The first argument that is no option and belongs to none; and whether, with it for the content, one is missing."""
    try:
        values, *_ = command.make_parser(ctx).parse_args(list(args))
    except click.UsageError:  # said when the command itself is asked
        return next((word for word in args if not word.startswith("-")), ""), False
    given = values.get("content")
    asked = (str(p.name) for p in command.params if isinstance(p, click.Argument) and p.required)
    # what was left out is no text and no tuple, but a mark of the library's own
    lacks = any(not (isinstance(value := values.get(name), (str, tuple)) and value) for name in asked)
    return (given if isinstance(given, str) else ""), lacks
