"""Photographs of a printed code as a telephone takes them: seen at an angle, blurred, unevenly lit, noisy, soiled."""

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
    rows, wanted = [], []
    for (x, y), (u, v) in zip(there, corners, strict=True):
        rows += [(x, y, 1, 0, 0, 0, -u * x, -u * y), (0, 0, 0, x, y, 1, -v * x, -v * y)]
        wanted += [u, v]
    return tuple(np.linalg.solve(np.array(rows), np.array(wanted)))
