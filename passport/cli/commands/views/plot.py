"""``passport plot``: the course of one frame as a picture, for the technician alone."""

from pathlib import Path

import click

from passport.acts.clock import today
from passport.acts.picking import pick
from passport.acts.refused import writing
from passport.cli.shared.bench_folder import bench_folder, shown
from passport.cli.shared.common import FOLDER, refuse_place, sound_part
from passport.records.language.worded import worded
from passport.records.transaction import atomic
from passport.render.plots.course import NothingToPlot, course_plot
from passport.render.plots.paper import FORMATS
from passport.workshop.gathering.course import course


@click.command(name="plot", epilog="Example: passport plot content_demo 1042-9 --out course.svg")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option(
    "--out",
    type=FOLDER,
    metavar="FILE",
    help="The file to write; its ending says what it is: .png, .svg or .pdf. By default 'plot-NUMBER.png' in 'bench' "
    "beside CONTENT.",
)
def command(content: Path, frame: str, out: Path | None) -> None:
    """Draw the course of a frame: its tensions and readings over the jobs, where it stands, how its beds aged.

    A picture for your own use, private: all jobs are in it, whatever the player lets the pages show.
    """
    kind = out.suffix.lower().removeprefix(".") if out else "png"
    if kind not in FORMATS:
        raise click.UsageError(worded("--out: name a file that ends in .png, .svg or .pdf, not '{out}'.", out=out))
    part = sound_part(content, (frame,))
    entry = pick(part.records, frame)
    name = entry.record.number or entry.name.replace("/", "-")
    target = out or bench_folder(content) / f"plot-{name}.png"
    refuse_place(target, "--out", content, kind)
    try:
        made = course_plot(course(part.records, entry.name, part.priors), today(), kind)
    except NothingToPlot:
        raise click.ClickException(
            worded(
                "{name}: no job strung it or read it, so there is nothing to draw. Record one: passport log {frame}",
                name=name,
                frame=frame,
            )
        ) from None
    with writing(f"'{target}'"):
        target.parent.mkdir(parents=True, exist_ok=True)
        atomic.write(target, made)
    click.echo(worded("{target}: private, for the bench.", target=shown(target)))
