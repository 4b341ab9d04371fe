"""A job from what somebody says about it, with the last recipe to go by: words in, the data of a job's record out. Pure.

What is said comes as texts by name, the same names for options of a command and for columns of a table; ``FIELDS`` lists
them. Quantities stay as they were written. Whatever is not said stays as it was in the last stringing;
``-`` leaves it out. A tension may be said as what it changes by, ``2 lb looser``.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from passport.physics.stringing.ways import PIECES
from passport.physics.stringpath import Side
from passport.records.language.worded import worded
from passport.records.schema.base import UNKNOWN, Record
from passport.records.schema.catalogue import Part
from passport.records.schema.frame import Frame
from passport.records.schema.quantities import GAUGE, PERCENT, TENSION, Dimension
from passport.records.schema.stringpattern import read_path, read_zones
from passport.records.timeline import now
from passport.workshop.entry.phrases import (
    NOTHING,
    Unclear,
    fitted_of,
    handle_of,
    is_change,
    known_as,
    method_of,
    minutes_of,
    pair,
    pendulum_of,
    pulled_from,
    repair_of,
)

Tree = Any
Said = Mapping[str, str | Sequence[str]]
SIDES: tuple[Side, Side] = ("mains", "crosses")
PAIRED: dict[str, Dimension | None] = {
    "tension": TENSION,
    "gauge": GAUGE,
    "prestretch": PERCENT,
    "supply": None,
    "batch": None,
}
"""What mains and crosses each have: said once for both, or as ``mains / crosses``."""
BED = ("path", "pieces", "knots", "mains_start", "crosses_start", "short", "skips", "tie_offs", "zones")
_IN_PATH = ("pieces", "mains_start", "crosses_start", "short")
"""What a path spells out."""
MEASURED = (
    "mass",
    "balance",
    "swingweight",
    "twistweight",
    "axis",
    "pendulum",
    "ring",
    "minutes",
    "reader",
    "setting",
    "temperature",
    "played",
)
_OF_RING = ("minutes", "reader", "setting", "temperature")
"""What says more of a reading of the string bed."""
STRING_FIELDS = ("string", *SIDES, "mains_tension", "crosses_tension", *PAIRED, *BED, "method")
FELT = ("felt", "felt_on_page")
"""What the player said of the strings: nothing is done to the racquet by it."""
FIELDS = (
    *STRING_FIELDS,
    "stencil",
    "ink",
    "fit",
    "remove",
    "handle",
    "repair",
    "without",
    *MEASURED,
    *(f"before_{name}" for name in MEASURED),
    "note",
    *FELT,
    "private_note",
    "price",
)


@dataclass(frozen=True, slots=True)
class Past:
    """What a new job goes by: the last stringing and stencil as they are written, since when, and what is fitted.

    ``fitted`` are part and place of each part on the frame, as written.
    """

    strings: Mapping[str, Tree] = field(default_factory=dict)
    stencil: Mapping[str, str] = field(default_factory=dict)
    strung_on: date | None = None
    fitted: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Names:
    """The catalogue's strings and parts by their names, for what is said in other words."""

    strings: Mapping[str, Record] = field(default_factory=dict)
    parts: Mapping[str, Record] = field(default_factory=dict)


def past_of(tree: Mapping[str, Tree], frame: Frame, parts: Mapping[str, Part]) -> Past:
    """What a frame's record, as data and as a type, says that the next job can go by."""
    held = now(frame, parts)
    strung = [job["strings"] for job in tree.get("jobs") or () if isinstance(job, dict) and job.get("strings")]
    return Past(
        strings=strung[-1] if strung else {},
        stencil={"shape": held.stencil.shape, "ink": held.stencil.ink} if held.stencil else {},
        strung_on=held.strung_on,
        fitted=tuple((fitted.part, fitted.place.text) for fitted in held.parts),
    )


def job_of(words: Said, day: date, past: Past, names: Names, *, again: bool = False) -> dict[str, Tree]:
    """The data of a job on ``day``; ``again`` repeats the last stringing and stencil. Raises `Unclear`."""
    job: dict[str, Tree] = {"date": day.isoformat()}
    strings = _strings(words, past, names, again=again)
    _put(job, "strings", strings)
    _put(job, "fitted", [_known_part(fitted_of(text), names) for text in _many(words, "fit")])
    _put(job, "removed", [_removed(text, past, names) for text in _many(words, "remove")])
    _put(job, "handle", handle_of(handle) if (handle := _one(words, "handle")) else {})
    _put(job, "repairs", [_known_part(repair_of(text), names) for text in _many(words, "repair")])
    _put(job, "stencil", _stencil(words, past, again=again))
    _put(job, "readings", _readings(words, day, past, restrung=bool(strings)))
    for name in ("note", *FELT, "private_note", "price"):
        _put(job, name, _one(words, name))
    if len(job) == 1:
        raise Unclear(worded("Nothing was said that could be recorded."))
    return job


