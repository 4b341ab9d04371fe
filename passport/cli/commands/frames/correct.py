"""``passport correct``: change or take out what a record says by mistake, without an editor."""

from functools import partial
from pathlib import Path

import click

from passport.acts.amending import correct
from passport.acts.amending.correct import LAST, Corrections, Target
from passport.acts.change import Base
from passport.acts.picking import owners, pick
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal


@click.command(
    name="correct",
    epilog='Example: passport correct content_demo 1042-9 --job 2026-06-24 --set "mains.tension=52 lb" --dry-run\n\n'
    "Example of a reading taken out: passport correct content_demo 1042-9 --job 2026-06-24 --reading 1 --remove --dry-run\n\n"
    'Example of a contact: passport correct content_demo 1042-9 --player --set "contact.phone=01632 960555" --dry-run',
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option("--job", metavar="JOB", help="A job: 'last', its day, or its place in the record; '2026-04-15/2' of two.")
@click.option("--reading", metavar="N", help="A reading of the job, or of the last one: 'last', or its place in it.")
@click.option("--setup", is_flag=True, help="The setup.")
@click.option("--frame", "itself", is_flag=True, help="The frame: label, grip, serial, status and the like.")
@click.option("--player", is_flag=True, help="The player: name, contact, language. NUMBER-OR-NAME may name the player.")
@click.option("--set", "values", multiple=True, metavar="NAME=VALUE", help="What a value should be. Several times.")
@click.option("--unset", multiple=True, metavar="NAME", help="A value to take out. Several times.")
@click.option("--remove", is_flag=True, help="Take the whole job, reading or setup out.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
def command(
    content: Path,
    frame: str,
    job: str | None,
    reading: str | None,
    setup: bool,
    itself: bool,
    player: bool,
    values: tuple[str, ...],
    unset: tuple[str, ...],
    remove: bool,
    dry_run: bool,
    yes: bool,
) -> None:
    """Change or take out a job, a reading, the setup, or what is said of frame and player; no other line is touched.

    Values are named as in the record, 'strings.mains.tension', or by as much of the end as only one value has: 'ring'.
    A job whose day is changed goes to its place in the list. Without options it lists what there is and asks.
    NUMBER-OR-NAME is a passport number or PLAYER/FRAME.
    """
    kinds = [bool(job or reading), setup, itself, player]
    if sum(kinds) > 1:
        raise click.UsageError("Choose one: --job with --reading, --setup, --frame or --player.")
    wanted = Corrections(_said(values, unset), remove)
    if any(kinds) and bool(wanted.values) == remove:
        raise click.UsageError("Say what becomes of it: --set NAME=VALUE, --unset NAME, or --remove.")
    base = base_of(content, owners(content, frame))
    if any(kinds):
        target = _target(base, frame, job or LAST, reading, setup=setup, itself=itself, player=player)
    elif at_terminal() and not wanted.values and not remove:
        from passport.cli.shared.correcttalk import talk  # only where a person sits

        target, wanted = talk(base, pick(base.records, frame))
    else:
        raise click.UsageError("Say what is wrong: --job, --reading, --setup, --frame or --player.")
    make = partial(correct.corrected, target=target, wanted=wanted)
    if carry_out(content, "passport correct", make, Options(yes, "Write this?", dry_run), base):
        click.echo(f"Written to {content / target.file}. To take it back: passport undo {content}")
        click.echo(f"Next: passport build {content} --out site")


def _said(values: tuple[str, ...], unset: tuple[str, ...]) -> dict[str, str]:
    said = dict.fromkeys(unset, "")
    for text in values:
        name, sign, value = (part.strip() for part in text.partition("="))
        if not sign or not name or not value:
            raise click.UsageError(
                f"--set '{text}': write NAME=VALUE, as in 'note=Grommets new'; --unset takes one out."
            )
        said[name] = value
    return said


def _target(
    base: Base, frame: str, job: str, reading: str | None, *, setup: bool, itself: bool, player: bool
) -> Target:
    if player:
        return correct.player(base, frame)
    entry = pick(base.records, frame)
    if setup:
        return correct.setup(base, entry)
    if itself:
        return correct.frame(base, entry)
    found = correct.job(base, entry, job)
    return correct.reading(found, reading) if reading else found
