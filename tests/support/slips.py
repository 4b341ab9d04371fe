"""Seeded operators who type jobs into a frame's record, rightly or with one slip, and whether they are asked about it.

A frame's history, its next job and the slip are all drawn from a seed. The seeds that the rules in
`passport.records.checks.likely` were tuned with are below `TUNED`; what is counted uses others.
"""

import random
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from pydantic import ValidationError

from passport.records.checks.likely import frame_doubts
from passport.records.checks.likely_readings import impossible
from passport.records.schema.catalogue import FrameModel, StringType
from passport.records.schema.frame import Frame
from passport.records.schema.quantities import TENSION
from passport.workshop.entry.phrases import Unclear, pair

TUNED = 1000
"""Seeds below this one were looked at while the rules were made."""
TODAY = date(2026, 11, 25)

Tree = dict[str, Any]


@dataclass(frozen=True)
class Kind:
    """One sort of frame: its model, the middle of its figures, its string, the unit that its bench pulls in."""

    model: FrameModel
    mass: float
    balance: float
    swing: float
    hertz: float
    pull: float
    unit: str
    string: str


STRINGS = {
    "thick": StringType(maker="Brisevent", name="Sablier", material="polyester", gauge="1.25 mm"),
    "middle": StringType(maker="Brisevent", name="Toron", material="nylon", gauge="1.18 mm"),
    "thin": StringType(maker="Brisevent", name="Plume", material="nylon", gauge="0.68 mm"),
}


def _model(sport: str, low: float, high: float, unit: str) -> FrameModel:
    head = {"tennis": "100 sq in", "squash": "75 sq in", "badminton": "350 cm²", "racketball": "90 sq in"}[sport]
    return FrameModel(
        maker="Corvane",
        name="Aubier",
        sport=sport,
        head=head,
        tension={"low": f"{low} {unit}", "high": f"{high} {unit}"},
    )


KINDS = (
    Kind(_model("tennis", 50, 60, "lb"), 325, 322, 320, 590, 54, "lb", "thick"),
    Kind(_model("tennis", 20, 27, "kg"), 310, 325, 310, 570, 24, "kg", "thick"),
    Kind(_model("squash", 20, 30, "lb"), 152, 352, 160, 560, 26, "lb", "middle"),
    Kind(_model("badminton", 20, 30, "lb"), 88, 300, 90, 1130, 26, "lb", "thin"),
    Kind(_model("badminton", 9, 13, "kg"), 90, 297, 92, 1100, 11.5, "kg", "thin"),
    Kind(_model("racketball", 20, 32, "lb"), 190, 270, 107, 470, 26, "lb", "middle"),
)


@dataclass
class Bench:
    """A frame with its history, and the job that somebody is about to type."""

    kind: Kind
    jobs: list[Tree] = field(default_factory=list)
    typed: Tree = field(default_factory=dict)
    """What is typed, as texts by name: date, tension, mass, balance, swingweight, ring."""

    def frame(self, typed: Mapping[str, str] | None = None) -> Frame:
        """The frame's record with the job as typed; raises ValidationError and Unclear where it cannot be read."""
        job = _job(dict(typed or self.typed), self.kind)
        return Frame.model_validate({"model": "m", "label": "L", "jobs": [*self.jobs, job]})


def _job(typed: Mapping[str, str], kind: Kind) -> Tree:
    mains, crosses = pair(typed["tension"], TENSION)
    string = typed.get("string", kind.string)
    reading = {name: typed[name] for name in ("mass", "balance", "swingweight", "ring") if name in typed}
    age = {"age": "15 min"} if "ring" in reading else {}
    return {
        "date": typed["date"],
        "strings": {"mains": {"string": string, "tension": mains}, "crosses": {"string": string, "tension": crosses}},
        "readings": [{**reading, **age}] if reading else [],
    }


def bench(seed: int) -> Bench:
    """A frame with one to five earlier jobs, and a plausible next one."""
    dice = random.Random(seed)
    kind = dice.choice(KINDS)
    own = replace(
        kind,
        mass=kind.mass * dice.gauss(1, 0.025),
        balance=kind.balance * dice.gauss(1, 0.012),
        swing=kind.swing * dice.gauss(1, 0.03),
        hertz=kind.hertz * dice.gauss(1, 0.03),
        pull=kind.pull * dice.gauss(1, 0.035),
    )
    gaps = [dice.randint(10, 60) for _ in range(dice.randint(1, 5))]
    made, day = Bench(own), TODAY - timedelta(days=sum(gaps) + dice.randint(0, 3))
    apart = dice.choice((0, 0, 0.5, 1, 2)) * (1 if kind.unit == "lb" else 0.45)
    for gap in gaps:
        made.jobs.append(_job(_typed(own, day, apart, dice, all_of_it=not made.jobs), own))
        day += timedelta(days=gap)
    made.typed = _typed(own, day, apart, dice, all_of_it=True)
    return made


