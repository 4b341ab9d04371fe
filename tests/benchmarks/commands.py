"""What a technician runs all day, at several sizes: each command warm, with one record changed since.

A command costs what changed: CPU time at each size is held against that of the smallest workshop.
"""

import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from tests.benchmarks.timing import Cost, passport, run
from tests.benchmarks.workshops import workshop

RUNS = 3
"""The least of so many runs counts: anything else on the machine makes a run longer, never shorter."""
WANTED = {1_000: 1.3, 10_000: 2.0}
"""How many times as long as at the smallest size a command may take, by the size from which on that holds."""

BLANK = "sallow-a"
"""A frame in the demo's stock, which the generated workshops have as well."""
GROWTH = 2.0
"""A `growth` above this is one that a larger workshop would feel."""
TELLS = 0.1
"""Seconds that must be added from one size to the next to tell how a cost grows."""


PASS = "python -c pass"
"""The least that a command of Python can cost on the machine."""


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


def others(content: Path, number: str) -> dict[str, tuple[str | Path, ...]]:
    """Every other command that answers without a person, by what it is called in the table.

    Those that write either only try to (``--dry-run``), or are taken back by the row that follows. Erasing, restoring,
    taking a past table over and starting anew are once in a year's work.
    """
    out, pair = content.parent / "bench", two_of_one(content)
    player = pair[0].partition("/")[0]
    return {
        "owed": ("owed", content),
        "stock": ("stock", content),
        "batch": ("batch", content, "BP26-09"),
        "series": ("series", content, *pair, "--out", out / "series.pdf"),
        "instruments": ("instruments", content, "--out", out / "sure.pdf"),
        "label": ("label", content, number, "--out", out / "label.pdf"),
        "tell": ("tell", content, number, "--what", "due", "--show"),
        "match": ("match", content, *pair, "--no-sheet"),
        "rebuild": ("rebuild", content, like_the_blank(content), "--with", BLANK, "--no-sheet"),
        "take": ("take", content, number, "--again", "--sure", "--dry-run"),
        "handover": ("handover", content, number, "--paid", "£28.00", "--dry-run"),
        "correct": ("correct", content, number, "--frame", "--set", "label=Other", "--dry-run"),
        "target": ("target", content, number, "--as-measured", "--sure", "--dry-run"),
        "player": ("player", content, player, "--plays", "3", "--dry-run"),
        "blank": ("blank", content, BLANK, "--mass", "84.1 g", "--sure", "--dry-run"),
        "check-instrument": (
            *("check-instrument", content, "scale", "--known", "200.0 g", "--reads", "200.1 g", "--dry-run"),
        ),
        "seal": ("seal", content, number, "--yes"),
        "seal, taken off": ("seal", content, number, "--open", "--yes"),
        "lost": ("lost", content, number, "--yes"),
        "found": ("found", content, number, "--yes"),
        "undo, the list": ("undo", content, "--list"),
        "addresses": ("addresses", content),
        "retention": ("retention", content, "--years", "3"),
        "upgrade, tried": ("upgrade", content),
        "backup": ("backup", content, "--out", content.parent / "backup.zip"),
    }


def measured(folder: Path, frames: int) -> Iterator[CommandCost]:
    """Each command in a workshop of so many frames; ``folder`` is where that is made.

    What is run all day is run `RUNS` times, all else once.
    """
    content, site = workshop(folder / "content", frames), folder / "site"
    number, changing = two_frames(content)
    passport("build", content, "--out", site)
    daily = commands(content, site, number)
    yield CommandCost(PASS, frames, min((_pass() for _ in range(RUNS)), key=lambda cost: cost.cpu))
    for what, arguments in {**daily, **others(content, number)}.items():
        if what in daily:  # what is remembered is remembered
            passport(*(("check", content) if what.startswith("log") else arguments))
        runs = range(RUNS if what in daily else 1)
        (folder / "backup.zip").unlink(missing_ok=True)
        costs = [_one(changing, turn, partial(passport, *arguments)) for turn in runs]
        yield CommandCost(what, frames, min(costs, key=lambda cost: cost.cpu))


def _pass() -> Cost:
    return run([sys.executable, "-c", "pass"])


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


def two_of_one(content: Path) -> tuple[str, str]:
    """Two frames of one player, as ``player/frame``."""
    folder = min(path.parent for path in (content / "players").glob("*/b.yaml"))
    return f"{folder.name}/a", f"{folder.name}/b"


def like_the_blank(content: Path) -> str:
    """A frame of the blank's own model, as ``player/frame``."""
    model = re.search(r"(?m)^model: .*$", (content / f"blanks/{BLANK}.yaml").read_text(encoding="utf-8"))
    assert model
    records = sorted(path for path in (content / "players").glob("*/*.yaml") if path.name != "player.yaml")
    found = next(path for path in records if model[0] in path.read_text(encoding="utf-8"))
    return f"{found.parent.name}/{found.stem}"


def growth(sizes: Sequence[int], seconds: Sequence[float]) -> float | None:
    """How many times as much a frame costs between the last two sizes as between the two before.

    1 where the cost grows as the number of frames does, as many times as the sizes grow where it grows with its square;
    None where too little was added to tell, or there are fewer than three sizes.
    """
    if len(sizes) < 3 or seconds[-1] - seconds[-2] < TELLS:
        return None
    before, last = (
        (seconds[at] - seconds[at - 1]) / (sizes[at] - sizes[at - 1]) for at in (len(sizes) - 2, len(sizes) - 1)
    )
    return last / max(before, TELLS / 4 / (sizes[-2] - sizes[-3]))


def rows(found: Sequence[CommandCost], sizes: Sequence[int]) -> Iterator[list[str]]:
    """The table: CPU seconds at each size, how many times the smallest the largest is, what was wanted, and the
    `growth`; more than `GROWTH` is said in words."""
    costs = {(one.what, one.frames): one.cost.cpu for one in found}
    limit = max((bound for size, bound in WANTED.items() if max(sizes) >= size), default=None)
    daily = commands(Path(), Path(), "")
    for what in dict.fromkeys(one.what for one in found):
        seconds = [costs[what, size] for size in sizes]
        grown = growth(sizes, seconds)
        yield [
            what,
            *(f"{cpu:.2f}" for cpu in seconds),
            f"{seconds[-1] / seconds[0]:.2f}",
            f"at most {limit:g}" if limit and what in daily else "",
            "" if grown is None else f"{grown:.1f}{', more than the frames' if grown > GROWTH else ''}",
        ]
