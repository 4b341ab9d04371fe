"""Frames made equal with the least mass."""

import json
import random
import re

import pytest
from rebuildshop import PLACES, SCALE, bench, strung_frame

from passport.records.load import load
from passport.workshop.rebuild.match import match
from passport.workshop.rebuild.subject import Workbench

ONE = "mass: 330.0 g, balance: 320.0 mm, swingweight: 318.0 kgcm2"
TWO = "mass: 326.4 g, balance: 321.0 mm, swingweight: 315.0 kgcm2"
THREE = "mass: 328.1 g, balance: 319.0 mm, swingweight: 313.5 kgcm2"


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


def test_no_tape_on_tape_that_is_there(tmp_path):
    """Where a frame has tape already nothing is laid on it, and the other places are still there."""
    taped = "model: larch-98\nlabel: T\nbuild:\n  - {part: cushion, place: along the handle}\n"
    taped += "  - {part: tungsten-tape, place: 3 and 9, length: 60 mm}\n"
    taped += strung_frame("T", TWO).partition("jobs:")[2].join(["jobs:", ""])
    made = bench(tmp_path, frames={"one": strung_frame("One", ONE), "two": taped})
    found = match(made, ["ada/one", "ada/two"])
    (two,) = [m for m in found.members if m.blank.name == "ada/two"]
    places = {p.place for plan in two.plans for p in plan.additions}
    assert places and "3 and 9" not in places


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


def test_twelve_frames(tmp_path):
    """A dozen frames are made equal, or it is said by how much less mass might do; nothing ends in a crash."""
    rng = random.Random(3)
    frames = {
        f"f{i}": strung_frame(
            f"F{i}",
            f"mass: {rng.gauss(326, 0.8):.1f} g, balance: {rng.gauss(320, 0.7):.1f} mm, "
            f"swingweight: {rng.gauss(316, 0.8):.1f} kgcm2",
        )
        for i in range(12)
    }
    found = match(bench(tmp_path, frames=frames), [f"ada/f{i}" for i in range(12)], plans=1)
    assert found.status == "matched"
    for spread in found.spreads:
        assert spread.after <= spread.tolerance * (1 + 1e-9)
    data = found.data()
    assert found.proven == (data["gap"] == 0)
    assert data["added_g"] - data["gap"] <= sum(frame["plans"][0]["added_g"] for frame in data["frames"]) + 1e-6


def test_the_same_again(tmp_path):
    """The limit is in nodes, not in seconds: the same match gives the same plans to the last digit, twice."""
    one, two = (match(work(tmp_path / name), ["ada/one", "ada/two", "ada/three"]).data() for name in ("a", "b"))
    assert one == two


def read_on(root, machines: str):
    """The workbench with three frames nearly equal, their figures read on some instruments."""
    made = work(root, two=ONE.replace("330.0", "330.3"), three=ONE.replace("318.0", "318.6"))
    path = root / "workshop.yaml"
    path.write_text(path.read_text(encoding="utf-8") + machines, encoding="utf-8")
    return Workbench(load(root)[0], made.today)


def test_a_machine_that_all_were_read_on_makes_none_differ(tmp_path):
    """Instruments that were never held against anything known make no frame differ from another that was read on them:
    the frames are as surely equal as with checked ones, though each figure by itself is far less sure."""
    frames, chances = ["ada/one", "ada/two", "ada/three"], {}
    unchecked = re.sub(r", checks: \[.*?\]", "", SCALE)
    assert SCALE.count("checks") == 3
    assert "checks" not in unchecked
    for name, machines in (("checked", SCALE), ("unchecked", unchecked)):
        members = match(read_on(tmp_path / name, machines), frames).members
        chances[name] = members[0].start.get("swingweight").u, [member.plans[0].chance for member in members]
        judged = [o for member in members for o in member.plans[0].outlook if o.quantity == "swingweight"]
        assert all(part.share < 0.02 for o in judged for part in o.made_up if part.cause == "checks")
    assert chances["unchecked"][0] > 2 * chances["checked"][0]
    assert chances["unchecked"][1] == pytest.approx(chances["checked"][1], abs=0.03)
    assert min(chances["checked"][1]) > 0.5
