"""Measuring text before it is laid out: never narrower than it is drawn."""

import io

import pdfplumber
import pytest

from passport.render.print import pdf
from passport.render.theme.textfit import MM_PER_PT, Face, fits, fitted_size, packed, shortened, text_width, wrapped

STYLES: dict[Face, str] = {
    "display-600": "font: 600 10pt House Display",
    "text-400": "font: 400 10pt 'House Text'",
    "text-500": "font: 500 10pt 'House Text'",
    "text-600": "font: 600 10pt 'House Text'",
}
TEXTS = (
    "1042-X", "Butt cap with trapdoor & cotton wool", "AVATAR To We Ty", "1111111111", "Æsop Žižek Ångström ½ ± ·", "fi 27 lb",
)  # fmt: skip


@pytest.mark.parametrize("face", STYLES)
@pytest.mark.parametrize("text", TEXTS)
def test_not_narrower_than_drawn(face: Face, text: str) -> None:
    """A line is drawn no wider than measured, and no more than a tenth (a fifth for ones) narrower."""
    body = f'<p style="{STYLES[face]};font-variant-numeric:tabular-nums">{text.replace("&", "&amp;")}</p>'
    data = pdf.engine().write(body, ("style/fonts-print.css",), title="t", lang="en")
    with pdfplumber.open(io.BytesIO(data)) as document:
        chars = document.pages[0].chars
        drawn = (max(c["x1"] for c in chars) - min(c["x0"] for c in chars)) * MM_PER_PT
    assert text_width(text, face, 10) * 0.8 < drawn <= text_width(text, face, 10)


def test_width_grows_with_size_and_tracking() -> None:
    """Twice the size is twice as wide; tracking adds its share of an em to every letter."""
    once = text_width("Mains", "text-600", 6)
    assert text_width("Mains", "text-600", 12) == pytest.approx(2 * once)
    # 5 letters × 0.1 em × 6 pt; 1 pt is 1/72 in (CSS Values and Units Level 3, section 6.2) and 1 in is 25.4 mm.
    assert text_width("Mains", "text-600", 6, 0.1) - once == pytest.approx(5 * 0.1 * 6 * 25.4 / 72, rel=0.01)


def test_unknown_letters_count_as_the_widest() -> None:
    """A character that the font lacks is taken for the widest that it has."""
    assert text_width("語", "text-500", 10) >= max(text_width(c, "text-500", 10) for c in "MW@Œ‰")


def test_fitted_size_is_the_largest_step_that_fits() -> None:
    """The size chosen fits, the next larger step does not; the smallest is taken where nothing fits."""
    text, width = "Lanolin Multifilament Ultra Soft", 30.0
    size = fitted_size(text, "text-600", width, 9, 5.5)
    assert 5.5 < size < 9
    assert fits(text, "text-600", width, size)
    assert not fits(text, "text-600", width, size + 0.25)
    assert fitted_size(text, "text-600", 1000, 9, 5.5) == 9
    assert fitted_size(text, "text-600", 3, 9, 5.5) == 5.5


def test_shortened_keeps_what_fits() -> None:
    """A text that fits is left alone; another keeps its start, ends in an ellipsis and fits."""
    text = "Field Ninety-Eight Tour Extended"
    assert shortened(text, "text-500", 100, 6) == text
    cut = shortened(text, "text-500", 15, 6)
    assert cut.endswith("…") and text.startswith(cut[:-1]) and len(cut) > 8
    assert fits(cut, "text-500", 15, 6)
    assert shortened(text, "text-500", 0, 6) == "…"


def test_packed_lines_hold_every_phrase_once() -> None:
    """Phrases share lines where they fit and are never broken or lost."""
    phrases = ("Mains start at the throat", "Skips 7T 9T, 7H 9H", "Tie-offs 8T, 5H", "Stencil fan, white")
    lines = packed(phrases, "text-500", 53.6, 6)
    assert 1 < len(lines) < len(phrases)
    assert sorted(p for line in lines for p in line.split(" · ")) == sorted(phrases)
    assert all(fits(line, "text-500", 53.6, 6) for line in lines)
    assert packed((), "text-500", 53.6, 6) == ()


def test_wrapped_lines_hold_every_word_in_order() -> None:
    """Words are kept in order, in lines that fit; a word too long for any line stands alone."""
    text = "Leather grip with one overgrip and Donaudampfschifffahrtsgesellschaft on the cap"
    lines = wrapped(text, "text-500", 20, 6)
    assert " ".join(lines) == text
    assert all(fits(line, "text-500", 20, 6) for line in lines if " " in line)
    assert "Donaudampfschifffahrtsgesellschaft" in lines
    assert wrapped("", "text-500", 20, 6) == ()


def test_scripts_without_spaces_are_broken_between_signs() -> None:
    """Chinese and Japanese lines end between signs, but no line begins with a full stop or ends with an opening bracket
    (UAX 14); Korean words and numbers stay whole."""
    text = "年間の張り替え回数は、週10回以上（少なくとも）が目安です。"
    lines = wrapped(text, "text-500", 14, 8)
    assert "".join(lines) == text and len(lines) > 4
    assert not any(line[0] in "、。）" or line[-1] == "（" for line in lines)
    assert any("10" in line for line in lines)
    assert wrapped("최햇살 김민준", "text-500", 1, 8) == ("최햇살", "김민준")
