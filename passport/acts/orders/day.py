"""The day on one page: the rack in the order of promises, the string that it takes, what is done, and who is due."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path

from passport.acts.frames.due import due_in, why
from passport.acts.picking import pick
from passport.acts.reading import SoundPart
from passport.acts.stock import who_took
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Order, Stringing
from passport.render.sheets.day import MOST_DUE, DueLine, Racked, day_pdf
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.needs import StringNeed, string_needs, with_stock
from passport.workshop.orders.rack import Done, Waiting, as_wanted, rack, to_collect
from passport.workshop.orders.wanted import Catalogue, findings, recipe_words, work_wanted
from passport.workshop.stockroom.supply import StockSupply
from passport.workshop.strings.due import DueRow

WITHIN = 14
"""Days that are looked ahead for who is due, unless somebody says otherwise."""


@dataclass(frozen=True)
class DaySheet:
    """What a day holds, and the page of it. ``frames`` are some that nobody took in, named by numbers or names.

    ``part`` holds the players whose frames wait.
    """

    part: SoundPart
    today: date
    frames: tuple[str, ...] = ()

    @cached_property
    def chosen(self) -> tuple[Waiting, ...]:
        """The frames on the rack, then those that were named. Raises Refused for one that there is not."""
        records, waiting = self.part.records, rack(self.part.records, self.today)
        there = {one.entry.name for one in waiting}
        named = {e.name: e for e in (pick(records, text) for text in self.frames) if e.name not in there}
        return (*waiting, *(Waiting(entry, Order(), 0) for entry in named.values()))

    @cached_property
    def gatherer(self) -> Gatherer:
        """The facts of the frames as they are wanted."""
        return Gatherer(as_wanted(self.part.records, self.today), self.part.priors)

    @cached_property
    def needs(self) -> Sequence[StringNeed]:
        """What string all of it takes, and what is left of that."""
        records = self.part.records
        needs = string_needs(self.gatherer.recipe(one.entry.name) for one in self.chosen if one.restrung)
        if records.lots and needs:
            took = who_took(records, {need.of for need in needs}) if self.part.known else records
            needs = with_stock(needs, StockSupply(took))
        return needs

    @cached_property
    def done(self) -> Sequence[Done]:
        """What is done and waits to be collected."""
        return to_collect(self.part.records)

    def pdf(self, within: int = WITHIN) -> bytes:
        """The page, with who is due ``within`` so many days. Private: it holds contact data.

        Raises `passport.render.print.pdf.NoPango`.
        """
        records = self.part.records
        racked = [_racked(records, self.gatherer, one) for one in self.chosen]
        due, in_all = _due(self.part, records.root, self.today, within)
        collect = list(_to_collect(records, self.done))
        return day_pdf(self.gatherer.shop, self.today, racked, due, self.needs, collect, in_all)


def _racked(records: Content, gatherer: Gatherer, one: Waiting) -> Racked:
    entry, order, names = one.entry, one.order, records.catalogue
    player = records.players[entry.name.partition("/")[0]].record
    seen = findings(order.condition)
    know = " ".join(
        filter(
            None, (f"{', '.join(seen)}." if seen else "", order.note, player.private_note, entry.record.private_note)
        )
    )
    work = work_wanted(order.model_copy(update={"strings": None}), names)
    wants = "; ".join(filter(None, (order.asked, *work))) or worded("as before")
    last = next((job.strings for job in reversed(entry.record.jobs) if job.strings), None)
    return Racked(
        gatherer.recipe(entry.name),
        player.full_name or player.name,
        wants,
        know,
        order.promised,
        one.late,
        one.restrung,
        _before(order.strings, last, names) if one.restrung else recipe_words(last, names) if last else "",
        worded("Crack found: do not string.") if order.condition.crack == "found" else "",
    )


def _before(wanted: Stringing | None, last: Stringing | None, names: Catalogue) -> str:
    """The tensions that are in the frame, or the whole recipe, where another one is wanted."""
    if wanted is None or last is None:
        return ""
    old, new = recipe_words(last, names), recipe_words(wanted, names)
    if old == new:
        return ""
    if [s.string for s in last.both] == [s.string for s in wanted.both]:
        return " / ".join(dict.fromkeys(s.tension.text for s in last.both))
    return old


def _to_collect(records: Content, done: Sequence[Done]) -> Iterator[str]:
    """The frames that wait to be collected, each in a few words."""
    for one in done:
        player = records.players[one.entry.name.partition("/")[0]].record
        frame = one.entry.record
        yield worded(
            "{frame} {label}, {player}, done {date}",
            frame=frame.number or one.entry.name,
            label=frame.label,
            player=player.full_name or player.name,
            date=one.job.date,
        )


def _due(part: SoundPart, content: Path, now: date, within: int) -> tuple[list[DueLine], int]:
    """The most urgent of who is due, as many as a page holds, and how many there are in all."""

    def wanted(row: DueRow) -> bool:
        here = part.records.frames.get(row.frame)  # all that wait were read
        return bool(row.due and (row.due.day - now).days <= within) and not (here and here.record.waiting)

    found = due_in(content, now, wanted, MOST_DUE, part)
    lines = [
        DueLine(
            e.due.day, e.number, e.label, e.full_name or e.player, e.contact.phone or e.contact.email, why(e.due.first)
        )
        for e in found.entries
        if e.due
    ]
    return lines, found.wanted
