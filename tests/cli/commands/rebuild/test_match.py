"""``passport match``: what is printed, as text and as data, and with which code it ends."""

import json

import pytest
from commandline import passport, refused
from rebuildshop import shop, strung_frame

ONE = "mass: 330.0 g, balance: 320.0 mm, swingweight: 318.0 kgcm2"
TWO = "mass: 326.4 g, balance: 321.0 mm, swingweight: 315.0 kgcm2"
FAR = "mass: 300.0 g, balance: 350.0 mm, swingweight: 330.0 kgcm2"
WREN = "model: wren-5\nlabel: Wren\n"


@pytest.fixture(name="folder")
def _folder(tmp_path):
    """A workshop with two frames that can be made equal and one that cannot."""
    frames = {name: strung_frame(name.title(), text) for name, text in (("one", ONE), ("two", TWO), ("far", FAR))}
    shop(tmp_path, frames={**frames, "wren": WREN})
    return tmp_path


def test_plans_for_a_person(folder):
    """The spread before and after, and each frame's plan; code 0 where all can be matched."""
    result = passport("match", folder, "ada/one", "ada/two")
    assert result.exit_code == 0
    for words in ("2 frames to be made equal", "Spread", "3.6", "Ada, One", "Ada, Two", "Tungsten tape"):
        assert words in result.output


def test_as_data(folder):
    """``--json`` prints status, target, spread and each frame's plans."""
    data = json.loads(passport("match", folder, "ada/one", "ada/two", "--json").stdout)
    assert data["status"] == "matched" and data["to"] is None
    assert len(data["frames"]) == 2


def test_equal_to_one(folder):
    """``--to`` leaves that frame as it is; naming it among the others does no harm."""
    data = json.loads(passport("match", folder, "ada/one", "ada/two", "--to", "ada/one", "--json").stdout)
    assert data["to"] == "ada/one"
    assert [frame["blank"] for frame in data["frames"]] == ["ada/two"]


def test_not_to_be_matched(folder):
    """Frames that cannot be made equal end with code 1 and a reason."""
    result = passport("match", folder, "ada/one", "ada/far")
    assert result.exit_code == 1
    assert "out of reach" in result.output
    assert "made equal" not in result.output


def test_wrong_usage(folder):
    """One frame, the same frame twice, or frames of two sports are wrong usage."""
    assert passport("match", folder, "ada/one").exit_code == 2
    assert passport("match", folder, "ada/one", "ada/one").exit_code == 2
    result = passport("match", folder, "ada/one", "ada/wren")
    assert result.exit_code == 2
    assert "badminton and tennis" in result.stderr


def test_a_figure_that_lacks(folder):
    """A frame that was not measured is an error that says what to measure."""
    refused(passport("match", folder, "ada/one", "ada/main"), "no mass of ada/main", "weigh it")
