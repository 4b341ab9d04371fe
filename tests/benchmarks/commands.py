"""What a technician runs all day, at several sizes: each command warm, with one record changed since.

A command costs what changed: CPU time at each size is held against that of the smallest workshop. A command is measured
at all sizes by turns, so that none of them has the quiet minutes for itself, and each time is told at the usual speed.
"""

import os
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from statistics import median
from typing import Self

from tests.benchmarks.timing import Cost, passport, run
from tests.benchmarks.workshops import workshop

RUNS = 3
"""The median of so many runs counts, each at the usual speed: what is left of the machine's moods is in either
direction."""
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
    """What a command cost in a workshop of so many frames: CPU seconds at the usual speed, and how many times as long
    work took meanwhile."""

    what: str
    frames: int
    cpu: float
    slow: float


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


@dataclass(frozen=True, slots=True)
class _Shop:
    """A workshop that was read and built, the record that is changed in it, and its commands."""

    frames: int
    content: Path
    changing: Path
    commands: dict[str, tuple[str | Path, ...]]

    @classmethod
    def made(cls, folder: Path, frames: int) -> Self:
        """A workshop of so many frames in a folder."""
        content, site = workshop(folder / "content", frames), folder / "site"
        number, changing = two_frames(content)
        passport("build", content, "--out", site)
        return cls(frames, content, changing, {**commands(content, site, number), **others(content, number)})

    def warm(self, what: str) -> None:
        """Have remembered what a command remembers."""
        if what.startswith("log"):
            passport("check", self.content)
        elif what not in WRITING:
            passport(*self.commands[what])

    def run(self, what: str, turn: int) -> Cost:
        """The cost of a command after one record was changed, a while ago: what is just written is looked at twice."""
        text = self.changing.read_text(encoding="utf-8")
        label = f"label: Changed {what.partition(' ')[0]} {turn}"
        self.changing.write_text(re.sub(r"(?m)^label: .*$", label, text, count=1), encoding="utf-8")
        then = self.changing.stat().st_mtime - 60
        os.utime(self.changing, (then, then))
        (self.content.parent / "backup.zip").unlink(missing_ok=True)
        return passport(*self.commands[what])


WRITING = frozenset({"seal", "seal, taken off", "lost", "found", "backup"})
"""What changes the records and is taken back by another row, so that it is run once, and none of them warm."""


def measured(folder: Path, sizes: Sequence[int]) -> Iterator[CommandCost]:
    """Each command at all sizes, by turns; ``folder`` is where the workshops are made."""
    shops = [_Shop.made(folder / str(frames), frames) for frames in sizes]
    yield from by_turns(PASS, sizes, [_pass for _ in sizes], RUNS)
    for what in shops[0].commands:
        for shop in shops:
            shop.warm(what)
        works = [partial(shop.run, what) for shop in shops]
        yield from by_turns(what, sizes, works, 1 if what in WRITING else RUNS)


def by_turns(
    what: str, sizes: Sequence[int], works: Sequence[Callable[[int], Cost]], turns: int
) -> Iterator[CommandCost]:
    """The cost of some work at each size: one size after the other, and that so many times.

    Of the runs the median counts.
    """
    found: dict[int, list[Cost]] = {size: [] for size in sizes}
    for turn in range(turns):
        for size, work in zip(sizes, works, strict=True):
            found[size].append(work(turn))
    for size, costs in found.items():
        yield CommandCost(what, size, median(one.cpu for one in costs), median(one.slow for one in costs))


def _pass(turn: int) -> Cost:
    return run([sys.executable, "-c", "pass"])


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
    """The table: CPU seconds at each size, at the usual speed, with how slow the machine was; how many times the smallest
    the largest is, what was wanted, and the `growth`; more than `GROWTH` is said in words."""
    costs = {(one.what, one.frames): one.cpu for one in found}
    slow = {(one.what, one.frames): one.slow for one in found}
    limit = max((bound for size, bound in WANTED.items() if max(sizes) >= size), default=None)
    daily = commands(Path(), Path(), "")
    for what in dict.fromkeys(one.what for one in found):
        seconds = [costs[what, size] for size in sizes]
        grown = growth(sizes, seconds)
        yield [
            what,
            *(f"{cpu:.2f} (× {slow[what, size]:.1f})" for size, cpu in zip(sizes, seconds, strict=True)),
            f"{seconds[-1] / seconds[0]:.2f}",
            f"at most {limit:g}" if limit and what in daily else "",
            "" if grown is None else f"{grown:.1f}{', more than the frames' if grown > GROWTH else ''}",
        ]
