"""Sixty names in thirty ways of writing, printed: held against HarfBuzz, and copied out of the PDF again."""

import io
import unicodedata
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pypdf
import pypdfium2
import pytest
import uharfbuzz
from manynames import ALL, add
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path as Outline
from places import DEMO

from passport.records.load import load
from passport.render.faces.shelf import STYLES, Face, invisible, signs
from passport.render.print.card import card_piece
from passport.render.print.imposition import single
from passport.render.print.pdf import FaultyDocument, engine
from passport.render.theme import assets
from passport.workshop.gathering.gather import site_facts

SIZE, SCALE = 20, 4
"""Size of the letters in points, pixels in a point."""
CELL = (180, 50)
"""Room for each name, points."""
ROWS = 23
NOT_COPIED = {
    "Ọlámídé Ẹ̀ṣọ́", "Ṣadé Ọ̀kín",  # a space after each mark
    "נֹעַם שָׁדֶה",  # spaces among the points
    "अनीता शर्मा", "ঋত্বিক ঘোষাল", "கௌசிக் ஸ்ரீதர்", "ಕೃಷ್ಣಮೂರ್ತಿ ಹೊಳೆ", "ಜ್ಯೋತಿ",  # vowels that move or are taken apart
    "ณัฐพงษ์ น้ำใส", "ສົມພອນ ນ້ຳທາ",  # the vowel am is taken apart
    "ភារុណ ស្ទឹង", "ចន្ទ្រា",  # subscript letters
}  # fmt: skip
"""Names that pypdf does not read out of the PDF as they were written: the glyphs are right, their text is guessed."""


@pytest.fixture(scope="module", autouse=True)
def added():
    """A shop that added the typefaces."""
    content = Path(mkdtemp())
    with pytest.MonkeyPatch.context() as patch:
        add(content, patch)
        with assets.using(content):
            yield content


@cache
def printed() -> bytes:
    """A page with each name in a cell of its own."""
    cells = "".join(
        f'<p style="position:absolute;margin:0;left:{i // ROWS * CELL[0] + 9}pt;top:{i % ROWS * CELL[1]}pt;'
        f"font:400 {SIZE}pt/{CELL[1]}pt 'House Text'\">{name}</p>"
        for i, name in enumerate(ALL)
    )
    page = f"<style>@page{{size:{3 * CELL[0]}pt {ROWS * CELL[1]}pt;margin:0}}</style>"
    return engine().write(page + cells, ("style/fonts-print.css",), title="names", lang="en")


def ink(picture) -> np.ndarray:
    """The part of a grey picture that has ink, 0 … 1."""
    dark = 1 - np.asarray(picture, dtype=float) / 255
    rows, columns = np.where(dark.max(axis=1) > 0.3)[0], np.where(dark.max(axis=0) > 0.3)[0]
    return dark[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def one_face(name: str) -> Face:
    """The one face that all of a name is set in, in a document that has all names."""
    shelf = assets.typefaces()
    drawn = {ord(sign) for sign in name if not invisible(sign)}
    if drawn <= shelf.house(STYLES[0]):
        return shelf.shipped_face(STYLES[0].house)
    (piece,) = [piece for piece in shelf.lent("".join(ALL), STYLES[:1], language="en").pieces if drawn & piece.signs]
    assert drawn <= signs(piece.face), name
    return piece.face


def as_harfbuzz_sets_it(name: str) -> np.ndarray:
    """The name's glyph run by HarfBuzz in the whole face, its outlines filled by Matplotlib."""
    face = one_face(name)
    font, buffer = uharfbuzz.Font(uharfbuzz.Face(face.read(), face.index)), uharfbuzz.Buffer()
    buffer.add_str(name)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer)
    pen, at = _Pen(), 0
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        pen.at = (at + position.x_offset, position.y_offset)
        font.draw_glyph_with_pen(info.codepoint, pen)
        at += position.x_advance
    em = font.face.upem / SIZE
    figure = Figure(figsize=(CELL[0] / 72, CELL[1] / 72), dpi=72 * SCALE)
    axes = figure.add_axes((0, 0, 1, 1), xlim=(-5 * em, (CELL[0] - 5) * em), ylim=(-20 * em, 30 * em))
    axes.set_axis_off()
    axes.add_patch(PathPatch(Outline(pen.points, pen.codes), facecolor="black", linewidth=0))
    raw = io.BytesIO()
    figure.savefig(raw, format="raw")
    return ink(np.frombuffer(raw.getvalue(), np.uint8).reshape(CELL[1] * SCALE, CELL[0] * SCALE, 4)[:, :, 0])


