"""The limits of each sport against the figures of its published rules, a hair below and a hair above."""

import math
from typing import Any

import pytest

from passport.records.schema.catalogue import FrameModel, Sport
from passport.records.sportrules import breaches, too_heavy

INCH = 25.4
"""mm, exact: international yard and pound agreement of 1959."""


def _model(
    sport: str, length: float = 500, head: tuple[float, float] = (200, 150), rim: float = 10, **more: Any
) -> FrameModel:
    data: dict[str, Any] = {
        "maker": "m",
        "name": "n",
        "sport": sport,
        "length": f"{length} mm",
        "head": {"length": f"{head[0]} mm", "width": f"{head[1]} mm", **more},
        "rim": f"{rim} mm",
        "handle": {"length": "150 mm", "width": "25 mm"},
        "pattern": {"mains": 14, "crosses": 16},
    }
    return FrameModel.model_validate(data)


def _paths(model: FrameModel) -> list[str]:
    return [path for path, _ in breaches(model)]


@pytest.mark.parametrize(
    ("sport", "limit"),
    [
        ("tennis", 737),  # ITF Rules of Tennis, Appendix II: 73.7 cm (29.0 in)
        ("squash", 686),  # World Squash, racket specification: 686 mm
        ("badminton", 680),  # BWF Laws of Badminton, Law 4: 680 mm
        ("racketball", 22 * INCH),  # World Squash, Squash 57 page, 2021: 22 in
    ],
)
def test_overall_length(sport: str, limit: float) -> None:
    """The longest frame that the published rules allow passes, and one a millimetre longer does not."""
    assert _paths(_model(sport, length=limit)) == []
    assert _paths(_model(sport, length=limit + 1)) == ["length"]


@pytest.mark.parametrize(
    ("sport", "limit"),
    [
        ("tennis", 317),  # ITF Rules of Tennis, Appendix II: 31.7 cm (12.5 in)
        ("squash", 215),  # World Squash, racket specification: 215 mm
        ("badminton", 230),  # BWF Laws of Badminton, Law 4: 230 mm
    ],
)
def test_overall_width(sport: str, limit: float) -> None:
    """The width counts the hoop on both sides, and its limit is the published one."""
    assert _paths(_model(sport, head=(200, limit - 40), rim=20)) == []
    assert _paths(_model(sport, head=(200, limit - 39), rim=20)) == ["rim"]


@pytest.mark.parametrize(
    ("sport", "length", "width"),
    [
        ("tennis", 394, 292),  # ITF Rules of Tennis, Appendix II: 39.4 cm × 29.2 cm (15.5 in × 11.5 in)
        ("badminton", 280, 220),  # BWF Laws of Badminton, Law 4: 280 mm × 220 mm
    ],
)
def test_strung_surface(sport: str, length: float, width: float) -> None:
    """The hitting surface may be as long and as wide as published, and no more."""
    assert _paths(_model(sport, head=(length, width), rim=5)) == []
    assert _paths(_model(sport, head=(length + 1, width), rim=5)) == ["head.length"]
    assert _paths(_model(sport, head=(length, width + 1), rim=4)) == ["head.width"]


def test_squash_string_length_and_area() -> None:
    """Squash allows strings of 390 mm and 500 cm²: World Squash, racket specification."""
    narrow = 160.0
    assert _paths(_model("squash", head=(390, narrow))) == []
    assert _paths(_model("squash", head=(391, narrow))) == ["head.length"]
    assert _paths(_model("squash", head=(380, 167), form="ellipse")) == []  # π·380·167/4 mm² = 498.4 cm²
    assert _paths(_model("squash", head=(380, 168), form="ellipse")) == ["head"]  # 501.4 cm²


def test_squash_area_is_that_of_the_outline() -> None:
    """The area under measured widths is held to 500 cm².

    The widths are those of a superellipse of exponent 2.5, |2x/L|ⁿ + |2y/W|ⁿ = 1, whose area is
    L·W·Γ(1 + 1/n)²/Γ(1 + 2/n) (Gradshteyn & Ryzhik 4.642, from memory).
    """
    n = 2.5
    share = math.gamma(1 + 1 / n) ** 2 / math.gamma(1 + 2 / n)
    heights = (30.0, 95.0, 265.0, 330.0)
    for width, over in ((163.0, []), (166.0, ["head"])):
        found = [width * (1 - abs(2 * h / 360 - 1) ** n) ** (1 / n) for h in heights]
        widths = [f"{w:.2f} mm at {h:g} mm" for w, h in zip(found, heights, strict=True)]
        model = _model("squash", head=(360, width), widths=widths)
        assert model.shape().head_area == pytest.approx(360 * width * share, rel=0.004)
        assert _paths(model) == over, 360 * width * share / 100


def test_a_form_that_nobody_recorded_breaks_no_rule_by_guess() -> None:
    """A squash head whose form is not recorded is over the area only where it surely is, and its teardrop is smaller."""
    assert _paths(_model("squash", head=(380, 168))) == []
    assert _paths(_model("squash", head=(388, 200), rim=7)) == ["head"]


def test_badminton_strings_in_the_throat() -> None:
    """BWF Laws, Law 4: the strings may reach into the throat if that piece is at most 35 mm wide and the whole strung length
    at most 330 mm (from memory)."""
    for length, width, over in (
        (50, 35, []),
        (51, 35, ["head.into_throat.length"]),
        (50, 36, ["head.into_throat.width"]),
    ):
        piece = {"length": f"{length} mm", "width": f"{width} mm"}
        assert _paths(_model("badminton", head=(280, 220), rim=5, into_throat=piece)) == over
    assert _paths(_model("squash", into_throat={"length": "10 mm", "width": "10 mm"})) == ["head.into_throat"]


@pytest.mark.parametrize(
    ("sport", "limit"),
    [
        ("squash", 255),  # World Squash, racket specification: 255 g
        ("racketball", 280),  # World Squash, Squash 57 page, 2021: 280 g
    ],
)
def test_mass(sport: Sport, limit: float) -> None:
    """The heaviest frame that the published rules allow passes, and a heavier one does not."""
    assert too_heavy(sport, limit) is None
    assert too_heavy(sport, limit + 0.1) is not None


@pytest.mark.parametrize("sport", ["tennis", "badminton"])
def test_no_limit_of_mass_is_made_up(sport: Sport) -> None:
    """Neither the ITF Rules of Tennis, Appendix II, nor the BWF Laws, Law 4, limit a racquet's mass (from memory)."""
    assert too_heavy(sport, 999) is None