def _strings(words: Said, past: Past, names: Names, *, again: bool) -> dict[str, Tree]:
    if not again and not any(_one(words, name) for name in STRING_FIELDS):
        return {}
    if not past.strings:
        if again:
            raise Unclear(
                worded("This frame has not been strung here, so there is nothing to repeat. Name the string.")
            )
        if not _one(words, "string") and not _one(words, "mains"):
            raise Unclear(worded("This frame has not been strung here before. Name the string, and the tension."))
    old_mains: dict[str, Tree] = dict(past.strings.get("mains") or {})
    old_crosses: dict[str, Tree] = dict(past.strings.get("crosses") or old_mains)
    mains = _side("mains", old_mains, words, names)
    crosses = _side("crosses", old_crosses, words, names)
    if not past.strings:
        crosses = {**mains, **crosses}
    _refuse_stale_zones(words, past.strings, (old_mains, old_crosses), (mains, crosses))
    tree: dict[str, Tree] = {"mains": mains}
    if crosses != mains or past.strings.get("crosses"):
        tree["crosses"] = crosses
    tree |= _bed(words, past.strings, hybrid=crosses.get("string") != mains.get("string"))
    said = _one(words, "method")
    method = past.strings.get("method") if not said else {} if said == NOTHING else method_of(said)
    return tree | ({"method": method} if method else {})


def _side(side: Side, old: Mapping[str, Tree], words: Said, names: Names) -> dict[str, Tree]:
    string = _one(words, side) or _one(words, "string")
    string = known_as(string, names.strings) if string else str(old.get("string") or "")
    kept = (
        dict(old) if string == old.get("string") else {k: v for k, v in old.items() if k in ("tension", "prestretch")}
    )
    new: dict[str, Tree] = {"string": string} if string else {}
    for name, dimension in PAIRED.items():
        text = _one(words, name)
        if name == "tension" and is_change(text):
            kept[name] = pulled_from(text, str(old.get("tension") or ""))
        elif text:
            kept[name] = pair(text, dimension)[SIDES.index(side)]
    tension = _one(words, f"{side}_tension")
    if tension:
        kept["tension"] = pulled_from(tension, str(old.get("tension") or "")) if is_change(tension) else tension
    order = ("gauge", "tension", "prestretch", "supply", "batch")
    return new | {name: kept[name] for name in order if kept.get(name) not in (None, "", NOTHING)}


def _bed(words: Said, old: Mapping[str, Tree], *, hybrid: bool) -> dict[str, Tree]:
    """The path, pieces, knots and where strings begin; two different strings are two pieces, and knots go with the pieces."""
    kept = _kept_path(words, old, hybrid=hybrid)
    tree: dict[str, Tree] = {name: _one(words, name) or kept.get(name) for name in BED}
    before = str(kept.get("pieces") or 1)
    if hybrid and not _one(words, "pieces") and not tree["path"]:
        tree["pieces"] = 2
    if str(tree["pieces"] or 1) != before and not _one(words, "knots"):
        tree["knots"] = None
    return {name: _whole(value) for name, value in tree.items() if value and value != NOTHING}


def _refuse_stale_zones(words: Said, old: Mapping[str, Tree], *sides: Sequence[Mapping[str, Tree]]) -> None:
    """Zones that have pulls of their own go with the tensions that they were written for."""
    text = str(old.get("zones") or "")
    if not text or text == UNKNOWN or _one(words, "zones"):
        return
    for of, was, new in zip(SIDES, *sides, strict=True):
        own = any(zone.own for zone in read_zones(text).of(of))
        if own and was.get("tension") != new.get("tension"):
            raise Unclear(
                worded(
                    "The {of} were pulled by zone, '{text}', at {get}. Say the zones at {get2}, or '{nothing}' "
                    "for none.",
                    of=of,
                    text=text,
                    get=was.get("tension"),
                    get2=new.get("tension"),
                    nothing=NOTHING,
                )
            )


