"""How well the mass that a frame gains when it is strung is predicted, in a simulated shop of all sports.

    .venv/bin/python tests/support/strungmass.py 2000

Each draw is a model with its own outline, measured as a technician measures it: length and width to a millimetre or so, the
form by its name or by widths at a few heights, spacings over several strings. Its strings are the chains of another model
than the program's, with grooves, slanted holes, knots and tails of their own (common practice, no source, for how much they
differ), and another mass a metre than the catalogue says. The frame is weighed before and after.
"""

import math
import sys
from dataclasses import dataclass, replace

import finestring
import numpy as np
from scipy.interpolate import PchipInterpolator

SPORTS = {
    "tennis": ((330, 246), 12, (16, 19), "1.5 g/m", "1.25 mm", ("throat", "throat"), 1),
    "squash": ((342, 184), 11, (14, 18), "1.1 g/m", "1.15 mm", ("head", "throat"), 1),
    "badminton": ((244, 188), 9, (22, 21), "0.4 g/m", "0.68 mm", ("head", "throat"), 2),
    "racketball": ((318, 222), 13, (16, 16), "1.3 g/m", "1.2 mm", ("throat", "throat"), 1),
}
WORDS = {
    1: "one piece, mains from the {0}",
    2: "two pieces, mains from the {0}, crosses from the {1}",
}
HEIGHTS = {"squash": (0.1, 0.3, 0.9), "badminton": (0.12, 0.88), "racketball": (0.15, 0.85), "tennis": (0.15, 0.85)}
TEARDROP = ((-1, 0.55), (-0.8, 0.62), (-0.5, 0.74), (0.0, 0.93), (0.4, 1.07), (1.0, 1.32))
"""The half-width of a teardrop over an ellipse's, as the judge draws one (common practice, no source)."""


@dataclass(frozen=True)
class Drawn:
    """A racquet as it is: as the records say it, and as the chains have it."""

    record: dict
    true: finestring.Frame
    form: str
    ties: str


