"""The ornament: small, inside its box, different for each number and the same for ever."""

import itertools
import math
import re
import subprocess
import sys
import xml.etree.ElementTree as ET

import pytest

from passport.render.drawing.ornament import band, band_paths, rosette, rosette_paths
from passport.render.theme.palette import CSS_PAINT, LIGHT, PRINT_PAINT

SEEDS = tuple(f"{a}{b}-7" for a, b in itertools.product(range(1, 9), "ABCDE"))


def walk(data: str) -> list[tuple[float, float]]:
    """The end points of each piece of path data made of M, c, s and z."""
    points: list[tuple[float, float]] = []
    for letter, rest in re.findall(r"([Mcsz])([^Mcsz]*)", data):
        numbers = [float(n) for n in re.findall(r"-?\d+", rest)]
        if letter == "M":
            points.append((numbers[0], numbers[1]))
        elif letter in "cs":
            points.append((points[-1][0] + numbers[-2], points[-1][1] + numbers[-1]))
    return points


@pytest.mark.parametrize("make", [rosette, band])
def test_small_and_well_formed(make) -> None:
    """An ornament for any number is well-formed, below 4 kB, and free of style attributes."""
    for seed in SEEDS:
        text = make(seed, paint=CSS_PAINT)
        assert len(text.encode()) < 4000
        assert "style=" not in text
        assert ET.fromstring(text).get("aria-hidden") == "true"


def test_rosette_stays_in_its_circle() -> None:
    """No point of a rosette leaves the circle, and every line comes back to where it began."""
    for path in itertools.chain.from_iterable(map(rosette_paths, SEEDS)):
        points = walk(path)
        assert max(math.hypot(x, y) for x, y in points) <= 500
        assert math.dist(points[0], points[-1]) <= 2
        assert path.endswith("z")


def test_core_lies_inside_the_weave() -> None:
    """The flower in the middle does not run into the weave round it."""
    for weave, core in map(rosette_paths, SEEDS):
        assert max(math.hypot(*p) for p in walk(core)) < min(math.hypot(*p) for p in walk(weave))


def test_band_fills_its_length() -> None:
    """Each strand reaches past both ends of the band and stays between its edges."""
    for path in itertools.chain.from_iterable(map(band_paths, SEEDS)):
        points = walk(path)
        assert points[0][0] <= 0 and points[-1][0] >= 7200
        assert all(0 <= y <= 400 for _, y in points)


def test_different_for_each_number() -> None:
    """Forty numbers give forty different ornaments."""
    assert len({rosette_paths(seed) for seed in SEEDS}) == len(SEEDS)
    assert len({band_paths(seed) for seed in SEEDS}) == len(SEEDS)


def test_same_in_every_process() -> None:
    """A number's ornament does not depend on the process that draws it."""
    code = "from passport.render.drawing import ornament as o; from passport.render.theme import palette as p; print(o.rosette('4Q7', paint=p.CSS_PAINT), end='')"
    for salt in ("1", "2"):
        done = subprocess.run(
            [sys.executable, "-c", code], env={"PYTHONHASHSEED": salt}, capture_output=True, text=True, check=True
        )
        assert done.stdout == rosette("4Q7", paint=CSS_PAINT)


def test_two_colours() -> None:
    """In print, strands and core take the colours that were asked for."""
    assert LIGHT.plum in band("A", paint=PRINT_PAINT, stroke="petrol", second="plum")
    assert LIGHT.plum in rosette("A", paint=PRINT_PAINT, stroke="petrol", core="plum")
    assert 'class="s-plum"' in rosette("A", paint=CSS_PAINT, core="plum")
