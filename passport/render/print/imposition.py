"""Printed pieces on pages: each side on a page of its own, or many on sheets, front and back in register.

All lengths are mm from the upper left corner of a page. A sheet is laid out as one document rather than put together
from finished ones: so its tags, languages and alternative texts stay whole and each font is in it once.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from markupsafe import Markup, escape

from passport.render.drawing.svg import num
from passport.render.faces.direction import ordered
from passport.render.print import pdf
from passport.render.print.page_box import UA, CutBox, PageBox, Standard, Tools
from passport.render.print.piece_kit import SHEETS, Format, PrintItem
from passport.render.theme.assets import with_look
from passport.render.theme.formats import shown_language

BLEED_MM = 3.0
"""How far the print runs past the cut for a print shop (common practice, no source: printers ask for 3 mm)."""
_MARK_AIR, _MARK = 0.75, 4.0
"""Distance of a crop mark from the bleed, and its length."""
_SIDE_MM, _TOP_MM = 10.0, 7.0
"""Least margins of a sheet: office printers leave 4 to 5 mm blank (common practice, no source)."""
_GAPS = (6.0, 5.0, 4.0, 3.0)
"""Distances between two pieces on a sheet; the bleed of both lies in it."""
_WHITE = 0.5
"""What stays white between the bleeds of two pieces, so that the eye sees where one ends."""
_SHOP_GAP, _SHOP_MARGIN = 2 * BLEED_MM + 1.0, 8.5
"""On a print shop's sheet: the gutter between two pieces, each with its whole bleed in it, and margins for the marks."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of sheet, upright."""

    name: str
    width: float
    height: float


PAPERS = {"a4": Paper("A4", 210.0, 297.0), "letter": Paper("Letter", 215.9, 279.4)}
"""ISO 216 A4, and ANSI/ASME Y14.1 size A."""


@dataclass(frozen=True, slots=True)
class Cell:
    """Where a piece stands on a page: its box after cutting, and how it is turned, degrees clockwise."""

    left: float
    top: float
    width: float
    height: float
    turn: int = 0


@dataclass(frozen=True, slots=True)
class Layout:
    """How the pieces of one format stand on a sheet: in the middle, in columns and rows, all upright or all turned."""

    paper: Paper
    format: Format
    columns: int
    rows: int
    gap: float
    turned: bool

    @property
    def places(self) -> int:
        """Pieces on a sheet."""
        return self.columns * self.rows

    @property
    def bleed(self) -> float:
        """How far the print runs past each cut."""
        # Two bleeds share the gap; without white between them a cut a little off shows the neighbour's colour.
        return min(BLEED_MM, self.gap / 2 - _WHITE / 2)

    @property
    def step(self) -> tuple[float, float]:
        """From one piece to the next, across and down."""
        wide, tall = self.format.width, self.format.height
        return (tall + self.gap, wide + self.gap) if self.turned else (wide + self.gap, tall + self.gap)

    @property
    def block(self) -> Cell:
        """The box round all pieces."""
        across, down = self.step
        width, height = self.columns * across - self.gap, self.rows * down - self.gap
        return Cell((self.paper.width - width) / 2, (self.paper.height - height) / 2, width, height)

    def cell(self, place: int, *, back: bool = False) -> Cell:
        """The box of a place, counted from 0 along the rows as seen on the front.

        A sheet that is turned over about its long edge, as printers do, shows its columns in reverse: the backs stand
        in mirrored columns, and turned pieces the other way round, so that both sides of a piece have the same top.
        """
        row, column = divmod(place, self.columns)
        if back:
            column = self.columns - 1 - column
        across, down = self.step
        turn = (-90 if back else 90) if self.turned else 0
        return Cell(
            self.block.left + column * across,
            self.block.top + row * down,
            across - self.gap,
            down - self.gap,
            turn,
        )


def layout(paper: Paper, form: Format, *, shop: bool = False) -> Layout:
    """The layout with most pieces on a sheet; among those the widest gap, and pieces upright rather than turned.

    For a print ``shop`` the gutter between two pieces holds the whole bleed of both.
    """
    return max(_layouts(paper, form, shop), key=lambda each: (each.places, each.gap, not each.turned))


