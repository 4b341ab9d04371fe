"""Did it match? What ``check`` says of frames that are off their targets."""

from datetime import date

import pytest
from rebuildshop import SCALE, SETUP, WORKSHOP, shop, strung_frame

from passport.workshop.gathering import checks

FINE = SCALE.replace("200.8 g", "200.0 g")
TODAY = date(2026, 11, 25)


def found(tmp_path, figures: str, extra: str = "", **changes):
    """What the bench's checks find where one frame in use reads these figures."""
    frames = {"new": strung_frame("New", figures, extra)}
    content = shop(tmp_path, frames=frames, workshop=WORKSHOP + FINE, **changes)
    return [f for f in checks.run(content, TODAY) if f.rule == "off-target"]


def test_on_target(tmp_path):
    """A frame inside its tolerances is no fault, nor is one too near a limit to say."""
    assert found(tmp_path, "mass: 330.2 g, balance: 320 mm, swingweight: 318 kgcm2", SETUP) == []
    assert found(tmp_path / "near", "mass: 331.05 g", SETUP) == []


def test_off_target(tmp_path):
    """A frame surely outside is a warning at its target's line that says by how much."""
    (fault,) = found(tmp_path, "mass: 332.5 g, balance: 320 mm, swingweight: 318 kgcm2", SETUP)
    assert fault.severity == "warning"
    assert "mass was 332.5 g, 2.5 g over the target of 330 ± 1 g" in fault.what
    assert fault.place.excerpt.strip().startswith("mass:")


def test_against_the_frame_it_rebuilds(tmp_path):
    """A new frame without a setup of its own is held against that of the frame which it replaced."""
    number = "number: 1002-3\nkey: NNNNNNNNNNNNNNNNNNNNNNNNNN\n"
    lost = SETUP + "replaced_by: 1002-3\n"
    (fault,) = found(tmp_path, "balance: 316 mm", number, setup=lost)
    assert "4.0 mm under the target of 320 ± 1.5 mm" in fault.what
    assert fault.place.excerpt.strip().startswith("label:")


@pytest.mark.parametrize("status", ["broken", "lost", "retired"])
def test_frames_out_of_use_are_left_alone(tmp_path, status):
    """What is not played any more need not be on target."""
    assert found(tmp_path, "mass: 332.5 g", f"{SETUP}status: {status}\n") == []


def test_an_impossible_timing_does_not_stop_the_checks(tmp_path):
    """A frame timed at its balance point has no swingweight, and that is left to the record's own check."""
    hung = "mass: 330 g, balance: 320 mm, pendulum: {pivot: 320 mm, period: 1.3 s}"
    assert found(tmp_path, hung, SETUP) == []
