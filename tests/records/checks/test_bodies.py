"""Mass, balance and swingweight must be able to belong to one body."""

from pathlib import Path

import pytest
from overlay import checked, rules, third, underlined

from passport.physics.moments import Moments


def _reading(text: str) -> str:
    return f"jobs: [{{date: 2026-05-01, readings: [{{{text}}}]}}]\n"


@pytest.mark.parametrize(
    "text",
    [
        "mass: 330 g, balance: 325 mm, swingweight: 318 kgcm2",
        "mass: 330 g, balance: 5.5 pt HL, swingweight: 318 kgcm2",
        "mass: 330 g, swingweight: 31.8 kgcm2",
        "balance: 325 mm, swingweight: 31.8 kgcm2",
        "mass: 33 g, balance: 325 mm",
    ],
)
def test_what_is_possible_or_cannot_be_judged(tmp_path: Path, text: str) -> None:
    """A sound reading passes, and one that lacks a figure cannot contradict itself."""
    assert third(tmp_path, _reading(text)) == []


@pytest.mark.parametrize(
    ("text", "under"),
    [
        ("mass: 330 g, balance: 325 mm, swingweight: 31.8 kgcm2", "31.8 kgcm2"),
        ("mass: 330 g, balance: 325 mm, swingweight: 600 kgcm2", "600 kgcm2"),
        ("mass: 33 g, balance: 325 mm, swingweight: 318 kgcm2", "318 kgcm2"),
        ("mass: 330 g, balance: 32.5 in, swingweight: 318 kgcm2", "32.5 in"),
        ("balance: 690 mm", "690 mm"),
        ("balance: 60 pt HH ± 2 mm, mass: 330 g, swingweight: 318 kgcm2", "318 kgcm2"),
    ],
)
def test_slipped_digits_and_mixed_units(tmp_path: Path, text: str, under: str) -> None:
    """A digit too many, one too few, and inches for centimetres are each one error at the figure to look at."""
    (fault,) = third(tmp_path, _reading(text))
    assert (fault.rule, fault.severity, underlined(fault)) == ("impossible-body", "error", under)


def test_a_light_frame_with_all_its_mass_in_one_place(tmp_path: Path) -> None:
    """150 g, 36 cm and 105 kg·cm² keep the hard bound 0 < I_cm ≤ M·B(L − B), but no racquet is built like that.

    I_cm = 105 − 0.150·26² = 3.6 kg·cm², a radius of gyration of 4.9 cm (parallel axis theorem, any mechanics text).
    """
    (fault,) = third(tmp_path, _reading("mass: 150 g, balance: 360 mm, swingweight: 105 kgcm2"))
    assert fault.rule == "impossible-body"
    assert "lump" in fault.what


def test_the_axis_of_a_reading_counts(tmp_path: Path) -> None:
    """A swingweight about the butt is larger, and sound where the axis is written, impossible where it is not."""
    about_butt = Moments.from_measured(330, 325, 318).swingweight(1e-9)
    text = f"mass: 330 g, balance: 325 mm, swingweight: {about_butt:.1f} kgcm2"
    assert third(tmp_path / "with", _reading(f"{text}, axis: 0.001 mm")) == []
    assert rules(third(tmp_path / "without", _reading(text))) == ["impossible-body"]


def test_targets_are_bodies_too(tmp_path: Path) -> None:
    """A setup that no racquet can have is an error before anybody tries to build it."""
    (fault,) = third(tmp_path / "a", "setup: {mass: 330 ± 2 g, balance: 325 mm, swingweight: 31.8 ± 1 kgcm2}\n")
    assert (fault.rule, underlined(fault)) == ("impossible-body", "31.8 ± 1 kgcm2")
    (fault,) = third(tmp_path / "b", "setup: {balance: 690 mm}\n")
    assert underlined(fault) == "690 mm"


def test_blanks_are_bodies_too(tmp_path: Path) -> None:
    """A blank's readings are what a rebuild starts from."""
    text = "model: larch-98\nreadings: {state: bare, mass: 295 g, balance: 320 mm, swingweight: 28.5 kgcm2}\n"
    (fault,) = checked(tmp_path, {"blanks/b.yaml": text})[1]
    assert (fault.rule, underlined(fault)) == ("impossible-body", "28.5 kgcm2")


def test_the_advice_holds_the_swingweights_that_are_possible(tmp_path: Path) -> None:
    """Whatever the advice offers for this mass and balance is itself accepted."""
    text = "mass: 330 g, balance: 325 mm, swingweight: {} kgcm2"
    (fault,) = third(tmp_path / "wrong", _reading(text.format(31.8)))
    low, high = (int(word) for word in fault.do.split() if word.isdigit())
    for i, value in enumerate((low + 1, (low + high) // 2, high - 1)):
        assert third(tmp_path / str(i), _reading(text.format(value))) == []


def test_without_a_model_nothing_is_judged(tmp_path: Path) -> None:
    """The length comes from the catalogue; a model that is unknown is one fault."""
    text = "model: zenith\n" + _reading("mass: 330 g, balance: 325 mm, swingweight: 31.8 kgcm2")
    assert rules(third(tmp_path, text)) == ["unknown-model"]
