"""An order in words, and what a job did otherwise than was wanted. Pure; for the bench alone."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from passport.records.schema.catalogue import Part, StringType
from passport.records.schema.frame import Fitted, Job, Order, Removed, Repair, Stringing
from passport.records.schema.intake import Condition
from passport.records.schema.quantities import Quantity

Catalogue = Mapping[str, StringType | Part]
_TO_A_TENTH: Final = 0.05
"""N within which two tensions are the same, whatever their units."""


def work_wanted(order: Order, names: Catalogue) -> list[str]:
    """What is to be done, each in a few words, the stringing first; empty where the order says no more than was asked."""
    said: list[str] = []
    if order.strings:
        said.append(f"restring, {recipe_words(order.strings, names)}")
    said += [f"fit {_part(one, names)}" for one in order.fitted]
    said += [f"take off {_part(one, names)}" for one in order.removed]
    said += [f"repair: {_repair(one, names)}" for one in order.repairs]
    said += [f"tune: {order.tuning}"] if order.tuning else []
    said += [f"build to play like {order.rebuild}"] if order.rebuild else []
    return said


def ordered_lines(order: Order, names: Catalogue) -> list[str]:
    """An order as a person reads it at the bench: when it is promised, what is wanted, what was said and seen."""
    days = [f"promised for {order.promised:%A} {order.promised.isoformat()}"] if order.promised else []
    days += [f"taken {order.taken.isoformat()}"] if order.taken else []
    work = work_wanted(order, names)
    head = f"Ordered{': ' if work else ''}{'; '.join(work)}"
    lines = [", ".join([head, *days])]
    lines += [f"Asked: {order.asked}"] if order.asked else []
    seen = condition_words(order.condition)
    lines += [f"Seen: {', '.join(seen)}"] if seen else []
    lines += [f"Price: {order.price}"] if order.price else []
    lines += [f"Remark: {order.note}"] if order.note else []
    return lines


def recipe_words(strings: Stringing, names: Catalogue) -> str:
    """A recipe in a line: ``Deep Petrol 1.25 at 49 lb, crosses at 47 lb``."""
    mains, crosses = strings.both
    said = [f"{_called(mains.string, names)} at {mains.tension.text}"]
    if crosses.string != mains.string:
        said.append(f"crosses {_called(crosses.string, names)} at {crosses.tension.text}")
    elif not _same(crosses.tension, mains.tension):
        said.append(f"crosses at {crosses.tension.text}")
    said += [f"pre-stretch {_both(strings, 'prestretch')}"] if any(s.prestretch for s in strings.both) else []
    said += [f"by zone: {strings.zones.text}"] if strings.zones else []
    said += [strings.path.text] if strings.path else []
    return ", ".join(said)


def differences(order: Order, job: Job, names: Catalogue) -> list[str]:
    """What a job did otherwise than was wanted, each in a sentence; what an order leaves open is no difference."""
    found: list[str] = []
    if order.strings and job.strings is None:
        found.append(f"Wanted: {recipe_words(order.strings, names)}. It was not restrung.")
    elif order.strings and job.strings:
        found += _strung_otherwise(order.strings, job.strings, names)
    elif job.strings and (order.fitted or order.removed or order.repairs or order.tuning):
        found.append("It was restrung, which the order does not say.")
    found += _left(order.fitted, job.fitted, "Wanted but not fitted: {}.", names)
    found += _left(order.removed, job.removed, "Wanted but not taken off: {}.", names)
    done = [repair.what for repair in job.repairs]
    found += [f"Wanted but not repaired: {_repair(one, names)}." for one in order.repairs if one.what not in done]
    return found


def condition_words(condition: Condition) -> list[str]:
    """What was looked at, each in a few words; nothing of what was not."""
    c, said = condition, list[str]()
    if c.crack:
        said.append("no crack found" if c.crack == "none" else f"CRACK FOUND {c.crack_at}".strip())
    said += [f"tapped hoop sounds {c.hoop}"] if c.hoop else []
    for name, wear, where in (
        ("grommets", c.grommets, c.grommets_at),
        ("bumper", c.bumper, ""),
        ("paint", c.paint, ""),
        ("grip", c.grip, ""),
        ("strings", c.strings, ""),
    ):
        said += [f"{name} {wear} {where}".strip()] if wear else []
    said += [f"old strings read {c.ring.text}"] if c.ring else []
    said += [c.note] if c.note else []
    said += [f"advised: {c.advised}"] if c.advised else []
    said += [f"decided: {c.decided}"] if c.decided else []
    return said


def findings(condition: Condition) -> list[str]:
    """What was found not to be as it should, each in a few words; what was said of it is not among them."""
    kept = {
        name: value
        for name in ("crack", "crack_at", "hoop", "grommets", "grommets_at", "bumper", "paint", "grip", "strings")
        if (value := getattr(condition, name)) and value not in ("none", "clear", "sound", "whole")
    }
    return condition_words(Condition().model_copy(update=kept))


def _strung_otherwise(wanted: Stringing, done: Stringing, names: Catalogue) -> Iterator[str]:
    for side, one, other in zip(("mains", "crosses"), wanted.both, done.both, strict=True):
        if one.string != other.string:
            yield f"Wanted on the {side}: {_called(one.string, names)}. Strung: {_called(other.string, names)}."
        if not _same(one.tension, other.tension):
            yield f"Wanted on the {side}: {one.tension.text}. Strung: {other.tension.text}."
        if one.prestretch and (other.prestretch is None or other.prestretch.value != one.prestretch.value):
            done_with = other.prestretch.text if other.prestretch else "none"
            yield f"Wanted on the {side}: pre-stretch {one.prestretch.text}. Done: {done_with}."
    if wanted.zones != done.zones:
        zones = [strings.zones.text if strings.zones else "none" for strings in (wanted, done)]
        yield f"Wanted by zone: {zones[0]}. Strung: {zones[1]}."
    if wanted.path and done.path and wanted.path.text != done.path.text:
        yield f"Wanted: {wanted.path.text}. Strung: {done.path.text}."


def _left(
    wanted: Sequence[Fitted | Removed], done: Iterable[Fitted | Removed], words: str, names: Catalogue
) -> Iterator[str]:
    there = [one.part for one in done]
    for one in wanted:
        if one.part in there:
            there.remove(one.part)
        else:
            yield words.format(_part(one, names))


def _both(strings: Stringing, field: str) -> str:
    values = [getattr(strung, field).text if getattr(strung, field) else "none" for strung in strings.both]
    return values[0] if values[0] == values[1] else " / ".join(values)


def _same(one: Quantity, other: Quantity) -> bool:
    return abs(one.value - other.value) < _TO_A_TENTH


def _part(one: Fitted | Removed, names: Catalogue) -> str:
    amount = one.mass.text if isinstance(one, Fitted) and one.mass else ""
    return " ".join(filter(None, (amount, _called(one.part, names), one.place.text)))


def _repair(one: Repair, names: Catalogue) -> str:
    part = _called(one.part, names) if one.part else ""
    return " ".join(filter(None, (one.what, part, one.where, f"({one.note})" if one.note else "")))


def _called(name: str, names: Catalogue) -> str:
    known = names.get(name)
    return known.name if known else name
