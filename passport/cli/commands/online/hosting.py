"""``passport hosting``: the set-up of a web server for the workshop's site."""

from pathlib import Path

import click

from passport.acts.publishing.hosting import SERVERS, example
from passport.cli.shared.common import FOLDER, writing
from passport.records.language.worded import worded
from passport.records.transaction import atomic


@click.command(name="hosting", epilog="Example: passport hosting content_demo nginx --root /srv/passports")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("server", type=click.Choice(list(SERVERS)))
@click.option(
    "--root", default="/srv/passports", show_default=True, help="The folder on the server that holds the site."
)
@click.option("--out", type=FOLDER, help="The file to write; printed unless said.")
def command(content: Path, server: str, root: str, out: Path | None) -> None:
    """Write the set-up of a web server for the site of CONTENT, with its own host filled in.

    The pages work on a host that cannot be set up at all. Where it can be, this adds the headers that a page cannot say
    of itself, sends plain http to https, and keeps no log of the addresses. 'headers' is the file '_headers' that some
    static hosts read; each site has it already.
    """
    text = example(content, server, root)
    if out is None:
        click.echo(text, nl=False)
        return
    with writing(f"'{out}'"):
        atomic.write(out, text.encode())
    click.echo(
        worded("Written to {out}. Look at the certificate's paths in it, then have the server read it.", out=out)
    )