def _layouts(paper: Paper, form: Format, shop: bool) -> Iterator[Layout]:
    gaps, top = ((_SHOP_GAP,), _SHOP_MARGIN) if shop else (_GAPS, _TOP_MM)
    for turned in (False, True):
        for gap in gaps:
            across, down = Layout(paper, form, 1, 1, gap, turned).step
            columns = int((paper.width - 2 * _SIDE_MM + gap) / across)
            rows = int((paper.height - 2 * top + gap) / down)
            yield Layout(paper, form, columns, rows, gap, turned)


def single(pieces: Sequence[PrintItem], *, bleed: bool = False, standard: Standard = UA) -> bytes:
    """Each side of each piece on a page of its own, in its size after cutting.

    With ``bleed`` each page is larger by the bleed of 3 mm and by crop marks; TrimBox and BleedBox say where they are.
    ``standard`` is what the PDF follows.

    Raises:
        ValueError: there is no piece, or they are of different formats.
        passport.render.print.pdf.NoPango, passport.render.print.pdf.BadEpoch: as `passport.render.print.pdf.Engine.write`.
    """
    form = _format(pieces)
    # The last quarter of a millimetre keeps the ends of the marks off the edge of the page.
    edge = BLEED_MM + _MARK_AIR + _MARK + 0.25 if bleed else 0.0
    beyond = BLEED_MM if bleed else 0.0
    cell = Cell(edge, edge, form.width, form.height)
    page_box = PageBox(form.width + 2 * edge, form.height + 2 * edge, (form.width, form.height), beyond)
    lines = mark_lines(cell, [cell], beyond) if bleed else ()
    drawn = "marks" if lines and not standard.draws_marks else ""
    pages = [_page(page_box, [_placed(side, cell, beyond, p.format)], marks=drawn) for p in pieces for side in p.sides]
    tools = [Tools((_cut(cell, form, n == 1),), lines) for p in pieces for n in range(len(p.sides))]
    spoken = [p.language for p in pieces for _ in p.sides]
    pictures = {"marks": crop_marks(page_box, cell, [cell], beyond)} if drawn else {}
    return _document(pieces, pages, page_box, pictures, spoken, standard, tools)


def sheets(
    pieces: Sequence[PrintItem],
    paper: Paper,
    *,
    skip: int = 0,
    notice: Sequence[str] = (),
    shift: tuple[float, float] = (0.0, 0.0),
    standard: Standard | None = None,
) -> bytes:
    """The pieces on sheets, each front page followed by its back page for printing on both sides.

    ``skip`` places of the first sheet are left free, counted along the rows: those that are used up already. ``notice``
    is printed in the margin, one text for the fronts and one for the backs. ``shift`` is how far a printer puts the backs
    too far right and down, seen from the front, mm: they are laid as far the other way. ``standard`` is that of a file for a print
    shop, whose sheets have wider gutters.

    Raises:
        ValueError: there is no piece, they are of different formats, or more places are skipped than a sheet has.
        passport.render.print.pdf.NoPango, passport.render.print.pdf.BadEpoch: as `passport.render.print.pdf.Engine.write`.
    """
    form = _format(pieces)
    plan = layout(paper, form, shop=standard is not None)
    standard = standard or UA
    if not 0 <= skip < plan.places:
        raise ValueError(f"skip 0 to {plan.places - 1} places of a sheet, not {skip}")
    page_box = PageBox(paper.width, paper.height)
    pages, pictures, spoken, tools = [], {}, [], []
    for number, first in enumerate(range(0, skip + len(pieces), plan.places)):
        places = range(max(first, skip), min(first + plan.places, skip + len(pieces)))
        used = [(place - first, pieces[place - skip]) for place in places]
        for side in range(len(used[0][1].sides)):
            back = side == 1
            # What is too far right seen from the front is too far left on the back itself.
            across, down = (shift[0], -shift[1]) if back else (0.0, 0.0)
            cells = [_moved(plan.cell(place, back=back), across, down) for place, _ in used]
            block = _moved(plan.block, across, down)
            name = "" if standard.draws_marks else f"marks-{number}-{side}"
            lines = mark_lines(block, cells, plan.bleed, fold=form.fold)
            tools.append(Tools(tuple(_cut(c, form, back) for c in cells), lines))
            if name:
                pictures[name] = crop_marks(page_box, block, cells, plan.bleed, fold=form.fold)
            placed = [_placed(p.sides[side], c, plan.bleed, p.format) for (_, p), c in zip(used, cells, strict=True)]
            text = notice[side] if side < len(notice) else ""
            pages.append(_page(page_box, [*_notice(text, plan), *placed], marks=name))
            spoken += [piece.language for _, piece in used for _ in range(1 + form.fold)]
    return _document(pieces, pages, page_box, pictures, spoken, standard, tools)


