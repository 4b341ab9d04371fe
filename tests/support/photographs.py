"""Photographs of a printed code as a telephone takes them: seen at an angle, blurred, unevenly lit, noisy, soiled.

`photograph` takes a code alone, filling the picture. `taken` takes a whole piece that a printer has made its own way
(`as_printed`), from a distance, as the preview of a telephone's camera sees it or as a still.
"""

from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageFilter

FINDER = 9
"""Modules of a finder pattern with its separator and a module more (ISO/IEC 18004: 7 and 1 module)."""
QUIET = 4
"""Light modules on each side (ISO/IEC 18004)."""


def covered(picture: np.ndarray, modules: int, share: float, rng: np.random.Generator) -> np.ndarray:
    """The square picture of a code with something of any grey lying on ``share`` of its symbol.

    It is a tilted rectangle, or two halves of that size. The three finder patterns stay in sight: where one of them is
    hidden a symbol cannot be found at all (ISO/IEC 18004 finds it by them), and no error correction helps.
    """
    size = picture.shape[0]
    module = size / (modules + 2 * QUIET)
    low, high = QUIET * module, size - QUIET * module
    y, x = (np.arange(size, dtype=np.float32) + 0.5)[:, None], (np.arange(size, dtype=np.float32) + 0.5)[None, :]
    reach = FINDER * module
    finders = ((x < low + reach) & ((y < low + reach) | (y > high - reach))) | ((x > high - reach) & (y < low + reach))
    soiled, pieces = picture.copy(), int(rng.integers(1, 3))
    hidden = np.zeros(picture.shape, dtype=bool)
    while hidden.mean() < share * ((high - low) / size) ** 2 * 0.98:
        area = share * (high - low) ** 2 / pieces
        wide = np.sqrt(area * rng.uniform(0.5, 2.0))
        turn, (u, v) = rng.uniform(0, np.pi), rng.uniform(low, high, 2)
        along, across = (x - u) * np.cos(turn) + (y - v) * np.sin(turn), (y - v) * np.cos(turn) - (x - u) * np.sin(turn)
        patch = (abs(along) < wide / 2) & (abs(across) < area / wide / 2)
        inside = (abs(x - size / 2) < (high - low) / 2) & (abs(y - size / 2) < (high - low) / 2)
        if (patch & finders).any() or (patch & ~inside).any() or (patch & hidden).any():
            continue
        hidden |= patch
        soiled[patch] = rng.uniform(0, 255)
    return soiled


def photograph(picture: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """A square grey picture (0 to 255) on white paper as a camera sees it, with as many pixels a module as before."""
    size = picture.shape[0]
    canvas = int(size * 1.4)
    seen = Image.fromarray(picture).transform(
        (canvas, canvas), Image.Transform.PERSPECTIVE, _view(size, canvas, rng), resample=Image.Resampling.BICUBIC,
        fillcolor=255,
    )  # fmt: skip
    light = np.asarray(seen.filter(ImageFilter.GaussianBlur(rng.uniform(0.4, 1.4))), dtype=np.float32)
    dark, bright = rng.uniform(5, 50), rng.uniform(150, 250)
    shade = np.linspace(1 - rng.uniform(0, 0.35), 1, canvas, dtype=np.float32)
    lit = np.float32(dark) + (bright * (shade[:, None] if rng.random() < 0.5 else shade) - dark) * light / 255
    lit += np.float32(rng.uniform(2, 10)) * rng.standard_normal(lit.shape, dtype=np.float32)
    return np.clip(lit, 0, 255).astype(np.uint8)


def _view(size: int, canvas: int, rng: np.random.Generator) -> tuple[float, ...]:
    """The eight numbers of a perspective: the sheet turned by up to 20°, each corner off by up to 5 % of its side."""
    corners = np.array([(0, 0), (size, 0), (size, size), (0, size)], dtype=np.float64)
    turn = np.radians(rng.uniform(-20, 20))
    spin = np.array([(np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn))])
    there = (corners - size / 2) @ spin.T + canvas / 2 + rng.uniform(-0.05, 0.05, (4, 2)) * size
    return _between(there, corners)


