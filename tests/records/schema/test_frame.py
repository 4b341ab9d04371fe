"""The frame's record: what one stringing says of mains, crosses, pieces and knots."""

from typing import Any

import pytest

from passport.records.schema.frame import Frame, Stringing

REED = {"string": "reed-125", "tension": "24 kg"}
LOOSE = {"string": "reed-125", "tension": "22 kg"}
FLINT = {"string": "flint-120", "tension": "23 kg"}


def _strung(**data: Any) -> Stringing:
    return Stringing.model_validate(data)


def test_crosses_are_like_the_mains_unless_written() -> None:
    """One line of a record is enough for a bed of one string and one tension."""
    mains, crosses = _strung(mains=REED).both
    assert mains is crosses
    assert _strung(mains=REED, crosses=LOOSE).both[1].tension.text == "22 kg"


@pytest.mark.parametrize(("data", "hybrid"), [({}, False), ({"crosses": LOOSE}, False), ({"crosses": FLINT}, True)])
def test_a_hybrid_has_two_strings(data: dict[str, Any], hybrid: bool) -> None:
    """Another tension is no hybrid, another string is."""
    assert _strung(mains=REED, **data).hybrid is hybrid


@pytest.mark.parametrize(
    ("data", "pieces", "knots"),
    [
        ({}, None, None),
        ({"pieces": "unknown"}, None, None),
        ({"crosses": FLINT}, 2, 4),
        ({"knots": 4}, 2, 4),
        ({"knots": 2}, 1, 2),
        ({"pieces": "1"}, 1, 2),
        ({"pieces": "2"}, 2, 4),
        ({"pieces": 2}, 2, 4),
        ({"pieces": "2", "knots": "3"}, 2, 3),
    ],
)
def test_knots_follow_from_the_pieces(data: dict[str, Any], pieces: int | None, knots: int | None) -> None:
    """Each piece has two ends, and two strings are two pieces; where nothing was written nothing follows."""
    stringing = _strung(mains=REED, **data)
    assert stringing.worked_out == (pieces, knots)


def test_a_frame_needs_a_model_and_a_label_only() -> None:
    """A record can be begun with two lines."""
    frame = Frame(model="larch-98", label="Main")
    assert (frame.status, frame.number, frame.key, frame.jobs, frame.build) == ("active", "", "", (), ())
