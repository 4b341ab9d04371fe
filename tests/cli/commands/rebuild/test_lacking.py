"""Rebuilds from sparse records, as a new user tries them on a second workshop: German, metric, no swing machine."""

import json
from datetime import date

import pytest
from commandline import passport, refused
from sparseshop import WIESEL, sparse_shop

from passport.records.load import load
from passport.workshop.gathering.gather import gatherer_of

# What must come out of the lost badminton frame: mass and balance as it read them, each ± the workshop's tolerance; the
# swingweight of a strung badminton frame of 93.6 g and 293 mm lies between 55 and 130 kg·cm² (the span that the checks
# take as usual) and is an estimate.
BADMINTON = {"mass_g": 93.6, "balance_mm": 293.0}


@pytest.fixture(name="folder")
def _folder(tmp_path):
    """The second workshop."""
    return sparse_shop(tmp_path)


def test_a_lost_badminton_frame_known_by_mass_and_balance(folder):
    """A plan on target, judged by mass and balance alone; the swingweight beside it as an estimate, with what a pendulum
    would buy in figures, and the places that nobody wrote down as assumed."""
    result = passport("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--no-sheet")
    text = " ".join(result.output.split())
    assert result.exit_code == 0 and "Chance that mass and balance are inside together" in text
    for words in (
        "Nobody swung the old frame or this one",
        "estimated",
        "Two minutes with a pendulum would buy",
        "I = m·g·d·T²/4π²",
        "--pendulum '",
        "usual in badminton are assumed",
    ):
        assert words in text
    data = json.loads(passport("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--json").stdout)
    plan = data["plans"][0]
    assert {key: data["target"][key] for key in BADMINTON} == BADMINTON
    assert list(plan["outlook"]) == ["mass", "balance"] and plan["covariance"]["of"] == list(BADMINTON)
    assert abs(plan["predicted"]["mass_g"] - 93.6) <= 1 and abs(plan["predicted"]["balance_mm"] - 293.0) <= 2
    guess = data["estimated"]
    assert guess["of_target"] and guess["of_blank"] and 55 < guess["planned_kgcm2"] < 130
    # one model: what both are off alike cancels, so they are known to be apart far better than each by itself
    assert guess["u_apart_kgcm2"] < 0.7 * guess["u_planned_kgcm2"]
    assert guess["pendulum"]["u_swingweight_kgcm2"] < guess["u_planned_kgcm2"] / 3


def test_a_pendulum_makes_it_a_verdict(folder):
    """Once a setup asks for a swingweight and the blank was timed as the text says, it is judged like all else."""
    lost = folder / "players/brandt/rot.yaml"
    lost.write_text(
        lost.read_text().replace("jobs:", "setup: {mass: 93.6 g, balance: 293 mm, swingweight: 88 kgcm2}\njobs:")
    )
    unswung = json.loads(passport("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--json").stdout)
    assert unswung["estimated"]["of_blank"] and not unswung["estimated"]["of_target"]
    told = unswung["estimated"]["pendulum"]
    timed = f"pendulum: {{pivot: {told['pivot_mm']:g} mm, time: {30 * told['period_s']:.1f} s, swings: 30, amplitude: 5 deg}}, "
    (folder / "blanks/wiesel-neu.yaml").write_text(WIESEL % f"state: bare, {timed}")
    swung = json.loads(passport("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--json").stdout)
    assert swung["estimated"] is None and "swingweight" in swung["plans"][0]["outlook"]
    # the period that was told is that of the estimate, so it reads what was estimated, as surely as was promised
    assert swung["measured"]["swingweight_kgcm2"] == pytest.approx(unswung["measured"]["swingweight_kgcm2"], abs=0.5)
    assert swung["measured"]["u_swingweight_kgcm2"] == pytest.approx(told["u_swingweight_kgcm2"], rel=0.25)


