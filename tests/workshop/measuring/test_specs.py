"""A frame's quantities against its setup: measured, corrected, judged, or worked out."""

import math

import pytest
import rebuildshop
from rebuildshop import SCALE, SETUP, WORKSHOP, bench, shop, strung_frame

from passport.records.schema.frame import Setup
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.rebuild.targets import aims

READ = "{mass: 330.2 g, balance: 320 mm, swingweight: 318.4 kgcm2}"


def specs(tmp_path, frame="ada/main", **changes):
    """The specs of a frame by quantity."""
    return {s.quantity: s for s in Gatherer(shop(tmp_path, **changes)).frame(frame).specs}


def test_a_reading_is_corrected_and_judged(tmp_path):
    """330.2 g on a scale that shows 200.8 g for 200 g is 328.9 g, which is off a target of 330 ± 1 g."""
    found = specs(tmp_path, readings=READ, workshop=WORKSHOP + SCALE)
    assert found["mass"].value == pytest.approx(330.2 * 200 / 200.8)
    assert found["mass"].verdict == "undecided" and found["mass"].probability < 0.5
    assert found["swingweight"].verdict == "inside" and found["swingweight"].probability > 0.99
    look = math.hypot(0.5 / math.sqrt(12), 0.3)  # of the frame and of the check alike: last digit and scatter
    assert found["balance"].uncertainty == pytest.approx(math.hypot(look, look, 0.05 / math.sqrt(3)))


def test_a_pendulum_stands_for_a_swingweight(tmp_path):
    """A frame that was timed has a swingweight on its page like one from the machine."""
    read = "{mass: 330.2 g, balance: 320 mm, pendulum: {pivot: 0 mm, time: 28.2 s, swings: 20}}"
    facts = Gatherer(shop(tmp_path, readings=read)).frame("ada/main")
    swung = {s.quantity: s for s in facts.specs}["swingweight"]
    by_hand = (
        0.3302 * 9.80665 * 0.320 * 1.41**2 / (4 * 3.141592653589793**2) * 1e4
    )  # I about the butt, any mechanics text
    by_hand += 330.2 * (220**2 - 320**2) / 1e5
    assert swung.value == pytest.approx(by_hand, rel=1e-6)
    assert facts.jobs[-1].measured[0].swingweight == pytest.approx(by_hand, rel=1e-6)


def test_what_nobody_measured_is_forecast(tmp_path):
    """A frame that was only measured without its overgrip has no value, but a forecast that names the overgrip."""
    found = specs(tmp_path, readings="{without: overgrip, mass: 325 g, balance: 323 mm, swingweight: 317 kgcm2}")
    mass = found["mass"]
    assert (mass.value, mass.verdict) == (None, "open")
    assert mass.forecast == pytest.approx(330.0) and mass.forecast_of == ("Overgrip",)
    assert mass.forecast_u > 0.15
    assert found["twistweight"].forecast is None


def test_no_forecast_without_figures(tmp_path):
    """A frame that was never measured, or never strung, has no forecast."""
    assert {s.forecast for s in specs(tmp_path).values()} == {None}
    bare = f"model: larch-98\nlabel: Bare\n{SETUP}"
    assert {s.forecast for s in specs(tmp_path / "bare", "ada/bare", frames={"bare": bare}).values()} == {None}


def test_a_new_frame_is_held_against_the_setup_it_rebuilds(tmp_path):
    """A frame whose own setup is silent is judged by that of the frame which it replaced."""
    figures = "mass: 330.1 g, balance: 320.1 mm, swingweight: 318.1 kgcm2"
    new = strung_frame("New", figures, "number: 1002-3\nkey: NNNNNNNNNNNNNNNNNNNNNNNNNN\n")
    content = {"setup": SETUP + "replaced_by: 1002-3\n", "frames": {"new": new}, "workshop": WORKSHOP + SCALE}
    found = specs(tmp_path, "ada/new", **content)
    assert (found["mass"].target, found["mass"].tolerance) == (330.0, 1.0)
    assert found["balance"].verdict == "inside"
    own = strung_frame("New", figures, "number: 1002-3\nkey: NNNNNNNNNNNNNNNNNNNNNNNNNN\nsetup: {mass: 331 g}\n")
    assert specs(tmp_path / "own", "ada/new", **(content | {"frames": {"new": own}}))["mass"].target == 331.0


def test_nothing_scans_all_frames_for_one(tmp_path):
    """Judging each of many frames without targets looks through all of them once, not once for each quantity."""

    class Counted(dict):
        looks = 0

        def values(self):
            Counted.looks += 1
            return super().values()

    gatherer = Gatherer(shop(tmp_path, readings=READ))
    judge = gatherer.judge
    judge.content.frames = Counted(judge.content.frames)
    frame = judge.content.frames["ada/main"].record.model_copy(update={"setup": Setup()})
    for _ in range(50):
        assert judge._wanted(frame, "mass") == (None, None, None)
    assert Counted.looks == 1


@pytest.mark.parametrize(
    ("read", "asked", "verdict", "wide"),
    [
        ("7.2 pt HL", "320 mm", "undecided", True),  # only the reading hangs on the length
        ("320 mm", "7.2 pt HL", "undecided", False),  # only the target does
        ("7.2 pt HL", "7.2 pt HL", "inside", True),  # both do, and alike
        ("320 mm", "320 mm", "inside", False),
    ],
)
def test_points_on_an_assumed_length(tmp_path, monkeypatch, read, asked, verdict, wide):
    """The verdict knows what an assumed length may be off: half of 4/√3 mm, against a tolerance of 1.5 mm."""
    monkeypatch.setattr(rebuildshop, "MODELS", rebuildshop.MODELS.replace("  length: 685.8 mm\n", "", 1))
    setup = f"setup: {{mass: 330 g, balance: {asked} ± 1.5 mm, swingweight: 318 kgcm2}}\n"
    readings = f"{{mass: 330.2 g, balance: {read}, swingweight: 318.4 kgcm2}}"
    found = specs(tmp_path, readings=readings, setup=setup, workshop=WORKSHOP + SCALE)["balance"]
    assert (found.verdict, found.uncertainty > 1.2) == (verdict, wide)
    assert ("measure the overall length" in found.settled) == (verdict == "undecided")
    aim = next(
        aim
        for aim in aims(bench(tmp_path / "plan", readings=readings, setup=setup), "ada/main")
        if aim.quantity == "balance"
    )
    assert aim.u == pytest.approx(2 / math.sqrt(3) if "pt" in asked else 0.0)
