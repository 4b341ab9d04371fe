"""The colours of a screen as inks of an offset press: cyan, magenta, yellow and black, in whole percent.

Text, code and lines are printed in black alone: in four inks a line is as wide as the plates are out of register. What
has a colour that a reader is to see as one goes through the ICC profile of the printing condition, relative to the paper,
with the darkest ink for the darkest colour.
"""

import io
from functools import cache, lru_cache
from typing import Any

from passport.records.disk import opening
from passport.render.theme import assets
from passport.render.theme.palette import LIGHT

PROFILE = "press/fogra39l.icc"
CONDITION = "FOGRA39"
"""The printing condition's name in the registry of the International Color Consortium (http://www.color.org)."""
Inks = tuple[int, int, int, int]
"""Cyan, magenta, yellow and black, percent."""
NEUTRAL = frozenset((LIGHT.ink, LIGHT.on_ball, LIGHT.soft, LIGHT.rule, LIGHT.hair, LIGHT.frame))
"""What is neither a shop's colour nor the house's on paper: text, lines, the outline of a racquet."""
_GREY = 6
"""Most that the parts of a colour, 0 to 255, differ in one that is taken for a grey."""


def profile() -> bytes:
    """The ICC profile of the printing condition; ``templates/press`` has its licence."""
    return opening.read(assets.templates() / PROFILE)


@lru_cache(maxsize=512)
def inks(colour: str) -> Inks:
    """The inks of ``#rrggbb``."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    if colour in NEUTRAL or max(red, green, blue) - min(red, green, blue) <= _GREY:
        return 0, 0, 0, _black((red, green, blue))
    from PIL import Image

    printed = _ways()[0].apply(Image.new("RGB", (1, 1), (red, green, blue))).getpixel((0, 0))
    return tuple(round(part / 2.55) for part in printed)


def _black(colour: tuple[int, int, int]) -> int:
    """How much black alone is as light as a colour; all of it for what is darker than that."""
    from PIL import Image

    wanted = _ways()[1].apply(Image.new("RGB", (1, 1), colour)).getpixel((0, 0))[0]
    return min(range(101), key=lambda share: (abs(_ramp()[share] - wanted), -share))


@cache
def _ramp() -> tuple[int, ...]:
    """How light 0 to 100 % of black are."""
    from PIL import Image

    ramp = Image.new("CMYK", (101, 1))
    for share in range(101):
        ramp.putpixel((share, 0), (0, 0, 0, round(2.55 * share)))
    shown = _ways()[2].apply(ramp)
    return tuple(shown.getpixel((share, 0))[0] for share in range(101))


@cache
def _ways() -> tuple[Any, Any, Any]:
    """From a screen's colours to inks, and from either to lightness."""
    from PIL import ImageCms

    press, screen, lab = (
        ImageCms.ImageCmsProfile(io.BytesIO(profile())), ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"),
    )  # fmt: skip
    paper, dark = ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.BLACKPOINTCOMPENSATION
    return (
        ImageCms.buildTransform(screen, press, "RGB", "CMYK", paper, dark),
        ImageCms.buildTransform(screen, lab, "RGB", "LAB", paper),
        ImageCms.buildTransform(press, lab, "CMYK", "LAB", paper),
    )