def _typed(kind: Kind, day: date, apart: float, dice: random.Random, *, all_of_it: bool) -> dict[str, str]:
    """A plausible job: a pull as before or some pounds off, figures that wander as instruments and grips do."""
    step = 0.5 if kind.unit == "lb" else 0.25
    wish = dice.choice((0, 0, 0, 0, -2, -1, 1, 2, 3)) * (1 if kind.unit == "lb" else 0.45)
    mains = round((kind.pull + wish * min(1.0, kind.pull / (40 if kind.unit == "lb" else 18))) / step) * step
    crosses = round((mains - apart) / step) * step
    typed = {
        "date": day.isoformat(),
        "tension": f"{mains:g}/{crosses:g} {kind.unit}" if apart else f"{mains:g} {kind.unit}",
    }
    pull = (mains / kind.pull) ** 0.5
    figures = {
        "mass": f"{kind.mass + dice.gauss(0, 1.0):.1f} g",
        "balance": f"{round(2 * (kind.balance + dice.gauss(0, 1.2))) / 2:.1f} mm",
        "swingweight": f"{round(2 * kind.swing * dice.gauss(1, 0.008)) / 2:.1f} kgcm2",
        "ring": f"{kind.hertz * pull * dice.gauss(1, 0.02):.0f} Hz",
    }
    chosen = [name for name in figures if all_of_it or dice.random() < 0.6]
    return typed | {name: figures[name] for name in chosen}


SLIPS = ("swapped", "dropped", "doubled", "unit", "comma", "year", "twice", "fraction", "string", "wrong box")


def slip(made: Bench, seed: int) -> tuple[str, str, dict[str, str]]:
    """One slip in what is typed: its kind, the name of what it is in, and the texts with it."""
    dice = random.Random(seed * 7919 + 1)
    kind = dice.choice(SLIPS)
    name = dice.choice([n for n in made.typed if n != "date"])
    typed = dict(made.typed)
    text = typed[name]
    if kind in ("swapped", "dropped", "doubled", "comma"):
        typed[name] = _digits(text, kind, dice)
    elif kind == "unit":
        typed[name] = _other_unit(text)
    elif kind == "year":
        name, typed["date"] = "date", f"{int(typed['date'][:4]) + dice.choice((1, 10))}{typed['date'][4:]}"
    elif kind == "twice":
        last = made.jobs[-1]
        name = "date"
        mains, crosses = (last["strings"][side]["tension"] for side in ("mains", "crosses"))
        typed |= {"date": last["date"], "tension": f"{mains} / {crosses}"}
    elif kind == "fraction":
        number, unit = re.match(r"([0-9.]+).* ([a-z]+)", typed["tension"]).groups()
        name, typed["tension"] = "tension", f"{float(number):g}/{str(int(float(number)))[0]} {unit}"
    elif kind == "string":
        name, typed["string"] = "string", "thin" if made.kind.string != "thin" else "thick"
    else:
        name, typed["ring"] = "ring", re.sub(r"(\S+).*", r"\g<1> Hz", typed["tension"].partition("/")[0])
    return kind, name, typed


def _digits(text: str, kind: str, dice: random.Random) -> str:
    """Two neighbouring digits swapped, one dropped or doubled, or the decimal point or comma lost."""
    places = [m.start() for m in re.finditer("[0-9]", text.rpartition(" ")[0] or text)]
    if kind == "comma":
        return (
            re.sub(r"([0-9])[.]([0-9])", r"\1\2", text) if "." in text else re.sub(r"^([0-9])([0-9])", r"\1,\2", text)
        )
    at = dice.choice(places)
    if kind == "dropped":
        return text[:at] + text[at + 1 :]
    if kind == "doubled":
        return text[: at + 1] + text[at:]
    following = [p for p in places if p > at] or [places[-2] if len(places) > 1 else at]
    other = following[0]
    low, high = sorted((at, other))
    return text[:low] + text[high] + text[low + 1 : high] + text[low] + text[high + 1 :]