def folded(pieces: Sequence[PrintItem]) -> list[PrintItem]:
    """The pieces with front and back beside each other on one side, for printers that cannot print on both.

    Folded backwards in the middle the back lies behind its front, and both have the same top.

    Raises ValueError for pieces that have no back.
    """
    return [_folded(piece) for piece in pieces]


def _folded(piece: PrintItem) -> PrintItem:
    if len(piece.sides) != 2:
        raise ValueError(f"a piece with two sides is folded, not one with {len(piece.sides)}")
    form = piece.format
    wide, tall = form.width + BLEED_MM, form.height + 2 * BLEED_MM
    # Each half ends at the fold: the bleed of one would lie on the other.
    halves = [
        Markup('<div class="cell" style="{}"><div class="turn" style="{}">{}</div></div>').format(
            _box(left, -BLEED_MM, wide, tall), _box(inside, BLEED_MM, form.width, form.height), side
        )
        for side, left, inside in zip(piece.sides, (-BLEED_MM, form.width), (BLEED_MM, 0.0), strict=True)
    ]
    style = f"position:relative;width:{2 * form.width:g}mm;height:{form.height:g}mm"
    both = Markup('<div style="{}">{}</div>').format(style, Markup().join(halves))
    twice = replace(form, name=f"folded {form.name}", width=2 * form.width, hole=None, fold=True)
    return replace(piece, format=twice, sides=(both,))


def _moved(cell: Cell, across: float, down: float) -> Cell:
    return replace(cell, left=cell.left + across, top=cell.top + down) if across or down else cell


def mark_lines(
    block: Cell, cells: Sequence[Cell], bleed: float, *, fold: bool = False
) -> tuple[tuple[float, float, float, float], ...]:
    """Lines at the ends of every cut through ``cells``, outside the ``block`` that all of them stand in.

    Each as left, top, and how far it runs across and down. Where a piece is folded its middle has a broken line.
    """
    near = bleed + _MARK_AIR
    # Rounded, so that cells in one line share one mark instead of two that differ in the last bit.
    across = sorted({round(x, 4) for c in cells for x in (c.left, c.left + c.width)})
    down = sorted({round(y, 4) for c in cells for y in (c.top, c.top + c.height)})
    tops = (block.top - near - _MARK, block.top + block.height + near)
    lefts = (block.left - near - _MARK, block.left + block.width + near)
    cuts = (*((x, y, 0.0, _MARK) for x in across for y in tops), *((x, y, _MARK, 0.0) for y in down for x in lefts))
    return (*cuts, *(_folds(cells, lefts, tops) if fold else ()))


def _folds(
    cells: Sequence[Cell], lefts: Sequence[float], tops: Sequence[float]
) -> Iterator[tuple[float, float, float, float]]:
    """The broken lines at both ends of every fold; a turned piece is folded across its height."""
    dash = _MARK / 5
    upright = sorted({round(c.left + c.width / 2, 4) for c in cells if not c.turn})
    level = sorted({round(c.top + c.height / 2, 4) for c in cells if c.turn})
    for step in range(0, 5, 2):
        yield from ((x, y + step * dash, 0.0, dash) for x in upright for y in tops)
        yield from ((x + step * dash, y, dash, 0.0) for y in level for x in lefts)


def crop_marks(page_box: PageBox, block: Cell, cells: Sequence[Cell], bleed: float, *, fold: bool = False) -> str:
    """The lines of `mark_lines` as hairlines: an SVG in the size of the page."""
    lines = mark_lines(block, cells, bleed, fold=fold)
    drawn = "".join(f"M{num(x, 4)} {num(y, 4)}{f'h{a:g}' if a else f'v{d:g}'}" for x, y, a, d in lines)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {page_box.width:g} {page_box.height:g}">'
        f'<path d="{drawn}" fill="none" stroke="#000000" stroke-width=".09"/></svg>'
    )