class _Pen:
    """Takes outlines down for Matplotlib."""

    def __init__(self):
        self.at, self.points, self.codes = (0, 0), [], []

    def _add(self, code, *points):
        self.points += [(x + self.at[0], y + self.at[1]) for x, y in points]
        self.codes += [code] * len(points)

    def moveTo(self, point):
        self._add(Outline.MOVETO, point)

    def lineTo(self, point):
        self._add(Outline.LINETO, point)

    def qCurveTo(self, *points):
        self._add(Outline.CURVE3, *points)

    def curveTo(self, *points):
        self._add(Outline.CURVE4, *points)

    def closePath(self):
        self._add(Outline.CLOSEPOLY, (0, 0))


def test_each_name_is_printed_as_harfbuzz_sets_it() -> None:
    """In pixels: as wide and as high within a pixel, and dark where it should be; so nothing is clipped, nor a box."""
    page = pypdfium2.PdfDocument(printed())[0].render(scale=SCALE).to_pil().convert("L")
    for i, name in enumerate(ALL):
        left, top = i // ROWS * CELL[0] * SCALE, i % ROWS * CELL[1] * SCALE
        found = ink(page.crop((left, top, left + CELL[0] * SCALE, top + CELL[1] * SCALE)))
        wanted = as_harfbuzz_sets_it(name)
        assert np.abs(np.subtract(found.shape, wanted.shape)).max() <= 2, (name, found.shape, wanted.shape)
        apart = min(differing(found, wanted, down, right) for down in (-1, 0, 1) for right in (-1, 0, 1))
        assert apart < 0.05, (name, apart)


def differing(one: np.ndarray, other: np.ndarray, down: int, right: int) -> float:
    """The share of the ink by which two pictures differ, of which one is moved by some pixels."""
    shape = np.maximum(one.shape, other.shape) + 2
    first, second = np.zeros(shape), np.zeros(shape)
    first[1 : 1 + one.shape[0], 1 : 1 + one.shape[1]] = one
    second[1 + down : 1 + down + other.shape[0], 1 + right : 1 + right + other.shape[1]] = other
    return float(np.abs(first - second).sum() / other.sum())


def test_two_engines_print_the_same_bytes() -> None:
    """Nothing depends on what was printed before."""
    from passport.render.print import pdf

    first = printed()
    pdf._release()
    printed.cache_clear()
    assert printed() == first


def test_names_are_copied_out_as_they_were_written() -> None:
    """Read by pypdf and normalised (NFC), but for those that are listed."""
    text = unicodedata.normalize(
        "NFC", "\n".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(printed())).pages)
    )
    lost = {name for name in ALL if unicodedata.normalize("NFC", name) not in text}
    assert lost <= NOT_COPIED, lost - NOT_COPIED


def test_no_font_of_the_system_is_taken() -> None:
    """All typefaces in the document are the house's or stand beside them."""
    fonts = pypdf.PdfReader(io.BytesIO(printed())).pages[0]["/Resources"]["/Font"]
    names = {font.get_object()["/BaseFont"].partition("+")[2] for font in fonts.values()}
    assert len(names) > 15 and all(name.startswith("House-Text") for name in names), names


def test_a_sign_that_nobody_has_is_never_printed() -> None:
    """A document with such a sign is not made; the message names it."""
    with pytest.raises(FaultyDocument, match=r"ᚠ \(U\+16A0\)"):
        engine().write("<p>ᚠ</p>", ("style/fonts-print.css",), title="x", lang="en")


def test_a_name_from_right_to_left_leaves_the_rest_in_order(added) -> None:
    """With the signs that `isolated` adds, a number behind an Arabic name stays behind it, as with the element bdi."""
    texts = ("“\u2068ليلى\u2069” (7-1) ok", "“<bdi>ليلى</bdi>” (7-1) ok", "“ليلى” (7-1) ok")
    pictures = []
    for text in texts:
        made = engine().write(
            f"<p style=\"font:20pt 'House Text'\">{text}</p>",
            ("style/fonts-print.css",),
            title="x",
            lang="en",
        )
        pictures.append(ink(pypdfium2.PdfDocument(made)[0].render(scale=2).to_pil().convert("L")))
    assert np.array_equal(pictures[0], pictures[1]) and not np.array_equal(pictures[0], pictures[2])


def test_every_name_stands_on_a_card() -> None:
    """As player and as label, each in the card's text layer whole or, where it is too long, cut with an ellipsis."""
    site = site_facts(load(DEMO)[0])
    frame = next(frame for frame in site.frames if frame.status == "active")
    names = [name for name in ALL if name not in NOT_COPIED][::3]
    made = single([card_piece(replace(frame, player=name, label=name), site.shop) for name in names])
    pages = pypdf.PdfReader(io.BytesIO(made)).pages
    assert len(pages) == 2 * len(names)
    for name, front in zip(names, pages[::2], strict=True):
        text = unicodedata.normalize("NFC", front.extract_text())
        assert text.count(unicodedata.normalize("NFC", name)) >= 2, (name, text)
