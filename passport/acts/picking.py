"""The frame that somebody means: by number, key or card, by ``player/frame``, by serial, or by player and label.

A hand scanner types what it reads and presses Enter: the address on a card, or the text of a recipe code.
"""

import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from passport.acts.refused import Refused
from passport.publish.cache import frame_index
from passport.records.language.worded import worded
from passport.records.schema import numbers

if TYPE_CHECKING:  # a search needs no record's type, and these take longer than it does
    from passport.records.load import Content, Entry
    from passport.records.schema.frame import Frame

_NUMBER = re.compile(r"(?<![0-9])[0-9]{3,8}-[0-9X](?![0-9A-Z])")
_LONGEST_NUMBER = 12
"""Signs of a number as somebody may type it; a recipe's text is longer."""
_LIKE = str.maketrans("ILO", "110")
"""What a person who types a key may take for another sign of it."""


def pick(records: "Content", text: str) -> "Entry[Frame]":
    """The frame that ``text`` names. Raises Refused where none or several do."""
    found = matching(records, text)
    if len(found) == 1:
        return found[0]
    if found:
        names = ", ".join(f"'{e.name}' ({e.record.number or 'no number yet'})" for e in found[:5])
        raise Refused(
            worded("'{text}' fits several frames: {names}. Use the number or player/frame.", text=text, names=names)
        )
    raise Refused(worded("There is no frame '{text}'. {hint}", text=text, hint=_hint(records, text)))


def matching(records: "Content", text: str) -> "list[Entry[Frame]]":
    """All frames that ``text`` names in the first way in which any does; a number's check character may be left out."""
    wanted = " ".join(text.split())
    if not wanted:
        return []
    if wanted in records.frames:
        return [records.frames[wanted]]
    frames = list(records.frames.values())
    if code := scanned(wanted):
        return [e for e in frames if code in (e.record.key, e.record.number)]
    number = numbers.normalise(wanted)
    low = wanted.lower()
    ways = (
        lambda e: e.record.number == number,
        lambda e: wanted.isdigit() and e.record.number.partition("-")[0] == wanted,
        lambda e: bool(e.record.serial) and e.record.serial.lower() == low,
        lambda e: low in _said(records, e),
    )
    return next((found for way in ways if (found := [e for e in frames if way(e)])), [])


def scanned(text: str) -> str:
    """The key of a card's address, or the number in a recipe's text; empty for any other text.

    An address counts in any letter case, with or without ``https://`` and what stands behind the key.
    """
    for part in re.split(r"[/#?\s]+", text):
        key = part.upper().translate(_LIKE)
        if numbers.is_key(key):
            return key
    found = {number for number in _NUMBER.findall(text.upper()) if not numbers.problem(number)}
    return found.pop() if len(found) == 1 and len(text) > _LONGEST_NUMBER else ""


def owners(content: Path, text: str, *, reading: bool = False) -> set[str] | None:
    """The folder of the player whose frame ``text`` surely means, so that no other need be read; None where in doubt.

    With ``reading``, for acts that change nothing, the player who had that number when all records were last read is
    enough.
    """
    if not (content / "workshop.yaml").is_file():
        return None
    if "/" in text and frame_index.known(content, text):  # the first way in which a frame is named
        return {text.partition("/")[0]}
    holder = frame_index.holder(content, text) if reading else None
    if holder:
        return {holder}
    found = frame_index.matching(content, text, most=2)
    if len(found) == 1 or (found and text in (found[0].name, found[0].number)):
        return {found[0].name.partition("/")[0]}
    return None


def folder_named(content: Path, text: str) -> set[str] | None:
    """The player's folder that ``text`` is the name of; None where there is none, or a frame is called so too."""
    low = text.casefold()
    if any(low in (frame.label.casefold(), frame.serial.casefold()) for frame in frame_index.frames(content)):
        return None
    return {text} if text in frame_index.players(content) else None


def owners_of(content: Path, texts: Iterable[str]) -> set[str] | None:
    """The folders of the players whose frames some texts surely mean; None where one is in doubt."""
    found = [owners(content, text) for text in texts]
    return None if None in found else {name for names in found for name in names or ()}


def namesakes(content: Path, *, serial: str = "", player: str = "", label: str = "") -> set[str]:
    """The folders of the players who have a frame of that serial, or who have that name and a frame of that label: where
    a new record has the same, it is perhaps a slip, and whoever writes it is asked."""
    found = set()
    for frame in frame_index.frames(content) if serial or (player and label) else ():
        same = player and label and frame.label.casefold() == label.casefold()
        named = same and frame.player.casefold().startswith(player.casefold())
        if named or (serial and frame.serial.casefold() == serial.casefold()):
            found.add(frame.name.partition("/")[0])
    return found


def concerned(content: Path, text: str, values: Iterable[str]) -> set[str] | None:
    """The folders of the players whom it may concern when a frame's own record gets new values: its own player, those
    whose passports the values name, and those with a frame of the same serial, or of the same name and label. None where
    it is in doubt whose the frame is."""
    owner = owners(content, text)
    if not owner:
        return owner
    every = frame_index.frames(content)
    own = [frame for frame in every if frame.name.partition("/")[0] in owner]
    values = list(values)
    said = {value.strip().casefold() for value in values}
    named = {numbers.normalise(value) for value in values}
    serials, labels = ({getattr(one, name).casefold() for one in own} | said for name in ("serial", "label"))
    # Of the name as it is public the first word is enough: whoever is read besides is checked, and no harm is done.
    called = {_first(one.player) for one in own}
    found = (
        one.name.partition("/")[0]
        for one in every
        if (one.serial and one.serial.casefold() in serials)
        or (one.number and one.number in named)
        or (_first(one.player) in called and one.label.casefold() in labels)
    )
    return owner | set(found)


def _first(name: str) -> str:
    return name.casefold().partition(" ")[0]


def _said(records: "Content", entry: "Entry[Frame]") -> set[str]:
    """How a frame is named in speech: its label, with its player before it."""
    folder = entry.name.partition("/")[0]
    player = records.players.get(folder)
    name = player.record.name if player else folder
    names = {folder, name, name.partition(" ")[0]}
    return {entry.record.label.lower(), entry.name.lower()} | {f"{n} {entry.record.label}".lower() for n in names}


def _hint(records: "Content", text: str) -> str:
    from passport.records.yaml.validation_messages import closest

    number = numbers.normalise(text)
    if number[:1].isdigit() and "/" not in text and numbers.problem(number):
        near = closest(number, [e.record.number for e in records.frames.values() if e.record.number])
        return f"{numbers.problem(number)} {near}".strip()
    unread = f"frame {text}" in records.unread
    if unread:
        return worded("Its record cannot be read: run 'passport check' first.")
    return closest(text, list(records.frames)) or worded("Name it by its number, as in '1042-9', or as player/frame.")
