"""Whether what somebody says is there already: by its real name or its name in the catalogue, and what is near it. Pure."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rapidfuzz import fuzz

from passport.workshop.entry.naming import latin

NEAR = 80
"""How like a name must be to be offered, of 100: a letter or two wrong in an ordinary name (RapidFuzz's ratio)."""


@dataclass(frozen=True, slots=True)
class Recognised:
    """The one that is surely meant, or nothing; and those that may be meant, the nearest first."""

    sure: str = ""
    near: tuple[str, ...] = ()


def recognised(said: str, table: Mapping[str, Sequence[str]], most: int = 5) -> Recognised:
    """What of a table is meant by what was said; ``table`` has every way in which each one may be called.

    Only what is written just so, in whatever case, is sure; what differs in accents, spaces or script is near.
    """
    low = _plain(said)
    just = [name for name, ways in table.items() if low in {_plain(way) for way in ways if way}]
    if len(just) == 1:
        return Recognised(just[0])
    scored = [(-_likeness(said, ways), name) for name, ways in table.items()]
    near = [name for score, name in sorted(scored) if -score >= NEAR]
    return Recognised(near=tuple(dict.fromkeys([*just, *near]))[:most])


def called(name: str, record: Any) -> tuple[str, ...]:
    """Every way in which an entry of the catalogue is called: its name there, its own name, with its maker's before it."""
    maker = getattr(record, "maker", "")
    own = record.name
    return (name, own, f"{maker} {own}".strip(), f"{maker}, {own}") if maker else (name, own)


def called_player(folder: str, record: Any) -> tuple[str, ...]:
    """Every way in which a player is called, or reached: folder, names, how they are read, e-mail address, telephone."""
    contact = record.contact
    return tuple(filter(None, (folder, record.name, record.full_name, record.reading, contact.email, contact.phone)))


def _likeness(said: str, ways: Sequence[str]) -> float:
    wanted = latin(said)
    if len(wanted) < 3:
        return 0.0
    return max((_score(wanted, latin(way)) for way in ways if way), default=0.0)


def _score(wanted: str, known: str) -> float:
    """How like two names are; one that is the beginning of the other counts as near, as 'Juniper' is of 'Juniper A.'.

    Another figure in it is another thing: a head of 98 is not one of 100.
    """
    figures = [re.findall("[0-9]+", name) for name in (wanted, known)]
    if not known or (all(figures) and figures[0] != figures[1]):
        return 0.0
    wanted, known = wanted.replace("-", ""), known.replace("-", "")
    begins = len(wanted) > 3 and len(known) > 3 and (known.startswith(wanted) or wanted.startswith(known))
    return max(fuzz.ratio(wanted, known), 90.0 if begins else 0.0)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())
