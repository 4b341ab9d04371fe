"""A screen's colours as inks."""

import io
import struct

import pytest
from PIL import Image, ImageCms

from passport.render.standards.inks import NEUTRAL, inks, profile
from passport.render.theme.assets import templates
from passport.render.theme.palette import LIGHT


def test_black_is_black_alone_and_white_is_bare_paper() -> None:
    """The ends of the scale need no mixing."""
    assert inks("#000000") == (0, 0, 0, 100)
    assert inks("#ffffff") == (0, 0, 0, 0)


@pytest.mark.parametrize("colour", sorted(NEUTRAL))
def test_what_is_neutral_on_paper_is_black_alone(colour) -> None:
    """Text and lines have no coloured ink."""
    cyan, magenta, yellow, black = inks(colour)
    assert (cyan, magenta, yellow) == (0, 0, 0) and black > 0


def test_darker_greys_have_more_black() -> None:
    """From white to black the ink only grows, and no grey but the darkest has all of it."""
    shares = [inks(f"#{v:02x}{v:02x}{v:02x}")[3] for v in range(255, -1, -5)]
    assert shares == sorted(shares)
    assert len(set(shares)) > 40


@pytest.mark.parametrize("colour", [LIGHT.petrol, LIGHT.plum, LIGHT.good, LIGHT.bad, LIGHT.fitted, "#8a1c2b"])
def test_a_colour_looks_on_paper_as_on_the_screen_as_far_as_inks_reach(colour) -> None:
    """Read back through the profile it is the same within 6 (CIE 1976), with the paper and the darkest ink as ends."""
    paper, dark = ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.BLACKPOINTCOMPENSATION
    press, screen = ImageCms.ImageCmsProfile(io.BytesIO(profile())), ImageCms.createProfile("sRGB")
    back = ImageCms.buildTransform(press, screen, "CMYK", "RGB", paper, dark)
    lab = ImageCms.buildTransform(screen, ImageCms.createProfile("LAB"), "RGB", "LAB", paper)
    printed = Image.new("CMYK", (1, 1), tuple(round(2.55 * part) for part in inks(colour)))
    seen, wanted = (
        lab.apply(each).getpixel((0, 0)) for each in (back.apply(printed), Image.new("RGB", (1, 1), colour))
    )
    signed = [(v / 2.55, *(c - 256 if c > 127 else c for c in (a, b))) for v, a, b in (seen, wanted)]
    assert sum((p - q) ** 2 for p, q in zip(*signed, strict=True)) ** 0.5 < 6


def test_the_profile_is_of_a_printer_and_not_of_any_day() -> None:
    """It is a printer's in four inks (ICC.1, 7.2), dated as its measurements are: December 2006."""
    data = profile()
    assert data[12:20] == b"prtrCMYK"
    assert struct.unpack(">6H", data[24:36]) == (2006, 12, 1, 0, 0, 0)
    assert len(data) < 130_000


def test_its_licence_ships_beside_it() -> None:
    """The licence of the measurements stands in the same folder, and says that the profile is not the original."""
    said = (templates() / "press" / "ZLIB-FOGRA39L.txt").read_text(encoding="utf-8")
    assert "zlib/libpng License" in said and "not the original data" in said
