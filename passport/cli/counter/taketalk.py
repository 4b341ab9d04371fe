"""The dialogue of ``passport take``: what is wanted, by when, and what was seen; Enter asks for the last stringing again."""

from collections.abc import Iterator
from datetime import date

import click

from passport.acts.frames.log import units_of
from passport.cli.answers.trail import HELP
from passport.cli.shared.dialogue import ask
from passport.records.language.worded import worded
from passport.records.load import Content, Entry, records_of
from passport.records.schema.frame import Frame
from passport.workshop.entry.bare import lent, unit_of
from passport.workshop.entry.job_from_text import Past, Said
from passport.workshop.entry.order_from_text import condition_of, looked_at
from passport.workshop.entry.phrases import NOTHING, is_change, reader
from passport.workshop.entry.spoken import coming_day
from passport.workshop.entry.told_new import string_said
from passport.workshop.orders.wanted import ordered_lines

AS_LAST = "as last time"


def talk(records: Content, entry: Entry[Frame], past: Past, day: date) -> tuple[Said, bool]:
    """What is wanted of a frame: what was said, and whether the last stringing is wanted again."""
    click.echo(_head(records, entry, past))
    if entry.record.waiting:
        click.echo(worded("It waits already. What is said now joins that, or takes its place:"))
        for line in ordered_lines(entry.record.waiting, records.catalogue):
            click.echo(f"  {line}")
    click.echo(
        worded(
            "Enter takes what stands in [ ], '{nothing}' leaves it out, {help}\n", nothing=NOTHING, help=worded(HELP)
        )
    )
    words: dict[str, str | list[str]] = {}
    known = bool(past.strings) and entry.record.status == "active" and entry.record.waiting is None
    wanted = ask(worded("Wanted"), AS_LAST if known else "")
    again = wanted == AS_LAST
    if wanted and not again:
        if is_change(wanted) and known:
            again, words["tension"] = True, wanted
        else:
            words["asked"] = wanted
            words |= dict(_strings(records, past))
    fitted = list(_several(worded("New grip or part (part @ place)")))
    words |= {"fit": fitted} if fitted else {}
    for name, question in (
        ("promised", worded("Promised for (friday, in 3 days, 2026-12-04)")),
        ("price", worded("Price")),
    ):
        read = (lambda text: coming_day(text, day)) if name == "promised" else None
        if text := ask(question, read=read):
            words[name] = text
    looked = ask(
        worded("Looked at (crack none, grommets worn 9T, bumper sound …)"), read=lambda t: condition_of(looked_at(t))
    )
    words |= looked_at(looked) if looked else {}
    note = ask(worded("Remark for the bench"))
    return words | ({"note": note} if note else {}), again


def _head(records: Content, entry: Entry[Frame], past: Past) -> str:
    frame, player = entry.record, records.players.get(entry.name.partition("/")[0])
    who = f"{player.record.full_name or player.record.name}, " if player else ""
    strung = (
        worded("last strung on {strung_on}", strung_on=past.strung_on)
        if past.strung_on
        else worded("not strung here yet")
    )
    mains = past.strings.get("mains") or {}
    crosses = past.strings.get("crosses") or mains
    pulls = " / ".join(dict.fromkeys(str(side["tension"]) for side in (mains, crosses) if side.get("tension")))
    recipe = f": {mains.get('string')}, {pulls}" if pulls else ""
    return f"{click.style(frame.number or entry.name, bold=True)}  {who}{frame.label} ({frame.model}), {strung}{recipe}"


def _strings(records: Content, past: Past) -> Iterator[tuple[str, str]]:
    """The string and the tension that are wanted; nothing where it is not to be strung."""
    table = records_of(records.strings)

    def known(text: str) -> str:
        return string_said(text, table)

    string = ask(
        worded("String ('{nothing}' where it is not to be strung)", nothing=NOTHING),
        str((past.strings.get("mains") or {}).get("string") or ""),
        read=known,
    )
    if not string:
        return
    yield "string", known(string)
    old = str((past.strings.get("mains") or {}).get("tension") or "")
    unit = unit_of("tension", units_of(records)) or old.rpartition(" ")[2]
    pull = reader("tension")
    tension = ask(
        worded("Tension ('52/50 {value}', '2 {value} looser')", value=unit or "lb"),
        read=lambda text: pull(lent(text, unit)) if pull else None,
        needed=not past.strings,
    )
    if tension:
        yield "tension", lent(tension, unit)


def _several(question: str) -> Iterator[str]:
    while text := ask(question, read=reader("fit")):
        yield text
        question = worded("  and")