def _other_unit(text: str) -> str:
    number, _, unit = text.rpartition(" ")
    other = {"lb": "kg", "kg": "lb", "g": "oz", "mm": "cm", "kgcm2": "oz·in²", "Hz": "lb"}[unit]
    return f"{number} {other}"


def common_practice(made: Bench, kind: str, name: str, typed: Mapping[str, str]) -> bool:
    """Whether the slip made something that is common practice itself, by a rule stated before anything was counted.

    Nothing changed; or it still can be read, and the pull is within a tenth of the frame's last (what players ask for),
    a mass within 3 % (an overgrip and its wear), a balance within 5 mm, a swingweight within 4 %, a reading in Hz within
    15 % (a tenth goes in the first day). A job typed twice, a date in the future, another sport's string, a figure in
    another box are never common practice.
    """
    if dict(typed) == made.typed:
        return True
    if kind in ("twice", "year", "string", "wrong box"):
        return False
    try:
        before, after = made.frame(), made.frame(typed)
    except (ValidationError, Unclear):
        return False
    if name == "tension":
        last = before.jobs[-2].strings
        pairs = zip(after.jobs[-1].strings.both, last.both, strict=True)
        return all(abs(new.tension.value / old.tension.value - 1) <= 0.10 for new, old in pairs)
    one, other = before.jobs[-1].readings[0], after.jobs[-1].readings[0]
    if name == "balance":
        length = made.kind.model.shape().length
        return abs(one.balance.mm(length) - other.balance.mm(length)) <= 5
    was, now = getattr(one, name), getattr(other, name)
    same_kind = (was.unit.lower() == "hz") == (now.unit.lower() == "hz")
    share = {"mass": 0.03, "swingweight": 0.04, "ring": 0.15}[name]
    return same_kind and abs(now.value / was.value - 1) <= share


def asked(made: Bench, typed: Mapping[str, str]) -> str:
    """What becomes of what is typed: ``refused`` with a reason, ``asked`` about, or taken (an empty text)."""
    try:
        frame = made.frame(typed)
    except (ValidationError, Unclear):
        return "refused"
    if any(job.date > TODAY for job in frame.jobs):
        return "refused"
    if any(impossible(reading, made.kind.model) for reading in frame.jobs[-1].readings):
        return "refused"
    return "asked" if any(True for _ in _new_doubts(made, frame)) else ""


def _new_doubts(made: Bench, frame: Frame) -> Iterator[object]:
    last = len(frame.jobs) - 1
    for doubt in frame_doubts(frame, made.kind.model, {}, STRINGS):
        if doubt.path[1] == last:
            yield doubt


@dataclass
class Counts:
    """What was counted."""

    slips: Counter[str] = field(default_factory=Counter)
    missed: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    jobs: int = 0

    @property
    def caught(self) -> float:
        """The share of the slips, common practice left out, that were refused or asked about."""
        found = self.slips["refused"] + self.slips["asked"]
        return found / (found + self.slips["missed"])

    def __str__(self) -> str:
        """For the list of what was counted."""
        s = self.slips
        return (
            f"{sum(s.values())} slips: {s['common practice']} common practice themselves and left out, {s['refused']} "
            f"refused, {s['asked']} asked about, {s['missed']} missed ({100 * self.caught:.1f} % caught); {self.jobs} "
            f"plausible jobs, {len(self.asked)} asked about"
        )


def counted(slips: int, jobs: int, first: int = TUNED) -> Counts:
    """So many slips and so many plausible jobs, from seeds held out from tuning."""
    counts = Counts(jobs=jobs)
    for seed in range(first, first + slips):
        made = bench(seed)
        kind, name, typed = slip(made, seed)
        if common_practice(made, kind, name, typed):
            counts.slips["common practice"] += 1
            continue
        found = asked(made, typed) or "missed"
        counts.slips[found] += 1
        if found == "missed":
            counts.missed.append(f"{seed} {kind}: {made.typed.get(name)!r} -> {typed.get(name)!r}")
    for seed in range(first + 10_000, first + 10_000 + jobs):
        made = bench(seed)
        if asked(made, made.typed):
            doubts = [doubt.what for doubt in _new_doubts(made, made.frame())]
            counts.asked.append(f"{seed}: {doubts or made.typed}")
    return counts


if __name__ == "__main__":
    found = counted(600, 2000)
    print(found, *found.missed, *found.asked, sep="\n")
