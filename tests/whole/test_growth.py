"""Nothing costs as the square of the frames: calls are counted, function by function, not seconds.

The workshops hold the same players once, twice and four times: what costs as much for each frame as for any other is
called, from the second size to the third, twice as often more as from the first to the second; what looks at every frame
for every frame, four times.
"""

import os
import re
import sys
from collections import Counter
from functools import partial

import pytest
from commandline import passport

from passport.records.schema.numbers import ALPHABET, with_check
from tests.benchmarks import clusters
from tests.benchmarks.commands import GROWTH, CommandCost, by_turns, commands, growth, others, rows, two_frames
from tests.benchmarks.timing import Cost
from tests.benchmarks.workshops import workshop

FRAMES, TIMES = 8, (1, 2, 4)
BETWEEN = 3.0
"""From here on an increase is nearer to a square's than to a line's."""
FEW = 64
"""Calls more that say nothing."""


def _again(folder, times, mark):
    """A workshop in which every player is there so many times, under other names, numbers and keys.

    Keys begin with ``mark``, so that what is kept by key in this process helps no other workshop.
    """
    content = workshop(folder / "content", FRAMES)
    last = 1000 + FRAMES
    for player in sorted((content / "players").iterdir()):
        texts = {path.name: path.read_text(encoding="utf-8") for path in player.iterdir()}
        for time in range(times):
            copy = player.with_name(f"{player.name}-{time}") if time else player
            copy.mkdir(exist_ok=True)
            for name, text in texts.items():
                other = re.sub(r"(?m)^key: ..(.*)", rf"key: {mark}{ALPHABET[time]}\1", text)
                if time:
                    last += 1
                    other = re.sub(r"(?m)^number: .*", f"number: {with_check(last)}", other)
                    other = re.sub(r"(?m)^(serial|name|full_name): (.*)", rf"\1: \2 {time}", other)
                (copy / name).write_text(other, encoding="utf-8")
    return content


@pytest.fixture(scope="module")
def shops(tmp_path_factory):
    """Workshops of each size that nobody has read yet; what this process learns of such players for good, it knows."""
    warm = _again(tmp_path_factory.mktemp("warm"), 1, "0")
    passport("check", warm)
    passport("build", warm, "--out", warm.parent / "site", "--no-cards", "--jobs", "1")
    return [_again(tmp_path_factory.mktemp("shops"), times, str(times)) for times in TIMES]


def _calls(*arguments) -> Counter:
    """How often a command calls each function of the package."""
    count = Counter()

    def noted(frame, event, value) -> None:
        if event == "call":
            count[frame.f_code] += 1

    sys.setprofile(noted)
    try:
        result = passport(*arguments)
    finally:
        sys.setprofile(None)
    assert result.exit_code == 0, result.output
    return Counter(
        {
            f"{code.co_filename.partition('/passport/')[2]}:{code.co_firstlineno} {code.co_name}": n
            for code, n in count.items()
            if "/passport/" in code.co_filename and "site-packages" not in code.co_filename
        }
    )


def _squares(counts) -> dict:
    """The functions that are called as the square of the frames, with how often at each size."""
    small, middle, large = counts
    found = {name: (small[name], middle[name], n) for name, n in large.items()}
    return {name: one for name, one in found.items() if one[2] - one[1] > max(FEW, BETWEEN * (one[1] - one[0]))}


def test_a_first_look_costs_no_square(shops):
    """Reading and checking everything."""
    counts = [_calls("check", content) for content in shops]
    assert counts[2].total() > 2 * counts[0].total(), "it is counted"
    assert _squares(counts) == {}


def test_a_build_costs_no_square(shops, tmp_path):
    """Working everything out, and making the pages."""
    given = ("--no-cards", "--jobs", "1")
    counts = [
        _calls("build", content, "--out", tmp_path / str(n), "--cache", tmp_path / f"cache{n}", *given)
        for n, content in enumerate(shops)
    ]
    assert _squares(counts) == {}


