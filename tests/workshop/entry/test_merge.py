"""Whether a job is there already."""

import pytest

from passport.records.schema.frame import Job
from passport.workshop.entry.merge import already, clashes

OLD = {
    "date": "2026-03-02",
    "strings": {
        "mains": {"string": "reed-125", "tension": "52 lb", "batch": "B1"},
        "crosses": {"string": "reed-125", "tension": "50 lb", "batch": "B1"},
    },
    "fitted": [{"part": "tape", "place": "3 and 9", "mass": "2 g"}, {"part": "overgrip", "place": "along the handle"}],
    "readings": [
        {"when": "before", "ring": "541 Hz"},
        {"mass": "330 g", "balance": "4 pt HL", "ring": "585 Hz", "age": "15 min"},
    ],
    "note": "Fine.",
    "price": "£20",
}


def job(**changes):
    """The old job with some keys changed, or left out where None."""
    return Job.model_validate({k: v for k, v in {**OLD, **changes}.items() if v is not None})


@pytest.mark.parametrize(
    "new",
    [
        job(),
        job(note=None, price=None, fitted=None),
        job(readings=[{"ring": "585 Hz", "mass": "0.33 kg"}], strings=None),
        job(fitted={"part": "tape", "place": "9 & 3", "mass": "2.0 g"}),
        job(fitted=[OLD["fitted"][1], OLD["fitted"][0]]),
        job(
            strings={
                "mains": {"string": "reed-125", "tension": "52.0 lbs"},
                "crosses": {"string": "reed-125", "tension": "50 lb"},
            }
        ),
        job(readings=[{"balance": "4 points HL"}]),
    ],
)
def test_it_is_there_however_it_is_spelt(new):
    """A job that says no more than one of the same day is there, in other units, order or spelling."""
    assert already([job(date="2026-01-01"), job()], new)
    assert not clashes([job()], new)


@pytest.mark.parametrize(
    "new",
    [
        job(date="2026-03-03"),
        job(note="Other."),
        job(readings=[{"ring": "586 Hz"}]),
        job(readings=[{"when": "before", "ring": "585 Hz"}]),
        job(strings=None, fitted=[{"part": "tape", "place": "12"}]),
        job(repairs=[{"what": "bumper"}]),
        job(strings={"mains": {"string": "reed-125", "tension": "52 lb"}}),
    ],
)
def test_it_is_not_there(new):
    """A job that says anything that the old one does not is new."""
    assert not already([job()], new)


@pytest.mark.parametrize(
    ("new", "does"),
    [
        (job(strings={"mains": {"string": "reed-125", "tension": "53 lb"}}), True),
        (job(strings=None, readings=[{"mass": "331 g"}]), False),
        (job(date="2026-03-03", strings={"mains": {"string": "reed-125", "tension": "53 lb"}}), False),
    ],
)
def test_a_frame_is_not_strung_twice_a_day_in_two_ways(new, does):
    """Another stringing on the same day speaks against the record; another reading does not."""
    assert clashes([job()], new) is does


def test_mains_alone_are_both():
    """A record that names mains only has crosses like them."""
    old = job(strings={"mains": {"string": "reed-125", "tension": "52 lb"}})
    both = {"string": "reed-125", "tension": "52 lb"}
    assert already([old], job(strings={"mains": both, "crosses": both}))
    assert not already([old], job(strings={"mains": both, "pieces": 2}))
