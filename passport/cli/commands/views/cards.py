"""``passport cards``: cards, tags, stickers and set cards on sheets for the printer, or for a print shop."""

import gc
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import click
from click.core import ParameterSource

from passport.acts.picking import pick
from passport.cli.shared.bench_folder import bench_folder
from passport.cli.shared.common import FOLDER, refuse_place, sound, writing
from passport.cli.shared.dialogue import patience
from passport.records.load import Content
from passport.records.transaction import atomic
from passport.workshop.gathering.gather import Gatherer, public, secrets_of

if TYPE_CHECKING:
    from passport.render.print.imposition import Layout
    from passport.render.print.piece_kit import PrintItem

KINDS = ("card", "tag", "sticker", "set")
PAPERS = ("a4", "letter", "own")
SHEETS_A_FILE, PIECES_A_FILE = 10, 100
"""What goes into one PDF at most: laying out takes about 3 MB of memory a card."""
_OUT_OF_USE = ("lost", "retired")


@click.command(name="cards", epilog="Example: passport cards content_demo 1042-9 1043-7 --kind tag --skip 2")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frames", metavar="[NUMBER-OR-NAME]...", nargs=-1)
@click.option("--changed-since", type=click.DateTime(["%Y-%m-%d"]), metavar="DATE", help="All frames with a job since.")
@click.option("--all", "everything", is_flag=True, help="All frames in use.")
@click.option("--kind", type=click.Choice(KINDS), default="card", show_default=True, help="What to print.")
@click.option("--round", "circular", is_flag=True, help="Stickers as discs of 38 mm instead of squares of 30 mm.")
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
@click.option("--bleed", is_flag=True, help="For a print shop: single pages with 3 mm of bleed and crop marks.")
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
    bleed: bool,
    out: Path | None,
) -> None:
    """Lay cards, tags, stickers or set cards of the frames of CONTENT on sheets, front and back in register.

    Name the frames, or take --all of those in use, or those --changed-since a day. A card has the size of a bank card;
    a tag hangs in the throat and holds the whole recipe as a code; a sticker stays on the racquet; a set card shows a
    matched set side by side.

    Print at 100 %, on both sides, flipped on the long edge.
    """
    _one_way(frames, changed_since is not None, everything)
    single = bleed or paper == "own"
    if bleed and ctx.get_parameter_source("paper") is ParameterSource.COMMANDLINE and paper != "own":
        raise click.UsageError("--bleed makes single pages: leave out --paper.")
    if single and skip:
        raise click.UsageError("--skip is for sheets: single pages have no places to skip.")
    if circular and kind != "sticker":
        raise click.UsageError("--round is for stickers: add --kind sticker.")
    records = sound(content)
    since = changed_since.date() if changed_since else None
    names = tuple(_chosen(records, frames, since))
    if not names:
        click.echo(f"{_none(since)} Nothing was written.")
        return
    target = out or bench_folder(content) / f"{kind}s-{_called(records, names, frames, since)}.pdf"
    refuse_place(target, "--out", content)
    _need_pango()
    pieces = _pieces(records, names, kind, circular=circular, strict=bool(frames))
    if not pieces:
        click.echo("No two of these frames belong to one set. Nothing was written.")
        return
    plan = None if single else _plan(pieces, paper, skip)
    files = _files(pieces, target, plan, skip)
    for path, _, _ in files:
        refuse_place(path, "--out", content)
    with patience(f"Laying out {len(pieces)} {kind if len(pieces) == 1 else kind + 's'} …"):
        for path, share, free in files:
            data = _laid_out(share, plan, free, bleed)
            with writing(f"'{path}'"):
                path.parent.mkdir(parents=True, exist_ok=True)
                atomic.write(path, data)
    click.echo(_summary(pieces, plan, skip, [path for path, _, _ in files], kind))


def _one_way(frames: Sequence[str], since: bool, everything: bool) -> None:
    """Refuse a call that does not say which frames, or says it twice."""
    if bool(frames) + since + everything != 1:
        do = "Name frames by number or name, or give --all, or --changed-since with a day: one of the three."
        raise click.UsageError(do)


def _chosen(records: Content, frames: Sequence[str], since: date | None) -> Iterator[str]:
    """The frames that are meant, each once; those out of use only count where they are named, and are refused then."""
    if frames:
        yield from dict.fromkeys(_printable(records, text) for text in frames)
        return
    for name, entry in records.frames.items():
        record = entry.record
        day = record.jobs[-1].date if record.jobs else record.since
        if record.key and not _closed(records, name) and (since is None or (day is not None and day >= since)):
            yield name


def _printable(records: Content, text: str) -> str:
    """The frame that a text names, which must be in use and have its number."""
    entry = pick(records, text)
    if not entry.record.number or not entry.record.key:
        do = f"Next: passport issue {records.root} {entry.name}"
        raise click.ClickException(f"'{entry.name}' has no number and no key yet, so there is no card for it.\n  {do}")
    closed = _closed(records, entry.name)
    if closed:
        raise click.ClickException(f"{entry.record.number} is {closed}: no card is printed for it.")
    return entry.name


def _closed(records: Content, name: str) -> str:
    """Why nothing is printed for a frame any more; empty for one in use."""
    record = records.frames[name].record
    if record.status in _OUT_OF_USE:
        return record.status
    return f"replaced by {record.replaced_by}" if record.replaced_by else ""


def _none(since: date | None) -> str:
    return f"No frame in use has a job since {since.isoformat()}." if since else "No frame is in use."