TOUCHING = ("stock", "batch", "addresses", "retention", "upgrade, tried")
"""Commands that read what they touch, and take the rest from what is remembered."""

COUNTED = ("find", "check", "due", "what-if", "take", "owed", "correct", *TOUCHING)
"""Commands of all kinds; how every one of them grows is asked by `.dev/bench --commands`."""


@pytest.mark.parametrize("what", TOUCHING)
def test_a_command_does_what_it_touches(shops, tmp_path, what):
    """When it was run before, four times as many frames are hardly more work: those that nothing is done with are
    not read."""
    totals = []
    for content in shops:
        number, _ = two_frames(content)
        for file in content.rglob("*.yaml"):  # older than the seconds in which nobody can tell whether it changed
            os.utime(file, (file.stat().st_mtime - 60,) * 2)
        arguments = others(content, number)[what]
        for _ in range(2):
            passport(*arguments)
        totals.append(_calls(*arguments).total())
    assert totals[2] <= 1.3 * totals[0], totals


@pytest.mark.parametrize("what", COUNTED)
def test_a_command_costs_no_square(shops, tmp_path, what):
    """In a workshop that was read before."""
    counts = []
    for content in shops:
        number, _ = two_frames(content)
        arguments = {**commands(content, tmp_path / "site", number), **others(content, number)}[what]
        if not counts:
            passport(*arguments)
        counts.append(_calls(*arguments))
    assert _squares(counts) == {}


def test_growth_tells_a_square_from_a_line():
    """By arithmetic alone: what grows as the frames do has growth 1, what grows with their square that of the sizes."""
    sizes = (250, 1000, 4000)
    assert growth(sizes, [0.3 + n / 2000 for n in sizes]) == pytest.approx(1)
    assert growth(sizes, [0.3 + n * n / 1e6 for n in sizes]) == pytest.approx(4)
    assert growth(sizes, [0.3, 0.31, 0.32]) is None
    assert growth(sizes[:2], [0.3, 0.9]) is None
    costs = [CommandCost("check", n, 0.3 + n * n / 1e6, 1.0) for n in sizes]
    (row,) = rows(costs, sizes)
    assert re.fullmatch(r"4\.0, more than the frames", row[-1])
    assert GROWTH < 4


def test_sizes_are_measured_by_turns():
    """One size after the other, each as often; the median counts, with the machine's pace meanwhile."""
    turns = []

    def work(size, turn):
        turns.append((size, turn))
        return Cost(0, size + turn, 0, "", slow=1.0 + turn)

    found = [*by_turns("check", (18, 250), [partial(work, 18), partial(work, 250)], 3)]
    assert turns == [(18, 0), (250, 0), (18, 1), (250, 1), (18, 2), (250, 2)]
    assert found == [CommandCost("check", 18, 19, 2.0), CommandCost("check", 250, 251, 2.0)]
    assert [*rows(found, (18, 250))] == [["check", "19.00 (× 2.0)", "251.00 (× 2.0)", "13.21", "", ""]]


def test_a_cluster_is_as_fast_as_its_slower_side():
    """Reading is shared by the cores here, making by the workers; handing out is one process's."""
    share = clusters.Share(1, reading=0.040, handing=0.004, making=0.160, seconds=0.0, same=True)
    assert share.seconds_with(workers=8, cores=2) == pytest.approx(0.020 + 0.020)  # the workers set the pace
    assert share.seconds_with(workers=64, cores=4) == pytest.approx(0.010 + 0.004)  # handing out does
    assert share.times(workers=8, cores=2) == pytest.approx(0.204 / 0.040)
    measured = [share, clusters.Share(2, reading=0.060, handing=0.006, making=0.240, seconds=0.0, same=True)]
    assert next(clusters.model(measured)) == ["8", "5.1 times", "8.2 times", "9.1 times"]
