"""What the rules of each sport allow of a racquet."""

from typing import Any

import pytest

from passport.records.schema.catalogue import FrameModel, Sport
from passport.records.sportrules import RULES, breaches, too_heavy

SPORTS: tuple[Sport, ...] = ("tennis", "squash", "badminton", "racketball")


def _model(sport: str, **more: Any) -> FrameModel:
    data: dict[str, Any] = {
        "maker": "m",
        "name": "n",
        "sport": sport,
        "length": "550 mm",
        "head": {"length": "250 mm", "width": "170 mm"},
        "rim": "10 mm",
        "handle": {"length": "180 mm", "width": "25 mm"},
        "pattern": {"mains": 14, "crosses": 16},
    }
    return FrameModel.model_validate({**data, **more})


def test_every_sport_has_its_rules() -> None:
    """There is no sport of the catalogue without limits, and each names its source."""
    assert set(RULES) == set(SPORTS)
    assert all(limits.rule for limits in RULES.values())


@pytest.mark.parametrize("sport", SPORTS)
def test_a_small_racquet_breaks_no_rule(sport: Sport) -> None:
    """A racquet within all limits has nothing to be told."""
    assert list(breaches(_model(sport))) == []
    assert too_heavy(sport, 200) is None


def test_each_dimension_is_told_apart_and_placed() -> None:
    """Length, width, strung length, strung width: each is one breach at its own field."""
    wide = _model("tennis", length="740 mm", head={"length": "396 mm", "width": "300 mm"})
    assert [path for path, _ in breaches(wide)] == ["length", "rim", "head.length", "head.width"]


def test_a_breach_names_the_figure_the_limit_and_the_rule() -> None:
    """A player can look up what is meant."""
    (breach,) = breaches(_model("squash", length="690 mm"))
    assert breach == ("length", "The overall length, 690.0 mm, is over 686 mm (World Squash racket specification).")


def test_an_area_may_be_too_large_where_no_side_is() -> None:
    """The strung area of a squash racquet has a limit of its own."""
    assert [
        path for path, _ in breaches(_model("squash", head={"length": "385 mm", "width": "190 mm", "form": "ellipse"}))
    ] == ["head"]


def test_a_mass_over_the_limit_names_the_rule() -> None:
    """Squash has a limit of mass; tennis has none."""
    assert too_heavy("squash", 255.6) == "A mass of 255.6 g is over 255 g (World Squash racket specification)."
    assert too_heavy("tennis", 450) is None
