"""Makes plausible workshops of any size: the demo's catalogue with invented players, frames and histories.

The same size and seed give the same files. Every figure of a frame follows from the frame itself: what is fitted and
strung adds up to what is weighed, and a string bed is read as an ageing one would be, so that the checks pass.
"""

import json
import math
import random
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from passport.records.schema.numbers import ALPHABET, KEY_LENGTH, with_check
from passport.render.theme.assets import shipped

SEED = 20261125
LAST_DAY = date(2026, 11, 20)
"""No job is younger."""
FIRST_DAY = date(2022, 1, 10)
_ONSETS, _VOWELS = ("b", "br", "d", "f", "gl", "h", "k", "l", "m", "n", "p", "qu", "r", "st", "t", "v", "w"), "aeiou"
_CODAS = ("", "l", "n", "r", "s", "nd", "ck", "th")
_NOTES = (
    "",
    "",
    "Strung in the evening, read before it went out.",
    "A little looser than last time, for the cold hall.",
    "Grommets looked at: all sound.",
    "Said to the player: bring it back after six weeks.",
)


@dataclass(frozen=True, slots=True)
class Kind:
    """What the frames of one model are like: g, mm, kg·cm², lb, Hz, and the parts and strings they get."""

    model: str
    mass: float
    balance: float
    swingweight: float
    strung: tuple[float, float, float]
    pull: float
    ring: float
    grip: str
    over: str
    strings: tuple[str, ...]


KINDS = (
    Kind("ostrevane-marlpit-98", 304, 316, 287, (20, 4, 30), 52, 580, "cushion-grip", "overgrip",
         ("deep-petrol-125", "deep-petrol-120", "cobblestone-130", "softmere-130", "plainsong-130")),
    Kind("haldric-cinderpath-100", 298, 319, 287, (20, 3, 29), 53, 590, "cushion-grip", "overgrip",
         ("deep-petrol-125", "softmere-135", "softmere-130", "ropewalk-125", "withybed-130")),
    Kind("haldric-fallowgate-100", 301, 318, 288, (20, 3, 30), 54, 595, "leather-grip", "overgrip",
         ("deep-petrol-120", "plainsong-130", "softmere-130", "cobblestone-130")),
    Kind("mirefell-ninebells-125", 138, 355, 132, (13, 4, 17), 27, 540, "court-grip", "overgrip-thin",
         ("hobnail-115", "hobnail-120")),
    Kind("mirefell-hollowlark-130", 160, 350, 145, (13, 4, 18), 25, 556, "court-grip", "overgrip-thin",
         ("hobnail-115", "hobnail-120")),
    Kind("yarrowquist-sallow-4", 84, 295.5, 84, (6.5, 0.5, 6), 25, 1150, "feather-grip", "overgrip-thin",
         ("thrushline-65", "thrushline-68", "thrushline-70")),
)  # fmt: skip


def workshop(root: Path, frames: int, seed: int = SEED) -> Path:
    """Write a workshop with so many frames below ``root``, which must not exist yet."""
    demo = shipped("content_demo")
    shutil.copytree(
        demo, root, ignore=shutil.ignore_patterns("players", "photos", "ledger.txt", "manifest-key.txt", ".*")
    )
    dice, made, player = random.Random(seed), 0, 0
    while made < frames:
        count = min(dice.choice((1, 2, 2, 3, 3, 4)), frames - made)
        folder = root / "players" / f"p{player:05d}"
        folder.mkdir(parents=True)
        (folder / "player.yaml").write_text(_player(dice), encoding="utf-8")
        kind = dice.choice(KINDS)
        for n in range(count):
            text = "\n".join(_frame(dice, kind, with_check(1001 + made + n), "I" * (n + 1), count > 1))
            (folder / f"{'abcd'[n]}.yaml").write_text(text + "\n", encoding="utf-8")
        made, player = made + count, player + 1
    return root


