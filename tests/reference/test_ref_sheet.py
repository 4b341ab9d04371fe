"""The figures on a bench sheet, re-added from the printed words alone with sums of points: no code of the program.

Formulas: parallel axis theorem, and a rod's own (x₂ − x₁)²/12 (any mechanics text, from memory). The racquet's
dimensions are those of the catalogue's record.
"""

import io
import math
import re
from dataclasses import dataclass

import numpy as np
import pdfplumber
import pytest
from finestring import Frame, moments
from sheetfacts import SHOP, crowded, ordinary

from passport.render.sheets.sheet import rebuild_pdf

LENGTH, HEAD, RIM, HANDLE_WIDTH = 685.8, (330.0, 246.0), 12.0, 32.0
MAINS, CROSSES, G_PER_M = (16, 12.6), (19, 14.6), 1.40
GAUGE = 1.25
CENTRE = LENGTH - RIM - HEAD[0] / 2
WALL = 4.0
"""Thickness of the handle's wall, mm: what is inside the handle lies within it (common practice, no source)."""


@dataclass
class Racquet:
    """Mass g, first moment g·mm and moment about 10 cm from the butt g·mm²: three plain sums."""

    mass: float
    first: float
    swing: float

    def points(self, mass: float, xs, out_of_plane: float = 0.0) -> None:
        """Add mass spread evenly over points along the racquet, at a mean square distance out of its plane, mm²."""
        xs = np.asarray(xs, dtype=float)
        self.mass += mass
        self.first += mass * xs.mean()
        self.swing += mass * (((xs - 100.0) ** 2).mean() + out_of_plane)

    def rod(self, mass: float, low: float, high: float, radius: float) -> None:
        """Add something of a mean square distance ``radius``² from the long axis, evenly from ``low`` to ``high``."""
        self.points(mass, np.linspace(low, high, 4001), radius**2 / 2)

    @property
    def read(self) -> tuple[float, float, float]:
        """Mass g, balance mm, swingweight kg·cm²."""
        return self.mass, self.first / self.mass, self.swing / 1e5


def hoop(hour: float, length: float) -> np.ndarray:
    """Distances from the butt of points evenly along a strip on the middle of the hoop, walked in small steps."""
    a, b = (HEAD[0] + RIM) / 2, (HEAD[1] + RIM) / 2
    angle = math.radians(30 * hour)
    middle = math.atan2(a * math.sin(angle), b * math.cos(angle))
    found = []
    for way in (-1, 1):
        t, step = middle, 0.02
        for _ in range(round(length / 2 / step)):
            found.append(CENTRE + a * math.cos(t))
            t += way * step / math.hypot(a * math.sin(t), b * math.cos(t))
    return np.asarray(found)


def strings(racquet: Racquet) -> None:
    """Add the whole string by another model than the program's, bend by bend and knot by knot (`finestring`)."""
    frame = Frame(LENGTH, HEAD, RIM, (MAINS[0], CROSSES[0]), (MAINS[1], CROSSES[1]))
    mass, first, second, _ = moments(frame, (G_PER_M, G_PER_M), GAUGE)
    racquet.mass += mass
    racquet.first += first
    racquet.swing += second - 2 * 100 * first + 100**2 * mass


def printed(found) -> tuple[str, list[str]]:
    """The words of the front, and the three figures of each line of the work on the back."""
    with pdfplumber.open(io.BytesIO(rebuild_pdf([found], SHOP))) as document:
        front = " ".join((document.pages[0].extract_text() or "").replace("\u202f", " ").replace("\xa0", " ").split())
        rows: list[str] = []
        figures = document.pages[1].extract_text().replace("\u202f", " ").replace("\xa0", " ").splitlines()
        for line in figures:
            row = re.search(r"(?:^|\s)(\d+\.\d) (\d+\.\d) (\d+\.\d)$", line)
            if row:
                rows.append(" ".join(row.groups()))
    return front, rows


def columns(front: str, name: str) -> list[float]:
    """The figures of one row of the table on the front: as measured, untuned, target, planned."""
    row = re.search(rf"{name} (?:g|mm|kg·cm2|kg·cm²) ((?:\d+\.\d ± \d+\.\d ){{4}})", front)
    assert row, (name, front)
    return [float(v) for v in re.findall(r"(\d+\.\d) ±", row.group(1))]


def pieces(front: str):
    """The pieces on the front: name, place, from, to, cut, and mass in g."""
    table = front.partition("cut mass ")[2].partition(" Off ")[0]
    pattern = (
        r"\d (Tungsten tape|Silicone) (.+?) (\d+)–(\d+) (?:± \d+|\d+–\d+|–) (?:(2 × )?(\d+) mm|–) (2 × )?(\d+\.\d+) g"
    )
    for name, place, low, high, _, cut, pair, mass in re.findall(pattern, table):
        yield name, place, float(low), float(high), float(cut or 0), float(mass) * (2 if pair else 1)


