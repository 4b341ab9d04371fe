"""Numbers, keys, successors and sets: who is who."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from datetime import date

from passport.records.faults import Fault, Place
from passport.records.load import Content


def numbers_once(content: Content, today: date) -> Iterator[Fault]:
    """No two passports share a number."""
    uses = ((e.record.number, e.at("number")) for e in content.frames.values() if e.record.number)
    yield from _twice(uses, "number-twice", "number", "Compare the cards; 'passport issue' numbers the newer one anew.")


def keys_once(content: Content, today: date) -> Iterator[Fault]:
    """No two passports or players share a key."""
    uses = [(e.record.key, e.at("key")) for e in content.players.values() if e.record.key]
    uses += [(e.record.key, e.at("key")) for e in content.frames.values() if e.record.key]
    yield from _twice(uses, "key-twice", "key", "Remove it from the newer one; 'passport issue' makes a fresh key.")


def issued(content: Content, today: date) -> Iterator[Fault]:
    """A number without a key, or a key without a number, cannot be published."""
    for entry in content.frames.values():
        if bool(entry.record.number) != bool(entry.record.key):
            have, lack = ("number", "key") if entry.record.number else ("key", "number")
            do = f"Run 'passport issue CONTENT {entry.name}': it keeps the {have} and adds the {lack}."
            yield Fault(entry.at(have), "half-issued", f"This passport has a {have} but no {lack}.", do)


def successors(content: Content, today: date) -> Iterator[Fault]:
    """``replaced_by`` names another passport of the same player, and only a frame that is out of use has one."""
    for entry in content.frames.values():
        frame, place = entry.record, entry.at("replaced_by")
        if not frame.replaced_by:
            continue
        other = content.by_number(frame.replaced_by)
        if other is None:
            do = "Write the successor's passport number, as on its card."
            yield Fault(place, "unknown-number", f"No passport has the number '{frame.replaced_by[:20]}'.", do)
        elif other.name == entry.name or other.name.partition("/")[0] != entry.name.partition("/")[0]:
            what = "A frame is replaced by another frame of the same player."
            yield Fault(place, "wrong-successor", what, "Write the number of the player's own replacement frame.")
        if frame.status == "active":
            what = "An active frame has a successor."
            do = "Change 'status' to broken, lost or retired, or remove 'replaced_by'."
            yield Fault(place, "wrong-successor", what, do)


def sets(content: Content, today: date) -> Iterator[Fault]:
    """A matched set is of one sport."""
    sports: dict[tuple[str, str], tuple[str, str]] = {}
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if not entry.record.set or model is None:
            continue
        group = (entry.name.partition("/")[0], entry.record.set)
        sport, first = sports.setdefault(group, (model.record.sport, entry.name))
        if sport != model.record.sport:
            what = f"The set '{entry.record.set}' mixes {sport} ('{first}') and {model.record.sport}."
            yield Fault(entry.at("set"), "mixed-set", what, "Give this frame a set of its own.")


def _twice(uses: Iterable[tuple[str, Place]], rule: str, word: str, do: str) -> Iterator[Fault]:
    places: dict[str, list[Place]] = defaultdict(list)
    for value, place in uses:
        places[value].append(place)
    for value, found in places.items():
        for place in found if len(found) > 1 else ():
            others = ", ".join(f"{p.file}:{p.line}" for p in found if p != place)
            yield Fault(place, rule, f"The {word} {value} is also in {others}.", do)
