"""``passport plot``: three kinds of file, where it may be written, and what it refuses."""

from io import BytesIO

import pytest
from bedshop import frame, job, shop
from commandline import passport, refused, tree
from PIL import Image


@pytest.fixture
def content(tmp_path):
    """A frame that was strung and read, and one that nothing was done to."""
    read = "mass: 330 g, balance: 320 mm, swingweight: 318 kgcm2, ring: 600 Hz, age: 15 min"
    frames = {"one": frame(job("2026-01-05", read)), "bare": "model: larch-98\nlabel: Bare\n"}
    return shop(tmp_path / "content", frames).root


def test_a_picture_beside_the_content(content):
    """Without more it is a PNG in the private folder, and no record changes."""
    before = tree(content)
    result = passport("plot", content, "cy/one")
    assert result.exit_code == 0 and "private" in result.stdout
    made = content.parent / "bench" / "plot-cy-one.png"
    assert Image.open(BytesIO(made.read_bytes())).format == "PNG"
    assert tree(content) == before


@pytest.mark.parametrize(("ending", "begins"), [("svg", b"<?xml"), ("pdf", b"%PDF"), ("PNG", b"\x89PNG")])
def test_the_ending_says_what_it_is(content, tmp_path, ending, begins):
    """The file is of the kind that its ending names, the same bytes each time, and replaces one of its kind."""
    out = tmp_path / f"course.{ending}"
    assert passport("plot", content, "cy/one", "--out", out).exit_code == 0
    first = out.read_bytes()
    assert first.startswith(begins)
    assert passport("plot", content, "cy/one", "--out", out).exit_code == 0
    assert out.read_bytes() == first


def test_what_is_refused(content, tmp_path):
    """Another ending, a place among the records, a file of another kind, and a frame with nothing to draw."""
    assert passport("plot", content, "cy/one", "--out", tmp_path / "course.gif").exit_code == 2
    refused(passport("plot", content, "cy/one", "--out", content / "course.png"), "holds the records")
    mine = tmp_path / "mine.svg"
    mine.write_text("dear diary")
    refused(passport("plot", content, "cy/one", "--out", mine), "is no SVG", "--out")
    assert mine.read_text() == "dear diary"
    refused(passport("plot", content, "cy/bare"), "nothing to draw", "passport log cy/bare")
