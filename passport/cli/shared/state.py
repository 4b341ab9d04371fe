"""What ``lost``, ``found`` and ``retire`` share: a frame's status changed, with a word on what follows from it."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

import click

from passport.acts.change import Base
from passport.acts.frames.status import Turn, refuse_two_keys, turned
from passport.acts.picking import matching, owners, pick
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.folder import build_command
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.schema.frame import Frame

Plan = Callable[[Entry[Frame]], Turn]


def arguments(command: Callable[..., None]) -> Callable[..., None]:
    """The arguments and options that the three commands share."""
    command = click.option("--yes", is_flag=True, help="Do not ask before writing.")(command)
    command = click.argument("frame", metavar="NUMBER-OR-NAME")(command)
    return click.argument("content", type=FOLDER, metavar="[CONTENT]")(command)


def turn(
    content: Path,
    frame: str,
    work: str,
    plan: Plan,
    *,
    yes: bool,
    otherwise: Callable[[Base], bool] | None = None,
) -> None:
    """Change a frame's status as ``plan`` has it; asks first, and says what comes next.

    Where no record is meant, ``otherwise`` may do something else, and says whether it did.
    """
    base = base_of(content, owners(content, frame))
    if otherwise and not matching(base.records, frame) and otherwise(base):
        return
    entry = pick(base.records, frame)
    refuse_two_keys(base, entry, frame)
    wanted = plan(entry)
    called = f"{entry.record.number or entry.name} {entry.record.label}"
    if entry.record.status == wanted.status and not wanted.unlink:
        click.echo(worded("{called} is marked {status} already.", called=called, status=wanted.status))
        return
    make = partial(turned, name=entry.name, wanted=wanted, called=called)
    if carry_out(content, work, make, Options(yes, wanted.question), base):
        click.echo(
            worded("Written to {content}.yaml. {then}", content=content / "players" / entry.name, then=wanted.then)
        )
        click.echo(worded("Next: {build_command}", build_command=build_command(content)))
