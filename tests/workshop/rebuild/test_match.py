"""Frames made equal with the least mass."""

import itertools
import json

import pytest
from rebuildshop import PLACES, bench, strung_frame

from passport.physics.moments import Moments
from passport.workshop.rebuild.match import common_target, match
from passport.workshop.solver.problem import Group, Problem, Window

ONE = "mass: 330.0 g, balance: 320.0 mm, swingweight: 318.0 kgcm2"
TWO = "mass: 326.4 g, balance: 321.0 mm, swingweight: 315.0 kgcm2"
THREE = "mass: 328.1 g, balance: 319.0 mm, swingweight: 313.5 kgcm2"
TOLERANCES = {"mass": 1.0, "balance": 2.0, "swingweight": 1.5, "twistweight": 0.5}


def work(tmp_path, **frames: str):
    """A workbench with three frames in use that are not equal."""
    given = {"one": ONE, "two": TWO, "three": THREE} | frames
    return bench(tmp_path, frames={name: strung_frame(name.title(), figures) for name, figures in given.items()})


def test_three_frames_meet(tmp_path):
    """Afterwards no two frames are further apart than the tolerance in anything, and nothing was taken off."""
    found = match(work(tmp_path), ["ada/one", "ada/two", "ada/three"])
    assert found.status == "matched"
    for spread in found.spreads:
        assert spread.after <= spread.tolerance
    assert found.spreads[0].before == pytest.approx(3.6)
    assert not any(plan.removals for member in found.members for plan in member.plans)
    assert {aim.source for aim in found.aims} == {"set"}


def test_the_heaviest_frame_gets_least(tmp_path):
    """The common target is near the heaviest frame, which gets nothing or next to it."""
    found = match(work(tmp_path), ["ada/one", "ada/two", "ada/three"])
    added = {member.blank.name: member.plans[0].added_g for member in found.members}
    assert added["ada/one"] == min(added.values())


def test_equal_to_one_of_them(tmp_path):
    """With a frame to follow, that one is left alone and the others come within the tolerance of it."""
    found = match(work(tmp_path), ["ada/two", "ada/three"], "ada/one")
    assert [member.blank.name for member in found.members] == ["ada/two", "ada/three"]
    target = {aim.quantity: aim.target for aim in found.aims}
    assert (target["mass"], target["balance"], target["swingweight"]) == pytest.approx((330, 320, 318))
    for member in found.members:
        for aim in found.aims:
            assert abs(member.plans[0].predicted.get(aim.quantity).value - aim.target) <= aim.tolerance


def test_already_equal(tmp_path):
    """Frames that are equal already get nothing."""
    same = work(tmp_path, two=ONE, three=ONE)
    found = match(same, ["ada/one", "ada/two", "ada/three"])
    assert found.added_g == 0 and found.status == "matched"


def test_what_is_on_a_frame_counts_towards_the_limits(tmp_path):
    """Tape that a frame has already leaves less room at its place."""
    taped = "model: larch-98\nlabel: T\nbuild:\n  - {part: cushion, place: along the handle}\n"
    taped += "  - {part: tungsten-tape, place: 3 and 9, length: 110 mm}\n"
    taped += strung_frame("T", TWO).partition("jobs:")[2].join(["jobs:", ""])
    made = bench(tmp_path, frames={"one": strung_frame("One", ONE), "two": taped})
    found = match(made, ["ada/one", "ada/two"])
    (two,) = [m for m in found.members if m.blank.name == "ada/two"]
    sides = [p for plan in two.plans for p in plan.additions if p.place == "3 and 9"]
    assert all(piece.length_mm <= 10 for piece in sides)


def test_made_equal_by_taking_off(tmp_path):
    """Where a frame is too heavy at the grip for the places to follow, its overgrip may go."""
    few = PLACES.splitlines()[0] + "\n"
    heavy = strung_frame("Two", "mass: 335.0 g, balance: 316.2 mm, swingweight: 318.2 kgcm2").replace(
        "build:\n", "build:\n  - {part: overgrip, place: along the handle}\n"
    )
    made = bench(tmp_path, places=few, frames={"one": strung_frame("One", ONE), "two": heavy})
    found = match(made, ["ada/one", "ada/two"])
    assert found.status == "matched"
    (two,) = [m for m in found.members if m.blank.name == "ada/two"]
    assert [r.piece.part for r in two.plans[0].removals] == ["overgrip"]


def test_frames_that_cannot_be_equal(tmp_path):
    """Frames too far apart are told so, each with what is in the way and what comes nearest."""
    far = work(tmp_path, two="mass: 300.0 g, balance: 350.0 mm, swingweight: 330.0 kgcm2")
    found = match(far, ["ada/one", "ada/two"])
    assert found.status != "matched"
    assert any(member.obstacles for member in found.members)
    json.dumps(found.data())


def test_data_of_a_match(tmp_path):
    """The data has the spread before and after and each frame's plans."""
    data = match(work(tmp_path), ["ada/one", "ada/two"]).data()
    assert json.loads(json.dumps(data)) == data
    assert set(data["spread"]["mass_g"]) == {"before", "after", "tolerance"}
    assert [frame["blank"] for frame in data["frames"]] == ["ada/one", "ada/two"]


def test_least_mass_by_brute_force():
    """No combination of steps on two bodies makes them equal with less mass: all 4 096 pairs tried one by one."""
    bodies = (Moments.from_measured(330, 320, 318), Moments.from_measured(328, 321.5, 316))
    positions = (650.0, 330.0, 40.0)
    groups = tuple(Group(f"{x}", tuple(Moments.point(k, x) for k in (1, 2, 3))) for x in positions)

    def reached(body):
        for counts in itertools.product(range(4), repeat=3):
            added = [Moments.point(k, x) for k, x in zip(counts, positions, strict=True)]
            yield Moments.total([body, *added]), sum(counts)

    def equal(a, b):
        return (
            abs(a.mass - b.mass) <= 0.98
            and abs(a.balance - b.balance) <= 2 * 0.98
            and abs(a.swingweight() - b.swingweight()) <= 1.5 * 0.98
        )

    least = min(
        (m + n, m) for (a, m), (b, n) in itertools.product(reached(bodies[0]), reached(bodies[1])) if equal(a, b)
    )[0]
    target = common_target([Problem(Moments(b.m0, b.m1, b.m2, None), groups, Window()) for b in bodies], TOLERANCES)
    best = min(
        (m + n)
        for (a, m), (b, n) in itertools.product(reached(bodies[0]), reached(bodies[1]))
        if all(
            abs(body.mass - target["mass"]) <= 0.5
            and abs(body.balance - target["balance"]) <= 1.0
            and abs(body.swingweight() - target["swingweight"]) <= 0.75
            for body in (a, b)
        )
    )
    assert best == least
