"""An order in words, and what a job did otherwise than was wanted. Pure; for the bench alone."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from passport.records.language.worded import unsaid, worded
from passport.records.schema.catalogue import Part, StringType
from passport.records.schema.frame import Fitted, Job, Order, Removed, Repair, Stringing, Strung
from passport.records.schema.intake import Condition
from passport.records.schema.quantities import Quantity
from passport.workshop.facts.spoken_names import name_said, place_said, weekday_said

Catalogue = Mapping[str, StringType | Part]
_TO_A_TENTH: Final = 0.05
"""N within which two tensions are the same, whatever their units."""


def work_wanted(order: Order, names: Catalogue) -> list[str]:
    """What is to be done, each in a few words, the stringing first; empty where the order says no more than was asked."""
    said: list[str] = []
    if order.strings:
        said.append(worded("restring, {recipe}", recipe=recipe_words(order.strings, names)))
    said += [worded("fit {part}", part=_part(one, names)) for one in order.fitted]
    said += [worded("take off {part}", part=_part(one, names)) for one in order.removed]
    said += [worded("repair: {repair}", repair=_repair(one, names)) for one in order.repairs]
    said += [worded("tune: {tuning}", tuning=order.tuning)] if order.tuning else []
    said += [worded("build to play like {number}", number=order.rebuild)] if order.rebuild else []
    return said


def ordered_lines(order: Order, names: Catalogue) -> list[str]:
    """An order as a person reads it at the bench: when it is promised, what is wanted, what was said and seen."""
    day = order.promised
    days = [worded("promised for {weekday} {day}", weekday=weekday_said(day), day=day)] if day else []
    days += [worded("taken {day}", day=order.taken)] if order.taken else []
    work = work_wanted(order, names)
    head = worded("Ordered: {work}", work="; ".join(work)) if work else worded("Ordered")
    lines = [", ".join([head, *days])]
    lines += [worded("Asked: {asked}", asked=order.asked)] if order.asked else []
    seen = condition_words(order.condition)
    lines += [worded("Seen: {seen}", seen=", ".join(seen))] if seen else []
    lines += [worded("Price: {price}", price=order.price)] if order.price else []
    lines += [worded("Remark: {note}", note=order.note)] if order.note else []
    return lines


def recipe_words(strings: Stringing, names: Catalogue) -> str:
    """A recipe in a line: ``Deep Petrol 1.25 at 49 lb, crosses at 47 lb``."""
    mains, crosses = strings.both
    said = [worded("{string} at {tension}", string=_called(mains.string, names), tension=mains.tension.text)]
    other = crosses.tension.text
    if crosses.string != mains.string:
        said.append(worded("crosses {string} at {tension}", string=_called(crosses.string, names), tension=other))
    elif not _same(crosses.tension, mains.tension):
        said.append(worded("crosses at {tension}", tension=other))
    said += _prestretch(mains, crosses)
    said += [worded("by zone: {pulls}", pulls=strings.zones.text)] if strings.zones else []
    said += [strings.path.text] if strings.path else []
    return ", ".join(said)


def differences(order: Order, job: Job, names: Catalogue) -> list[str]:
    """What a job did otherwise than was wanted, each in a sentence; what an order leaves open is no difference."""
    found: list[str] = []
    if order.strings and job.strings is None:
        found.append(worded("Wanted: {recipe}. It was not restrung.", recipe=recipe_words(order.strings, names)))
    elif order.strings and job.strings:
        found += _strung_otherwise(order.strings, job.strings, names)
    elif job.strings and (order.fitted or order.removed or order.repairs or order.tuning):
        found.append(worded("It was restrung, which the order does not say."))
    found += _left(order.fitted, job.fitted, unsaid("Wanted but not fitted: {part}."), names)
    found += _left(order.removed, job.removed, unsaid("Wanted but not taken off: {part}."), names)
    done = [repair.what for repair in job.repairs]
    found += [
        worded("Wanted but not repaired: {repair}.", repair=_repair(one, names))
        for one in order.repairs
        if one.what not in done
    ]
    return found


def condition_words(condition: Condition) -> list[str]:
    """What was looked at, each in a few words; nothing of what was not."""
    c, said = condition, list[str]()
    if c.crack:
        found = worded("no crack found") if c.crack == "none" else worded("CRACK FOUND")
        said.append(f"{found} {c.crack_at}".strip())
    said += [_look("hoop", c.hoop)] if c.hoop else []
    for name, wear, where in (
        ("grommets", c.grommets, c.grommets_at),
        ("bumper", c.bumper, ""),
        ("paint", c.paint, ""),
        ("grip", c.grip, ""),
        ("strings", c.strings, ""),
    ):
        said += [f"{_look(name, wear)} {where}".strip()] if wear else []
    said += [worded("old strings read {reading}", reading=c.ring.text)] if c.ring else []
    said += [c.note] if c.note else []
    said += [worded("advised: {advice}", advice=c.advised)] if c.advised else []
    said += [worded("decided: {decision}", decision=c.decided)] if c.decided else []
    return said


_LOOKS: Final[Mapping[str, str]] = {
    "hoop clear": unsaid("tapped hoop sounds clear"),
    "hoop dull": unsaid("tapped hoop sounds dull"),
    "grommets sound": unsaid("grommets sound"),
    "grommets worn": unsaid("grommets worn"),
    "grommets broken": unsaid("grommets broken"),
    "grommets missing": unsaid("grommets missing"),
    "bumper sound": unsaid("bumper sound"),
    "bumper worn": unsaid("bumper worn"),
    "bumper broken": unsaid("bumper broken"),
    "bumper missing": unsaid("bumper missing"),
    "paint sound": unsaid("paint sound"),
    "paint chipped": unsaid("paint chipped"),
    "grip sound": unsaid("grip sound"),
    "grip worn": unsaid("grip worn"),
    "grip broken": unsaid("grip broken"),
    "grip missing": unsaid("grip missing"),
    "strings whole": unsaid("strings whole"),
    "strings broken": unsaid("strings broken"),
    "strings cut out": unsaid("strings cut out"),
}
"""What was looked at and how it was found, each as a whole: an adjective goes with its noun."""


def _look(thing: str, found: str) -> str:
    return worded(_LOOKS[thing + " " + found])


def findings(condition: Condition) -> list[str]:
    """What was found not to be as it should, each in a few words; what was said of it is not among them."""
    kept = {
        name: value
        for name in ("crack", "crack_at", "hoop", "grommets", "grommets_at", "bumper", "paint", "grip", "strings")
        if (value := getattr(condition, name)) and value not in ("none", "clear", "sound", "whole")
    }
    return condition_words(Condition().model_copy(update=kept))


def _strung_otherwise(wanted: Stringing, done: Stringing, names: Catalogue) -> Iterator[str]:
    otherwise = unsaid("Wanted on the {side}: {wanted}. Strung: {strung}.")
    for side, one, other in zip(("mains", "crosses"), wanted.both, done.both, strict=True):
        where = name_said(side)
        if one.string != other.string:
            yield worded(otherwise, side=where, wanted=_called(one.string, names), strung=_called(other.string, names))
        if not _same(one.tension, other.tension):
            yield worded(otherwise, side=where, wanted=one.tension.text, strung=other.tension.text)
        if one.prestretch and (other.prestretch is None or other.prestretch.value != one.prestretch.value):
            stretch = one.prestretch.text
            yield (
                worded(
                    "Wanted on the {side}: pre-stretch {wanted}. Done: {done}.",
                    side=where,
                    wanted=stretch,
                    done=other.prestretch.text,
                )
                if other.prestretch
                else worded("Wanted on the {side}: pre-stretch {wanted}. Done: none.", side=where, wanted=stretch)
            )
    if wanted.zones and done.zones and wanted.zones != done.zones:
        zones = {"wanted": wanted.zones.text, "strung": done.zones.text}
        yield worded("Wanted by zone: {wanted}. Strung: {strung}.", **zones)
    elif wanted.zones and not done.zones:
        yield worded("Wanted by zone: {wanted}. Strung: none.", wanted=wanted.zones.text)
    elif done.zones and not wanted.zones:
        yield worded("Wanted by zone: none. Strung: {strung}.", strung=done.zones.text)
    if wanted.path and done.path and wanted.path.text != done.path.text:
        yield worded("Wanted: {wanted}. Strung: {strung}.", wanted=wanted.path.text, strung=done.path.text)


def _left(
    wanted: Sequence[Fitted | Removed], done: Iterable[Fitted | Removed], words: str, names: Catalogue
) -> Iterator[str]:
    there = [one.part for one in done]
    for one in wanted:
        if one.part in there:
            there.remove(one.part)
        else:
            yield worded(words, part=_part(one, names))


def _prestretch(mains: Strung, crosses: Strung) -> Iterator[str]:
    """How far mains and crosses are stretched before, in a few words; nothing where none is."""
    one, other = (strung.prestretch.text if strung.prestretch else "" for strung in (mains, crosses))
    both = one if one == other else f"{one} / {other}"
    if one and other:
        yield worded("pre-stretch {amount}", amount=both)
    elif one:
        yield worded("pre-stretch {amount} / none", amount=one)
    elif other:
        yield worded("pre-stretch none / {amount}", amount=other)


def _same(one: Quantity, other: Quantity) -> bool:
    return abs(one.value - other.value) < _TO_A_TENTH


def _part(one: Fitted | Removed, names: Catalogue) -> str:
    amount = one.mass.text if isinstance(one, Fitted) and one.mass else ""
    return " ".join(filter(None, (amount, _called(one.part, names), place_said(one.place))))


def _repair(one: Repair, names: Catalogue) -> str:
    part = _called(one.part, names) if one.part else ""
    return " ".join(filter(None, (name_said(one.what), part, one.where, f"({one.note})" if one.note else "")))


def _called(name: str, names: Catalogue) -> str:
    known = names.get(name)
    return known.name if known else name
