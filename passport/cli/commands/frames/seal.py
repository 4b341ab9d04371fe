"""``passport seal``: a frame's page that only the code on its card opens."""

from functools import partial
from pathlib import Path

import click

from passport.acts.frames.seal import opened, sealed
from passport.acts.picking import owners, pick
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.folder import build_command
from passport.records.language.worded import worded
from passport.records.schema import numbers


@click.command(name="seal", epilog="Example: passport seal content_demo 1042-9 --yes")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option("--renew", is_flag=True, help="Write a new secret: the code on the old card no longer opens the page.")
@click.option(
    "--open", "opening", is_flag=True, help="Take the seal off: everyone who has the address can read the page."
)
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
def command(content: Path, frame: str, renew: bool, opening: bool, yes: bool) -> None:
    """Seal a frame's page: its files on the web host can only be read with the secret in the code on its card.

    The secret is written into the record and into the next card. The host never sees it, and cannot tell whose racquet
    it is. A page that was open before may still be in a reader's copy or in the host's backups.
    """
    if renew and opening:
        raise click.UsageError(worded("Either a new secret or no seal: choose one of --renew and --open."))
    base = base_of(content, owners(content, frame))
    entry = pick(base.records, frame)
    record = entry.record
    called = f"{record.number or entry.name} {record.label}"
    if (record.sealed and record.secret and not renew and not opening) or (opening and not record.sealed):
        click.echo(
            worded("{called} is sealed already.", called=called)
            if record.sealed
            else worded("{called} is open already.", called=called)
        )
        return
    make = partial(opened if opening else sealed, name=entry.name, renew=renew, secret=numbers.new_secret())
    question = (
        worded("Take the seal off?") if opening else worded("Seal it? The card that is out now will not open the page.")
    )
    if carry_out(content, "passport seal", make, Options(yes, question), base):
        click.echo(worded("Written to {content}.yaml.", content=content / "players" / entry.name))
        card = "" if opening else f"passport cards {content} {record.number or entry.name}\n      "
        click.echo(worded("Next: {card}{build_command}", card=card, build_command=build_command(content)))
