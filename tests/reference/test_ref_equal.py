"""The least mass that makes two frames equal, against every combination of steps on both, tried one by one."""

import itertools
import random

import numpy as np

from passport.physics.moments import Moments
from passport.workshop.solver.equal import equal, make_equal
from passport.workshop.solver.problem import Group, Problem, Window

TOLERANCES = {"mass": 1.0, "balance": 2.0, "swingweight": 1.5}
PLACES = (670.0, 600.0, 520.0, 430.0, 330.0, 170.0, 90.0, 40.0, 5.0)


def a_pair(seed):
    """Places, steps in g, how many of each, and mass, balance and swingweight of two frames as a bench reads them."""
    r = random.Random(seed)
    places = r.sample(PLACES, r.choice([3, 4]))
    steps = [r.choice([0.3, 0.4, 0.5, 0.7, 1.0]) for _ in places]
    counts = [r.choice([2, 3, 4, 5]) for _ in places]
    frames = [
        (round(r.gauss(328, 1.8), 1), round(r.gauss(320, 1.5) * 2) / 2, round(r.gauss(316, 2.0) * 2) / 2)
        for _ in range(2)
    ]
    return places, steps, counts, frames


def reached(frame, places, steps, counts):
    """Mass, balance, swingweight and mass added of every combination, by plain sums (parallel axis theorem)."""
    mass, balance, swing = frame
    rows = []
    for ks in itertools.product(*(range(k + 1) for k in counts)):
        added = [k * step for k, step in zip(ks, steps, strict=True)]
        m = mass + sum(added)
        first = mass * balance + sum(a * x for a, x in zip(added, places, strict=True))
        rows.append(
            (
                m,
                first / m,
                swing + sum(a * (x - 100) ** 2 for a, x in zip(added, places, strict=True)) / 1e5,
                sum(added),
            )
        )
    return np.array(rows)


def least_by_trying(places, steps, counts, frames):
    """The least mass added to both together that makes them equal, or None where nothing does."""
    one, other = (reached(frame, places, steps, counts) for frame in frames)
    apart = np.abs(one[:, np.newaxis, :3] - other[np.newaxis, :, :3])
    fits = np.all(apart <= np.array(list(TOLERANCES.values())) * (1 + 1e-9), axis=2)
    added = one[:, np.newaxis, 3] + other[np.newaxis, :, 3]
    return float(added[fits].min()) if fits.any() else None


def test_least_mass_of_pairs(counted):
    """In all of 80 small pairs what is found is equal, and is the least that there is, or both find that there is none."""
    exact = none = 0
    for seed in range(80):
        places, steps, counts, frames = a_pair(seed)
        groups = tuple(
            Group(f"{x}", tuple(Moments.point(k * step, x) for k in range(1, n + 1)))
            for x, step, n in zip(places, steps, counts, strict=True)
        )
        bodies = [Moments.from_measured(*frame) for frame in frames]
        found = make_equal([Problem(body, groups, Window()) for body in bodies], TOLERANCES)
        least = least_by_trying(places, steps, counts, frames)
        assert found.met == (least is not None), seed
        if least is None:
            none += 1
            continue
        added = sum(way.result.m0 for way in found.ways) - sum(body.m0 for body in bodies)
        assert abs(added - least) < 1e-6, (seed, added, least)
        assert found.proven and found.gap == 0
        assert not equal([way.result for way in found.ways], TOLERANCES)
        exact += 1
    counted(f"pairs made equal with the least mass: {exact} exact, 0 heavier; {none} that cannot be equal")
    assert exact >= 42
