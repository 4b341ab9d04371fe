"""What a technician runs all day, at several sizes: each command warm, with one record changed since.

A command costs what changed: CPU time at each size is held against that of the smallest workshop.
"""

import os
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from tests.benchmarks.timing import Cost, passport
from tests.benchmarks.workshops import workshop

RUNS = 3
"""The least of so many runs counts: anything else on the machine makes a run longer, never shorter."""
WANTED = {1_000: 1.3, 10_000: 2.0}
"""How many times as long as at the smallest size a command may take, by the size from which on that holds."""


@dataclass(frozen=True, slots=True)
class CommandCost:
    """What a command cost in a workshop of so many frames."""

    what: str
    frames: int
    cost: Cost


def commands(content: Path, site: Path, number: str) -> dict[str, tuple[str | Path, ...]]:
    """The commands, by what they are called in the table; ``number`` is that of a frame with a job."""
    out = content.parent / "bench"
    return {
        "find": ("find", content, number),
        "show": ("show", content, number),
        "check": ("check", content),
        "due": ("due", content, "--within", "0"),
        "day": ("day", content, "--within", "0", "--out", out / "day.pdf"),
        "what-if": ("what-if", content, number, "--tension", "50 lb"),
        "cards, one": ("cards", content, number, "--out", out / "card.pdf"),
        "log, with its page and card": ("log", content, number, "--again", "--yes", "--sure", "--site", site),
    }


def measured(folder: Path, frames: int) -> Iterator[CommandCost]:
    """Each command in a workshop of so many frames; ``folder`` is where that is made."""
    content, site = workshop(folder / "content", frames), folder / "site"
    number, changing = two_frames(content)
    passport("build", content, "--out", site)
    for what, arguments in commands(content, site, number).items():
        passport(*(("check", content) if what.startswith("log") else arguments))  # what is remembered is remembered
        costs = [_one(changing, run, partial(passport, *arguments)) for run in range(RUNS)]
        yield CommandCost(what, frames, min(costs, key=lambda cost: cost.cpu))


def _one(changing: Path, run: int, cost: Callable[[], Cost]) -> Cost:
    """The cost of a command after one record was changed, a while ago: what is just written is looked at twice."""
    text = changing.read_text(encoding="utf-8")
    changing.write_text(re.sub(r"(?m)^label: .*$", f"label: Changed {run}", text, count=1), encoding="utf-8")
    then = changing.stat().st_mtime - 60
    os.utime(changing, (then, then))
    return cost()


def two_frames(content: Path) -> tuple[str, Path]:
    """The number of a strung frame, and the record of another player's."""
    records = sorted(path for path in (content / "players").glob("*/*.yaml") if path.name != "player.yaml")
    texts = {path: path.read_text(encoding="utf-8") for path in records}
    strung = next(path for path in records if "strings:" in texts[path] and "status:" not in texts[path])
    number = re.search(r"(?m)^number: (\S+)", texts[strung])
    assert number
    return number[1].strip('"'), next(path for path in reversed(records) if path.parent != strung.parent)


def rows(found: Sequence[CommandCost], sizes: Sequence[int]) -> Iterator[list[str]]:
    """The table: CPU seconds at each size, how many times the smallest the largest is, and what was wanted."""
    costs = {(one.what, one.frames): one.cost.cpu for one in found}
    limit = max((bound for size, bound in WANTED.items() if max(sizes) >= size), default=None)
    for what in dict.fromkeys(one.what for one in found):
        seconds = [costs[what, size] for size in sizes]
        yield [
            what,
            *(f"{cpu:.2f}" for cpu in seconds),
            f"{seconds[-1] / seconds[0]:.2f}",
            f"at most {limit:g}" if limit else "",
        ]
