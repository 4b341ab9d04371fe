"""``passport calibrate``: the page stands in the bench folder, and says how its readings are given."""

import pypdf
import pytest
import smallshop
from commandline import passport, refused
from printread import MM


@pytest.mark.parametrize(("paper", "width"), [("a4", 210.0), ("letter", 215.9)])
def test_the_page_is_made(tmp_path, paper, width):
    """It is called after the paper (ISO 216 A4, ANSI/ASME Y14.1 A), which it has the size of."""
    content = smallshop.write(tmp_path / "content")
    result = passport("calibrate", content, "--paper", paper)
    assert result.exit_code == 0
    assert "passport cards --shift ACROSS DOWN" in result.stdout
    reader = pypdf.PdfReader(tmp_path / "bench" / f"calibration-{paper}.pdf")
    assert [float(page.mediabox.width) / MM for page in reader.pages] == pytest.approx([width] * 2, abs=0.05)


def test_the_records_are_no_place_for_it(tmp_path):
    """A file among the records is refused."""
    content = smallshop.write(tmp_path / "content")
    refused(passport("calibrate", content, "--out", content / "new.pdf"), "holds the records")
