"""What is typed from a bench sheet: by its columns, or with units in any order."""

import pytest

from passport.workshop.entry.bench_words import done_otherwise, read_after, weighed_before
from passport.workshop.entry.phrases import Unclear


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("4: 306.1 318.5 290", {"mass": "306.1 g", "balance": "318.5 mm", "swingweight": "290 kgcm2"}),
        ("4. 306,1", {"mass": "306,1 g"}),
        ("4) - 318.5 -", {"balance": "318.5 mm"}),
        ("4: – – 290", {"swingweight": "290 kgcm2"}),
        ("4: 6 pt HL, 10.8 oz", {"balance": "6 pt HL", "mass": "10.8 oz"}),
        ("4: swingweight 290 kgcm2; mass 306.1 g", {"swingweight": "290 kgcm2", "mass": "306.1 g"}),
        ("4: twistweight 13.1 kgcm2", {"twistweight": "13.1 kgcm2"}),
        (
            "4: 306.1 g, pendulum 240 mm 14.3 s 10 swings",
            {"mass": "306.1 g", "pendulum": {"pivot": "240 mm", "time": "14.3 s", "swings": 10}},
        ),
    ],
)
def test_what_was_read_after_a_step(said: str, meant: dict[str, object]) -> None:
    """Figures alone are the sheet's columns in its units; others are known by their unit or their name."""
    assert read_after(said) == (4, meant)


@pytest.mark.parametrize(
    ("said", "why"),
    [
        ("306.1 318.5 290", "names no step"),
        ("0: 306.1", "names no step"),
        ("4: - -", "gives no figure"),
        ("4: 1 2 3 4", "more figures than the sheet has columns"),
        ("4: 306.1 g, 307 g", "gives the mass twice"),
        ("4: heavy", "is no mass, balance or swingweight"),
        ("4: 3061234", "g"),
        ("4: mass heavy", "heavy"),
    ],
)
def test_what_cannot_be_read_is_said(said: str, why: str) -> None:
    """A slip is named with what to write instead."""
    with pytest.raises(Unclear, match=why):
        read_after(said)


def test_what_went_on_instead_and_what_a_part_weighs() -> None:
    """A part as it is said at a job; a mass in g where no unit is said."""
    part = {"part": "tungsten-tape", "place": "3 and 9", "length": "55 mm", "mass": "2.2 g"}
    assert done_otherwise("6: tungsten-tape @ 3 and 9 = 2.2 g [55 mm]") == (6, part)
    assert weighed_before("9: 24,6") == (9, "24,6 g")
    assert weighed_before("9: 0.87 oz") == (9, "0.87 oz")
    with pytest.raises(Unclear):
        weighed_before("9: light")
