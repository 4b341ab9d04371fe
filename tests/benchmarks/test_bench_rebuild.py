"""How long plans take: the search alone for one blank, and all of ten blanks for three frames.

Run with ``pytest tests/benchmarks/test_bench_rebuild.py -s`` to see the figures; the limits are those that the work at
the bench allows.
"""

import time
from pathlib import Path
from statistics import mean

import numpy as np
import pytest
from rebuildshop import MAIN, SETUP, TODAY, bench

from passport.physics.moments import Moments
from passport.workshop.rebuild.assign import choose
from passport.workshop.rebuild.stock import sites
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.solver.problem import Bounds, Group, Problem, Window
from passport.workshop.solver.solve import nearest, solve

ONE_BLANK_S = 0.5
"""Most seconds of search for one blank, on one core."""

THIRTY_PAIRS_S = 5.0
"""Most seconds for ten blanks and three frames, from the records to the plans."""

ALL_PLACES = """\
    - {place: under the bumper, most: 3 g, length: 150 mm}
    - {place: 10 and 2, most: 4 g, length: 100 mm}
    - {place: 3 and 9, most: 5 g, length: 120 mm}
    - {place: throat, most: 3 g, length: 60 mm}
    - {place: top of the handle, most: 4 g, length: 40 mm}
    - {place: inside the handle, most: 10 g}
    - {place: butt cap, most: 4 g}
"""


def timed(what) -> float:
    """Seconds of one call."""
    begin = time.perf_counter()
    what()
    return time.perf_counter() - begin


def groups(tmp_path: Path) -> tuple[Group, ...]:
    """Seven places with 122 options, as a tennis frame has them."""
    work: Workbench = bench(tmp_path, places=ALL_PLACES)
    found = sites(work.model("larch-98"), work.parts)
    return tuple(Group(s.place.text, tuple(o.laid.moments for o in s.options)) for s in found)


def problems(places: tuple[Group, ...], count: int):
    """Random blanks for one target, with a fixed seed."""
    chance = np.random.default_rng(20261125)
    wanted = Window(Bounds(332, 1), Bounds(313, 1.5), Bounds(315, 1.5), Bounds(13.4, 0.5))
    for mass, balance, swing, twist in chance.normal((323, 316, 308, 13.1), (2, 3, 3, 0.1), size=(count, 4)):
        yield Problem(Moments.from_measured(mass, balance, swing, twist), places, wanted)


def test_one_blank(tmp_path, capsys):
    """The best plan and two others for one blank, or the nearest, take less than the limit, over forty blanks."""
    places = groups(tmp_path)
    solve(next(iter(problems(places, 1))))  # what loads on the first call is not the search
    plans, misses = [], []
    for problem in problems(places, 40):
        seconds = timed(lambda problem=problem: solve(problem))
        if solve(problem, 1):
            plans.append(seconds)
        else:
            misses.append(seconds + timed(lambda problem=problem: nearest(problem)))
    with capsys.disabled():
        print(
            f"\n  one blank, {sum(len(g.options) for g in places)} options at {len(places)} places, limit {ONE_BLANK_S} s:"
        )
        for name, times in (("plans", plans), ("nearest", misses)):
            share = max(times) / ONE_BLANK_S
            print(
                f"    {name:8} {len(times):3} times, mean {mean(times):.3f} s, worst {max(times):.3f} s = {share:.2f} of the limit"
            )
    assert len(plans) > 20
    assert sorted(plans)[len(plans) // 2] < ONE_BLANK_S / 5
    assert max(plans) < ONE_BLANK_S


def test_ten_blanks_for_three_frames(tmp_path, capsys):
    """Thirty pairs judged, the best assignment found and three rebuilds laid out take less than the limit."""
    chance = np.random.default_rng(7)
    blanks = {
        f"b{i}": f"mass: {m:.1f} g, balance: {b:.1f} mm, swingweight: {s:.1f} kgcm2"
        for i, (m, b, s) in enumerate(chance.normal((303, 318, 287), (2, 2, 3), size=(10, 3)))
    }
    grip = "  - {part: cushion, place: along the handle}"
    frames = {
        name: MAIN.format(setup=SETUP.replace("318", swing), build=grip, readings="")
        .replace("number: 1001-5\n", "")
        .replace("key: MMMMMMMMMMMMMMMMMMMMMMMMMM\n", "")
        for name, swing in (("second", "317"), ("third", "319"))
    }
    work = bench(tmp_path, blanks, frames=frames, places=ALL_PLACES)
    fresh = Workbench(work.content, TODAY)
    seconds = timed(lambda: choose(fresh, ["ada/main", "ada/second", "ada/third"], list(blanks)))
    with capsys.disabled():
        print(f"\n  ten blanks for three frames: {seconds:.2f} s = {seconds / THIRTY_PAIRS_S:.2f} of the limit")
    assert seconds < THIRTY_PAIRS_S


@pytest.mark.parametrize("count", [2, 3])
def test_search_is_faster_than_the_program(tmp_path, capsys, count):
    """For few places, trying all combinations beats the mixed-integer program that would find the same."""
    from passport.workshop.solver.program import Program

    places = groups(tmp_path)
    target = Moments.from_measured(323, 316, 308, 13.1)
    for group, k in zip(places[1 : 1 + count], (12, 9, 6), strict=False):
        target = target + group.options[min(k, len(group.options) - 1)]
    wanted = Window(Bounds(target.mass, 1), Bounds(target.balance, 1.5), Bounds(target.swingweight(), 1.5))
    problem = Problem(Moments.from_measured(323, 316, 308, 13.1), places, wanted)
    tried = timed(lambda: solve(problem, 1))

    def by_program() -> None:
        program = Program(problem)
        least = program.run(program.count, program.window(1.0))
        program.run(
            program.mass, [*program.window(1.0), program.at_most(program.count, least.cost(program.count) + 0.5)]
        )

    programmed = timed(by_program)
    with capsys.disabled():
        print(
            f"\n  {count} places: {tried * 1000:.0f} ms tried, {programmed * 1000:.0f} ms by the program, ratio {programmed / tried:.1f}"
        )
    assert solve(problem, 1)[0].inside