def _between(there, corners) -> tuple[float, ...]:
    """The eight numbers of the perspective that takes the points ``there`` to the ``corners``."""
    rows, wanted = [], []
    for (x, y), (u, v) in zip(there, corners, strict=True):
        rows += [(x, y, 1, 0, 0, 0, -u * x, -u * y), (0, 0, 0, x, y, 1, -v * x, -v * y)]
        wanted += [u, v]
    return tuple(np.linalg.solve(np.array(rows), np.array(wanted)))


# --- a whole piece, from a printer, from a distance ----------------------------------------------------------------


@dataclass(frozen=True)
class Printer:
    """How a printer sets dots: how far each dark edge spreads, how ragged and how soft it gets, mm; the grey of its black
    (0 to 255), dots an inch, and specks a cm²."""

    spread: float
    ragged: float
    soft: float
    black: int
    dpi: int
    specks: float


PRINTERS = {
    "laser": Printer(0.01, 0.008, 0.01, 25, 600, 0.0),
    "toner spread": Printer(0.055, 0.025, 0.02, 30, 600, 4.0),
    "ink bleed": Printer(0.06, 0.03, 0.05, 55, 300, 0.0),
}
"""Common practice, no source: office machines spread a tenth of a millimetre of dark on plain paper, both edges together."""
PRINT_DPI = 600
"""Dots an inch in which a piece is given to `as_printed`."""
SEEN_DPI = 300
"""Dots an inch in which `as_printed` gives it back; more than a camera's pixels at 10 cm."""


