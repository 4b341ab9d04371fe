"""The demo's recipes strung on paper by a script that knows only the setup data, and lengths against usual ones."""

import json
from copy import deepcopy
from pathlib import Path

import pytest
from paperstring import string_on_paper

from passport.records.load import load
from passport.render.pages.data import setup_json
from passport.workshop.gathering.gather import site_facts

DEMO = Path(__file__).parents[2] / "content_demo"


@pytest.fixture(scope="module")
def setups():
    """The setup data of the demo's frames whose path is known, by number."""
    frames = site_facts(load(DEMO)[0]).frames
    found = {frame.number: json.loads(setup_json(frame)) for frame in frames}
    return {number: data for number, data in found.items() if data["string_path"]}


def test_the_demos_recipes_can_be_strung_on_paper(setups, counted):
    """Hole by hole nothing is wrong, and length, mass, balance and inertia are those of the file within two u."""
    assert len(setups) == 14
    for number, data in setups.items():
        path, found = data["string_path"], string_on_paper(data)
        counted(
            f"{number}: {found.length / 1000:.2f} m on paper, {path['length_mm'] / 1000:.2f} ± "
            f"{2 * path['length_uncertainty_mm'] / 1000:.2f} m said; {found.mass:.2f} g, {path['mass_g']:.2f} ± "
            f"{2 * path['mass_uncertainty_g']:.2f} g"
        )
        assert found.wrong == []
        assert abs(found.length - path["length_mm"]) < 2 * path["length_uncertainty_mm"]
        assert abs(found.mass - path["mass_g"]) < 2 * path["mass_uncertainty_g"]
        assert sum(piece["length_mm"] for piece in path["pieces"]) == pytest.approx(path["length_mm"], abs=2)
        assert found.balance == pytest.approx(path["centre_of_mass_mm"], abs=1.0)
        assert found.swing == pytest.approx(path["swingweight_kgcm2"], rel=0.02)
        assert found.ends == [end["comes_out_of"] for piece in path["pieces"] for end in piece["ends"]]


@pytest.mark.parametrize(("spoilt", "wrong"), [
    (lambda order: order.pop(3), "is strung 0 times"),
    (lambda order: order.append(order[5]), "is strung 2 times"),
    (lambda order: order.__setitem__(0, order[0].replace("7H", "5H")), "runs there already"),
    (lambda order: order.insert(2, order.pop(30)), "holes from where the string left"),
])  # fmt: skip
def test_paper_finds_what_is_wrong(setups, spoilt, wrong):
    """The script is no rubber stamp: a missing, doubled, misplaced or far string is found."""
    data = deepcopy(setups["1042-9"])
    spoilt(data["string_path"]["pieces"][0]["order"])
    assert any(wrong in line for line in string_on_paper(data).wrong)


def test_a_16_by_19_takes_ten_metres_of_a_set_of_twelve(setups):
    """10 to 10.5 m of string are cut for a 16 × 19 in one piece (common practice, no source)."""
    (piece,) = setups["1042-9"]["string_path"]["pieces"]
    assert 10_000 <= piece["to_cut_mm"] <= 10_500
    assert 0.2 * piece["length_mm"] < piece["short_side_mm"] < 0.3 * piece["length_mm"]
