"""The book of the stock: what was bought, counted on the shelf, or taken for what is no job; and what a job will leave.

What jobs take is never written down a second time: it is worked out from them, so a job that is undone or corrected gives
back what it took.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final, Literal

from pydantic import ValidationError
from pydantic_core import PydanticCustomError

from passport.acts.change import Base, Change
from passport.acts.refused import Misused, Refused
from passport.records.disk import opening, walking
from passport.records.language.worded import worded
from passport.records.load import STOCK, Content, Entry, load
from passport.records.schema.base import SLUG, slug_of
from passport.records.schema.frame import Job, Stringing
from passport.records.stockroom.amount import parse_amount, told
from passport.records.yaml.appending import with_appended, with_entry
from passport.records.yaml.validation_messages import closest
from passport.workshop.entry.phrases import Unclear, in_words, known_as
from passport.workshop.stockroom.supply import StockSupply
from passport.workshop.stockroom.use import JobUse, JobUses, Remainder, UseBook

Kind = Literal["bought", "counted", "taken"]
SAID: Final[Mapping[Kind, str]] = {"bought": "bought", "counted": "counted", "taken": "taken from stock"}


def entered(base: Base, *, kind: Kind, what: str, batch: str, amount: str, day: date, note: str) -> Change:
    """The change of the book by one entry of a string or part, named as in the catalogue or as it is called; a lot that is
    not there yet is begun. Raises Refused and Misused."""
    try:
        parse_amount(amount)
    except PydanticCustomError as error:
        raise Misused(worded("--amount: {in_words}", in_words=in_words(error))) from None
    of, records = _named(base.records, what), base.records
    lots = {name: e.record for name, e in records.lots.items() if e.record.of == of}
    found = [name for name, lot in lots.items() if lot.batch == batch]
    entry = {"date": day.isoformat(), "amount": amount, **({"note": note} if note else {})}
    text = base.text(STOCK) or ""
    if found:
        name, after = found[0], with_appended(text, (found[0], kind), entry)
    elif kind == "taken":
        there = ", ".join(f"'{lot.batch}'" if lot.batch else worded("one without a batch") for lot in lots.values())
        raise Refused(
            worded(
                "No such lot of '{of}' is in stock, so nothing can be taken from it. In stock: {value}.",
                of=of,
                value=there or "none",
            )
        )
    else:
        name = lot_name(of, batch, records)
        after = with_entry(text, name, {"of": of, **({"batch": batch} if batch else {}), kind: [entry]})
    called = f"{of} {batch}".strip()
    head = f"{called}, in {STOCK}:"
    shown = f"{head}\n  {kind}: {', '.join(f'{key} {value}' for key, value in entry.items())}"
    return Change({STOCK: after}, shown, (head,), summary=f"{called}: {amount} {SAID[kind]} on {day.isoformat()}")


def _named(records: Content, what: str) -> str:
    """The catalogue's own name of a string or part."""
    known = records.catalogue
    try:
        name = known_as(what, known)
    except Unclear as unclear:
        raise Refused(str(unclear)) from None
    if name not in known:
        near = closest(what, known)
        raise Refused(
            worded("'{what}' is no string and no part of the catalogue. {near}", what=what, near=near).strip()
        )
    return name


def lot_name(of: str, batch: str, records: Content) -> str:
    """A name for a new lot: what it is of and its batch."""
    name = slug_of(f"{of} {batch}")
    if name not in records.lots and SLUG.fullmatch(name):
        return name
    return next(f"{name[:50]}-{n}" for n in range(2, 1000) if f"{name[:50]}-{n}" not in records.lots)


def of_stock(base: Base, name: str, job: Mapping[str, Any]) -> Iterator[str]:
    """What the book of the stock says of a job, as data, on the frame ``player/frame``; nothing where no book is kept."""
    if not base.records.lots:
        return
    try:
        new = Job.model_validate(job)
    except ValidationError:  # told when the change is tried
        return
    taken = {use.of for use in JobUses(base.records).of(name, new)}
    if taken & {lot.record.of for lot in base.records.lots.values()}:
        yield from of_job(_all_who_took(base, taken), name, new)


def of_order(base: Base, name: str, strings: Any) -> Iterator[str]:
    """What the book says of strings that are wanted for the frame ``player/frame``, as data: from which batch they will
    come nobody knows yet. Nothing where no book is kept."""
    model = base.records.models.get(base.records.frames[name].record.model)
    if not base.records.lots or model is None or not strings:
        return
    try:
        wanted = Stringing.model_validate(strings)
    except ValidationError:  # told when the change is tried
        return
    kept, named = {lot.record.of for lot in base.records.lots.values()}, {strung.string for strung in wanted.both}
    if kept & named and named <= base.records.strings.keys():
        yield from StockSupply(_all_who_took(base, named)).of_strings(wanted, model.record)


def _all_who_took(base: Base, names: Collection[str]) -> Content:
    return base.records if base.players is None else who_took(base.records, names)


def who_took(records: Content, names: Collection[str]) -> Content:
    """The records of some players with those of every other who may have been given some of a lot of these strings and
    parts, on which what is left of it hangs. They are read without being checked, and only where their text names the
    lot: that is far quicker."""
    lots = (entry.record for entry in records.lots.values() if entry.record.of in names)
    # A name of several words may be folded over lines, so its first one is looked for.
    signs = {(lot.batch or lot.of).split()[0] for lot in lots}
    root = records.root
    players = {path.parent.name for path in walking.files(root / "players") if _names_one(path, signs)}
    return load(root, players | records.players.keys())[0]