def worked(found):
    """The reading expected after each piece, from the printed words: of the trial, then of the finished frame."""
    front, rows = printed(found)
    mass, balance, swing = (columns(front, n)[0] for n in ("Mass", "Balance", "Swingweight"))
    racquet = Racquet(mass, mass * balance, swing * 1e5)
    readings = [racquet.read]
    racquet.rod(-14.0, 0, 180, HANDLE_WIDTH / 2)
    readings.append(racquet.read)
    for name, place, low, high, cut, grams in pieces(front):
        hour = {"under the bumper": 0.0, "10 and 2 o’clock": 2.0, "3 and 9 o’clock": 3.0}.get(place)
        if name == "Silicone":
            racquet.rod(grams, low, high, (HANDLE_WIDTH / 2 - WALL) / math.sqrt(2))
        elif hour is not None:
            racquet.points(grams, hoop(hour, cut))
        else:
            racquet.rod(grams, low, high, 0.0)
        readings.append(racquet.read)
    tried = len(readings)
    strings(racquet)
    for grams, low, high in ((25.0, 0, 180), (4.2, 0, 155), (5.0, 0, 180)):
        assert f"{low}–{high} mm, {grams:.1f} g" in front
        racquet.rod(grams, low, high, HANDLE_WIDTH / 2)
    return front, rows, readings[:tried], racquet.read


def close(row: str, read: tuple[float, float, float]) -> None:
    """A printed row says what was re-added, to the rounding of the figures that both began with."""
    for said, added, within in zip(row.split(), read, (0.12, 0.2, 0.2), strict=True):
        assert float(said) == pytest.approx(added, abs=within), (row, read)


@pytest.mark.parametrize("found", [ordinary, crowded])
def test_each_trial_re_added_by_hand(found):
    """From the blank as measured, what comes off and each piece that is tried give the figures printed beside them."""
    _, rows, readings, _ = worked(found())
    assert len(readings) == 2 + len(found().plans[0].additions)
    for row, read in zip(rows, readings, strict=False):
        close(row, read)


@pytest.mark.parametrize("found", [ordinary, crowded])
def test_the_finished_frame_re_added_by_hand(found):
    """With strings and grips added string by string and point by point, the last line and the plan's figures come out."""
    front, rows, _, finished = worked(found())
    close(rows[-1], finished)
    planned = " ".join(f"{columns(front, name)[3]:.1f}" for name in ("Mass", "Balance", "Swingweight"))
    close(planned, finished)


def test_untuned_re_added_by_hand():
    """The column of the untuned frame is the blank without its grip, with strings and the player's grips, nothing else."""
    front, _, _, _ = worked(ordinary())
    mass, balance, swing = (columns(front, n)[0] for n in ("Mass", "Balance", "Swingweight"))
    racquet = Racquet(mass, mass * balance, swing * 1e5)
    racquet.rod(-14.0, 0, 180, HANDLE_WIDTH / 2)
    strings(racquet)
    for grams, low, high in ((25.0, 0, 180), (4.2, 0, 155), (5.0, 0, 180)):
        racquet.rod(grams, low, high, HANDLE_WIDTH / 2)
    close(" ".join(f"{columns(front, name)[1]:.1f}" for name in ("Mass", "Balance", "Swingweight")), racquet.read)


def test_a_gram_more_re_added_by_hand():
    """The table of grams: one gram over the stretch that it names changes balance and swingweight by what it says."""
    found = ordinary()
    front, _ = printed(found)
    with pdfplumber.open(io.BytesIO(rebuild_pdf([found], SHOP))) as document:
        back = document.pages[1].extract_text().replace("\u202f", " ").replace("\xa0", " ")
    mass, balance = (columns(front, n)[3] for n in ("Mass", "Balance"))
    for place, hour, length in (
        ("under the bumper", 0.0, 150.0),
        ("3 and 9 o’clock", 3.0, 120.0),
        ("inside the handle", None, 0.0),
    ):
        row = re.search(rf"{place} (\d+)–(\d+) ([+−]\d+\.\d\d) ([+−]\d+\.\d\d) ", back)
        assert row, place
        low, high = float(row.group(1)), float(row.group(2))
        gram = Racquet(0.0, 0.0, 0.0)
        if hour is None:
            gram.rod(1.0, low, high, (HANDLE_WIDTH / 2 - WALL) / math.sqrt(2))
        else:
            gram.points(1.0, hoop(hour, length))
        change = (mass * balance + gram.first) / (mass + 1) - balance
        assert float(row.group(3).replace("−", "-")) == pytest.approx(change, abs=0.011)
        assert float(row.group(4).replace("−", "-")) == pytest.approx(gram.swing / 1e5, abs=0.011)
