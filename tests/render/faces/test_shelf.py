"""Which typeface lends which sign."""

import unicodedata

import pytest
from manynames import ALL, NAMES, add

from passport.render.faces import shelf as shelves
from passport.render.faces.shelf import STYLES, Shelf, han_order, shelf, signs
from passport.render.theme import assets

SHIPPED = ("Latin", "Greek", "Cyrillic")


@pytest.fixture
def full(tmp_path, monkeypatch) -> Shelf:
    """The shipped typefaces and those that were added for the names."""
    add(tmp_path, monkeypatch)
    return shelf(assets.fonts(), tmp_path)


def test_every_name_has_its_signs_in_every_style(full) -> None:
    """No sign of sixty names in thirty ways of writing is without a glyph, in print or on pages."""
    assert len(ALL) >= 60
    assert not full.lent("".join(ALL)).missing
    assert not full.lent("".join(ALL), pages=True).missing


def test_the_wheel_has_latin_greek_and_cyrillic_and_says_what_it_lacks() -> None:
    """Without added typefaces exactly the other scripts' signs are missing, each of which a known file is for."""
    for way, names in NAMES.items():
        missing = shelf(assets.fonts(), None).lent("".join(names)).missing
        assert bool(missing) != way.startswith(SHIPPED)
        assert all(shelves.known.script_of(sign) for sign in missing)


def test_the_texts_own_typeface_has_vietnamese() -> None:
    """All precomposed letters of Vietnamese (Unicode block Latin Extended Additional) are the house's own in text: a page
    holds those that it shows, cut out of the style's own file."""
    letters = {*range(0x1EA0, 0x1EFA), 0x1A0, 0x1A1, 0x1AF, 0x1B0}
    plain = Shelf(assets.fonts())
    for style in STYLES[:3]:
        assert letters <= plain.house(style)
        lent = plain.lent("".join(map(chr, letters)), [style], pages=True)
        assert not lent.missing
        assert style.pages == () or letters <= plain.house(style, pages=True) | lent.pieces[0].signs
        assert not style.pages or {piece.face.path.name for piece in lent.pieces} == {style.house}


def test_a_raised_letter_has_a_glyph() -> None:
    """French ordinals, as in 1ᵉʳ, need nothing of another typeface."""
    assert not shelf(assets.fonts(), None).lent("1ᵉʳ").pieces


def test_other_bytes_are_not_taken(full, tmp_path) -> None:
    """A file with the right name and other bytes lends nothing."""
    assert "NotoSansThai-Regular.ttf" in full.added
    path = tmp_path / "fonts/NotoSansThai-Regular.ttf"
    path.write_bytes(path.read_bytes() + b"\0")
    assert "NotoSansThai-Regular.ttf" not in shelf(assets.fonts(), tmp_path).added


@pytest.mark.parametrize("first, text, language", [
    ("ja", "さくら 山田", ""), ("ko", "김민준", ""), ("zh-Hans", "赵丽荷", ""), ("zh-Hant", "陳懷遠", ""), ("ja", "渡邉", ""),
    ("zh-Hans", "山田", ""), ("ja", "山田", "ja"), ("zh-Hant", "山田", "zh-TW"), ("zh-Hans", "山田", "zh"), ("ko", "山田", "ko"),
])  # fmt: skip
def test_shared_han_signs_follow_the_language_then_the_text(first, text, language) -> None:
    """The page's language decides, else what only one of the writings has (judged by hand)."""
    assert han_order(text, language)[0] == first


def test_shared_han_signs_are_drawn_in_their_own_way(full) -> None:
    """The same sign comes from another face of the file in another language (Unicode, chapter 18: Han unification)."""
    found = {language: full.lent("花", language=language).pieces[0].face.index for language in ("ja", "zh", "zh-TW")}
    assert len(set(found.values())) == 3


def test_the_shipped_faces_have_what_the_encodings_of_europe_have() -> None:
    """All letters of ISO 8859-1 to -16 in Latin, Greek and Cyrillic have a glyph (Python's own tables of them)."""
    plain, wanted = shelf(assets.fonts(), None), set()
    for part in (1, 2, 3, 4, 5, 7, 9, 10, 13, 14, 15, 16):
        wanted |= {sign for byte in range(0xA0, 0x100) for sign in bytes([byte]).decode(f"iso8859_{part}", "ignore")}
    letters = {sign for sign in wanted if unicodedata.category(sign)[0] == "L"}
    assert len(letters) > 300 and not plain.lent("".join(letters)).missing


def test_a_face_tells_its_signs(full) -> None:
    """A file for East Asia has a face for each way of writing."""
    face = full.added["NotoSansCJK-Regular.ttc"]
    assert ord("花") in signs(face)