def _names_one(path: Path, signs: Collection[str]) -> bool:
    """Whether a record's text has one of some words; one that cannot be read has none, and is a fault elsewhere."""
    if path.suffix != ".yaml":
        return False
    try:
        text = opening.read_text(path, errors="replace")
    except OSError:
        return False
    return any(sign in text for sign in signs)


def of_job(records: Content, frame: str, job: Job) -> Iterator[str]:
    """What the book says of each lot that a job which is not yet on record takes from; nothing where no book is kept.

    ``records`` are all frames' without that job.
    """
    if not records.lots:
        return
    book = UseBook.of(records)
    lots = [e.record for e in records.lots.values()]
    taken: dict[tuple[str, str], list[JobUse]] = {}
    for use in JobUses(records).of(frame, job):
        taken.setdefault((use.of, use.batch), []).append(use)
    for (of, batch), uses in taken.items():
        lot = next((lot for lot in lots if (lot.of, lot.batch) == (of, batch)), None)
        if lot is not None and any(entry.date == job.date for entry in lot.counted):
            whole = f"{of} {batch}".strip()
            yield worded(
                "{of} was counted on {date}: a job of that day is taken to be in the count.", of=whole, date=job.date
            )
        elif lot is not None:
            yield from _against(book.left(lot), uses)
        elif any(other.of == of for other in lots):
            batches = ", ".join(other.batch or worded("without a batch") for other in lots if other.of == of)
            if batch:
                yield worded(
                    "Batch {batch} of {of} is not in the book of the stock: this is taken from none ({batches}).",
                    batch=batch,
                    of=of,
                    batches=batches,
                )
            else:
                yield worded(
                    "The job names no batch of {of}: this is taken from none of those in the book of the stock ({batches}).",
                    of=of,
                    batches=batches,
                )


def without_jobs_of(records: Content, player: str, text: str, day: date) -> str:
    """The book's text when the jobs of a player are gone from the records: what they took stays taken, by an entry that
    names nobody. Raises `CannotEdit`."""
    book = UseBook.of(replace(records, frames={entry.name: entry for entry in records.frames_of(player)}))
    for name, lot in records.lots.items():
        left = book.left(lot.record)
        used = sum(use.amounts[left.measure].value for use in left.uses if left.measure in use.amounts)
        if used > 0:
            amount = f"{used:g} pieces" if left.measure == "pieces" else f"{used:.2f} {left.measure}"
            entry = {"date": day.isoformat(), "amount": amount, "note": "by frames that were erased"}
            text = with_appended(text, (name, "taken"), entry)
    return text


def _against(left: Remainder, uses: list[JobUse]) -> Iterator[str]:
    """What a job takes from one lot and what that leaves; a warning where it may not suffice."""
    measure, called = left.measure, f"{left.lot.of} {left.lot.batch}".strip()
    known = [use.amounts[measure] for use in uses if measure in use.amounts]
    if len(known) < len(uses):
        yield worded("How much of {called} this takes cannot be told.", called=called)
        return
    need, need_u = sum(e.value for e in known), sum(e.u for e in known)
    have, have_u = left.amount.value, left.amount.u
    told_left = f"{told(max(have, 0.0), measure)}{_within(have_u, measure)}"
    if have + 2 * have_u < need - 2 * need_u:
        yield worded(
            "Not enough in stock: {called} has {told_left} by the book, and this takes {told}.",
            called=called,
            told_left=told_left,
            told=told(need, measure),
        )
    elif have - 2 * have_u < need + 2 * need_u:
        yield worded(
            "Perhaps not enough in stock: {called} has {told_left} by the book, and this takes {told}.",
            called=called,
            told_left=told_left,
            told=told(need, measure),
        )
    else:
        rest = told(have - need, measure)
        yield worded(
            "{called}: {rest}{within} left after this, by the book.",
            called=called,
            rest=rest,
            within=_within(have_u + need_u, measure),
        )


def _within(u: float, measure: str) -> str:
    return f" (± {2 * u:.1f})" if u >= 0.05 and measure != "pieces" else ""


def players_with(book: UseBook, batch: str) -> set[str]:
    """The folders of the players who had a batch of string put into a frame."""
    wanted = _plain(batch)
    uses = (use for own in book.uses.values() for use in own)
    return {use.frame.partition("/")[0] for use in uses if _plain(use.batch) == wanted}


def _plain(batch: str) -> str:
    return "".join(batch.split()).casefold()


def carriers(records: Content, batch: str) -> Iterator[tuple[Entry, list[tuple[date, str, str]], bool]]:  # type: ignore[type-arg]
    """Each frame that a batch of string was put into: its entry, the days with the side and the string, and whether that
    bed is in it now. Batches are compared without capitals and spaces."""
    wanted = _plain(batch)
    for entry in records.frames.values():
        beds = [(job.date, job.strings) for job in entry.record.jobs if job.strings]
        found = []
        for day, strings in beds:
            sides = [
                (side, strung.string)
                for side, strung in zip(("mains", "crosses"), strings.both, strict=True)
                if _plain(strung.batch) == wanted
            ]
            if len(sides) == 2 and sides[0][1] == sides[1][1]:
                sides = [(worded("all strings"), sides[0][1])]
            found += [(day, side, string) for side, string in sides]
        if found:
            yield entry, found, found[-1][0] == beds[-1][0]
