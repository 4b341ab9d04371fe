"""What single commands work out of the records of each player, remembered until those records change.

It is worked out when it is asked for, of the players of whom it is not known, so that nobody else waits for it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from passport.publish.cache import player_state
from passport.publish.cache.build_state import PlayerState
from passport.publish.cache.cache_database import CacheDatabase, Damaged
from passport.publish.folder.digest import digest
from passport.records.load import Content, load
from passport.workshop.facts.wire import packed, unpacked

R = TypeVar("R")
_CHUNK = 64
"""Players whose records are read at a time: what is read of ten thousand frames need not be held at once."""


@dataclass(frozen=True, slots=True)
class PlayerWork(Generic[R]):
    """Something that is worked out of a player's records alone, with what all players share.

    ``kind`` is its name in the memory, ``table`` a data class with nothing but ``rows``, of which there are as many as
    ``rows`` makes of some players' records; ``frame`` says of whose frame ``player/frame`` one is.
    """

    kind: str
    table: type[Any]
    rows: Callable[[Content], Iterable[R]]
    frame: Callable[[R], str]


def kept(work: PlayerWork[R], states: Mapping[str, PlayerState], database: CacheDatabase) -> dict[str, tuple[R, ...]]:
    """What is remembered, by player, and still holds."""
    found: dict[str, tuple[R, ...]] = {}
    with suppress(Damaged):
        for name, data in database.all(work.kind):
            mark, _, rows = data.partition(b"\n")
            if name in states and mark.decode() == _mark(states[name]):
                with suppress(ValueError):
                    found[name] = unpacked(work.table, rows).rows
    return found


def fresh(
    work: PlayerWork[R], root: Path, states: Mapping[str, PlayerState], names: Sequence[str]
) -> Iterator[tuple[str, tuple[R, ...], bool]]:
    """What the records of some players say now: the player, the rows, and whether these records are those that were
    checked, so that the rows may be remembered."""
    for at in range(0, len(names), _CHUNK):
        chunk = names[at : at + _CHUNK]
        files = {name: player_state.fingerprints(root, name) for name in chunk}
        found: dict[str, list[R]] = {name: [] for name in chunk}
        for row in work.rows(load(root, chunk)[0]):
            found[player_state.owner(work.frame(row))].append(row)
        for name in chunk:
            same = all(states[name].files.get(path) == print_ for path, print_ in files[name].items())
            yield name, tuple(found[name]), same


def keep(
    work: PlayerWork[R], states: Mapping[str, PlayerState], rows: Mapping[str, tuple[R, ...]], database: CacheDatabase
) -> None:
    """Remember what was worked out, and forget it of players who are gone. Raises OSError and `Damaged`."""
    for name, own in rows.items():
        data = b"\n".join((_mark(states[name]).encode(), packed(work.table(own))))
        database.put(f"{work.kind} {name}", data, squeeze=False)
    database.drop([f"{work.kind} {name}" for name in database.names(work.kind) - states.keys()])
    database.commit()


def _mark(state: PlayerState) -> str:
    """What stands for all that a player's records say, and for all that they are read with."""
    return digest(state.base, repr(sorted(state.files.items())), repr(sorted(state.uses.items())))
