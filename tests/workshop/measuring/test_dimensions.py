"""Dimensions that nobody recorded: they widen what is predicted from them, and the program says which to measure."""

import pytest

from passport.records.schema.catalogue import FrameModel
from passport.workshop.measuring.dimensions import DIMENSIONS, helps_most, usual_bed

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
