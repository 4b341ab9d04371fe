"""How a string runs, put together from job, variant and the maker's pattern."""

import pytest

from passport.physics.stringing.holes import Hole
from passport.physics.stringing.route import Route, tie_words
from passport.physics.stringing.ways import StrungWay
from passport.records.schema.catalogue import Pattern
from passport.records.schema.frame import Stringing
from passport.records.strung.strungpath import against_warranty, drilling_of, spelled_out, told_path

MAKER = {
    "mains": "16", "crosses": "19", "mains_start": "throat", "crosses_start": "head",
    "skips": "mains 8 at throat and head", "tie_offs": "mains 6 throat; crosses 5 head and 11 throat",
    "warranty": "two pieces, crosses from the head",
    "variants": [
        {"name": "Round", "path": "around the world, mains from the throat, crosses from the head",
         "tie_offs": "mains 5 head; crosses 11 throat"},
        {"name": "Ours", "order": "left: mains 1-8; right: mains 1-8; crosses: 19-1"},
    ],
}  # fmt: skip
PATTERN = Pattern.model_validate(MAKER)


def strung(**said):
    """A stringing that says a few things."""
    return Stringing.model_validate({"mains": {"string": "reed-125", "tension": "24 kg"}, **said})


def told(**said):
    """How such a stringing runs on that pattern."""
    return told_path(strung(**said), PATTERN)


@pytest.mark.parametrize(("said", "way", "recorded"), [
    ({}, StrungWay(None, "throat", "head"), False),
    ({"pieces": "2"}, StrungWay("two pieces", "throat", "head"), False),
    ({"path": "two pieces, mains from the throat, crosses from the head"}, StrungWay("two pieces", "throat", "head"), True),
    ({"path": "round"}, StrungWay("around the world", "throat", "head"), True),
    ({"path": "round, short side right"}, StrungWay("around the world", "throat", "head", "right"), True),
    ({"path": "one piece, mains from the head", "crosses_start": "unknown"}, StrungWay("one piece", "head"), True),
    ({"path": "two pieces", "mains_start": "unknown"}, StrungWay("two pieces", None, "head"), False),
    ({"knots": "4"}, StrungWay("two pieces", "throat", "head"), False),
])  # fmt: skip
def test_the_way_and_whether_the_job_says_it(said, way, recorded):
    """A job's words come first, then its variant's, then the maker's; only the first two are recorded."""
    found = told(**said)
    assert (found.way, found.recorded) == (way, recorded)


def test_nothing_is_followed_that_nobody_told():
    """Without pieces there is no path, and without a pattern none either."""
    assert told().threaded is None
    assert told(path="two pieces", mains_start="unknown").threaded is None
    assert told_path(strung(path="one piece, mains from the head"), None).threaded is None


def test_one_main_in_the_middle_is_followed_where_both_starts_are_told():
    """In one piece it hangs on both starts which side strings it; from one start alone nothing follows."""
    plain = {name: value for name, value in MAKER.items() if name not in ("mains_start", "crosses_start", "tie_offs")}
    odd = Pattern.model_validate({**plain, "mains": "17", "variants": []})
    assert told_path(strung(path="one piece, mains from the throat"), odd).threaded is None
    for begin in ("throat", "head"):
        found = told_path(strung(path=f"one piece, mains from the throat, crosses from the {begin}"), odd)
        assert found.recorded
        assert isinstance(found.threaded.route(), Route)


def test_a_variant_is_spelled_out():
    """Pieces, starts and tie-offs of a variant are the job's, but for what the job says itself."""
    whole = spelled_out(strung(path="round", tie_offs="mains 4 head"), PATTERN)
    assert (whole.worked_out, whole.mains_start, whole.tie_offs) == ((1, 2), "throat", "mains 4 head")
    route = told(path="round").threaded.route()
    assert isinstance(route, Route) and tie_words(route) == "mains 5 head; crosses 11 throat"


def test_an_order_of_ones_own_is_followed():
    """Two pieces by their own order: crosses from the throat up, though the maker starts them at the head."""
    found = told(path="ours")
    assert found.recorded is False and spelled_out(strung(path="ours"), PATTERN).worked_out == (2, 4)
    route = found.threaded.route()
    assert isinstance(route, Route)
    assert str(route.pieces[1].passes[0].strand) == "cross 19"


def test_holes_of_a_pattern():
    """Skips of crosses are left free; a side that is told has the hole alone; a job's own skips stand above the model's."""
    pattern = Pattern.model_validate({"mains": 16, "crosses": 19, "skips": "mains 7 throat left; crosses 12 head"})
    drilling = drilling_of(pattern)
    assert drilling.skipped == (Hole("left", "throat", 7),)
    assert {hole.number for hole in drilling.blocked} == {12} and len(drilling.blocked) == 2
    assert drilling_of(pattern, "none").skipped == ()
    assert told(path="round", skips="7T 7H").threaded.drilling.skipped[0].number == 7
    assert told(path="round", skips="as drilled").threaded.numbered is False


@pytest.mark.parametrize(("said", "wish"), [
    ({"path": "round"}, "two pieces, crosses from the head"),
    ({"path": "two pieces, crosses from the throat"}, "two pieces, crosses from the head"),
    ({"path": "two pieces"}, ""),
    ({}, ""),
])  # fmt: skip
def test_the_makers_wish(said, wish):
    """What the warranty asks for is told where the job is known to be another way, and nowhere else."""
    assert against_warranty(strung(**said), PATTERN) == wish
