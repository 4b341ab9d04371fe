"""A frame is taken in: what is wanted of it, by when, and what was seen of it become its record's order."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from passport.acts.change import Base, Change
from passport.acts.frames.log import names_of, order_in, past, path_of
from passport.acts.refused import Misused, Refused
from passport.acts.stock import of_order
from passport.records.language.worded import worded
from passport.records.schema.frame import Frame
from passport.records.yaml.edit import block_of, with_block, without
from passport.workshop.entry.job_from_text import SIDES, Past, Said
from passport.workshop.entry.order_from_text import changed, order_of
from passport.workshop.entry.phrases import Unclear, is_change, pulled_from
from passport.workshop.entry.spoken import coming_day
from passport.workshop.stockroom.supply import Enough

_PULLS = ("tension", *(f"{side}_tension" for side in SIDES))


def taken(
    base: Base, *, name: str, words: Said, day: date, again: bool = False, left_out: tuple[str, ...] = ()
) -> Change:
    """The change of a frame's record by what is wanted of it, said on a ``day``.

    A frame that waits already keeps what it waits for: what is said joins that, or takes its place. ``again`` asks for
    the last stringing once more; ``left_out`` are fields of the order that are not wanted any more.
    Raises Refused, and CannotEdit where the record cannot be added to.
    """
    entry = base.records.frames[name]
    frame = entry.record
    _refuse_away(frame)
    text, last = past(base, entry)
    old = order_in(text)
    try:
        said = _pulled(words, last)
        strings = old.get("strings") if not again else None
        before = replace(last, strings=strings) if strings else last
        new = order_of(said, day, before, names_of(base.records), again=again) if words or again or not old else {}
    except Unclear as unclear:
        raise Refused(worded("{unclear}\n  Nothing was written.", unclear=unclear)) from None
    order = changed(old, new, left_out) if old else new
    if not old and set(order) <= {"taken", "promised", "price", "condition"}:
        what = worded("Say what is wanted: --again, --string, --tension, --fit, --repair, --tuning, --asked …")
        raise Refused(worded("Nothing is said of what is wanted, so nothing was written.\n  {what}", what=what))
    after = with_block(without(text, "rack"), "order", order, Frame.model_fields)
    if after == text:
        raise Refused(worded("Nothing to change: the order says that already."))
    head = f"{frame.number or name} {frame.label}, in {path_of(name)}:"
    stock = tuple(_not_in_stock(base, name, order)) if order.get("strings") != old.get("strings") else ()
    shown = "\n".join([head, block_of(after, "order").rstrip(), *_last_time(last), *stock, *_cracked(frame, order)])
    promise = worded(", promised for {order}", order=order["promised"]) if order.get("promised") else ""
    summary = worded(
        "An order for {value} {label}{promise}", value=frame.number or name, label=frame.label, promise=promise
    )
    return Change({path_of(name): after}, shown, (head,), summary=summary)


def withdrawn(base: Base, *, name: str) -> Change:
    """The change of a frame's record whose order is given up: the frame goes home as it came. Raises Refused."""
    entry = base.records.frames[name]
    frame = entry.record
    if frame.waiting is None:
        raise Refused(
            worded("Nothing is wanted of {value}: it does not wait at the bench.", value=frame.number or name)
        )
    text = base.text(path_of(name)) or ""
    head = worded(
        "{value} {label}, in {path_of}, is not wanted any more:",
        value=frame.number or name,
        label=frame.label,
        path_of=path_of(name),
    )
    gone = block_of(text, "order") or block_of(text, "rack")
    after = without(without(text, "order"), "rack")
    summary = worded("The order for {value} {label} withdrawn", value=frame.number or name, label=frame.label)
    return Change({path_of(name): after}, f"{head}\n{gone.rstrip()}", (head,), summary=summary)


def refuse_unclear(words: Said, day: date) -> None:
    """Raise Misused where the promised day cannot be read, so that the slip is named by its option."""
    try:
        promised = words.get("promised")
        if isinstance(promised, str) and promised:
            coming_day(promised, day)
    except Unclear as unclear:
        raise Misused(worded("--promised: {unclear}", unclear=unclear)) from None


def _pulled(words: Said, last: Past) -> Said:
    """What was said, with each tension that is a change worked out from the last stringing, whatever waits already; the
    change itself is kept as what was asked."""
    changes = {name: text for name in _PULLS if is_change(text := str(words.get(name) or ""))}
    if not changes:
        return words
    olds = tuple(_last_pulls(last)) or ("", "")
    pulls = {name: [pulled_from(text, old) for old in olds] for name, text in changes.items()}
    said = {name: " / ".join(new) if name == "tension" else new[_PULLS.index(name) - 1] for name, new in pulls.items()}
    return {"asked": ", ".join(changes.values()), **{name: said.get(name, text) for name, text in words.items()}}


def _last_pulls(last: Past) -> Iterator[str]:
    """The tensions of the last stringing's mains and crosses, as written; nothing where there is none."""
    mains = last.strings.get("mains") or {}
    for side in (mains, last.strings.get("crosses") or mains):
        if side.get("tension"):
            yield str(side["tension"])


def _last_time(last: Past) -> Iterator[str]:
    """What the last stringing was, for whoever compares."""
    pulls = list(_last_pulls(last))
    if pulls and last.strung_on:
        said = pulls[0] if pulls[0] == pulls[-1] else f"{pulls[0]} / {pulls[-1]}"
        yield worded("Last strung {strung_on}: {said}.", strung_on=last.strung_on, said=said)


def _cracked(frame: Frame, order: Mapping[str, Any]) -> Iterator[str]:
    """What follows from a crack that was found."""
    if (order.get("condition") or {}).get("crack") == "found" and frame.status == "active":
        do = f"passport correct CONTENT {frame.number or 'PLAYER/FRAME'} --frame --set status=broken"
        yield worded(
            "A crack was found: the frame is not strung. Where it is broken, its page says so with: {do}", do=do
        )


def _not_in_stock(base: Base, name: str, order: Mapping[str, Any]) -> Iterator[str]:
    """A sentence for each string of which the book of the stock has too little, or perhaps so; nothing where no book is
    kept."""
    yield from (line for line in of_order(base, name, order.get("strings")) if not isinstance(line, Enough))


def _refuse_away(frame: Frame) -> None:
    if frame.status == "lost":
        raise Refused(worded("This frame is marked lost. If it is back, run 'passport found' first."))
    if frame.status == "retired":
        do = worded(
            "If that is wrong: passport correct CONTENT {value} --frame --set status=active.",
            value=frame.number or "PLAYER/FRAME",
        )
        raise Refused(worded("This frame is marked retired: it is out of play. {do}", do=do))
