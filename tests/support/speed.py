"""How slow this machine is while something runs, so that a bound on time means the same work everywhere."""

import select
import subprocess
import sys
import time
from statistics import fmean, median
from types import TracebackType
from typing import Self

import numpy as np

QUIET_S = 0.10
"""Processor seconds of `reference` at the speed for which the bounds were set, estimated from what they then measured."""

SAMPLE = 30
"""A sample of the pace is this part of the reference: short enough to be taken many times during what is measured."""

BETWEEN_S = 0.1
"""Seconds between two samples: they use some 4 % of a processor."""


def reference(part: int = 1) -> float:
    """Processor seconds of a fixed piece of work, half plain Python, half numpy; of one `part` of it, times the parts."""
    numbers = np.arange(200_000.0)
    begin, total = time.process_time(), 0
    for number in range(600_000 // part):
        total += number * number % 7
    for _ in range(60 // part):
        np.sqrt(numbers * numbers + 1).sum()
    assert total > 0
    return (time.process_time() - begin) * part


def slowness() -> float:
    """How many times as long work takes now as at that speed; at least 1, so that a fast machine gets no stricter bound."""
    return max(1.0, median(reference() for _ in range(3)) / QUIET_S)


class Pace:
    """How slow the machine is on the whole while a block runs: its speed is sampled beside it, by another process.

    A machine that is shared changes its speed within seconds: what it was before and after a piece of work says
    little about the time that the work took.
    """

    def __enter__(self) -> Self:
        """Take samples from now on."""
        self._sampler = subprocess.Popen(
            [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        assert self._sampler.stdout is not None
        self._sampler.stdout.readline()  # the first sample is taken before the work begins
        self._begun = time.process_time()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Say how many seconds of the processor the block took, `spent`, and how slow the machine was meanwhile, `slow`."""
        self.spent = time.process_time() - self._begun
        said, _ = self._sampler.communicate("\n")
        samples = [float(line) for line in said.split()]
        # Work done is speed times time: the mean of the speeds, not of the times.
        self.slow = max(1.0, 1 / fmean(QUIET_S / sample for sample in samples))


def _sample() -> None:
    """Print samples till something is said on standard input: one at least."""
    reference(SAMPLE)  # what is done for the first time takes longer
    print("ready", flush=True)
    while True:
        print(reference(SAMPLE), flush=True)
        if select.select([sys.stdin], [], [], BETWEEN_S)[0]:
            return


if __name__ == "__main__":
    _sample()
