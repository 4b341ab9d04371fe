"""What is said in a line of a string, a model or a player that is not there."""

import pytest

from passport.workshop.entry.newcomers import (
    NewModel,
    NewString,
    gauge_of,
    head_of,
    model_of,
    reach_of,
    string_of,
)
from passport.workshop.entry.phrases import Unclear


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("Oxbow, Reed, 1.25, nylon", NewString("Oxbow", "Reed", "1.25 mm", "nylon")),
        ("Oxbow, Reed, 1,25, Multi", NewString("Oxbow", "Reed", "1.25 mm", "nylon")),
        ("Oxbow; Reed; Darm; 1,25 mm", NewString("Oxbow", "Reed", "1,25 mm", "gut")),
        ("Oxbow,Reed,17,boyau naturel", NewString("Oxbow", "Reed", "17", "gut")),
        ("Oxbow, Reed", NewString("Oxbow", "Reed")),
        ("", NewString()),
    ],
)
def test_a_string_is_read_from_a_line(line, found):
    """Gauge and material are known by their form, in any place and in four languages; the rest is maker and name."""
    assert string_of(line) == found


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("Tarn, Rowan 100, tennis, 100", NewModel("Tarn", "Rowan 100", "tennis", "100 sq in")),
        ("Tarn, Rowan, 500, Squash", NewModel("Tarn", "Rowan", "squash", "500 cm2")),
        ("Tarn, 98, tennis, 98 sq in", NewModel("Tarn", "98", "tennis", "98 sq in")),
        ("Tarn, Rowan 100", NewModel("Tarn", "Rowan 100")),
    ],
)
def test_a_model_is_read_from_a_line(line, found):
    """A head's size without a unit is in sq in or cm², of which one alone can be meant: World Squash's largest head has
    500 cm² (its specification of the racket), tennis heads are printed with 85 to 135 (common practice, no source)."""
    assert model_of(line) == found


def test_what_does_not_fit_is_said():
    """A line with more than four fields, or a size that no head has, is told and not guessed at."""
    with pytest.raises(Unclear, match="more in it than maker, name, gauge, material"):
        string_of("Oxbow, Reed, silver, 1.25, nylon")
    with pytest.raises(Unclear, match="'big' is no head size"):
        model_of("Tarn, Rowan, tennis, big")
    assert gauge_of("1.25 in") == head_of("5") == ""


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("mira@ropewalk.example", ("mira@ropewalk.example", "")),
        ("01632 960123", ("", "01632 960123")),
        ("+44 (1632) 960-123, mira@ropewalk.example", ("mira@ropewalk.example", "+44 (1632) 960-123")),
    ],
)
def test_how_to_reach_somebody_is_told_apart(said, found):
    """An address has an @, a telephone number digits."""
    assert reach_of(said) == found


@pytest.mark.parametrize("said", ["mira@", "at the club", "12"])
def test_no_way_to_reach_somebody_is_asked_again(said):
    """What is neither is refused."""
    with pytest.raises(Unclear):
        reach_of(said)
