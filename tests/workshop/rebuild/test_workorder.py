"""The order of work: small steps, a trial first, and figures that add up."""

from itertools import pairwise

import pytest
from rebuildshop import HEAVY_HEAD, bench

from passport.physics.moments import Moments
from passport.workshop.rebuild.match import match
from passport.workshop.rebuild.rebuild import rebuild
from passport.workshop.rebuild.workorder import PORTION_G, body_of, work_order

STRUNG = (
    "number: 1002-3\nmodel: larch-98\nlabel: {label}\nbuild:\n  - {{part: cushion, place: along the handle}}\njobs:\n"
    "  - date: 2026-03-02\n    strings: {{mains: {{string: reed-125, tension: 24 kg}}}}\n    readings: [{{{figures}}}]\n"
)


@pytest.fixture
def found(tmp_path):
    """A rebuild on a blank of which the grip makes way for a heavier one."""
    light = "mass: 287 g, balance: 333 mm, swingweight: 288 kgcm2"
    return rebuild(bench(tmp_path, {"blank": light}, build=("leather", "sleeve")), "ada/main", "blank")


def by_kind(stages, *kinds):
    """The stages of some kinds."""
    return [stage for stage in stages if stage.kind in kinds]


def test_it_begins_with_the_blank_and_ends_with_the_prediction(found):
    """The first line reads what was measured, the last one what the plan predicts."""
    for plan in found.plans:
        stages = work_order(found, plan)
        assert stages[0].kind == "check"
        for stage, figures in ((stages[0], found.measured), (stages[-1], plan.predicted)):
            assert stage.after.mass == pytest.approx(figures.mass.value)
            assert stage.after.balance == pytest.approx(figures.balance.value)
            assert stage.after.swingweight() == pytest.approx(figures.swingweight.value)


def test_everything_is_tried_before_anything_is_stuck_on(found):
    """After what comes off, each addition is tried with putty, the putty comes off, and only then the work begins."""
    kinds = [stage.kind for stage in work_order(found, found.plans[0])]
    first = kinds.index("trial")
    assert kinds[:first] == ["check", "take off"]
    tries = kinds.count("trial")
    assert tries == len(found.plans[0].additions)
    assert kinds[first : first + tries + 1] == ["trial"] * tries + ["clear"]
    assert kinds.index("add") > first + tries


def test_a_trial_reads_what_the_pieces_add(found):
    """Each trial's figures are those of the bare frame with the pieces so far, re-added by their mass and moments."""
    stages = work_order(found, found.plans[0])
    body = by_kind(stages, "take off")[-1].after
    for stage in by_kind(stages, "trial"):
        body = Moments.total([body, stage.piece.moments])
        assert (stage.after.m0, stage.after.m1, stage.after.m2) == pytest.approx((body.m0, body.m1, body.m2))


def test_the_putty_off_has_no_reading(found):
    """Taking the putty off is a line without figures, and weighs all that was tried."""
    (clear,) = by_kind(work_order(found, found.plans[0]), "clear")
    assert clear.after is None
    assert clear.mass_g == pytest.approx(found.plans[0].added_g)


def test_each_line_weighs_what_it_puts_on(found):
    """From line to line the frame gains just the mass that the line names; what comes off is lost."""
    for plan in found.plans:
        stages = by_kind(work_order(found, plan), "check", "take off", "add", "fit", "string", "rest")
        for before, after in pairwise(stages):
            sign = -1 if after.kind == "take off" else 1
            assert after.after.mass - before.after.mass == pytest.approx(sign * after.mass_g, abs=1e-6)


def test_portions_of_a_paste_are_small_and_add_up(tmp_path):
    """A paste goes in by portions of at most 3 g in half grammes, which together are the planned mass."""
    light = "mass: 292 g, balance: 334 mm, swingweight: 292 kgcm2"
    found = rebuild(bench(tmp_path, {"blank": light}), "ada/main", "blank")
    plan = max(found.plans, key=lambda p: max((a.mass_g for a in p.additions if a.kind == "silicone"), default=0.0))
    (paste,) = [piece for piece in plan.additions if piece.kind == "silicone"]
    assert paste.mass_g > 2 * PORTION_G
    portions = [s for s in work_order(found, plan) if s.kind in ("add", "rest") and s.piece.kind == "silicone"]
    assert sum(s.mass_g for s in portions) == pytest.approx(paste.mass_g)
    assert all(s.mass_g <= PORTION_G + 1e-9 for s in portions)
    assert all((2 * s.mass_g) % 1 == pytest.approx(0.0, abs=1e-9) for s in portions)
    assert [s.part for s in portions if s.kind == "add"] == list(range(1, len(portions)))
    assert all(s.parts == len(portions) for s in portions if s.kind == "add")


def test_the_last_portion_waits_for_the_strings(tmp_path):
    """What the predicted mass may be off is kept back until the frame is strung, then it goes in."""
    found = rebuild(bench(tmp_path), "ada/main", "near")
    plan = next(p for p in found.plans if any(a.kind == "silicone" for a in p.additions))
    stages = work_order(found, plan)
    kinds = [stage.kind for stage in stages]
    assert kinds.index("rest") == kinds.index("string") + 1
    (rest,) = by_kind(stages, "rest")
    assert rest.mass_g >= min(2 * plan.predicted.mass.u, rest.piece.mass_g) - 1e-9


def test_nothing_waits_on_a_frame_that_is_strung(tmp_path):
    """A frame that stays strung has no line for strings and keeps nothing back."""
    frames = {
        "one": STRUNG.format(label="One", figures="mass: 322 g, balance: 320 mm, swingweight: 315 kgcm2"),
        "two": STRUNG.format(label="Two", figures="mass: 330 g, balance: 312 mm, swingweight: 316 kgcm2"),
    }
    found = match(bench(tmp_path, frames=frames), ["ada/one"], "ada/two")
    (member,) = found.members
    stages = work_order(member, member.plans[0])
    assert by_kind(stages, "add")
    assert not by_kind(stages, "string", "rest", "take off")


def test_a_plan_that_adds_nothing_has_no_trial(tmp_path):
    """Where nothing is added nothing is tried."""
    found = rebuild(bench(tmp_path, {"blank": HEAVY_HEAD}), "ada/main", "blank")
    for plan in found.plans:
        kinds = {stage.kind for stage in work_order(found, plan)}
        assert ("trial" in kinds) is bool(plan.additions)


def test_figures_as_moments_and_back(found):
    """Figures made into moments read the same again, and an unknown twistweight stays unknown."""
    body = body_of(found.measured)
    assert body.balance == pytest.approx(found.measured.balance.value)
    assert body.swingweight() == pytest.approx(found.measured.swingweight.value)
    assert body.polar is None
