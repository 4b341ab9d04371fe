"""Simulated workshops in six worlds, and how often the band of what is left of a bed holds the truth.

``.venv/bin/python tests/support/ageing_worlds.py 1000`` prints the table in full (some minutes); the tests run a short form of
it. A world makes its readings by formulas of its own, writes them into records, and asks the bench what is left of a
new bed's fresh tension after 90 days, after one, two and four of its own readings.
"""

import math
import random
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.yaml.yamltext import Source
from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.life import bed_life

FIRST, LATER = date(2024, 1, 10), date(2026, 3, 10)
ASKED = 90.0
"""Days after which it is asked what is left."""

OWN = {1: (), 2: (30,), 4: (1, 10, 30)}
"""On which days a new bed has been read again, by its number of readings."""


@dataclass(frozen=True)
class World:
    """How readings and beds come about: ``noise`` as a share, ``scatter`` of k, ``play`` lost in an hour, slips."""

    noise: float = 0.004
    scatter: float = 0.01
    play: float = 0.0
    slips: bool = False
    beds: int = 20


WORLDS = {
    "as stated": World(),
    "noise 2.5 times": World(noise=0.01),
    "more scatter": World(scatter=0.025),
    "5 % by play": World(play=0.05 / 20),
    "one gross error": World(slips=True),
    "few beds": World(beds=3),
    "as stated, ten beds": World(beds=10),
}
"""The stated scatter of beds is 0.01 and noise 0.004; 20 hours of play in 90 days are usual here."""


@dataclass
class Bed:
    """One bed of a world: the law that it follows, hours a day, and what was read on which day of its age."""

    k: float
    play: float
    pace: float
    readings: dict[float, float]

    def left(self, days: float) -> float:
        """The share of its tension at a quarter of an hour that the bed holds."""
        at = [1 - self.k * math.log10(d * 1440 / 5) - self.play * self.pace * d for d in (days, 1 / 96)]
        return at[0] / at[1]


def made(world: World, k: float, days: tuple[int, ...], dice: random.Random) -> Bed:
    """A bed with its readings, without a slip."""
    bed = Bed(dice.gauss(k, world.scatter), world.play, 20 / ASKED * dice.uniform(0.5, 1.5), {})
    start = dice.uniform(45, 60)
    for day in (1 / 96, *days):
        bed.readings[day] = start * bed.left(day) * math.exp(dice.gauss(0, world.noise))
    return bed


def slip(bed: Bed, dice: random.Random) -> None:
    """Make one reading of a bed a seventh too high or too low."""
    day = dice.choice(list(bed.readings))
    bed.readings[day] *= dice.choice((6 / 7, 8 / 7))


def record(bed: Bed, strung: date) -> Frame:
    """The record of a frame with one bed: readings in tenths of a pound, with the hours played until then."""
    fresh, *later = sorted(bed.readings)
    jobs: list[dict[str, object]] = [
        {
            "date": strung,
            "strings": {"mains": {"string": "reed-125", "tension": "55 lb"}},
            "readings": [{"ring": f"{bed.readings[fresh]:.1f} lb", "age": "15 min"}],
        }
    ]
    jobs += [
        {
            "date": strung + timedelta(days=day),
            "readings": [
                {"ring": f"{bed.readings[day]:.1f} lb", "age": f"{day} d", "played": f"{bed.pace * day:.1f} h"}
            ],
        }
        for day in later
    ]
    return Frame.model_validate({"model": "larch-98", "label": "x", "jobs": jobs})


def book_of(frames: dict[str, Frame]) -> BedBook:
    """The beds of some frames."""
    content = Content(Path())
    content.frames = {name: Entry(name, frame, Source("")) for name, frame in frames.items()}
    return BedBook(content)


def tried(world: World, seed: str) -> Iterator[tuple[int, bool]]:
    """For a new bed with one, two and four readings, whether the band of what is left holds the truth."""
    dice = random.Random(seed)
    k = max(0.005, dice.gauss(0.04, 0.015))
    spans = [(int(dice.uniform(30, 120)), int(dice.uniform(5, 20)), dice.choice((1, 2))) for _ in range(world.beds)]
    beds = [made(world, k, tuple(sorted(span[: dice.choice((1, 2, 3))])), dice) for span in spans]
    new = made(world, k, OWN[4], dice)
    if world.slips:
        slip(dice.choice(beds), dice)
        if dice.random() < 0.5:
            slip(new, dice)
    others = {f"p{i}/a": record(bed, FIRST + timedelta(days=9 * i)) for i, bed in enumerate(beds)}
    truth = new.left(ASKED)
    for count, days in OWN.items():
        if world.slips and 1 < count < 4:
            continue  # of two readings nobody can say which is the wrong one
        read = Bed(new.k, new.play, new.pace, {day: new.readings[day] for day in (1 / 96, *days)})
        book = book_of({**others, "new/a": record(read, LATER)})
        bed = book.current("new/a")
        assert bed
        left = bed_life(bed, book).left(ASKED * 1440)
        yield count, left.low <= truth <= left.high


def table(times: int, names: tuple[str, ...] = tuple(WORLDS)) -> dict[str, dict[int, float]]:
    """Of 100 new beds how many had the truth in their band, by world and by their own readings."""
    found: dict[str, dict[int, float]] = {}
    for name in names:
        hits: dict[int, list[bool]] = {}
        for n in range(times):
            for count, held in tried(WORLDS[name], f"{name} {n}"):
                hits.setdefault(count, []).append(held)
        found[name] = {count: 100 * sum(held) / times for count, held in hits.items()}
    return found


def main() -> None:
    """Print the table."""
    times = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    print(f"{'of 100 bands held the truth':30}{'1 reading':>12}{'2':>8}{'4':>8}    ({times} workshops each)")
    for name in WORLDS:
        row = table(times, (name,))[name]
        print(f"{name:30}{row[1]:12.1f}{row.get(2, math.nan):8.1f}{row[4]:8.1f}", flush=True)


if __name__ == "__main__":
    main()
