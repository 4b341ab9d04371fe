"""The calibration page: what is printed on it is where its readings are taken from."""

import io

import page as validation
import pypdf
import pytest
from printread import MM, pages, text

from passport.render.print.imposition import PAPERS
from passport.render.sheets.measured.calibration import ACROSS, DOWN, LEVEL, REACH, RULER, UPRIGHT, calibration_pdf


def lines(side):
    """The ends of every straight line, mm from the upper left corner: left, top, right, low."""
    return [
        tuple(round(line[at] / MM, 2) for at in ("x0", "top", "x1", "bottom")) for line in (*side.lines, *side.curves)
    ]


@pytest.mark.parametrize("paper", PAPERS)
def test_the_rulers_are_as_long_as_they_say(paper) -> None:
    """From the first tick to the last both are 100 mm, with a tick at every millimetre."""
    front = lines(next(pages(calibration_pdf(PAPERS[paper]))))
    x0, y0 = LEVEL
    level = sorted({x for x, top, right, low in front if abs(top - y0) < 0.02 and x == right and 2 <= low - top <= 6})
    assert (level[0], level[-1], len(level)) == (pytest.approx(x0, abs=0.02), pytest.approx(x0 + RULER, abs=0.02), 101)
    x0, y0 = UPRIGHT
    upright = sorted({top for x, top, right, low in front if abs(x - x0) < 0.02 and top == low and 2 <= right - x <= 6})
    assert (upright[0], upright[-1], len(upright)) == (
        pytest.approx(y0, abs=0.02),
        pytest.approx(y0 + RULER, abs=0.02),
        101,
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_lines_of_the_back_lie_behind_the_zeros(paper) -> None:
    """Turned over about the long edge the two lines cross both scales at their zeros, and are longer than these."""
    sheet = PAPERS[paper]
    _, back = map(lines, pages(calibration_pdf(sheet)))
    assert len(back) == 2
    (upright,) = [line for line in back if line[0] == line[2]]
    (level,) = [line for line in back if line[1] == line[3]]
    assert sheet.width - upright[0] == pytest.approx(ACROSS[0], abs=0.02)
    assert upright[1] < ACROSS[1] - REACH and upright[3] > ACROSS[1] + REACH
    assert level[1] == pytest.approx(DOWN[1], abs=0.02)
    ends = sorted(sheet.width - x for x in (level[0], level[2]))
    assert ends[0] < DOWN[0] - REACH and ends[1] > DOWN[0] + REACH


def test_scales_have_half_millimetres() -> None:
    """Each scale has 21 ticks, half a millimetre apart, from -5 to 5."""
    front = lines(next(pages(calibration_pdf(PAPERS["a4"]))))
    x0, y0 = ACROSS
    ticks = sorted(
        {x for x, top, right, low in front if x == right and abs(top - y0) < 0.02 and low - top < 4 and abs(x - x0) < 6}
    )
    assert ticks == pytest.approx([x0 + half / 2 for half in range(-10, 11)], abs=0.02)
    x0, y0 = DOWN
    ticks = sorted({top for x, top, right, low in front if top == low and abs(x - x0) < 0.02 and right - x < 4})
    assert ticks == pytest.approx([y0 + half / 2 for half in range(-10, 11)], abs=0.02)


@pytest.mark.parametrize("paper", PAPERS)
def test_it_is_pdf_ua_and_says_what_to_do(paper) -> None:
    """It passes PDF/UA-1, has two pages of the paper's size, no letter below 7 pt, and names the option."""
    data = calibration_pdf(PAPERS[paper])
    report = validation.validate_pdf_bytes(data, profile="ua1")
    assert report.is_compliant, report.failures
    reader = pypdf.PdfReader(io.BytesIO(data))
    assert [float(one.mediabox.width) / MM for one in reader.pages] == pytest.approx(
        [PAPERS[paper].width] * 2, abs=0.05
    )
    assert "--shift 0.8 -0.5" in text(data, 0)
    assert "100 %, " in text(data, 0)
    assert min(letter["size"] for side in pages(data) for letter in side.chars) >= 7


@pytest.mark.parametrize(("language", "word"), [("de", "QUER"), ("es", "HORIZONTAL"), ("fr", "EN TRAVERS")])
def test_it_is_in_the_shops_language(language, word) -> None:
    """Its words and its language are the shop's; its lines are where they are in English."""
    data = calibration_pdf(PAPERS["a4"], language)
    assert word in text(data, 0)
    assert pypdf.PdfReader(io.BytesIO(data)).trailer["/Root"]["/Lang"] == language
    assert validation.validate_pdf_bytes(data, profile="ua1").is_compliant
    for here, there in zip(pages(data), pages(calibration_pdf(PAPERS["a4"])), strict=True):
        assert lines(here) == lines(there)