def as_printed(picture: np.ndarray, printer: Printer, rng: np.random.Generator) -> np.ndarray:
    """A grey picture at `PRINT_DPI` as it stands on paper, at `SEEN_DPI`."""
    px = PRINT_DPI / 25.4
    drawn = Image.fromarray(picture)
    if printer.dpi < PRINT_DPI:
        step = PRINT_DPI // printer.dpi
        coarse = drawn.reduce(step).point(lambda grey: grey if 90 < grey < 250 else 255 * (grey > 127))
        drawn = coarse.resize(drawn.size, Image.Resampling.NEAREST)
    # An edge that is blurred crosses any grey: where it is cut tells how far the dark side spreads.
    edge = max(2 * printer.spread, 0.03)
    light = np.asarray(drawn.filter(ImageFilter.GaussianBlur(edge * px)), dtype=np.float32) / 255
    grain = _grain(light.shape, 0.08 * px, rng)
    # For a Gaussian edge with sigma s the lightness at a distance x is about 0.5 + x / (s · √(2π)).
    cut = 0.5 + (printer.spread + printer.ragged * grain) / (edge * 2.507)
    dark = light < np.clip(cut, 0.05, 0.95)
    ink = np.asarray(drawn, dtype=np.float32)
    tone = np.where(
        dark,
        np.minimum(np.asarray(drawn.filter(ImageFilter.MinFilter(5)), dtype=np.float32), 250),
        np.maximum(ink, 128),
    )
    tone = printer.black + tone * (240 - printer.black) / 255
    if printer.specks:
        count = rng.poisson(printer.specks * picture.size / (10 * px) ** 2)
        at = rng.integers(0, picture.size, count)
        tone.reshape(-1)[at] = printer.black
    soft = Image.fromarray(np.clip(tone, 0, 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(printer.soft * px))
    return np.asarray(soft.reduce(PRINT_DPI // SEEN_DPI))


def _grain(shape: tuple[int, ...], size: float, rng: np.random.Generator) -> np.ndarray:
    """Noise of standard deviation 1 whose spots are about ``size`` pixels wide."""
    small = (int(shape[0] / size) + 2, int(shape[1] / size) + 2)
    noise = Image.fromarray(rng.standard_normal(small, dtype=np.float32))
    return np.asarray(noise.resize((shape[1], shape[0]), Image.Resampling.BICUBIC), dtype=np.float32)


@dataclass(frozen=True)
class Camera:
    """Width and height of a picture and focal length, pixels, with the blur of a steady hand, pixels."""

    width: int
    height: int
    focal: float
    blur: tuple[float, float]


CAMERAS = {
    # 26 mm on 43.27 mm of film, as most telephones: on the diagonal of 5,000 px these are 3,004 px; a preview is 1,920 of
    # the 4,000 px wide (common practice, no source).
    "preview": Camera(1920, 1080, 1442.0, (0.8, 1.4)),
    "still": Camera(4000, 3000, 3004.0, (0.9, 1.7)),
}


def taken(
    paper: np.ndarray, camera: Camera, distance: float, rng: np.random.Generator, *, low: bool = False,
    aim: tuple[float, float] | None = None,
) -> np.ndarray:  # fmt: skip
    """A piece on a table from ``distance`` mm, aimed at a point of it, mm (by default its middle), tilted and turned.

    In ``low`` light the hand moves while the shutter is open, and the picture is dark and noisy.
    """
    px = SEEN_DPI / 25.4
    tall, wide = paper.shape[0] / px, paper.shape[1] / px
    u, v = aim or (wide / 2, tall / 2)
    turn = np.radians(rng.uniform(-12, 12) + (90 if tall > wide else 0))
    tilt, lean = np.radians(rng.uniform(-15, 15, 2))
    spin = _about(2, turn) @ _about(0, tilt) @ _about(1, lean)
    off = rng.uniform(-0.04, 0.04, 2) * camera.height
    rows = []
    corners = [(0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall)]
    for x, y in corners:
        place = spin @ np.array([x - u, y - v, 0.0]) + np.array([0, 0, distance])
        rows.append(camera.focal * place[:2] / place[2] + (camera.width / 2 + off[0], camera.height / 2 + off[1]))
    seen = _projected(paper, [(x * px, y * px) for x, y in corners], rows, camera, int(rng.integers(60, 150)))
    return _exposed(seen, camera, rng, low=low)


def _about(axis: int, angle: float) -> np.ndarray:
    """A turn about an axis."""
    c, s = np.cos(angle), np.sin(angle)
    turn = np.eye(3)
    i, j = [k for k in range(3) if k != axis]
    turn[i, i], turn[i, j], turn[j, i], turn[j, j] = c, -s, s, c
    return turn


def _projected(paper: np.ndarray, corners, there, camera: Camera, table: int) -> np.ndarray:
    """The paper as it falls on the sensor, on a grey table."""
    return np.asarray(
        Image.fromarray(paper).transform(
            (camera.width, camera.height), Image.Transform.PERSPECTIVE, _between(there, corners),
            resample=Image.Resampling.BICUBIC, fillcolor=table,
        )
    )  # fmt: skip


def _exposed(seen: np.ndarray, camera: Camera, rng: np.random.Generator, *, low: bool) -> np.ndarray:
    """What comes out of the sensor: blurred, unevenly lit, noisy."""
    picture = Image.fromarray(seen).filter(ImageFilter.GaussianBlur(rng.uniform(*camera.blur)))
    if low:
        picture = _moved(picture, rng.uniform(1, 3.5) * camera.blur[1] / 1.4, rng.uniform(0, np.pi))
    light = np.asarray(picture, dtype=np.float32) / 255
    bright, dark = (rng.uniform(70, 110), rng.uniform(10, 25)) if low else (rng.uniform(170, 245), rng.uniform(5, 40))
    shade = np.linspace(1 - rng.uniform(0, 0.4), 1, seen.shape[1], dtype=np.float32)[:: int(rng.choice((-1, 1)))]
    lit = np.float32(dark) + (bright * shade - dark) * light
    lit += np.float32(rng.uniform(6, 10) if low else rng.uniform(2, 5)) * rng.standard_normal(
        lit.shape, dtype=np.float32
    )
    return np.clip(lit, 0, 255).astype(np.uint8)


def _moved(picture: Image.Image, length: float, way: float) -> Image.Image:
    """A picture smeared along a line of some pixels."""
    total = np.zeros((picture.height, picture.width), dtype=np.float32)
    steps = np.linspace(-length / 2, length / 2, 5)
    for step in steps:
        shift = (1, 0, step * np.cos(way), 0, 1, step * np.sin(way))
        total += np.asarray(
            picture.transform(picture.size, Image.Transform.AFFINE, shift, resample=Image.Resampling.BILINEAR)
        )
    return Image.fromarray((total / len(steps)).astype(np.uint8))
