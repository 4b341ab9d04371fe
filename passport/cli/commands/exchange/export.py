"""``passport export``: a player takes the whole history along."""

from pathlib import Path

import click

from passport.acts.adding.everybody import Everybody
from passport.cli.shared.change import reading
from passport.cli.shared.common import FOLDER, refuse_records, sound
from passport.cli.talks.meeting import SaidBefore, player_met
from passport.records.language.worded import worded


@click.command(name="export", epilog="Example: passport export content_demo askwell --out askwell-history")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("player", metavar="PLAYER")
@click.option("--out", type=FOLDER, help="The new folder to write; PLAYER-history unless said.")
def command(content: Path, player: str, out: Path | None) -> None:
    """Write all that is known of a player's frames into a folder, for the player to take along.

    PLAYER is a folder of players, or a name. Nothing private is in it. Its index.html opens in a browser without any
    program; sealed pages are open in it, so that it is for the player alone. Another workshop takes it over with
    'passport adopt FOLDER'.
    """
    from passport.acts.exchange.export import (
        exported,  # pages, charts and cards, which other commands need not wait for
    )

    said, name = player_met(SaidBefore({"player": player}), Everybody(content, reading), str)
    if not name:
        raise click.ClickException(
            worded(
                "There is no player '{said}'. 'passport find {content} {said}' looks for one.",
                said=said,
                content=content,
            )
        )
    target = out or Path(f"{name}-history")
    refuse_records(target.parent, "--out", content)
    count = exported(sound(content), name, target)
    click.echo(
        worded(
            "{count} files in {target}. Open {target2} in a browser.",
            count=count,
            target=target,
            target2=target / "index.html",
        )
    )