def test_a_timed_blank_tells_of_the_lost_frame_too(folder):
    """It is one more frame of its model: what is believed of the lost one narrows by as much as was promised."""
    unswung = json.loads(passport("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--json").stdout)
    told = unswung["estimated"]["pendulum"]
    timed = f"pendulum: {{pivot: {told['pivot_mm']:g} mm, time: {30 * told['period_s']:.1f} s, swings: 30, amplitude: 5 deg}}, "
    (folder / "blanks/wiesel-neu.yaml").write_text(WIESEL % f"state: bare, {timed}")
    swung = json.loads(passport("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--json").stdout)
    before, after = (data["target"]["u_swingweight_kgcm2"] for data in (unswung, swung))
    assert after == pytest.approx(told["u_wanted_kgcm2"], rel=0.1) and after < 0.6 * before
    assert swung["estimated"]["of_target"] and not swung["estimated"]["of_blank"]


def test_a_blank_without_a_state_is_asked_about(tmp_path):
    """Nobody guesses whether it was strung: the error asks, and names the command that answers."""
    sparse_shop(tmp_path, state="")
    refused(
        passport("rebuild", tmp_path, "1001-5", "--with", "wiesel-neu"),
        "Was wiesel-neu strung or bare", "--blank --reading 1 --set state=bare",
    )  # fmt: skip
    assert (
        passport(
            "correct", tmp_path, "wiesel-neu", "--blank", "--reading", "1", "--set", "state=bare", "--yes"
        ).exit_code
        == 0
    )
    assert passport("rebuild", tmp_path, "1001-5", "--with", "wiesel-neu", "--no-sheet").exit_code == 0


def test_a_squash_frame_whose_model_is_no_longer_made(folder):
    """The target stays; the bed corresponds to other pulls, in the unit of the old ones and below the new limit; length,
    head and pattern are said not to be the same; and the sheet's strings are the new ones."""
    result = passport("rebuild", folder, "okoro/eins", "--with", "segler-neu", "--no-sheet")
    text = " ".join(result.output.split())
    assert result.exit_code == 0
    for words in (
        "another model (Segler 130 II for Segler 130)",
        "12/11.5 kg on the old bed corresponds to",
        "Cannot be made the same: its length, 3 mm less (683 mm)",
        "330 × 205 mm inside the hoop instead of 340 × 200",
        "16 × 17 instead of 14 × 18",
        "Holes, skips and tie-offs are those of the new model",
        "Nobody recorded the old frame's twistweight",
    ):
        assert words in text
    data = json.loads(passport("rebuild", folder, "okoro/eins", "--with", "segler-neu", "--json").stdout)
    bed = data["other_model"]["bed"]
    assert bed["mains_n"] == pytest.approx(12 * 9.80665, abs=0.01)
    assert bed["strung_mains_n"] <= 13 * 9.80665 + 0.01
    assert {k: data["target"][k] for k in ("mass_g", "balance_mm", "swingweight_kgcm2")} == {
        "mass_g": 150.0, "balance_mm": 351.0, "swingweight_kgcm2": 147.0,
    }  # fmt: skip


def test_strings_on_another_model_are_nobody_s_record(folder):
    """Its sheet asks for other pulls than the old recipe, so the new frame's job names none; what was read strung is kept
    as a note, and the parts and their masses stand."""
    resume = ("rebuild", folder, "okoro/eins", "--with", "segler-neu", "--resume", "--no-sheet")
    last = max(one["step"] for one in json.loads(passport(*resume, "--json").stdout)["ahead"])
    assert passport(*resume, "--done", str(last), "--read", f"{last}: 150.1 350.8 147.2").exit_code == 0
    assert (
        passport("issue", folder, "okoro/zwei", "--replaces", "okoro/eins", "--blank", "segler-neu", "--yes").exit_code
        == 0
    )
    records, faults = load(folder)
    assert not [fault for fault in faults if fault.severity == "error"]
    (job,) = records.frames["okoro/zwei"].record.jobs
    assert (job.strings, job.readings) == (None, ())
    assert job.fitted
    assert "mass 150.1 g, balance 350.8 mm, swingweight 147.2 kgcm2" in " ".join(job.private_note.split())


