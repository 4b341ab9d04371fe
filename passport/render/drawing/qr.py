"""QR codes as small vector pictures: level Q or better unless level M is asked for, quiet zone included, sizes in mm.

ISO/IEC 18004: a symbol of version v is 17 + 4·v modules wide and needs 4 light modules on each side. Upper-case
letters, digits and ``$%*+-./:`` with the space take 5.5 bits a character, anything else 8 bits a byte, so an address
in upper case gives a smaller symbol or a higher level.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from passport.render.drawing.qr_mask import Level, best_masked
from passport.render.drawing.svg import document
from passport.render.theme.palette import Paint

Matrix = tuple[tuple[bool, ...], ...]
Corner = tuple[int, int]

QUIET = 4
"""Light modules on each side, ISO/IEC 18004."""
GOOD_MODULE_MM = 0.65
"""Size of a module that is read from a preview at 20 cm whatever printed it (tests/reference/test_ref_whole_pieces.py)."""
LEAST_MODULE_MM = 0.4
"""Least size of a module for a telephone held by hand (common practice, no source)."""


class QrTooLarge(ValueError):
    """The text does not fit into a symbol of the size allowed; the message says what would."""


@dataclass(frozen=True, slots=True)
class QrCode:
    """A symbol without its quiet zone: True is a dark module, rows from the top."""

    matrix: Matrix
    version: int
    level: Level

    @property
    def side(self) -> int:
        """Modules on a side, quiet zone included."""
        return len(self.matrix) + 2 * QUIET

    def size_mm(self, module_mm: float = LEAST_MODULE_MM) -> float:
        """Printed side in mm, quiet zone included."""
        return self.side * module_mm

    def module_mm(self, size_mm: float) -> float:
        """Size of a module in mm where the side, quiet zone included, is printed at ``size_mm``."""
        return size_mm / self.side


def budget(size_mm: float, module_mm: float = LEAST_MODULE_MM) -> int:
    """How many modules, quiet zone included, go into a square of ``size_mm`` at ``module_mm`` or more."""
    return int(size_mm / module_mm + 1e-9)


def is_alphanumeric(text: str) -> bool:
    """Whether the text takes the denser alphanumeric mode (ISO/IEC 18004)."""
    return re.fullmatch(r"[0-9A-Z $%*+\-./:]+", text) is not None


def clear_code(text: str, size_mm: float) -> QrCode:
    """The symbol for a text in a square of ``size_mm``, quiet zone included: modules of `GOOD_MODULE_MM` first, then the
    highest level. Where not even level Q has such modules, the largest that it has.

    Raises:
        QrTooLarge: the modules would be smaller than `LEAST_MODULE_MM`.
    """
    try:
        return qr_matrix(text, budget(size_mm, GOOD_MODULE_MM))
    except QrTooLarge:
        return qr_matrix(text, budget(size_mm), "Q")


@cache
def qr_matrix(text: str, modules: int | None = None, best: Level = "H") -> QrCode:
    """The symbol for a text: level H where it fits into ``modules`` on a side (quiet zone included), else level Q.

    Without ``modules`` level H is taken. With ``best`` Q or M, that level is taken even where a higher one would fit: fewer
    and larger modules for a long text.

    Raises:
        QrTooLarge: not even the lowest level fits, or the text is too long for any symbol.
        ValueError: the text is empty.
    """
    if not text:
        raise ValueError("a QR code needs a text")
    robust = _encode(text, "H") if best == "H" else None
    if robust and (modules is None or robust.side <= modules):
        return robust
    plain = _encode(text, "M" if best == "M" else "Q")
    if plain is None or (modules is not None and plain.side > modules):
        raise QrTooLarge(_too_large(text, plain, modules))
    return plain


def _too_large(text: str, plain: QrCode | None, modules: int | None) -> str:
    """What is wrong and what to do."""
    hint = "" if is_alphanumeric(text) else ", or write it in upper case, which takes less room"
    if plain is None:
        return f"{len(text)} characters are too many for a QR code; shorten the text{hint}"
    return (
        f"the QR code needs {plain.side} modules with its quiet zone ({plain.size_mm():.1f} mm at "
        f"{LEAST_MODULE_MM} mm a module), but only {modules} fit; shorten the text{hint}"
    )


def _encode(text: str, level: Level) -> QrCode | None:
    """The smallest symbol of a level; None where the text is too long for any."""
    from qrcode.exceptions import DataOverflowError

    try:
        modules, version = best_masked(text, level)
    except (DataOverflowError, ValueError):
        return None
    matrix: Matrix = tuple(tuple(row) for row in modules.tolist())
    return QrCode(matrix, version, level)


def qr_svg(
    code: QrCode | str,
    title: str,
    *,
    key: str,
    desc: str = "",
    dark: str = "#000000",
    light: str = "#ffffff",
    extra: str = "",
) -> str:
    """The symbol as an SVG string, one path in a view whose unit is the module, quiet zone included.

    It is dark on light in dark pages too, since many readers fail on the reverse. Give a text, or a `QrCode` made for
    the room there is. ``extra`` are more attributes for the ``svg``: in print ``width="…mm"``.
    """
    symbol = qr_matrix(code) if isinstance(code, str) else code
    side = symbol.side
    body = (
        f'<path fill="{light}" d="M0 0h{side}v{side}H0z"/>'
        f'<path fill="{dark}" shape-rendering="crispEdges" d="{qr_path(symbol)}"/>'
    )
    return document(body, key=key, title=title, desc=desc, box=(0, 0, side, side), paint=Paint(), extra=extra)


def qr_path(code: QrCode) -> str:
    """Path data of the dark modules: their outlines, so that no seam can show between neighbours.

    Runs of modules are joined along rows and columns; coordinates are modules, quiet zone included.
    """
    follow = _edges(code.matrix)
    parts: list[str] = []
    at = (0, 0)
    while follow:
        start = next(iter(follow))
        loop = [start, *_trace(follow, start)]
        parts.append(_move(at, start, first=not parts) + _sides(loop))
        at = start
    return "".join(parts)


def _edges(matrix: Matrix) -> dict[Corner, list[Corner]]:
    """Every edge between a dark and a light module, from corner to corner with the dark module on the right."""
    rows = [
        sum(dark << x for x, dark in enumerate(row, 1)) for row in matrix
    ]  # bit x + 1 of a row: a light one beside it
    follow: dict[Corner, list[Corner]] = {}
    for y, (above, row) in enumerate(pairwise([0, *rows, 0])):
        changes = (above ^ row) | (row ^ (row << 1))
        while changes:
            bit = changes & -changes
            changes ^= bit
            x = bit.bit_length() - 2
            here, before, over = row & bit, row & (bit >> 1), above & bit
            if here and not over:
                follow.setdefault((x, y), []).append((x + 1, y))
            if over and not here:
                follow.setdefault((x + 1, y), []).append((x, y))
            if before and not here:
                follow.setdefault((x, y), []).append((x, y + 1))
            if here and not before:
                follow.setdefault((x, y + 1), []).append((x, y))
    return follow


def _trace(follow: dict[Corner, list[Corner]], start: Corner) -> Iterator[Corner]:
    """Follow edges from ``start`` until they close, using them up."""
    here = start
    while True:
        ahead = follow[here]
        here, used = ahead.pop(), here
        if not ahead:
            del follow[used]
        if here == start:
            return
        yield here


def _move(at: Corner, start: Corner, *, first: bool) -> str:
    """To the start of a loop: from the start of the one before."""
    if first:
        return f"M{start[0] + QUIET} {start[1] + QUIET}"
    return f"m{start[0] - at[0]} {start[1] - at[1]}".replace(" -", "-")


def _sides(loop: list[Corner]) -> str:
    """The sides of a loop as relative h and v, straight runs joined, the last one left to ``z``."""
    steps: list[tuple[str, int]] = []
    for (x0, y0), (x1, y1) in pairwise(loop):
        letter, length = ("h", x1 - x0) if y0 == y1 else ("v", y1 - y0)
        if steps and steps[-1][0] == letter:
            steps[-1] = (letter, steps[-1][1] + length)
        else:
            steps.append((letter, length))
    return "".join(f"{letter}{length}" for letter, length in steps) + "z"
