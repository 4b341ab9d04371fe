"""``passport move-address``: what the old host needs after the site has moved."""

from pathlib import Path

import click

from passport.acts.count import counted
from passport.acts.publishing.moving import SERVERS, Away, away, set_up, write_pages
from passport.acts.publishing.shop import shop_of
from passport.acts.refused import Misused
from passport.cli.shared.common import FOLDER
from passport.records.language.worded import worded
from passport.render.theme import assets


@click.command(name="move-address", epilog="Example: passport move-address content_demo nginx")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("server", type=click.Choice([*SERVERS, "pages"]), required=False)
@click.option("--old", metavar="ADDRESS", help="Which earlier address, where cards lead to several.")
@click.option("--out", type=FOLDER, default="moved", show_default=True, help="The folder for 'pages'.")
def command(content: Path, server: str | None, old: str | None, out: Path) -> None:
    """Say which cards lead to an earlier address of the site, and write what its host needs to send them on.

    First write the new address into workshop.yaml, build and publish there. 'nginx' and 'caddy' print the set-up of
    the old host's server; 'pages' writes a folder for a host that cannot be set up: a page at each card's address that
    leads on, and '_redirects' for hosts that read it. 'passport verify' then asks whether it works. Once those cards are
    printed anew: passport addresses --moved
    """
    found = away(content)
    if not found:
        click.echo(worded("Every card leads to {address}: nothing to do.", address=shop_of(content).address))
        return
    for one in found:
        click.echo(
            worded(
                "The cards of {counted} lead to {base}: {numbers}.",
                counted=counted(len(one.lines), "passport"),
                base=one.base,
                numbers=_numbers(one),
            ),
            err=bool(server),
        )
    if server is None:
        click.echo(
            worded(
                "Keep that address, and have it lead on: passport move-address {content} nginx, or caddy, or pages",
                content=content,
            )
        )
        return
    chosen = _chosen(found, old)
    with assets.using(content):
        if server == "pages":
            count = write_pages(chosen, out, shop_of(content).language)
            click.echo(
                worded(
                    "{counted} for the old host in '{out}'; put them where {base} is served from.",
                    counted=counted(count, "file"),
                    out=out,
                    base=chosen.base,
                )
            )
        else:
            click.echo(set_up(chosen, server), nl=False)


def _chosen(found: tuple[Away, ...], old: str | None) -> Away:
    mine = [one for one in found if old is None or one.base == old.rstrip("/")]
    if len(mine) != 1:
        raise Misused(
            worded("Cards lead to {found}: say which with --old.", found=" and ".join(one.base for one in found))
        )
    return mine[0]


def _numbers(one: Away) -> str:
    named = [line.number or line.key for line in one.lines]
    return ", ".join(named[:6]) + (worded(" and {named} more", named=len(named) - 6) if len(named) > 6 else "")
