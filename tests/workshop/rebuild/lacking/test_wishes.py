"""What limits a plan is kept by it, and what cannot be met under it is proved and told."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from rebuildshop import HEAVY_HEAD, NEAR, bench

from passport.physics.moments import Moments
from passport.records.schema.places import parse_place
from passport.workshop.rebuild.lacking.wishes import Wishes
from passport.workshop.rebuild.rebuild import rebuild, task_for
from passport.workshop.rebuild.targets import aims, window_of
from passport.workshop.solver.problem import Bounds, Budget, Group, Problem, Window, solution_of
from passport.workshop.solver.solve import nearest, reachable, solve


def _made(tmp_path, wishes, figures=NEAR):
    work = replace(bench(tmp_path, {"blank": figures}), wishes=wishes)
    return rebuild(work, "ada/main", "blank")


def test_what_is_allowed_where():
    """A bare hoop keeps its bumper free too; symmetrical forbids one side alone; a strip is whole and long enough."""
    at = parse_place
    bare, even = Wishes(bare_hoop=True), Wishes(symmetrical=True)
    assert [bare.allows(at(p)) for p in ("12", "3 and 9", "under the bumper", "throat", "inside the handle")] == [
        False, False, False, True, True,
    ]  # fmt: skip
    assert [even.allows(at(p)) for p in ("3 only", "3 and 9", "12", "throat")] == [False, True, True, True]
    cut = Wishes(shortest=40, strip=30)
    assert [cut.takes("tape", mm) for mm in (30.0, 60.0, 70.0, None)] == [False, True, False, True]
    assert not Wishes(only={"silicone": None}).takes("tape", 50.0)


def test_every_wish_is_kept_and_told(tmp_path):
    """Each plan of a workshop under a wish keeps it; the note says what it was planned with."""
    few = _made(tmp_path / "few", Wishes(places=1))
    assert all(plan.places <= 1 for plan in few.plans) and "at most 1 place" in few.notes[0]
    silicone = _made(tmp_path / "only", Wishes(only={"silicone": 4.0}))
    assert all(p.part == "silicone" for plan in silicone.plans for p in plan.additions)
    assert all(plan.added_g <= 4.0 + 1e-6 for plan in silicone.plans)
    assert "only Silicone (4.0 g)" in silicone.notes[0]
    whole = _made(tmp_path / "whole", Wishes(strip=50))
    strips = [p.length_mm for plan in whole.plans for p in plan.additions if p.length_mm]
    assert strips and all(length % 50 == 0 for length in strips)
    bare = _made(tmp_path / "bare", Wishes(bare_hoop=True))
    assert all(p.clock is None and "bumper" not in p.place for plan in bare.plans for p in plan.additions)


def test_too_few_places_are_told_as_such(tmp_path):
    """Where two places do and one does not, that is what is in the way."""
    free, one = _made(tmp_path / "free", Wishes()), _made(tmp_path / "one", Wishes(places=1))
    assert free.status == "matched" and free.plans[0].places == 2
    assert one.status != "matched" and one.obstacles
    told = " ".join(obstacle.text for obstacle in one.obstacles)
    assert "at most 1 place" in told or ("one place" in told and "2 places would do" in told)


def test_a_wish_of_the_player_counts_in_every_plan(tmp_path):
    """``hoop: bare`` in the player's record keeps the hoop free without any option."""
    bench(tmp_path, {"blank": NEAR})
    player = tmp_path / "players/ada/player.yaml"
    player.write_text(player.read_text() + "hoop: bare\n")
    from passport.records.load import load
    from passport.workshop.rebuild.subject import Workbench

    content, faults = load(tmp_path)
    assert not faults
    job = task_for(Workbench(content, bench(tmp_path / "x").today), "ada/main", "blank")
    assert [site.place.text for site in job.sites] == ["inside the handle"]


def _problem(rng, places, options, budget, most):
    """A random problem with few options: bodies of some grams somewhere, one scarce material."""
    groups, takes = [], {}
    for i in range(places):
        spot = rng.uniform(20, 670)
        masses = np.sort(rng.uniform(0.3, 4, options))
        groups.append(Group(f"{i}", tuple(Moments(m, m * spot, m * spot**2, 0.0) for m in masses)))
        takes[i] = masses * rng.integers(0, 2, options)
    start = Moments.from_measured(300.0, 320.0, 290.0)
    picks = [int(rng.integers(0, options)) if rng.random() < 0.5 else None for _ in range(places)]
    aim = Moments.total([start, *(g.options[p] for g, p in zip(groups, picks, strict=True) if p is not None)])
    window = Window(Bounds(aim.mass, 0.6), Bounds(aim.balance, 0.8), Bounds(aim.swingweight(), 1.0))
    return Problem(start, tuple(groups), window, most_places=most, budgets=(Budget(budget, takes),))


def _allowed(problem, picks):
    used = sum(pick is not None for pick in picks)
    (budget,) = problem.budgets
    taken = sum(budget.takes[i][pick] for i, pick in enumerate(picks) if pick is not None)
    return used <= problem.most_places and taken <= budget.most + 1e-9


@pytest.mark.parametrize("seed", range(25))
def test_against_every_choice(seed):
    """On random problems with a budget and at most so many places the answer is that of trying every choice: whether there
    is a plan, with how few places; and what cannot be reached by divided steps no choice reaches."""
    rng = np.random.default_rng(seed)
    problem = _problem(rng, 5, 4, float(rng.uniform(1, 5)), int(rng.integers(1, 4)))
    choices = [c for c in product(*([None, *range(4)] for _ in range(5))) if _allowed(problem, c)]
    good = [c for c in choices if solution_of(problem, c).inside]
    found = solve(problem, 3)
    assert bool(found) == bool(good)
    assert all(_allowed(problem, way.picks) and way.inside for way in found)
    if good:
        assert len(found[0].used) == min(sum(p is not None for p in c) for c in good)
        assert reachable(problem)
    else:
        near = nearest(problem)
        assert _allowed(problem, near.picks)
        assert near.worst <= min(solution_of(problem, c).worst for c in choices) + 0.2


def test_what_cannot_be_taken_off_is_still_out_of_reach(tmp_path):
    """Wishes never make a plan appear: a head that is too heavy stays out of reach under each."""
    assert _made(tmp_path, Wishes(places=2, symmetrical=True), HEAVY_HEAD).status == "impossible"


def test_the_book_of_the_stock_limits(tmp_path):
    """With ``on_hand`` no more is taken than the book has, in grams by the tape's mass per length."""
    work = bench(tmp_path, {"blank": NEAR})
    (tmp_path / "catalogue/stock.yaml").write_text(
        "roll: {of: tungsten-tape, bought: {date: 2026-09-22, amount: 10 m}, counted: {date: 2026-11-20, amount: 5 cm}}\n"
    )
    from passport.records.load import load
    from passport.workshop.rebuild.subject import Workbench

    content, faults = load(tmp_path)
    assert not faults, [fault.text() for fault in faults]
    held = Workbench(content, work.today, wishes=Wishes(on_hand=True))
    assert Wishes(on_hand=True).amounts(held.supply) == pytest.approx({"tungsten-tape": 1.0})
    job = task_for(held, "ada/main", "blank")
    wanted = aims(held, "ada/main")
    for way in solve(job.problem(window_of(wanted), wanted)):
        assert sum(o.mass for o in job.added(way) if o.part == "tungsten-tape") <= 1.0 + 1e-6
