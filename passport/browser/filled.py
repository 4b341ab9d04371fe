"""A form as somebody filled it in: its values, what is said beside each field and above all, and what is asked first."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from passport.acts.change import Base, base_of
from passport.acts.frames.log import order_in, past
from passport.browser.asking import AtTheScreen, marked
from passport.browser.bench import Bench
from passport.records.checks import DOUBTS
from passport.records.faults import Fault
from passport.records.load import Entry
from passport.records.schema.frame import Frame
from passport.records.schema.player import Player
from passport.records.schema.workshop import Units
from passport.records.yaml.difference import difference
from passport.workshop.entry.bare import unit_of
from passport.workshop.entry.job_from_text import Past
from passport.workshop.entry.phrases import Unclear

Tone = Literal["bad", "doubt", "good", "told"]
_KEY = re.compile(r"(\w+):")
_NAMED = {"tension": "mains_tension", "age": "minutes", "plays_a_week": "plays", "email": "reach", "phone": "reach"}
"""Keys of a record by the field of a form that they stand for, where both are not called the same."""


@dataclass(frozen=True, slots=True)
class Remark:
    """What is said beside a field; ``english`` where it is not in the shop's language, as what ``check`` says."""

    tone: Tone
    words: str
    english: bool = True


@dataclass(kw_only=True)
class Filled:
    """What the screen of a form shows."""

    values: dict[str, str]
    units: Mapping[str, str] = field(default_factory=dict)
    """The unit that a bare figure is read in, by field."""
    beside: dict[str, list[Remark]] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    asks: AtTheScreen | None = None
    changed: list[str] = field(default_factory=list)
    """The lines that somebody changed in the record meanwhile; an empty one where nobody knows which."""

    @property
    def wrong(self) -> bool:
        """Whether something that was said cannot be taken as it is."""
        return any(remark.tone == "bad" for said in self.beside.values() for remark in said)

    def say(self, name: str, tone: Tone, words: str, *, english: bool = True) -> None:
        """Say something at a field."""
        self.beside.setdefault(name, []).append(Remark(tone, words, english))

    def unclear(self, name: str, unclear: Unclear) -> None:
        """Say at a field that what is in it cannot be read."""
        self.say(name, "bad", str(unclear))

    def place(self, faults: Iterable[Fault], fields: Collection[str]) -> None:
        """Each fault at the field that it is about, as far as its line tells; the others above."""
        for fault in faults:
            keys = _KEY.findall(fault.place.excerpt[: max(0, fault.place.col - 1)])
            key = keys[-1] if keys else ""
            if key == "tension" and "crosses" in keys:
                key = "crosses_tension"
            key = _NAMED.get(key, key)
            if key in fields:
                tone: Tone = "doubt" if fault.severity == "warning" or fault.rule in DOUBTS else "bad"
                self.say(key, tone, f"{fault.what} {fault.do}")
            else:
                self.faults.append(fault)


@dataclass(kw_only=True)
class FrameFilled(Filled):
    """The same of a frame, worked out from the ``text`` of its record; ``offered`` is the recipe that stands in the fields."""

    name: str
    entry: Entry[Frame]
    base: Base
    text: str
    offered: dict[str, str]

    @property
    def basis(self) -> str:
        """What the form was worked out from."""
        return marked(self.text)

    @property
    def owner(self) -> Player:
        """The frame's player."""
        return self.base.records.players[self.name.partition("/")[0]].record

    def compare(self, bench: Bench, basis: str) -> None:
        """Note what was changed in the record since the form was made, so that nothing is written over."""
        if basis != self.basis:
            before = bench.texts.get(basis)
            self.changed = [""] if before is None else difference(before, self.text, 30)


@dataclass(frozen=True, slots=True)
class FrameBegun:
    """What a form of a frame begins with: its record, what was strung last, and the order that it waits for, as written."""

    base: Base
    entry: Entry[Frame]
    text: str
    last: Past
    order: Mapping[str, Any]


def begun(bench: Bench, name: str) -> FrameBegun:
    """What a form of a frame, ``player/frame``, begins with, noted as what it is worked out from. Raises Refused."""
    base = base_of(bench.root, {name.partition("/")[0]})
    entry = bench.frame(name, base.records)
    text, last = past(base, entry)
    bench.remember_text(marked(text), text)
    return FrameBegun(base, entry, text, last, order_in(text) if entry.record.waiting else {})


def once_of(said: Mapping[str, str]) -> str:
    """The mark of a form by all that it says: the very same one that is sent again is not another."""
    return marked(*(f"{key}={said[key]}" for key in sorted(said) if key not in ("act", "agreed")))


def offered_recipe(strings: Mapping[str, Any]) -> dict[str, str]:
    """What a recipe as it is written offers in the fields of a form; nothing where there is none."""
    mains = strings.get("mains") or {}
    crosses = strings.get("crosses") or mains
    return {
        "mains": str(mains.get("string") or ""),
        "mains_tension": str(mains.get("tension") or ""),
        "crosses": str(crosses.get("string") or ""),
        "crosses_tension": str(crosses.get("tension") or ""),
        "prestretch": str(mains.get("prestretch") or ""),
        "batch": str(mains.get("batch") or ""),
    }


def tension_unit(shop: Units, offered: str) -> str:
    """The unit of a bare tension: the shop's, or that of the one which is offered; empty where there is neither."""
    written = re.search(r"[A-Za-z]+$", offered)
    return unit_of("tension", shop) or (written[0] if written else "")
