"""Nothing costs as the square of the frames: calls of Python functions are counted, not seconds.

The workshops are nested: the larger one begins with the frames of the smaller.
"""

import re
import sys

import pytest
from commandline import passport

from tests.benchmarks.commands import GROWTH, CommandCost, commands, growth, others, rows, two_frames
from tests.benchmarks.timing import Cost
from tests.benchmarks.workshops import workshop

SIZES = 12, 24, 48
FEW = 20_000
"""Calls that say nothing: a frame more or less among those that a search looks through."""


def _calls(*arguments) -> int:
    """How many functions a command calls, after one call that loads what it takes."""
    count = 0

    def noted(frame, event, value) -> None:
        nonlocal count
        count += event == "call"

    sys.setprofile(noted)
    try:
        result = passport(*arguments)
    finally:
        sys.setprofile(None)
    assert result.exit_code == 0, result.output
    return count


@pytest.fixture(scope="module")
def shops(tmp_path_factory):
    """Workshops of each size, that nobody has read yet."""
    return [workshop(tmp_path_factory.mktemp("shops") / "content", frames) for frames in SIZES]


def _even(counts) -> bool:
    """Whether a frame among the later ones costs no more than one and a half times what it does among the earlier."""
    small, middle, large = counts
    before, last = (middle - small) / (SIZES[1] - SIZES[0]), (large - middle) / (SIZES[2] - SIZES[1])
    return large - middle < FEW or last <= 1.5 * max(before, FEW / SIZES[1])


def test_a_first_look_and_a_build_cost_as_many_calls_as_frames(shops, tmp_path):
    """Reading, checking, working out and making everything: a frame costs as much among 48 as among 24."""
    passport("check", workshop(tmp_path / "warm", 2))
    passport("build", tmp_path / "warm", "--out", tmp_path / "warm-site", "--no-cards", "--jobs", "1")
    read = [_calls("check", content) for content in shops]
    assert read[2] - read[1] > FEW, "it is counted"
    assert _even(read), read
    built = [
        _calls(
            "build", content, "--out", tmp_path / str(n), "--cache", tmp_path / f"cache{n}", "--no-cards", "--jobs", "1"
        )
        for n, content in enumerate(shops)
    ]
    assert _even(built), built


def test_commands_cost_no_square_of_the_frames(shops, tmp_path):
    """Whatever is run in a workshop that was read before: counted at three sizes, after one call that loads it all."""
    given = [
        {**commands(content, tmp_path / "site", number), **others(content, number)}
        for content in shops
        for number, _ in [two_frames(content)]
    ]
    slow = {}
    for what in given[0]:
        if what in SLOW:
            continue
        passport(*given[0][what])
        counts = [_calls(*one[what]) for one in given]
        if not _even(counts):
            slow[what] = counts
    assert slow == {}


SLOW = ("match", "rebuild", "cards, one", "instruments", "series", "label", "day", "log, with its page and card")
"""What searches or prints, which takes its time when it is counted: how it grows is asked by `.dev/bench --commands`."""


def test_growth_tells_a_square_from_a_line():
    """By arithmetic alone: what grows as the frames do has growth 1, what grows with their square that of the sizes."""
    sizes = (250, 1000, 4000)
    assert growth(sizes, [0.3 + n / 2000 for n in sizes]) == pytest.approx(1)
    assert growth(sizes, [0.3 + n * n / 1e6 for n in sizes]) == pytest.approx(4)
    assert growth(sizes, [0.3, 0.31, 0.32]) is None
    assert growth(sizes[:2], [0.3, 0.9]) is None
    costs = [CommandCost("check", n, Cost(0, 0.3 + n * n / 1e6, 0, "")) for n in sizes]
    (row,) = rows(costs, sizes)
    assert re.fullmatch(r"4\.0, more than the frames", row[-1])
    assert GROWTH < 4
