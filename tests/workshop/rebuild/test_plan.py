"""Plans as data."""

import json

from rebuildshop import NEAR, bench

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate
from passport.workshop.rebuild.assign import choose
from passport.workshop.rebuild.plan import Aim, Figures, target_data
from passport.workshop.rebuild.rebuild import rebuild

QUANTITIES = ("mass_g", "balance_mm", "swingweight_kgcm2", "twistweight_kgcm2")


def test_figures_as_data():
    """Each figure stands under its name with its unit, its uncertainty beside it; an unknown one is null."""
    body = Body.of(lambda v: Moments.from_measured(v["m"], 320, 310), {"m": Estimate(330, 0.1)})
    data = Figures.of(body).data()
    assert (data["mass_g"], data["u_mass_g"]) == (330, 0.1)
    assert (data["twistweight_kgcm2"], data["u_twistweight_kgcm2"]) == (None, None)


def test_targets_as_data():
    """Every quantity is named; one that is free is null."""
    data = target_data([Aim("mass", 330, 1, 0, "setup")])
    assert (data["mass_g"], data["tolerance_mass_g"], data["balance_mm"]) == (330, 1, None)
    assert len(data) == 12


def test_all_plans_start_from_the_same_blank(tmp_path):
    """Whatever a plan adds, taken off its prediction again by first and second moments, is the start of every plan."""
    data = rebuild(bench(tmp_path), "ada/main", "near").data()
    assert len(data["plans"]) > 1
    starts = set()
    for plan in data["plans"]:
        mass = plan["predicted"]["mass_g"] - sum(p["mass_g"] for p in plan["additions"])
        first = plan["predicted"]["mass_g"] * plan["predicted"]["balance_mm"]
        first -= sum(p["moments"]["first_gmm"] for p in plan["additions"])
        starts.add((round(mass, 2), round(first / mass, 2)))
    assert starts == {(round(data["start"]["mass_g"], 2), round(data["start"]["balance_mm"], 2))}


def test_one_frame_is_an_object_and_several_are_a_list(tmp_path):
    """For one frame the data is the rebuild itself with its ranking; status, target and plans stand at the top."""
    data = choose(bench(tmp_path), ["ada/main"], ["near"]).data()
    assert {"status", "target", "plans", "ranking", "why", "a_gram_more"} <= set(data)
    assert data["status"] in ("matched", "nearest", "impossible")
    assert all(f"u_{q}" in data["target"] and q in data["target"] for q in QUANTITIES)
    json.dumps(data)


def test_places_and_grams_of_a_plan(tmp_path):
    """A plan counts its places, and its grams are those of its pieces."""
    plan = rebuild(bench(tmp_path, {"near": NEAR}), "ada/main", "near").plans[0]
    assert plan.places == len(plan.additions)
    assert abs(plan.added_g - sum(p.mass_g for p in plan.additions)) < 1e-9