def _kept_path(words: Said, old: Mapping[str, Tree], *, hybrid: bool) -> Mapping[str, Tree]:
    """What stays of how the frame was strung before: another path takes the place of all of it, and where one thing of an
    old path is said anew the rest of it stands by itself, as far as it says it in words."""
    if _one(words, "path"):
        return {}
    anew = any(_one(words, name) for name in _IN_PATH)
    path = str(old.get("path") or "")
    if not path or path == UNKNOWN:
        return old
    told = read_path(path)
    pieces = PIECES.get(told.way) if told.way else None
    if not anew and not (hybrid and pieces == 1):
        return old
    spelled = {"pieces": pieces, **{name: getattr(told, name) for name in _IN_PATH[1:]}}
    return {name: value for name, value in {**old, **spelled, "path": None}.items() if value}


def _whole(value: Tree) -> Tree:
    return int(value) if isinstance(value, str) and value.isascii() and value.isdigit() else value


def _stencil(words: Said, past: Past, *, again: bool) -> dict[str, str]:
    shape, ink = _one(words, "stencil"), _one(words, "ink")
    if NOTHING in (shape, ink):
        return {}
    if not shape and not ink:
        return dict(past.stencil) if again else {}
    shape, ink = shape or past.stencil.get("shape", ""), ink or past.stencil.get("ink", "")
    if not shape or not ink:
        lacking = "ink" if shape else "shape"
        raise Unclear(
            worded(
                "A stencil has a shape and an ink, but its {lacking} is not said, and no earlier one is known.",
                lacking=lacking,
            )
        )
    return {"shape": shape, "ink": ink}


def _removed(text: str, past: Past, names: Names) -> dict[str, str]:
    part, at, place = (word.strip() for word in text.partition("@"))
    part = known_as(part, names.parts)
    if at:
        return {"part": part, "place": place}
    places = [where for what, where in past.fitted if what == part]
    if len(places) != 1:
        on = ", ".join(f"{what} @ {where}" for what, where in past.fitted) or "nothing"
        raise Unclear(
            worded("Say which '{part}' was removed, as in '{part} @ 3 and 9'. On the frame: {on}.", part=part, on=on)
        )
    return {"part": part, "place": places[0]}


def _known_part(tree: dict[str, str], names: Names) -> dict[str, str]:
    return tree | ({"part": known_as(tree["part"], names.parts)} if "part" in tree else {})


def _readings(words: Said, day: date, past: Past, *, restrung: bool) -> list[dict[str, Tree]]:
    """Up to two: before the work and after it. A string bed's age that is not said is counted in days where it can be."""
    days = f"{(day - past.strung_on).days} d" if past.strung_on and past.strung_on < day else ""
    before = _reading(words, "before_", days)
    after = _reading(words, "", "" if restrung else days)
    without = [word for text in _many(words, "without") for word in re.split(r"\s*,\s*", text) if word]
    if before:
        state = {"state": "bare"} if _one(words, "before_bare") else {}
        before = {"when": "before"} | state | before
    if after:
        state = {"state": "bare"} if _one(words, "bare") else {}
        after = state | ({"without": without} if without else {}) | after
    return [reading for reading in (before, after) if reading]


def _reading(words: Said, prefix: str, days: str) -> dict[str, Tree]:
    values = {name: _one(words, prefix + name) for name in MEASURED}
    if values["ring"]:
        values["minutes"] = minutes_of(values["minutes"]) if values["minutes"] else days
    elif any(values[name] for name in _OF_RING):
        raise Unclear(
            worded(
                "Minutes since stringing, reader, its setting and temperature go with a string bed's "
                "reading: say what it was."
            )
        )
    found: dict[str, Tree] = {"age" if name == "minutes" else name: value for name, value in values.items() if value}
    return {**found, **({"pendulum": pendulum_of(values["pendulum"])} if values["pendulum"] else {})}


def _one(words: Said, name: str) -> str:
    value = words.get(name) or ""
    return " ".join(value.split()) if isinstance(value, str) and "note" not in name else str(value).strip()


def _many(words: Said, name: str) -> list[str]:
    value = words.get(name) or ()
    return [text for text in ([value] if isinstance(value, str) else value) if text.strip()]


def _put(tree: dict[str, Tree], name: str, value: Tree) -> None:
    if value:
        tree[name] = value
