"""``passport seal``: a frame's page that only the code on its card opens."""

from functools import partial
from pathlib import Path

import click

from passport.cli.shared.change import Base, Change, Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.pick import pick
from passport.records.schema import numbers
from passport.records.schema.frame import Frame
from passport.records.yaml.edit import with_value


@click.command(name="seal", epilog="Example: passport seal content_demo 1042-9 --yes")
@click.argument("content", type=FOLDER)
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option("--renew", is_flag=True, help="Write a new secret: the code on the old card opens the page no more.")
@click.option("--open", "opening", is_flag=True, help="Take the seal off: whoever has the address can read the page.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
def command(content: Path, frame: str, renew: bool, opening: bool, yes: bool) -> None:
    """Seal a frame's page: the files on the web host tell nothing without the secret in the code on its card.

    The secret is written into the record and into the next card. The host never sees it, and cannot tell whose racquet
    the page is of. A page that stood open before may still be in somebody's copy or in the host's backups.
    """
    if renew and opening:
        raise click.UsageError("Either a new secret or no seal: choose one of --renew and --open.")
    base = base_of(content)
    entry = pick(base.records, frame)
    record = entry.record
    called = f"{record.number or entry.name} {record.label}"
    if (record.sealed and record.secret and not renew and not opening) or (opening and not record.sealed):
        click.echo(f"{called} is {'sealed' if record.sealed else 'open'} already.")
        return
    make = partial(_opened if opening else _sealed, name=entry.name, renew=renew, secret=numbers.new_secret())
    question = "Take the seal off?" if opening else "Seal it? The card that is out now will not open the page."
    if carry_out(content, "passport seal", make, Options(yes, question), base):
        click.echo(f"Written to {content / 'players' / entry.name}.yaml.")
        card = "" if opening else f"passport cards {content} {record.number or entry.name}\n      "
        click.echo(f"Next: {card}passport build {content} --out site")


def _sealed(base: Base, *, name: str, renew: bool, secret: str) -> Change:
    path, frame = f"players/{name}.yaml", base.records.frames[name].record
    text = with_value(base.text(path) or "", "sealed", "yes", Frame.model_fields)
    fresh = renew or not frame.secret
    if fresh:
        text = with_value(text, "secret", secret, Frame.model_fields)
    lines = [f"{path}:", "  sealed: yes", f"  secret: {'a new one' if fresh else 'the one that it has'}"]
    return Change({path: text}, "\n".join(lines))


def _opened(base: Base, *, name: str, renew: bool, secret: str) -> Change:
    path = f"players/{name}.yaml"
    return Change(
        {path: with_value(base.text(path) or "", "sealed", "no", Frame.model_fields)}, f"{path}:\n  sealed: yes → no"
    )
