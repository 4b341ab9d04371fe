"""Which of the eight masks a QR symbol takes: the one with the fewest penalty points (ISO/IEC 18004, 7.8.3).

The encoder is asked for one mask only. What another would change does not depend on the text, so that is learnt once
for each size and level, and all eight are weighed at once.
"""

from functools import cache
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Modules = NDArray[np.bool_]
"""Dark modules, n × n, or several symbols of one size."""
Level = Literal["M", "Q", "H"]
_MASKS = 8
_RUN, _BLOCK, _FINDER, _SHARE = 3, 3, 40, 10
"""The standard's weights of its four features."""
_LOOKALIKES = (0b10111010000, 0b00001011101)
"""Eleven modules in a row that could be taken for a finder pattern, with the light ones beside it."""


def best_masked(text: str, level: Level) -> tuple[Modules, int]:
    """The symbol of a text with its best mask, and its version.

    Raises:
        qrcode.exceptions.DataOverflowError, ValueError: the text is too long for any symbol.
    """
    symbol, version = _encoded(text, level, 0)
    every = symbol ^ _differences(version, level)
    return every[int(np.argmin(penalties(_unsaid(every, version))))], version


def penalties(symbols: Modules) -> NDArray[np.int64]:
    """The penalty points of several symbols, m × n × n: runs of one colour, blocks of it, lookalikes, too many of one."""
    lines = np.concatenate([symbols, symbols.transpose(0, 2, 1)])
    same = lines[:, :, 1:] == lines[:, :, :-1]
    fives = same[:, :, :-3] & same[:, :, 1:-2] & same[:, :, 2:-1] & same[:, :, 3:]
    starts = fives.copy()
    starts[:, :, 1:] &= ~fives[:, :, :-1]
    # A run of k ≥ 5 modules costs 3 + (k − 5), and has k − 4 places for five.
    points = fives.sum(axis=(1, 2)) + (_RUN - 1) * starts.sum(axis=(1, 2))
    width = lines.shape[2] - 10
    windows = sum(lines[:, :, i : i + width].astype(np.int16) << (10 - i) for i in range(11))
    points = points + _FINDER * np.isin(windows, _LOOKALIKES).sum(axis=(1, 2))
    count = len(symbols)
    right = same[:count]
    blocks = right[:, 1:] & right[:, :-1] & (symbols[:, 1:, 1:] == symbols[:, :-1, 1:])
    off = np.abs(symbols.mean(axis=(1, 2)) * 100 - 50) // 5
    result: NDArray[np.int64] = (
        points[:count] + points[count:] + _BLOCK * blocks.sum(axis=(1, 2)) + _SHARE * off.astype(np.int64)
    )
    return result


def _unsaid(symbols: Modules, version: int) -> Modules:
    """Symbols before they say their level, mask and version: the encoder weighs them so, its choice must stay."""
    bare = symbols.copy()
    bare[:, 8, [*range(6), 7, 8, *range(-8, 0)]] = False
    bare[:, [*range(6), 7, 8, *range(-8, 0)], 8] = False
    if version >= 7:
        bare[:, :6, -11:-8] = bare[:, -11:-8, :6] = False
    return bare


@cache
def _differences(version: int, level: Level) -> Modules:
    """What each mask changes in a symbol that has the first one, 8 × n × n."""
    symbols = [_encoded("A", level, mask, version)[0] for mask in range(_MASKS)]
    return np.stack([symbol ^ symbols[0] for symbol in symbols])


def _encoded(text: str, level: Level, mask: int, version: int | None = None) -> tuple[Modules, int]:
    """The symbol with a given mask: the smallest, or that of a given version."""
    import qrcode

    known = qrcode.constants
    levels = {"M": known.ERROR_CORRECT_M, "Q": known.ERROR_CORRECT_Q, "H": known.ERROR_CORRECT_H}
    code: Any = qrcode.QRCode(version=version, error_correction=levels[level], border=0, mask_pattern=mask)
    code.add_data(text)
    code.make(fit=True)
    return np.array(code.get_matrix(), dtype=bool), int(code.version)
