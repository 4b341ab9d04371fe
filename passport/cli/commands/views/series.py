"""``passport series``: the sheet for several frames of one player that are strung in one go."""

from pathlib import Path

import click

from passport.acts.count import counted
from passport.acts.picking import folder_named, matching, owners, pick
from passport.acts.reading import SoundPart
from passport.cli.shared.bench_folder import bench_folder, write_pdf
from passport.cli.shared.common import FOLDER, refuse_place, sound_part_of, today
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.render.sheets.series import series_pdf
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.series import series


@click.command(name="series", epilog="Example: passport series content_demo 1042-9 1043-7 1044-5")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", nargs=-1, required=True, metavar="NUMBER-OR-NAME …")
@click.option("--out", type=FOLDER, help="The file to write; by default bench/series-PLAYER-DATE.pdf beside CONTENT.")
def command(content: Path, frames: tuple[str, ...], out: Path | None) -> None:
    """Print one sheet to string several frames of one player in one go: identical orders in a row.

    Each frame has a box for its reading and its minute, and the rule by which they came out alike stands beside. The
    strings are those ordered ('passport take'), else the last ones. A player's folder alone stands for the frames of that
    player that wait at the bench. The sheet is written outside the public site.
    """
    part, now = _part(content, frames), today()
    records = part.records
    names = _names(records, frames)
    gatherer = Gatherer(records, part.priors)
    player = names[0].partition("/")[0]
    target = out or bench_folder(content) / f"series-{player}-{now.isoformat()}.pdf"
    refuse_place(target, "--out", content)
    write_pdf(target, lambda: series_pdf(gatherer.shop, now, series(records, names, now, part.priors, part.book)))
    click.echo(
        worded("{target}: {counted}. Private: for the bench.", target=target, counted=counted(len(names), "frame"))
    )


def _part(content: Path, said: tuple[str, ...]) -> SoundPart:
    """The records of the players whose frames are meant, or whose folders are named; all where that is in doubt."""
    found = [owners(content, text) or folder_named(content, text) for text in said]
    players = None if None in found else {name for names in found for name in names or ()}
    return sound_part_of(content, players)


def _names(records: Content, said: tuple[str, ...]) -> list[str]:
    """The frames that are meant, of one player."""
    names: list[str] = []
    for text in said:
        if text in records.players and not matching(records, text):
            own = [e.name for e in records.frames_of(text) if e.record.waiting]
            if not own:
                raise click.ClickException(
                    worded("No frame of '{text}' waits at the bench. Name the frames themselves.", text=text)
                )
            names += own
        else:
            names.append(pick(records, text).name)
    names = list(dict.fromkeys(names))
    players = sorted({name.partition("/")[0] for name in names})
    if len(players) > 1:
        raise click.UsageError(
            worded("A series is of one player, and these are of {players}.", players=", ".join(players))
        )
    return names
