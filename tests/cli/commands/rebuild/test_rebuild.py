"""``passport rebuild``: what is printed, as text and as data, and with which code it ends."""

import json

import pytest
from commandline import passport, refused
from rebuildshop import HEAVY_HEAD, NEAR, shop

BLANKS = {"near": NEAR, "heavy": HEAVY_HEAD}


@pytest.fixture(name="folder")
def _folder(tmp_path):
    """A workshop with a broken frame, a blank that will do and one that will not."""
    shop(tmp_path, BLANKS)
    return tmp_path


def test_a_plan_for_a_person(folder):
    """The target, the plans with every piece and where it goes, and the notes; code 0 for a match."""
    result = passport("rebuild", folder, "1001-5", "--with", "near")
    assert result.exit_code == 0
    for words in (
        "Ada, Main (1001-5) on near",
        "a plan on target",
        "330.0 ± 1",
        "Plan 1",
        "inside the handle",
        "Overgrip",
    ):
        assert words in result.output
    assert "Blanks" not in result.output


def test_several_blanks_after_one_option(folder):
    """``--with a b`` and ``--with a --with b`` are the same, before the frame's name or after it."""
    one = passport("rebuild", folder, "ada/main", "--with", "heavy", "near")
    two = passport("rebuild", folder, "ada/main", "--with", "heavy", "--with", "near")
    assert one.output == two.output and one.exit_code == 0
    assert "head is already" in " ".join(one.output.split())
    options_first = passport("rebuild", "--with", "heavy", "near", "--cut", "5", folder, "ada/main")
    assert options_first.output == one.output


def test_impossible_ends_with_code_1(folder):
    """A blank whose head is too heavy ends with code 1, the reason, the nearest and what taking off would do."""
    result = passport("rebuild", folder, "ada/main", "--with", "heavy")
    assert result.exit_code == 1
    text = " ".join(result.output.split())
    for words in ("out of reach", "head is already", "Nearest 1", "What taking off would do", "not reached"):
        assert words in text


def test_how_sure_it_is_stands_first(folder):
    """The chance that all is inside together, what it was chosen from and how plans are ranked are said, as text and data."""
    text = passport("rebuild", folder, "ada/main", "--with", "near").output
    assert text.index("inside together:") < text.index("wanted")
    assert "within 2 g of the lightest" in " ".join(text.split())
    data = json.loads(passport("rebuild", folder, "ada/main", "--with", "near", "--json").stdout)
    plan = data["plans"][0]
    assert next(iter(plan)) == "joint_probability"
    assert 0 < plan["joint_probability"] <= min(o["probability"] for o in plan["outlook"].values()) + 1e-3
    assert (plan["proven"], plan["gap"], plan["compared_all"]) == (True, 0, True) and plan["compared"] >= 1
    assert data["ranked_by"]["order"] == ["taken_off", "places", "joint_probability", "mass"]
    said = " ".join(passport("rebuild", "--help").output.split())
    for words in (
        "as few places as possible",
        "at most 2 g heavier",
        "chance that all quantities are inside their tolerances together",
    ):
        assert words in said


@pytest.mark.parametrize("cut", ["nan", "inf", "0.5", "1e9"])
def test_a_cut_that_is_no_length(folder, cut):
    """A step that is no number, or beyond what tape is cut in, ends the command with its usage, not with a traceback."""
    result = passport("rebuild", folder, "ada/main", "--with", "near", "--cut", cut)
    assert result.exit_code == 2
    assert "--cut" in result.output and "Traceback" not in result.output


def test_a_blank_that_lacks_a_figure_is_named(folder):
    """A blank without a balance is named with what to do, beside the plan on another one."""
    (folder / "blanks/short.yaml").write_text(
        "model: larch-98\nreceived: 2026-06-01\nreadings:\n  - {state: bare, mass: 303 g, swingweight: 288 kgcm2}\n"
    )
    result = passport("rebuild", folder, "ada/main", "--with", "near", "short")
    assert result.exit_code == 0
    assert "Not judged: short for ada/main." in result.output and "balance" in result.output


def test_as_data(folder):
    """``--json`` prints one object with status, target and plans, best first, and the ranking."""
    result = passport("rebuild", folder, "ada/main", "--with", "heavy", "near", "--json")
    data = json.loads(result.stdout)
    assert (data["status"], data["blank"], result.exit_code) == ("matched", "near", 0)
    assert {"mass_g", "balance_mm", "swingweight_kgcm2", "twistweight_kgcm2"} <= set(data["target"])
    assert [c["blank"] for c in data["ranking"]] == ["near", "heavy"]
    failed = passport("rebuild", folder, "ada/main", "--with", "heavy", "--json")
    assert (json.loads(failed.stdout)["status"], failed.exit_code) == ("impossible", 1)


def test_another_cut(folder):
    """With tape cut in steps of 25 mm every strip is a whole number of them."""
    data = json.loads(passport("rebuild", folder, "ada/main", "--with", "near", "--cut", "25", "--json").stdout)
    lengths = [p["length_mm"] for plan in data["plans"] for p in plan["additions"] if p["length_mm"]]
    assert lengths and all(length % 25 == 0 for length in lengths)


def test_a_frame_for_which_no_blank_is_left(folder):
    """Two frames and one blank: one is rebuilt, the other is named as left out, and the code is 1."""
    text = (
        (folder / "players/ada/main.yaml")
        .read_text()
        .replace("1001-5", "1002-3")
        .replace("MMMM", "TTTT")
        .replace("Main", "Other")
    )
    (folder / "players/ada/other.yaml").write_text(text)
    result = passport("rebuild", folder, "ada/main", "ada/other", "--with", "near")
    assert result.exit_code == 1
    assert "No blank is left for ada/other" in result.output


def test_names_that_lead_nowhere(folder):
    """A frame or a blank that is not there is named, with what was probably meant."""
    refused(passport("rebuild", folder, "ada/mian", "--with", "near"), "There is no frame 'ada/mian'", "ada/main")
    refused(passport("rebuild", folder, "ada/main", "--with", "neer"), "There is no blank 'neer'", "'near'")


def test_wrong_usage(folder):
    """Without a frame, or without blanks, the usage is shown and the code is 2."""
    assert passport("rebuild", folder, "--with", "near").exit_code == 2
    assert passport("rebuild", folder, "ada/main").exit_code == 2


def test_a_figure_that_lacks(tmp_path):
    """A blank without a balance is an error that says what to measure."""
    shop(tmp_path, {"near": "mass: 303 g, swingweight: 288 kgcm2"})
    refused(passport("rebuild", tmp_path, "ada/main", "--with", "near"), "no balance of near", "balance it")


def test_faults_come_first(folder):
    """Records with an error are reported, and nothing is worked out."""
    (folder / "blanks/near.yaml").write_text("model: larch-99\n")
    result = passport("rebuild", folder, "ada/main", "--with", "near")
    assert result.exit_code == 1
    assert "unknown-model" in result.stderr and result.stdout == ""
