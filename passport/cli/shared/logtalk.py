"""The dialogue of ``passport log``: what was done, asked step by step with the last values offered."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import click

from passport.acts.frames.log import ring_unit, units_of
from passport.cli.answers.trail import HELP
from passport.cli.shared.dialogue import ask, confirmed
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content, Entry, records_of
from passport.records.schema.frame import Frame
from passport.records.schema.workshop import Units
from passport.workshop.entry.bare import SPOKEN, USUAL_UNITS, lent, unit_of
from passport.workshop.entry.job_from_text import Past, Said
from passport.workshop.entry.phrases import NOTHING, day_of, reader
from passport.workshop.entry.told_new import string_said
from passport.workshop.orders.wanted import ordered_lines, work_wanted

_READINGS = (
    ("mass", unsaid("Mass")),
    ("balance", unsaid("Balance")),
    ("swingweight", unsaid("Swingweight")),
    ("ring", unsaid("String bed reading")),
)
_MINUTES = "15"


@dataclass(frozen=True, slots=True)
class Told:
    """What was said of a job: the ``words``, whether the last stringing is repeated with them (``again``), the ``day``;
    ``ordered`` where it was done as it was wanted in all that is not said."""

    words: Said
    again: bool
    day: date
    ordered: bool = True


def talk(records: Content, entry: Entry[Frame], past: Past, day: date, order: Mapping[str, Any]) -> Told:
    """What was done to a frame, asked step by step; of an ``order`` that is done as it was wanted only what is new."""
    click.echo(_head(records, entry, past))
    wanted = entry.record.waiting if order else None
    for line in ordered_lines(wanted, records.catalogue) if wanted else ():
        click.echo(click.style(line, bold=True))
    click.echo(
        worded(
            "Enter takes what stands in [ ], '{nothing}' leaves it out, {help}\n", nothing=NOTHING, help=worded(HELP)
        )
    )
    when = day_of(ask(worded("Date"), day.isoformat(), read=lambda text: day_of(text, day)), day)
    if wanted and work_wanted(wanted, records.catalogue) and confirmed(worded("Done as ordered?"), yes=False):
        shown = ring_unit(records, entry.record)
        words = _old_bed(shown) if wanted.strings and past.strings and not wanted.condition.ring else {}
        words |= dict(_readings(units_of(records), shown, restrung=wanted.strings is not None))
        note = ask(worded("Note for the player"))
        return Told(words | ({"note": note} if note else {}), again=False, day=when)
    return _freely(records, entry, past, order, when)


def _freely(records: Content, entry: Entry[Frame], past: Past, order: Mapping[str, Any], when: date) -> Told:
    """All that was done, with the recipe that was ordered offered, or else the last one."""
    words: dict[str, str | list[str]] = {}
    restrung = entry.record.status == "active" and confirmed(worded("Restrung?"), yes=False)
    shown = ring_unit(records, entry.record)
    if restrung and past.strings:
        words |= _old_bed(shown)
    offered = replace(past, strings=order["strings"]) if order.get("strings") else past
    words |= dict(_strings(records, offered, past)) if restrung else {}
    for name, question in (
        ("fit", worded("Fitted (part @ place = mass [length])")),
        ("remove", worded("Removed")),
        ("repair", worded("Repair")),
    ):
        answers = list(_several(question, reader(name)))
        words |= {name: answers} if answers else {}
    words |= dict(_readings(units_of(records), shown, restrung=restrung))
    note = ask(worded("Note for the player"))
    words |= {"note": note} if note else {}
    return Told(words, again=restrung and bool(past.strings), day=when, ordered=False)


def _head(records: Content, entry: Entry[Frame], past: Past) -> str:
    frame = entry.record
    player = records.players.get(entry.name.partition("/")[0])
    who = f"{player.record.name}, " if player else ""
    strung = (
        worded("last strung on {strung_on}", strung_on=past.strung_on)
        if past.strung_on
        else worded("not strung here yet")
    )
    return f"{click.style(frame.number or entry.name, bold=True)}  {who}{frame.label} ({frame.model}), {strung}"


def _old_bed(shown: str) -> dict[str, str]:
    ring = ask(worded("Reading before the strings came out ({shown})", shown=shown), read=_with_unit("ring", shown))
    return {"before_ring": lent(ring, shown)} if ring else {}


def _strings(records: Content, offered: Past, past: Past) -> Iterator[tuple[str, str]]:
    """What differs from the last stringing; all of it where there is none. What is ``offered`` may be another one."""
    table = records_of(records.strings)

    def known(text: str) -> str:
        return string_said(text, table)

    mains = offered.strings.get("mains") or {}
    crosses = offered.strings.get("crosses") or mains
    answers: dict[str, str] = {}
    shop = unit_of("tension", units_of(records))
    for side, old in (("mains", mains), ("crosses", crosses)):
        string = ask(
            worded("String, {side}", side=side),
            str(old.get("string") or answers.get("mains", "")),
            read=known,
            needed=True,
        )
        answers[side] = known(string)
        shown = str(old.get("tension") or answers.get("mains_tension", ""))
        unit = shop or _unit_of(shown)
        tension = ask(
            (
                worded("Tension, {side} ({shop})", side=side, shop=shop)
                if shop
                else worded("Tension, {side}", side=side)
            ),
            shown,
            read=_with_unit("mains_tension", unit),
            needed=True,
        )
        answers[f"{side}_tension"] = lent(tension, unit)
    for name, question in (("prestretch", worded("Pre-stretch")), ("batch", worded("Batch"))):
        shown = str(mains.get(name) or "")
        answers[name] = lent(ask(question, shown, read=_with_unit(name, "%")), "%" if name == "prestretch" else "")
    if past.strings.get("zones"):
        yield "zones", ask(worded("By zone"), str(past.strings["zones"]), read=reader("zones")) or NOTHING
    mains = past.strings.get("mains") or {}
    crosses = past.strings.get("crosses") or mains
    before = {side: str(old.get("string") or "") for side, old in (("mains", mains), ("crosses", crosses))}
    before |= {
        f"{side}_tension": str(old.get("tension") or "") for side, old in (("mains", mains), ("crosses", crosses))
    }
    before |= {name: str(mains.get(name) or "") for name in ("prestretch", "batch")}
    yield from ((name, text or NOTHING) for name, text in answers.items() if text != before[name])


def _readings(units: Units, shown: str, *, restrung: bool) -> Iterator[tuple[str, str]]:
    for name, question in _READINGS:
        unit = shown if name == "ring" else unit_of(name, units) or USUAL_UNITS[name]
        text = ask(f"{worded(question)} ({SPOKEN.get(unit, unit)})", read=_with_unit(name, unit))
        if text:
            yield name, lent(text, unit)
        if text and name == "ring" and restrung:
            minutes = ask(worded("Minutes since stringing"), _MINUTES, read=reader("minutes"))
            yield "minutes", minutes


def _several(question: str, read: Callable[[str], object] | None) -> Iterator[str]:
    while text := ask(question, read=read):
        yield text
        question = worded(worded("  and"))


def _with_unit(name: str, unit: str) -> Callable[[str], object] | None:
    read = reader(name)
    return (lambda text: read(lent(text, unit))) if read else None


def _unit_of(text: str) -> str:
    match = re.search(r"[A-Za-z]+\.?$", text)
    return match[0] if match else ""