def holes(true: finestring.Frame) -> tuple[str, str]:
    """The holes that the mains go past, and those that each end is tied off in two strings back, counted on the frame."""
    (half, crosses), skips, at = (true.counts[0] // 2, true.counts[1]), [], {}
    for end, name in ((1, "head"), (0, "throat")):
        found = []
        for side in (0, 1):
            for k, place in enumerate(finestring.places(true, side)):
                spot = finestring.string_ends(true, side, place)[end if side == 0 else 1]
                if spot[1] > 0 or side == 1:
                    found.append(
                        (abs(finestring.turn_of(true, spot)), side, k - half + 1 if side == 0 else crosses - k)
                    )
        found.sort(reverse=end == 0)
        numbers = {(side, number): i for i, (_, side, number) in enumerate(found, 1)}
        last = numbers[0, half]
        skips += [f"{i} {name}" for (side, _), i in numbers.items() if side == 1 and i < last]
        at[name] = numbers
    mains_end = true.start[0] if half % 2 == 0 else "head" if true.start[0] == "throat" else "throat"
    begin = true.start[1]
    stop = "head" if begin == "throat" else "throat"
    ties = [f"mains {at[mains_end][0, half - 2]} {mains_end}"]
    third = {"head": 3, "throat": crosses - 2}
    ties.append(f"crosses {at[stop][1, third[stop]]} {stop}")
    if true.pieces == 2:
        ties.append(f"crosses {at[begin][1, third[begin]]} {begin}")
    return "mains " + " and ".join(skips) if skips else "none", "; ".join(ties)


def drawn(sport: str, rng: np.random.Generator) -> Drawn:
    """One model at random."""
    size, rim, counts, _, _, start, pieces = SPORTS[sport]
    length, width = (float(v * rng.normal(1, 0.02)) for v in size)
    outline = _outline(sport, width, rng)
    head = _step(width, counts[0], rng)
    throat = head * float(rng.uniform(0.45, 0.75)) if sport == "squash" else head
    crosses = _step(length, counts[1], rng)
    true = finestring.Frame(
        685.0, (length, width), rim, counts, (head, crosses), start, pieces, 2 * pieces, outline,
        throat if sport == "squash" else 0.0,
    )  # fmt: skip
    skips, ties = holes(true)
    measured = bool(rng.integers(2))
    heights = [h * length for h in HEIGHTS[sport]] if measured else []
    widths = [
        f"{2 * outline(2 * h / length - 1) + rng.normal(0, 0.7):.0f} mm at {h + rng.normal(0, 0.7):.0f} mm"
        for h in heights
    ]
    form = {"squash": "teardrop", "badminton": "squarer", "racketball": "egg", "tennis": "ellipse"}[sport]
    told = {
        "length": f"{length + rng.normal(0, 0.6):.0f} mm",
        "width": f"{width + rng.normal(0, 0.6):.0f} mm",
        "form": form,
    }
    pattern = {
        "mains": counts[0], "crosses": counts[1], "skips": skips, "main_spacing": f"{head + rng.normal(0, 0.06):.2f} mm",
        "cross_spacing": f"{crosses + rng.normal(0, 0.06):.2f} mm",
    }  # fmt: skip
    if sport == "squash":
        pattern["throat_spacing"] = f"{throat + rng.normal(0, 0.06):.2f} mm"
    record = {
        "maker": "Tarn", "name": "Larch", "sport": sport, "length": "685 mm", "rim": f"{rim} mm",
        "head": told | ({"widths": widths} if widths else {}), "handle": {"length": "180 mm", "width": "28 mm"},
        "throat": "open", "pattern": pattern,
    }  # fmt: skip
    return Drawn(record, true, "measured" if measured else "named", ties)


def _step(size: float, count: int, rng: np.random.Generator) -> float:
    return size / (count + float(rng.uniform(2.0, 4.0)))


def _outline(sport: str, width: float, rng: np.random.Generator):
    """Half-width by the share of the length: a superellipse, an egg of one, or a teardrop through knots of its own."""
    n = {"tennis": 2.0, "squash": 2.0, "badminton": 2.3, "racketball": 2.05}[sport] + rng.normal(
        0, 0.05 if sport != "tennis" else 0
    )
    lean = float(rng.normal(0.13, 0.03)) if sport == "racketball" else 0.0
    knots = np.array(TEARDROP)
    over = PchipInterpolator(knots[:, 0], knots[:, 1] * (1 + rng.normal(0, 0.01, len(knots))))

    def shape(xi: float) -> float:
        if abs(xi) >= 1:
            return 0.0
        if sport == "squash":
            return math.sqrt(1 - xi * xi) * float(over(xi))
        return (1 - abs(xi) ** n) ** (1 / n) * (1 + lean * xi)

    most = max(shape(-1 + k / 100) for k in range(201))
    return lambda xi: width / 2 * shape(xi) / most


def inside(sport: str, rng: np.random.Generator) -> tuple[bool, float, str]:
    """Whether the mass gained lies within two u of what was predicted, by how many u it is off, and how the form is known."""
    from passport.records.schema.catalogue import FrameModel, StringType
    from passport.records.schema.frame import Stringing
    from passport.workshop.measuring.states import Predictor

    _, _, _, per_metre, gauge, start, pieces = SPORTS[sport]
    racquet = drawn(sport, rng)
    model = FrameModel.model_validate(racquet.record)
    reed = StringType.model_validate(
        {"maker": "Oxbow", "name": "Reed", "material": "nylon", "gauge": gauge, "weighed": per_metre}
    )
    strung = Stringing.model_validate(
        {
            "mains": {"string": "reed", "tension": "12 kg"},
            "path": WORDS[pieces].format(*start),
            "tie_offs": racquet.ties,
        }
    )
    told = Predictor(model.shape(), {}, {"reed": reed}, "larch", pattern=model.pattern).strung(strung, "it").mass()
    g, mm = float(per_metre.split()[0]), float(gauge.split()[0])
    ways = replace(finestring.Ways.drawn(rng), density=1.0 + rng.normal(0, 0.02))
    gain = finestring.moments(racquet.true, (g, g), mm, ways)[0]
    step = 0.01 if sport == "badminton" else 0.1  # a string of 4 g is weighed on a finer scale
    read = [round((100.0 + more + rng.normal(0, step / 2)) / step) * step for more in (0.0, gain)]
    u = math.hypot(told.u, step / 2 * 2**0.5, step / 6**0.5)
    off = (read[1] - read[0] - told.value) / u
    return abs(off) <= 2, off, racquet.form


def shop(count: int, seed: int = 16) -> dict[str, list[tuple[bool, float, str]]]:
    """So many draws of each sport."""
    rng = np.random.default_rng(seed)
    return {sport: [inside(sport, rng) for _ in range(count)] for sport in SPORTS}


def main() -> None:
    """Print how many lie within two u."""
    found = shop(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
    for sport, draws in found.items():
        for form in ("named", "measured"):
            some = [(good, off) for good, off, known in draws if known == form]
            share = 100 * np.mean([good for good, _ in some])
            offs = np.array([off for _, off in some])
            print(
                f"{sport}, form {form}: {share:.1f} of 100 within two u ({len(some)} draws, {offs.mean():+.2f} ± {offs.std():.2f} u)"
            )
    every = [good for draws in found.values() for good, _, _ in draws]
    print(f"all: {100 * np.mean(every):.1f} of 100 within two u ({len(every)} draws)")


if __name__ == "__main__":
    main()
