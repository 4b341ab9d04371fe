"""How slow this machine is at the moment, so that a bound on time means the same work everywhere."""

import time

import numpy as np

QUIET_S = 0.10
"""Processor seconds of `reference` at the speed for which the bounds were set, estimated from what they then measured."""


def reference() -> float:
    """Processor seconds of a fixed piece of work, half plain Python, half numpy."""
    begin, total = time.process_time(), 0
    for number in range(600_000):
        total += number * number % 7
    numbers = np.arange(200_000.0)
    for _ in range(60):
        np.sqrt(numbers * numbers + 1).sum()
    assert total > 0
    return time.process_time() - begin


def slowness() -> float:
    """How many times as long work takes now as at that speed; at least 1, so that a fast machine gets no stricter bound."""
    return max(1.0, sorted(reference() for _ in range(3))[1] / QUIET_S)
