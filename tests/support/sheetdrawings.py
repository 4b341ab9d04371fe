"""Drawings of bench sheets for tests: two racquets, pieces at every kind of place, and what is drawn of them."""

import re
import xml.etree.ElementTree as ET

from passport.physics.geometry import RacquetShape
from passport.render.drawing.fitted import DrawnPart
from passport.render.sheets.drawing import Drawing, sheet_drawing

TENNIS = RacquetShape(
    length=685, head_length=334, head_width=246, rim=11.5, handle=180, handle_width=32, throat="open", mains=18, crosses=20
)  # fmt: skip
SHAFT = RacquetShape(
    length=675, head_length=244, head_width=188, rim=9, handle=175, handle_width=24, throat="shaft", mains=22, crosses=21
)  # fmt: skip
TWO = DrawnPart("tape", 540.7, 607.0, 2.0, 70.0, 2.8, "{hour} o’clock, 70 mm")
THREE = DrawnPart("tape", 459.3, 553.7, 3.0, 95.0, 3.8, "{hour} o’clock, 95 mm")
TIP = DrawnPart("tape", 673.0, 679.2, 0.0, 70.0, 1.4, "{hour} o’clock, 70 mm")
THROAT = DrawnPart("tape", 270.0, 330.0, None, 60.0, 1.2, "2 × 60 mm")
TOP = DrawnPart("tape", 140.0, 180.0, None, 40.0, 0.8, "40 mm")
INSIDE = DrawnPart("silicone", 10.0, 60.0, None, 0.0, 5.5, "5.5 g")
CAP = DrawnPart("silicone", 0.0, 10.0, None, 0.0, 4.0, "4.0 g")
EVERYTHING = (TWO, THREE, TIP, THROAT, TOP, INSIDE, CAP)
SVG = "{http://www.w3.org/2000/svg}"


def drawing(*pieces: DrawnPart, shape: RacquetShape = TENNIS) -> Drawing:
    """A drawing of pieces with its marks."""
    return Drawing(shape, pieces, 313.0, "balance 313 mm", 100.0, "swing axis 100 mm", "mm from the butt")


def drawn(*pieces: DrawnPart, shape: RacquetShape = TENNIS, width: float = 132.0) -> ET.Element:
    """The drawing as XML."""
    return ET.fromstring(sheet_drawing(drawing(*pieces, shape=shape), width, key="k", title="Racquet", desc="Pieces"))


def texts(root: ET.Element) -> list[ET.Element]:
    """All texts."""
    return list(root.iter(SVG + "text"))


def words(root: ET.Element) -> list[str]:
    """What all texts say."""
    return [e.text or "" for e in texts(root)]


def view(root: ET.Element) -> tuple[float, float, float, float]:
    """The picture's view: left, top, right, bottom."""
    x, y, w, h = map(float, re.findall(r"-?[\d.]+", root.get("viewBox", "")))
    return x, y, x + w, y + h


def extent(e: ET.Element) -> tuple[float, float, float, float]:
    """About where a text lies: left, top, right, bottom; letters are half as wide as high (from memory)."""
    size, x, y = float(e.get("font-size", 0)), float(e.get("x", 0)), float(e.get("y", 0))
    wide = 0.42 * size * len(e.text or "")
    left = {"middle": x - wide / 2, "end": x - wide}.get(e.get("text-anchor", ""), x)
    return left, y - 0.7 * size, left + wide, y
