"""``passport build``: write the public site and the cards."""

import sys
from pathlib import Path

import click

from passport.acts.memory import CACHE
from passport.acts.site import Means
from passport.cli.shared.building import build_site
from passport.cli.shared.folder import FOLDER, site_of


@click.command(name="build", epilog="Example: passport build content_demo --out site")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--out", type=FOLDER, show_default="site", help="The folder to write.")
@click.option("--no-cards", is_flag=True, help="Write the pages only, without the PDF cards.")
@click.option("--from-disk", is_flag=True, help="Make links that also work when the pages are opened without a server.")
@click.option(
    "--jobs",
    type=click.IntRange(1, 256),
    envvar="PASSPORT_JOBS",
    help="How many processes to use; by default PASSPORT_JOBS, or one for each core.",
)
@click.option(
    "--scheduler", metavar="ADDRESS", default="", help="Let the Dask cluster of this scheduler make pages and cards."
)
@click.option("--anew", is_flag=True, help="Make everything anew, whatever the last build left.")
@click.option("--cache", type=FOLDER, help=f"Where to remember what was made; by default CONTENT/{CACHE}.")
def command(
    content: Path,
    out: Path | None,
    no_cards: bool,
    from_disk: bool,
    jobs: int | None,
    scheduler: str,
    anew: bool,
    cache: Path | None,
) -> None:
    """Build the public site of CONTENT: a page for each frame and player, cards, reminders, data.

    Only what changed since the last build is made again. The new site is put together beside the old one and takes its
    place when it is whole; if anything cannot be made, the old site stays.

    With --scheduler, this computer reads the records, and the workers of a Dask cluster make pages and cards. Start
    'dask scheduler' on one computer and 'dask worker ADDRESS --nthreads 1' on each. The workers need no shared disk,
    but the same version of everything. They are sent what is public, and the secrets of sealed pages: use a network
    that you trust, or tls://.
    """
    means = Means(cache, jobs, scheduler, anew)
    if not build_site(content, out or site_of(content), cards=not no_cards, from_disk=from_disk, means=means):
        sys.exit(1)
