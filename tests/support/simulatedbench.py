"""Simulated benches: instruments that are off, checked once, and racquets read on them, whose truth is known.

    .venv/bin/python tests/support/simulatedbench.py 20000      prints the table in full

Each bench has a scale, a balance board and a swing machine that are off by a factor or a distance, were held once against
something known as well as its written digits say, and show whole steps of readings that scatter. Truths are spread evenly
around a target of ± tolerance, from two tolerances below to two above. The program reads what is shown; nothing else.
"""

import sys
from collections import Counter
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from passport.records.schema.frame import Reading
from passport.records.schema.workshop import Instrument
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.measured import estimates
from passport.workshop.measuring.verdict import judge

DAY = date(2026, 5, 1)
TARGETS = {"mass": (330.0, 1.0), "balance": (320.0, 2.0), "swingweight": (318.0, 1.5)}
NAMES = {"mass": "scale", "balance": "balance board", "swingweight": "swing machine"}


@dataclass(frozen=True)
class Kind:
    """A kind of instrument: its step, its scatter, what it is held against and to which digit, how far it is off."""

    step: float
    scatter: float
    known: float
    digit: float
    off: float
    adds: bool
    unit: str


KINDS = (
    {
        "mass": Kind(0.1, 0.05, 200.0, 0.1, 0.002, False, "g"),
        "balance": Kind(0.5, 0.3, 350.0, 0.1, 1.0, True, "mm"),
        "swingweight": Kind(0.5, 0.25, 285.4, 0.1, 0.005, False, "kgcm2"),
    },
    {  # a coarse bench: a badly known reference, and steps that are wide against the scatter
        "mass": Kind(0.1, 0.1, 200.0, 1.0, 0.002, False, "g"),
        "balance": Kind(1.0, 0.3, 350.0, 1.0, 1.0, True, "mm"),
        "swingweight": Kind(1.0, 0.4, 285.0, 1.0, 0.005, False, "kgcm2"),
    },
)


@dataclass
class Told:
    """What came of it, by quantity: truths within two u, their standardised errors, and verdicts by truth."""

    covered: Counter = field(default_factory=Counter)
    errors: dict[str, list[float]] = field(default_factory=lambda: {q: [] for q in TARGETS})
    inside: Counter = field(default_factory=Counter)
    wrongly: Counter = field(default_factory=Counter)
    expected: Counter = field(default_factory=Counter)


def shown(kind: Kind, true: float, off: float, rng: np.random.Generator) -> float:
    """What an instrument shows for a true figure."""
    raw = (true + off if kind.adds else true * (1 + off)) + rng.normal(0, kind.scatter)
    return round(raw / kind.step) * kind.step


def written(value: float, step: float, unit: str) -> str:
    """A figure with as many digits as its step has."""
    return f"{value:.{0 if step >= 1 else 1}f} {unit}"


def bench(kinds: dict[str, Kind], rng: np.random.Generator) -> tuple[Instruments, dict[str, float]]:
    """The instruments as their record says, and how far each is off."""
    offs, records = {}, []
    for quantity, kind in kinds.items():
        offs[quantity] = float(rng.normal(0, kind.off))
        true = kind.known + rng.uniform(-0.5, 0.5) * kind.digit
        reads = written(shown(kind, true, offs[quantity], rng), kind.step, kind.unit)
        check = {"date": "2026-04-01", "known": written(kind.known, kind.digit, kind.unit), "reads": reads}
        step, scatter = f"{kind.step} {kind.unit}", f"{kind.scatter} {kind.unit}"
        record = {"kind": NAMES[quantity], "name": "N", "resolution": step, "repeatability": scatter, "checks": check}
        records.append(Instrument.model_validate(record))
    return Instruments(records), offs


def simulate(count: int, kinds: dict[str, Kind], seed: int) -> Told:
    """So many racquets, each on a bench of its own."""
    rng, told = np.random.default_rng(seed), Told()
    for _ in range(count):
        instruments, offs = bench(kinds, rng)
        true = {q: target + rng.uniform(-2, 2) * allowed for q, (target, allowed) in TARGETS.items()}
        read = {q: written(shown(k, true[q], offs[q], rng), k.step, k.unit) for q, k in kinds.items()}
        found = estimates(Reading.model_validate(read), DAY, 685.0, instruments)
        for quantity, (target, allowed) in TARGETS.items():
            figure = found[quantity]
            told.covered[quantity] += abs(figure.value - true[quantity]) <= 2 * figure.u
            told.errors[quantity].append((figure.value - true[quantity]) / figure.u)
            judged = judge(figure, target, allowed)
            if judged.verdict == "inside":
                told.inside[quantity] += 1
                told.wrongly[quantity] += abs(true[quantity] - target) > allowed
                told.expected[quantity] += 1 - (judged.probability or 0.0)
    return told


def table(count: int, told: Told) -> list[str]:
    """One line a quantity."""
    return [
        f"{quantity}: {told.covered[quantity]} of {count} within two u ({told.covered[quantity] / count:.1%}), "
        f"z of standard deviation {np.std(told.errors[quantity]):.2f}; {told.inside[quantity]} called inside, "
        f"{told.wrongly[quantity]} of them wrongly, {told.expected[quantity]:.1f} by the stated chances"
        for quantity in TARGETS
    ]


def main() -> None:
    """Both benches in full."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20000
    for name, kinds in zip(("usual bench", "coarse bench"), KINDS, strict=True):
        print(f"{name}, {count} racquets", *table(count, simulate(count, kinds, 7)), sep="\n  ")


if __name__ == "__main__":
    main()
