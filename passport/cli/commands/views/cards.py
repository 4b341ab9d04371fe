"""``passport cards``: cards, tags, stickers, wraps and set cards on sheets for the printer, or for a print shop."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

import click
from click.core import ParameterSource

from passport.acts import printing
from passport.acts.printing import KINDS, PAPERS, PrintOrder, PrintRun
from passport.acts.reading import SoundPart
from passport.cli.shared.bench_folder import bench_folder, shown
from passport.cli.shared.common import FOLDER, refuse_place, sound, sound_part
from passport.cli.shared.dialogue import patience
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content

_FOLLOWED = "\nPDF/X-4 for offset printing on coated paper (FOGRA39)."
_KEPT = "\nPDF/A-3a and PDF/UA-1, with the setups as data in it."
_REACH = 5.0
"""How far the scales of the calibration page go either way, mm."""


def shift_reading(text: str | float) -> float:
    """A reading of the calibration page in mm, with a point or a comma and any kind of minus."""
    try:
        found = float(str(text).replace(",", ".").replace("\u2212", "-"))
    except ValueError:
        raise click.BadParameter(worded("'{text}' is no number of mm: write it as 0.8 or -0.5.", text=text)) from None
    if not abs(found) <= _REACH:
        raise click.BadParameter(
            worded("'{text}' is beyond the scale, which goes from -{reach:g} to {reach:g} mm.", text=text, reach=_REACH)
        )
    return found


@click.command(name="cards", epilog="Example: passport cards content_demo 1042-9 1043-7 --kind tag --skip 2")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", metavar="[NUMBER-OR-NAME]...", nargs=-1)
@click.option("--changed-since", type=click.DateTime(["%Y-%m-%d"]), metavar="DATE", help="All frames with a job since.")
@click.option("--all", "everything", is_flag=True, help="All frames in use.")
@click.option("--kind", type=click.Choice(KINDS), default="card", show_default=True, help="What to print.")
@click.option("--round", "circular", is_flag=True, help="Stickers as discs of 48 mm instead of 34 × 40 mm.")
@click.option(
    "--paper",
    type=click.Choice(PAPERS),
    default="a4",
    show_default=True,
    help="The sheet; 'own' gives each side a page of its own size.",
)
@click.option(
    "--skip", type=click.IntRange(0), default=0, metavar="N", help="Leave the first N places free: a partly used sheet."
)
@click.option(
    "--shift",
    nargs=2,
    type=shift_reading,
    default=(0.0, 0.0),
    metavar="ACROSS DOWN",
    help="The two readings of the page that 'passport calibrate' makes, mm: the backs are laid to meet their fronts.",
)
@click.option(
    "--fold", is_flag=True, help="For a printer that prints on one side: front and back side by side, to fold."
)
@click.option("--bleed", is_flag=True, help="For a print shop: single pages with 3 mm of bleed and crop marks.")
@click.option(
    "--press",
    is_flag=True,
    help="A print shop's file: PDF/X-4 in inks, with bleed, die line, hole and corners; with --paper on sheets.",
)
@click.option(
    "--archive",
    is_flag=True,
    help="A file for an archive: PDF/A-3a of single pages, with the setups as data (JSON) in it.",
)
@click.option("--out", type=FOLDER, metavar="FILE", help="The PDF to write; by default in 'bench' beside CONTENT.")
@click.pass_context
def command(
    ctx: click.Context,
    content: Path,
    frames: tuple[str, ...],
    changed_since: datetime | None,
    everything: bool,
    kind: str,
    circular: bool,
    paper: str,
    skip: int,
    shift: tuple[float, float],
    fold: bool,
    bleed: bool,
    press: bool,
    archive: bool,
    out: Path | None,
) -> None:
    """Lay cards, tags, stickers, wraps or set cards of the frames of CONTENT on sheets, front and back in register.

    Name the frames, or take --all frames in use, or all with a job since a day (--changed-since). A card has the size
    of a bank card; a tag hangs in the throat and holds the whole recipe as a code; a sticker stays on the racquet;
    a wrap goes round throat, handle or shaft; a
    set card shows a matched set side by side.

    Print at 100 %, on both sides, flipped on the long edge. Where backs do not lie behind their fronts, print what
    'passport calibrate' makes once and give what you read on it: --shift 0.8 -0.5. A printer that prints on one side
    only makes cards to fold: --fold.

    A print shop gets the file of --press: for offset printing on coated paper (FOGRA39), text and code in black alone,
    3 mm of bleed, and where to cut, punch and round in inks of their own (DieLine, Hole, Corners).

    \b
      passport cards content_demo --changed-since 2026-10-01 --press
      passport cards content_demo 1042-9 --kind tag --press --paper a4
      passport cards content_demo --all --archive
    """
    _one_way(frames, changed_since is not None, everything)
    asked = ctx.get_parameter_source("paper") is ParameterSource.COMMANDLINE
    since = changed_since.date() if changed_since else None
    paper = paper if asked or not press else "own"
    order = PrintOrder(frames, since, kind, circular, paper, skip, bleed, press, fold, shift, archive)
    _together(order, asked and paper != "own")
    if circular and kind != "sticker":
        raise click.UsageError(worded("--round is for stickers: add --kind sticker."))
    part = sound_part(content, frames) if frames else SoundPart(sound(content), [])
    records = part.records
    names = printing.chosen(records, order)
    if not names:
        click.echo(worded("{none} Nothing was written.", none=_none(order)))
        return
    target = out or bench_folder(content) / f"{kind}s-{_called(records, names, order)}.pdf"
    refuse_place(target, "--out", content)
    printing.need_pango()
    run = printing.prepared(records, names, order, part.priors)
    if run is None:
        click.echo(worded("No two of these frames belong to one set. Nothing was written."))
        return
    files = run.files(target)
    for file in files:
        refuse_place(file.path, "--out", content)
    with patience(worded("Laying out {count} …", count=_count(run))):
        for file in files:
            run.write(file)
    click.echo(_summary(run, [file.path for file in files]))


_APART = (
    ("--press", unsaid("has its bleed and is printed by others"), ("--bleed", "--archive", "--fold", "--shift")),
    ("--archive", unsaid("makes single pages in their own size"), ("--bleed", "--paper", "--fold", "--shift")),
    ("--bleed", unsaid("makes single pages"), ("--paper", "--fold", "--shift")),
    ("--fold", unsaid("is for sheets that are printed on one side"), ("--shift",)),
)
"""Options that contradict others, and why."""


def _together(order: PrintOrder, paper: bool) -> None:
    """Refuse options that contradict each other; ``paper`` says whether a sheet was asked for."""
    all_of_them = (
        ("--press", order.press), ("--archive", order.archive), ("--bleed", order.bleed), ("--fold", order.fold),
        ("--shift", any(order.shift)), ("--skip", order.skip), ("--paper", paper),
    )  # fmt: skip
    given = {option for option, on in all_of_them if on}
    for option, why, others in _APART:
        for other in others:
            if {option, other} <= given:
                raise click.UsageError(
                    worded("{option} {why}: leave out {other}.", option=option, why=worded(why), other=other)
                )
    if order.single and order.skip:
        raise click.UsageError(worded("--skip is for sheets: single pages have no places to skip."))
    for option in ("--fold", "--shift"):
        if order.single and option in given:
            raise click.UsageError(worded("{option} is for sheets: leave out --paper own.", option=option))


def _one_way(frames: Sequence[str], since: bool, everything: bool) -> None:
    """Refuse a call that does not say which frames, or says it twice."""
    if bool(frames) + since + everything != 1:
        do = worded("Name frames by number or name, or give --all, or --changed-since with a day: one of the three.")
        raise click.UsageError(do)


def _none(order: PrintOrder) -> str:
    return (
        worded("No frame in use has a job since {since}.", since=order.since)
        if order.since
        else worded("No frame is in use.")
    )


def _called(records: Content, names: Sequence[str], order: PrintOrder) -> str:
    """How the file is called after its content."""
    if order.since:
        return f"since-{order.since.isoformat()}"
    if not order.frames:
        return "all"
    first = records.frames[names[0]].record.number
    return first if len(names) == 1 else f"{first}-and-{len(names) - 1}-more"


def _count(run: PrintRun) -> str:
    return f"{len(run.items)} {run.order.kind}{'' if len(run.items) == 1 else 's'}"


def _summary(run: PrintRun, paths: Sequence[Path]) -> str:
    where = ", ".join(str(shown(path)) for path in paths)
    plan = run.layout
    standard = _FOLLOWED if run.order.press else _KEPT if run.order.archive else ""
    if plan is None:
        return f"{_count(run)}: {where}{standard}"
    used = run.order.skip + len(run.items)
    sheets = -(-used // plan.places)
    left = sheets * plan.places - used
    how = (run.how[0] if run.order.fold else run.how[0].partition(" · ")[0]) + "."
    rest = (
        worded(
            "\n{left} of {places} places are left: for the next run --skip {places2}.",
            left=left,
            places=plan.places,
            places2=plan.places - left,
        )
        if left
        else ""
    )
    many = worded("sheet") if sheets == 1 else worded("sheets")
    return worded(
        "{count} on {sheets} {many} {paper}: {where}\n{value}{rest}",
        count=_count(run),
        sheets=sheets,
        many=many,
        paper=plan.paper.name,
        where=where,
        value=standard.strip() or how,
        rest=rest,
    )