def test_wishes_on_the_command_line(folder):
    """Each wish is kept by the plan and told beside it; a material that is not in the catalogue is refused with a hint."""
    said = ("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--json")
    few = json.loads(passport(*said, "--places", "2").stdout)
    assert all(plan["places"] <= 2 for plan in few["plans"])
    only = json.loads(passport(*said, "--only", "wolfram=20 cm").stdout)
    assert all(piece["material"] == "wolfram" for piece in only["plans"][0]["additions"])
    assert only["plans"][0]["added_g"] <= 2.4 + 1e-6
    assert "only Wolframband (2.4 g)" in only["notes"][0]
    long = json.loads(passport(*said, "--shortest", "45", "--symmetrical").stdout)
    assert all((piece["length_mm"] or 45) >= 45 for piece in long["plans"][0]["additions"])
    refused(passport(*said, "--only", "wolfrm"), "no tape and no silicone 'wolfrm'", "wolfram")
    assert passport("player", folder, "brandt", "--hoop", "bare", "--yes").exit_code == 0
    bare = json.loads(passport(*said).stdout)
    assert all(piece["clock"] is None for piece in bare["plans"][0]["additions"])
    assert "nothing on the hoop" in bare["notes"][0]


def test_after_the_work_the_comparison_has_its_target(folder):
    """The new frame takes what the old one read as its target, the used blank is gone, the old recipe is repeated, and
    ``log`` and ``show`` print both with number and day above."""
    plan = json.loads(passport("rebuild", folder, "1001-5", "--with", "wiesel-neu", "--json").stdout)
    issued = passport("issue", folder, "brandt/neu", "--replaces", "1001-5", "--blank", "wiesel-neu", "--yes")
    assert issued.exit_code == 0, issued.output
    assert not (folder / "blanks/wiesel-neu.yaml").exists()
    content, _ = load(folder)
    new = content.frames["brandt/neu"].record
    assert new.setup.mass and new.setup.balance and new.setup.swingweight is None  # an estimate is no target
    assert (
        new.setup.mass.target.value == plan["target"]["mass_g"]
        and new.setup.balance.mm_value == plan["target"]["balance_mm"]
    )
    done = passport(
        "log", folder, new.number, "--again", "--date", "2026-11-20", "--fit", "griff @ along the handle", "--mass", "93.4 g",
        "--balance", "292.5 mm", "--no-build", "--yes",
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    text = " ".join(done.output.split())
    assert "1001-5, 2026-05-04" in text and f"{new.number}, 2026-11-20" in text and "no target" not in text
    assert "mass, g 93.6 93.4 -0.2 inside" in text
    shown = " ".join(passport("show", folder, new.number).output.split())
    assert "1001-5, 2026-05-04" in shown and "balance, mm 293.0 292.5 -0.5" in shown
    content, _ = load(folder)
    job = content.frames["brandt/neu"].record.jobs[-1]
    assert job.strings and job.strings.mains.string == "kiesel-68" and job.strings.mains.tension.text == "11.5 kg"
    facts = gatherer_of(content).recipe("brandt/neu")
    assert facts.spec("mass").target == 93.6 and facts.spec("mass").taken == date(2026, 11, 20)


def test_what_the_setup_asks_for_stands_above_what_was_read(folder):
    """Only what the setup does not ask for is taken from the readings, in the setup's own way of writing."""
    lost = folder / "players/brandt/rot.yaml"
    lost.write_text(lost.read_text().replace("jobs:", "setup: {mass: 93 g ± 0.5 g, note: as ever}\njobs:"))
    assert (
        passport("issue", folder, "brandt/neu", "--replaces", "1001-5", "--blank", "wiesel-neu", "--yes").exit_code == 0
    )
    content, faults = load(folder)
    assert not [fault for fault in faults if fault.severity == "error"]
    setup = content.frames["brandt/neu"].record.setup
    assert setup.mass and setup.mass.target.value == 93 and setup.note == "as ever"
    assert setup.balance and setup.balance.mm_value == 293 and setup.balance.tolerance_mm == 2
    text = (folder / "players/brandt/neu.yaml").read_text()
    assert "What must be reproduced" not in text