def _format(pieces: Sequence[PrintItem]) -> Format:
    """The one format that all pieces have."""
    formats = {piece.format for piece in pieces}
    if len(formats) != 1:
        raise ValueError(f"one format at a time, not {len(formats)}")
    return formats.pop()


def _cut(cell: Cell, form: Format, back: bool) -> CutBox:
    """Where the tools of a print shop go round a piece; seen from the back its hole is on the other side."""
    hole = form.hole and (form.width - form.hole[0] if back else form.hole[0], *form.hole[1:])
    return CutBox(cell.left, cell.top, cell.width, cell.height, cell.turn, form.circular, hole, form.corner)


def _placed(side: Markup, cell: Cell, bleed: float, form: Format) -> Markup:
    """One side of a piece in its place, cut off where its bleed ends; where that is a whole page, its leaf does."""
    if not (bleed or cell.left or cell.top or cell.turn or form.circular):
        return side
    box = _box(cell.left - bleed, cell.top - bleed, cell.width + 2 * bleed, cell.height + 2 * bleed)
    # Turned about its middle, so that it lies on the page before the turn too: WeasyPrint cuts a background off where
    # the page would end without the turn.
    x, y = bleed + (cell.width - form.width) / 2, bleed + (cell.height - form.height) / 2
    turn = f";transform:rotate({cell.turn}deg)" if cell.turn else ""
    inner = Markup('<div class="turn" style="{}{}">{}</div>').format(_box(x, y, form.width, form.height), turn, side)
    curve = ";border-radius:50%" if form.circular else ""
    return Markup('<div class="cell" style="{}{}">{}</div>').format(box, curve, inner)


def _notice(text: str, plan: Layout) -> Iterator[Markup]:
    """A line in the wider margin of a sheet: above the pieces, or running up on their left."""
    if text:
        block = plan.block
        # The wider margin: in the narrower one the line could fall into what office printers leave blank.
        if block.top >= block.left:
            style = f"left:{block.left:g}mm;top:6mm"
        else:
            style = f"left:6mm;top:{block.top + block.height:g}mm;transform:rotate(-90deg);transform-origin:0 0"
        said = Markup(ordered(str(escape(text)), inside=False))
        yield Markup('<p class="notice" style="{}">{}</p>').format(style, said)


def _page(page_box: PageBox, content: Sequence[Markup], *, marks: str) -> Markup:
    """One page; a hair shorter than the paper, so that no rounding pushes a part of it to the next."""
    style = f"width:{page_box.width:g}mm;height:{page_box.height - 0.01:g}mm"
    if marks:
        style += f";background:url(picture:{marks}) no-repeat 0 0 / {page_box.width:g}mm {page_box.height:g}mm"
    return Markup('<div class="leaf" style="{}">{}</div>').format(style, Markup().join(content))


def _box(left: float, top: float, width: float, height: float) -> str:
    """A box as a style."""
    return f"left:{num(left, 4)}mm;top:{num(top, 4)}mm;width:{num(width, 4)}mm;height:{num(height, 4)}mm"


def _document(
    pieces: Sequence[PrintItem],
    pages: Sequence[Markup],
    page_box: PageBox,
    pictures: Mapping[str, str],
    spoken: Sequence[str],
    standard: Standard,
    tools: Sequence[Tools],
) -> bytes:
    """The PDF of all pages."""
    days = [piece.when for piece in pieces if piece.when]
    languages = [shown_language(piece.language) for piece in pieces]
    return pdf.engine().write(
        Markup("<main>{}</main>").format(Markup().join(pages)),
        with_look(*SHEETS, pieces[0].format.style),
        title=pieces[0].title if len(pieces) == 1 else ", ".join(piece.number for piece in pieces),
        lang=languages[0],
        when=max(days, default=None),
        pictures={**pictures, **{name: svg for piece in pieces for name, svg in piece.pictures}},
        page_box=page_box,
        spoken=[shown_language(language) for language in spoken],
        tidy=True,
        standard=standard,
        tools=tools,
    )