def _word(dice: random.Random) -> str:
    parts = (dice.choice(_ONSETS) + dice.choice(_VOWELS) + dice.choice(_CODAS) for _ in range(dice.choice((2, 2, 3))))
    return "".join(parts).capitalize()


def _key(dice: random.Random) -> str:
    return "".join(dice.choices(ALPHABET, k=KEY_LENGTH))


def _player(dice: random.Random) -> str:
    first, last = _word(dice), _word(dice)
    lines = [
        f"name: {first} {last[0]}.",
        f"full_name: {first} {last}",
        f"contact: {{email: {first.lower()}.{last.lower()}@{_word(dice).lower()}.example}}",
        f"key: {_key(dice)}",
        f"plays_a_week: {dice.randint(1, 6)}",
    ]
    return "\n".join(lines) + "\n"


def _frame(dice: random.Random, kind: Kind, number: str, label: str, matched: bool) -> Iterator[str]:
    """The lines of one frame's record."""
    bare = (
        kind.mass + dice.uniform(-3, 3),
        kind.balance + dice.uniform(-2, 2),
        kind.swingweight + dice.uniform(-3, 3),
    )
    ready = tuple(a + b for a, b in zip(bare, kind.strung, strict=True))
    yield from (f"number: {number}", f"key: {_key(dice)}", f"model: {kind.model}", f"label: {label}")
    yield f"serial: {_word(dice)[:2].upper()}-{dice.randint(10000, 99999)}"
    yield from (["set: Match"] if matched else [])
    yield f"setup: {{mass: {ready[0]:.1f} g ± 1 g, balance: {ready[1]:.1f} mm, swingweight: {ready[2]:.1f} kgcm2}}"
    yield f"build:\n  - {{part: {kind.grip}, place: along the handle}}"
    yield "jobs:"
    string, pull, ring = dice.choice(kind.strings), kind.pull + dice.randint(-2, 1), kind.ring + dice.uniform(-8, 8)
    strung: date | None = None
    for n, day in enumerate(_days(dice)):
        yield f"  - date: {day}"
        yield f"    strings: {{mains: {{string: {string}, tension: {pull} lb}}}}"
        if n == 0:
            yield f"    fitted:\n      - {{part: {kind.over}, place: along the handle}}"
        yield "    readings:"
        if n == 0:
            yield f"      - {{when: before, state: bare, {_figures(dice, bare)}}}"
        elif strung:
            yield f"      - {{when: before, ring: {_aged(ring, (day - strung).days * 1440, dice):.0f} Hz, age: {(day - strung).days} d}}"
        measured = _figures(dice, ready) if n % 3 == 0 else f"mass: {ready[0] + dice.uniform(-0.2, 0.2):.1f} g"
        yield f"      - {{{measured}, ring: {_aged(ring, 15, dice):.0f} Hz, age: 15 min}}"
        note = dice.choice(_NOTES)
        yield from ([f"    note: {json.dumps(note)}"] if note else [])
        strung = day


def _days(dice: random.Random) -> list[date]:
    """The days of a frame's jobs, oldest first: five on average."""
    day = FIRST_DAY + timedelta(days=dice.randint(0, 1400))
    days = [day]
    while dice.random() < 0.8 and (day := day + timedelta(days=dice.randint(30, 150))) <= LAST_DAY:
        days.append(day)
    return days


def _figures(dice: random.Random, body: tuple[float, ...]) -> str:
    mass, balance, swing = body
    return (
        f"mass: {mass + dice.uniform(-0.1, 0.1):.1f} g, balance: {balance + dice.uniform(-0.3, 0.3):.1f} mm, "
        f"swingweight: {swing + dice.uniform(-0.5, 0.5):.1f} kgcm2"
    )


def _aged(ring: float, minutes: float, dice: random.Random) -> float:
    """What a bed that read ``ring`` Hz after 15 minutes reads at an age."""
    return ring * math.sqrt(1 - 0.04 * math.log10(minutes / 15)) + dice.uniform(-0.5, 0.5)
