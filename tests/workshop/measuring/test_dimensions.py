"""Dimensions that nobody recorded: they widen what is predicted from them, and the program says which to measure."""

import math
from datetime import date

import pytest
from uncertainties import ufloat

from passport.records.schema.catalogue import FrameModel
from passport.records.schema.frame import Reading
from passport.workshop.measuring.dimensions import (
    DIMENSIONS,
    against_points,
    assumed_length,
    helps_most,
    points_share,
    usual_bed,
)
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.measured import estimates

DAY = date(2026, 3, 2)

KNOWN = {
    "length": "686 mm",
    "rim": "12 mm",
    "handle": {"length": "185 mm", "width": "32 mm"},
    "pattern": "16x19",
    "throat": "open",
}
HEAD = {"length": "337 mm", "width": "245 mm"}
LEAST = {"maker": "Corvane", "name": "Aubier", "sport": "tennis", "head": "100 sq in"}


def bed(**said):
    """A usual string bed with tape at 3 and 9 on a model of which so much is known."""
    return usual_bed(FrameModel.model_validate({**LEAST, **said}).shape())


def test_a_measured_model_has_nothing_to_add():
    """Where all dimensions are recorded nothing is widened, and there is nothing to measure."""
    found = bed(**KNOWN, head=HEAD).swingweight()
    assert found.u == 0 and helps_most(found.shares) == ""


def test_each_recorded_dimension_takes_from_the_uncertainty():
    """The uncertainty shrinks with each dimension that is recorded, in whatever order."""
    said: dict = {}
    before = bed().swingweight().u
    for name, value in KNOWN.items():
        said[name] = value
        now = bed(**said).swingweight().u
        assert now <= before + 1e-9, name
        before = now
    assert bed(**KNOWN).swingweight().u > 0, "the head is known by its printed size alone"


def test_what_is_named_does_help_most():
    """Recording the dimension that is named takes more off the uncertainty than any other one does."""
    whole = bed().swingweight()
    named = helps_most(whole.shares)
    key = {text: name for name, text in DIMENSIONS.items()}[named]
    left = {
        name: (whole.u**2 - share.amount**2) ** 0.5
        for share in whole.shares
        for name in DIMENSIONS
        if share.name.startswith(f"assumed {name} of")
    }
    assert min(left, key=left.__getitem__) == key


@pytest.mark.parametrize("sport", ["tennis", "squash", "badminton", "racketball"])
def test_the_middle_is_inside(sport):
    """The assumed bed of a sport weighs 3 to 25 g, whatever is known of it (common practice, no source)."""
    head = {"tennis": "100 sq in", "squash": "75 sq in", "badminton": "345 cm²", "racketball": "88 sq in"}[sport]
    assert 3 < bed(sport=sport, head=head).mass().value < 25


def test_a_balance_in_points_hangs_on_the_length():
    """B = L/2 − n·25.4/8 mm (a point is an eighth of an inch): its u is the board's and half of the length's, as the
    package uncertainties propagates them (GUM); with a recorded length, or in mm, it is the board's alone."""
    length, board = (
        ufloat(686, 4 / math.sqrt(3)),
        ufloat(0, estimates(_read("320 mm"), DAY, 686, Instruments())["balance"].u),
    )
    shape = FrameModel.model_validate(LEAST).shape()
    assert (shape.length, dict(shape.assumed)["length"]) == (length.nominal_value, pytest.approx(length.std_dev))
    points = estimates(_read("7 pt HL"), DAY, 686, Instruments(), assumed_length(shape))["balance"]
    judge = length / 2 - 7 * 25.4 / 8 + board
    assert (points.value, points.u) == (pytest.approx(judge.nominal_value), pytest.approx(judge.std_dev, rel=1e-3))
    in_mm = estimates(_read("320 mm"), DAY, 686, Instruments(), assumed_length(shape))["balance"]
    assert in_mm.u == pytest.approx(board.std_dev)
    known = FrameModel.model_validate({**LEAST, "length": "686 mm"}).shape()
    assert assumed_length(known) == {} and points_share(known) == ()
    target = length / 2 - 6 * 25.4 / 8
    for figure, measured in ((points, judge), (in_mm, 320 + board)):
        assert against_points(figure, shape).u == pytest.approx((measured - target).std_dev, rel=1e-3)


def _read(balance):
    return Reading.model_validate({"balance": balance})
