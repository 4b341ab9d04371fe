"""What is cut out of a typeface shapes as the whole of it does."""

import io
import re

import pytest
import uharfbuzz
from fontTools.ttLib import TTFont
from manynames import ALL, add

from passport.render.faces.cutting import cut, rules
from passport.render.faces.shelf import STYLES, LentSigns, Shelf, invisible, shelf
from passport.render.faces.widths import runs
from passport.render.theme import assets

PAGES = [style for style in STYLES if style.pages]


@pytest.fixture
def full(tmp_path, monkeypatch) -> Shelf:
    """The shipped typefaces and those that were added for the names."""
    add(tmp_path, monkeypatch)
    return shelf(assets.fonts(), tmp_path)


def drawn(data: bytes, text: str, index: int = 0) -> list[tuple[int, int, int, str]]:
    """HarfBuzz's glyph run of a text: advance and offset of each glyph with its outline; asserts that none is missing."""
    font, buffer = uharfbuzz.Font(uharfbuzz.Face(data, index)), uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.guess_segment_properties()
    uharfbuzz.shape(font, buffer)
    assert buffer.glyph_infos and all(info.codepoint for info in buffer.glyph_infos), f".notdef in {text}"
    found = []
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        outline = []
        font.draw_glyph_with_pen(info.codepoint, _Pen(outline))
        found.append((position.x_advance, position.x_offset, position.y_offset, repr(outline)))
    return found


class _Pen:
    """Notes what is drawn."""

    def __init__(self, noted):
        self._noted = noted

    def __getattr__(self, name):
        return lambda *points: self._noted.append((name, points))


def test_a_cut_face_draws_each_name_as_the_whole_face(full) -> None:
    """Every run of every name has the same glyphs, in the same places, as HarfBuzz sets it in the uncut face."""
    judged = 0
    for style in STYLES:
        for name in ALL:
            pieces = {piece.face: piece for piece in full.lent(name, [style]).pieces}
            for run, face in runs(name, style, full):
                if face:
                    judged += 1
                    assert drawn(cut(face, pieces[face].signs), run) == drawn(face.read(), run, face.index), (
                        name,
                        style,
                    )
    assert judged > 4 * 50


def test_the_house_sets_the_rest_of_each_name_without_a_gap(full) -> None:
    """What is not lent has a glyph in the house's own typeface."""
    for style in STYLES:
        for name in ALL:
            for run, face in runs(name, style, full):
                if face is None and not all(map(invisible, run)):
                    assert drawn((assets.fonts() / style.house).read_bytes(), run)


def test_the_same_signs_give_the_same_bytes(full) -> None:
    """What was cut twice is equal, also where nothing is remembered of the first time."""
    for piece in full.lent("山田 нина", PAGES, pages=True).pieces:
        assert cut.__wrapped__(piece.face, piece.signs, "woff2") == cut.__wrapped__(piece.face, piece.signs, "woff2")


def test_a_page_grows_by_little(full) -> None:
    """What a page holds for one name, in all its styles, is below 20 kB, all of it in the page."""
    for name in ALL:
        found = rules(full.lent(name, PAGES, pages=True).pieces)
        assert len(found) < 20_000, (name, len(found))
        assert not re.search(r"url\((?!data:font/woff2;base64,)", found)


def test_what_is_cut_is_a_typeface_of_those_signs_alone(full) -> None:
    """Of a file for East Asia a name takes few glyphs and no other letters."""
    piece: LentSigns = full.lent("王伟明", PAGES[:1], pages=True).pieces[0]
    with TTFont(io.BytesIO(cut(piece.face, piece.signs, "woff2"))) as font:
        assert set(font.getBestCmap()) == {*map(ord, "王伟明 \u00a0\u25cc")} & set(font.getBestCmap())
        assert len(font.getGlyphOrder()) < 12
