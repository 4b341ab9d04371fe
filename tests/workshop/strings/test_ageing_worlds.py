"""Bands of what is left hold the truth as often as they say, in worlds that are not the stated one."""

import math

import pytest
from ageing_worlds import WORLDS, table

TIMES = 60


@pytest.mark.parametrize("name", WORLDS)
def test_the_bands_hold(name):
    """Of 100 bands 93 or more hold the truth, and 97 at most where ten beds or more tell the scatter.

    The bounds are those less and more twice the deviation of a count of this size. ``tests/support/ageing_worlds.py 1000``
    prints the table in full.
    """
    row = table(TIMES, (name,))[name]
    tried, held = TIMES * len(row), sum(row.values()) / 100 * TIMES
    # the bands of one workshop are not independent: counted as if each workshop were one trial
    spread = 2 * math.sqrt(0.05 * 0.95 / TIMES)
    assert held / tried >= 0.93 - spread
    if WORLDS[name].beds >= 10:
        assert held / tried <= 0.97 + spread
