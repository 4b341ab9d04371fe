"""Numbers, keys, successors and sets: who is who."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.schema.player import Player


def numbers_once(content: Content, today: date) -> Iterator[Fault]:
    """No two passports share a number."""
    do = worded("Compare the cards, remove it from the newer record and run 'passport issue' for that.")
    yield from _twice(content.frames.values(), "number", "number-twice", do)


def keys_once(content: Content, today: date) -> Iterator[Fault]:
    """No two passports or players share a key."""
    do = worded("Remove it from the newer record and run 'passport issue' for that.")
    yield from _twice([*content.players.values(), *content.frames.values()], "key", "key-twice", do)


def issued(content: Content, today: date) -> Iterator[Fault]:
    """A number without a key, or a key without a number, cannot be published."""
    for entry in content.frames.values():
        if bool(entry.record.number) != bool(entry.record.key):
            have, lack = ("number", "key") if entry.record.number else ("key", "number")
            do = worded(
                "Run 'passport issue CONTENT {entry}': it keeps the {have} and adds the {lack}.",
                entry=entry.name,
                have=have,
                lack=lack,
            )
            yield Fault(
                entry.at(have),
                "half-issued",
                worded("This passport has a {have} but no {lack}.", have=have, lack=lack),
                do,
            )


def sealed(content: Content, today: date) -> Iterator[Fault]:
    """A page can only be sealed with a secret."""
    for entry in content.frames.values():
        if entry.record.sealed and not entry.record.secret:
            do = worded(
                "Run 'passport seal CONTENT {entry}': it writes one, and a new card carries it.", entry=entry.name
            )
            yield Fault(
                entry.at("sealed"), "no-secret", worded("This page is sealed, but there is no secret to open it."), do
            )


def successors(content: Content, today: date) -> Iterator[Fault]:
    """``replaced_by`` leads to another passport of the same player, never in a circle, from a frame out of use."""
    by_number = {e.record.number: e for e in content.frames.values() if e.record.number}
    for entry in content.frames.values():
        frame = entry.record
        if not frame.replaced_by:
            continue
        place = entry.at("replaced_by")
        other = by_number.get(frame.replaced_by)
        if other is not None:
            yield from _wrong_successor(entry, other, by_number, place)
        elif not _has_unread(content, _player(entry)):
            do = worded("Write the number on the successor's card.")
            yield Fault(
                place,
                "unknown-number",
                worded("No passport has the number {replaced_by}.", replaced_by=frame.replaced_by),
                do,
            )
        if frame.status == "active":
            what = worded("An active frame has a successor.")
            do = worded("Change 'status' to broken, lost or retired, or remove 'replaced_by'.")
            yield Fault(place, "wrong-successor", what, do)


def _wrong_successor(
    entry: Entry[Frame], other: Entry[Frame], by_number: Mapping[str, Entry[Frame]], place: Place
) -> Iterator[Fault]:
    do = worded("Write the number of the frame that the player got instead of this one.")
    if other.name == entry.name:
        yield Fault(place, "wrong-successor", worded("This is the frame's own number."), do)
    elif _player(other) != _player(entry):
        what = worded(
            "{replaced_by} is a frame of another player, '{other}'.",
            replaced_by=entry.record.replaced_by,
            other=other.name,
        )
        yield Fault(place, "wrong-successor", what, do)
    elif _leads_back(entry, by_number):
        what = worded(
            "This frame was replaced by '{other}', and that one, in the end, by this frame.", other=other.name
        )
        yield Fault(place, "wrong-successor", what, worded("Remove 'replaced_by' from the newest of them."))


def rebuilt(content: Content, today: date) -> Iterator[Fault]:
    """``rebuilds`` leads to another frame of the same player, which names no other successor, and never in a circle."""
    for entry in content.frames.values():
        wanted, place = entry.record.rebuilds, entry.at("rebuilds")
        if not wanted:
            continue
        old = next((e for e in content.frames_of(_player(entry)) if e.record.number == wanted), None)
        if old is not None:
            yield from _wrong_original(entry, old, place)
        elif not _has_unread(content, _player(entry)):
            what = worded("No frame of this player has the number {wanted}.", wanted=wanted)
            yield Fault(
                place, "unknown-number", what, worded("Write the number on the card of the frame that was rebuilt.")
            )


def rebuilds_ordered(content: Content, today: date) -> Iterator[Fault]:
    """The frame that one that waits is to play like is on record."""
    numbers = content.numbers()
    for entry in content.frames.values():
        order = entry.record.order
        if order and order.rebuild and order.rebuild not in numbers:
            what = worded("No frame has the number {rebuild}.", rebuild=order.rebuild)
            do = worded("Write the number on the card of the frame that this one is to play like.")
            yield Fault(entry.at("order", "rebuild"), "unknown-number", what, do)


def _wrong_original(entry: Entry[Frame], old: Entry[Frame], place: Place) -> Iterator[Fault]:
    number, successor = entry.record.number, old.record.replaced_by
    if old.name == entry.name:
        do = worded("Write the number of the frame that this one was built to play like.")
        yield Fault(place, "wrong-original", worded("This is the frame's own number."), do)
    elif number and old.record.rebuilds == number:
        what = worded("This frame rebuilds '{old}', and that one this frame.", old=old.name)
        yield Fault(place, "wrong-original", what, worded("Remove 'rebuilds' from the older of them."))
    elif successor and successor != number:
        what = worded(
            "{rebuilds} was replaced by {successor}, not by this frame.",
            rebuilds=entry.record.rebuilds,
            successor=successor,
        )
        do = worded("Correct 'rebuilds' here, or 'replaced_by' in {name}.", name=Path(old.at("replaced_by").file).name)
        yield Fault(place, "wrong-original", what, do)


def _leads_back(entry: Entry[Frame], by_number: Mapping[str, Entry[Frame]]) -> bool:
    seen: set[str] = set()
    current = by_number.get(entry.record.replaced_by)
    while current is not None and current.name not in seen:
        seen.add(current.name)
        current = by_number.get(current.record.replaced_by)
    return entry.name in seen


def _has_unread(content: Content, player: str) -> bool:
    """Whether a frame of the player could not be read, so that its number is not known."""
    return any(name.startswith(f"frame {player}/") for name in content.unread)


def _player(entry: Entry[Frame]) -> str:
    return entry.name.partition("/")[0]


def sets(content: Content, today: date) -> Iterator[Fault]:
    """A matched set is of one sport."""
    sports: dict[tuple[str, str], tuple[str, str]] = {}
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if not entry.record.set or model is None:
            continue
        group = (_player(entry), entry.record.set)
        sport, first = sports.setdefault(group, (model.record.sport, entry.name))
        if sport != model.record.sport:
            what = worded(
                "The set '{set}' mixes {sport} ('{first}') and {sport2}.",
                set=entry.record.set,
                sport=sport,
                first=first,
                sport2=model.record.sport,
            )
            yield Fault(entry.at("set"), "mixed-set", what, worded("Give this frame a set of its own."))


def _twice(entries: Iterable[Entry[Any]], field: str, rule: str, do: str) -> Iterator[Fault]:
    """A fault for each of several records that say the same in a field."""
    uses: dict[str, list[Entry[Any]]] = defaultdict(list)
    for entry in entries:
        uses[getattr(entry.record, field)].append(entry)
    for value, found in uses.items():
        places = [entry.at(field) for entry in found] if value and len(found) > 1 else []
        for place in places:
            others = ", ".join(f"{p.file}:{p.line}" for p in places if p != place)
            yield Fault(
                place,
                rule,
                worded("The {field} {value} is also in {others}.", field=field, value=value, others=others),
                do,
            )


def serials_once(content: Content, today: date) -> Iterator[Fault]:
    """No two frames of one model have the same serial, unless somebody is sure of it."""
    seen: dict[tuple[str, str], Entry[Frame]] = {}
    for entry in content.frames.values():
        key = (entry.record.model, entry.record.serial.casefold())
        if entry.record.serial and key in seen and not (entry.record.sure or seen[key].record.sure):
            what = worded("This is the serial of {value} too.", value=seen[key].record.number or seen[key].name)
            yield Fault(entry.at("serial"), "serial-twice", what, worded("Read both frames' serials again."), "warning")
        seen.setdefault(key, entry)


def names_once(content: Content, today: date) -> Iterator[Fault]:
    """Two players of one name, with frames of one label, can be told apart by their full names, or somebody is sure."""
    called: dict[tuple[str, str], str] = {}
    for entry in content.frames.values():
        player = content.players.get(_player(entry))
        if player is None:
            continue
        key = (player.record.name.casefold(), entry.record.label.casefold())
        other = content.players.get(called.setdefault(key, _player(entry)))
        sure = other and (other.record.sure or player.record.sure)
        if other and other is not player and not sure and not _told_apart(other.record, player.record):
            what = worded(
                "Another {name} has a frame called '{label}' too.", name=player.record.name, label=entry.record.label
            )
            do = worded(
                "If they are two people, write a 'full_name' for both that tells them apart; if not, keep one folder."
            )
            yield Fault(player.at("name"), "name-twice", what, do, "warning")


def _told_apart(one: Player, other: Player) -> bool:
    return bool(one.full_name and other.full_name and one.full_name.casefold() != other.full_name.casefold())