def _called(records: Content, names: Sequence[str], frames: Sequence[str], since: date | None) -> str:
    """How the file is called after its content."""
    if since:
        return f"since-{since.isoformat()}"
    if not frames:
        return "all"
    first = records.frames[names[0]].record.number
    return first if len(names) == 1 else f"{first}-and-{len(names) - 1}-more"


def _need_pango() -> None:
    from passport.render.print import pdf  # WeasyPrint takes a second to import

    problem = pdf.available()
    if problem:
        raise click.ClickException(problem)


def _pieces(records: Content, names: Sequence[str], kind: str, *, circular: bool, strict: bool) -> "list[PrintItem]":
    """What is to be printed, in the order of the frames."""
    from passport.render.drawing.qr import QrTooLarge
    from passport.render.print.card import card_piece
    from passport.render.print.sticker import sticker_piece
    from passport.render.print.tag import tag_piece

    gatherer = Gatherer(public(records), secrets=secrets_of(records))
    try:
        if kind == "set":
            return list(_sets(gatherer, names, strict=strict))
        facts = [gatherer.frame(name) for name in names]
        if kind == "sticker":
            return [sticker_piece(frame, gatherer.shop, circular=circular) for frame in facts]
        make = card_piece if kind == "card" else tag_piece
        return [make(frame, gatherer.shop) for frame in facts]
    except QrTooLarge as error:
        raise click.ClickException(f"The shop's web address is too long to print: {error}.") from None


def _sets(gatherer: Gatherer, names: Sequence[str], *, strict: bool) -> "Iterator[PrintItem]":
    """The cards of the matched sets that the frames belong to; ``strict`` refuses a frame that belongs to none."""
    from passport.render.print.setcard import set_pieces

    players = {name.partition("/")[0] for name in names}
    facts = tuple(
        gatherer.frame(name) for name, e in gatherer.content.frames.items() if e.record.key and _of(name, players)
    )
    numbers = [frame.number for frame in facts if frame.name in names]
    found: set[str] = set()
    for player in gatherer.players(facts, printed=True):
        for group in player.groups:
            own = {frame.number for frame in group.frames}
            if group.matched and len(own) > 1 and own & set(numbers):
                found |= own
                yield from set_pieces(player, group, gatherer.shop)
    alone = [number for number in numbers if number not in found]
    if strict and alone:
        do = "Give frames that are meant to be equal the same 'set', and their player a key with 'passport issue'."
        raise click.ClickException(f"{', '.join(alone)} {'is' if len(alone) == 1 else 'are'} in no set of two.\n  {do}")


def _of(name: str, players: set[str]) -> bool:
    return name.partition("/")[0] in players


def _plan(pieces: "Sequence[PrintItem]", paper: str, skip: int) -> "Layout":
    """How the pieces stand on the sheets."""
    from passport.render.print import imposition

    plan = imposition.layout(imposition.PAPERS[paper], pieces[0].format)
    if skip >= plan.places:
        raise click.UsageError(f"A sheet has {plan.places} places: skip at most {plan.places - 1}.")
    return plan


def _files(
    pieces: "Sequence[PrintItem]", target: Path, plan: "Layout | None", skip: int
) -> "list[tuple[Path, Sequence[PrintItem], int]]":
    """The files with their pieces and the places to leave free: one, or several numbered ones for a large order."""
    most = SHEETS_A_FILE * plan.places if plan else PIECES_A_FILE
    cuts = [0, *range(most - skip, len(pieces), most), len(pieces)]
    shares = list(pairwise(cuts))
    paths = [target.with_stem(f"{target.stem}-{i}") for i in range(1, len(shares) + 1)] if len(shares) > 1 else [target]
    return [
        (path, pieces[start:stop], skip if start == 0 else 0) for path, (start, stop) in zip(paths, shares, strict=True)
    ]


def _laid_out(pieces: "Sequence[PrintItem]", plan: "Layout | None", skip: int, bleed: bool) -> bytes:
    """The PDF of one file."""
    from passport.render.print import imposition
    from passport.render.print.pdf import BadEpoch, FaultyDocument

    try:
        if plan is None:
            return imposition.single(pieces, bleed=bleed)
        return imposition.sheets(pieces, plan.paper, skip=skip, notice=_how(pieces[0]))
    except (BadEpoch, FaultyDocument) as error:
        raise click.ClickException(str(error)) from None
    finally:
        gc.collect()  # a document is a ring of references and would stay until much later


def _how(piece: "PrintItem") -> tuple[str, ...]:
    """How to print, for the margin of fronts and backs."""
    if len(piece.sides) == 1:
        return ("Print at 100 %",)
    return tuple(f"Print at 100 %, on both sides, flipped on the long edge · {side}" for side in ("front", "back"))


def _summary(pieces: "Sequence[PrintItem]", plan: "Layout | None", skip: int, paths: Sequence[Path], kind: str) -> str:
    count = f"{len(pieces)} {kind if len(pieces) == 1 else kind + 's'}"
    where = ", ".join(str(_short(path)) for path in paths)
    if plan is None:
        return f"{count}: {where}"
    used = skip + len(pieces)
    sheets = -(-used // plan.places)
    left = sheets * plan.places - used
    how = _how(pieces[0])[0].partition(" · ")[0] + "."
    rest = f"\n{left} of {plan.places} places are left: for the next run --skip {plan.places - left}." if left else ""
    many = "sheet" if sheets == 1 else "sheets"
    return f"{count} on {sheets} {many} {plan.paper.name}: {where}\n{how}{rest}"


def _short(path: Path) -> Path:
    """A path as short as it can be typed from here."""
    full = path.resolve()
    return full.relative_to(Path.cwd()) if full.is_relative_to(Path.cwd()) else path
