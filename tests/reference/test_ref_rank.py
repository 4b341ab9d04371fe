"""The surest plan, against every combination tried one by one and scipy's integral of the multivariate normal."""

import itertools

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from passport.physics.moments import Moments
from passport.workshop.solver.doubt import Doubt
from passport.workshop.solver.problem import Bounds, Group, Problem, Window
from passport.workshop.solver.rank import EXTRA_G
from passport.workshop.solver.solve import solve

PLACES = (665.0, 590.0, 505.0, 330.0, 35.0)
STEPS, STEP = 8, 0.5
TOLERANCES = (1.0, 1.5, 1.5)


def a_problem(seed):
    """A start, a target that whole steps come near to, and correlated shifts of the start's moments."""
    rng = np.random.default_rng(seed)
    start = np.array([rng.normal(322, 2), rng.normal(317, 2), rng.normal(309, 2)])
    chosen = rng.choice(len(PLACES), 2, replace=False)
    added = [(STEP * rng.integers(2, STEPS), PLACES[i]) for i in chosen]
    mass, balance, swing = figures(start, added)
    target = np.array([mass, balance, swing]) + rng.normal(0, 0.3, 3)
    # one part of unsure mass at 90 mm, the scale, the balance board (through the mass), the swing machine
    part, scale, board, machine = rng.uniform((0.1, 0.05, 0.2, 0.2), (0.9, 0.3, 0.8, 0.9))
    shifts = {
        "part": np.array([part, part * 90, part * 100 / 1e5, 0]),
        "scale": np.array([scale, scale * start[1], 0, 0]),
        "board": np.array([0, board * start[0], 0, 0]),
        "machine": np.array([0, 0, machine, 0]),
    }
    return start, target, shifts


def figures(start, added):
    """Mass, balance and swingweight with points added, by plain sums."""
    mass, balance, swing = start
    m = mass + sum(g for g, _ in added)
    b = (mass * balance + sum(g * x for g, x in added)) / m
    return m, b, swing + sum(g * (x - 100) ** 2 for g, x in added) / 1e5


def judged(values, target, shifts):
    """The chance that all three are inside, by scipy; the covariance by hand from the shifts."""
    m, b, _ = values
    rows = np.array([[s[0], (s[1] - b * s[0]) / m, s[2]] for s in shifts.values()])
    scaled = np.array(TOLERANCES)
    covariance = rows.T @ rows / np.outer(scaled, scaled)
    off = (np.array(values) - target) / scaled
    return multivariate_normal(off, covariance, abseps=1e-5, releps=1e-5, seed=1).cdf(
        np.ones(3), lower_limit=-np.ones(3)
    )


@pytest.mark.parametrize("seed", range(6))
def test_nothing_surer_by_trying_all(seed, counted):
    """With the fewest places and within the extra mass no plan is surer by more than a tenth of a per cent and a half."""
    start, target, shifts = a_problem(seed)
    inside = {}
    for counts in itertools.product(range(STEPS + 1), repeat=len(PLACES)):
        if sum(k > 0 for k in counts) <= 2:
            added = [(STEP * k, x) for k, x in zip(counts, PLACES, strict=True) if k]
            values = figures(start, added)
            if all(abs(v - t) <= a * (1 + 1e-9) for v, t, a in zip(values, target, TOLERANCES, strict=True)):
                inside[counts] = (len(added), values)
    fewest = min((places for places, _ in inside.values()), default=None)
    groups = tuple(Group(f"{x}", tuple(Moments.point(STEP * k, x) for k in range(1, STEPS + 1))) for x in PLACES)
    bounds = [Bounds(t, a) for t, a in zip(target, TOLERANCES, strict=True)]
    ways = solve(Problem(Moments.from_measured(*start), groups, Window(*bounds), doubt=Doubt(shifts)))
    if fewest is None:
        assert all(len(way.used) > 2 for way in ways)
        return
    lightest = min(v[0] for places, v in inside.values() if places == fewest)
    rivals = {c: v for c, (p, v) in inside.items() if p == fewest and v[0] <= lightest + EXTRA_G + 1e-9}
    sure = {counts: judged(values, target, shifts) for counts, values in rivals.items()}
    best = ways[0]
    mine = tuple(0 if k is None else k + 1 for k in best.picks)
    counted(f"plans ranked by scipy: {len(sure)}, best {max(sure.values()):.4f}, taken {sure[mine]:.4f}")
    assert best.compared == len(rivals) and best.complete
    assert sure[mine] >= max(sure.values()) - 0.0015
    assert best.chance == pytest.approx(sure[mine], abs=1e-3)
