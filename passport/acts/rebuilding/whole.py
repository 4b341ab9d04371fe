"""All sound records, kept while a program goes on: what did not change since the last look is not read again."""

import threading
from dataclasses import dataclass, field, replace
from pathlib import Path

from passport.acts.reading import known, readable
from passport.publish.folder.listing import Mark, listing, unsure
from passport.records.load import Content, Entry, load
from passport.records.schema.frame import Frame
from passport.records.schema.player import Player

_PLAYERS = "players/"
Group = tuple[Entry[Player], tuple[Entry[Frame], ...]]
"""A player and their frames, in the order of their files."""


@dataclass
class WholeRecords:
    """The records of a content folder; safe to ask from several threads.

    The marks of the files say whose records changed, by the rule by which a build knows it.
    """

    root: Path
    _lock: threading.Lock = field(default_factory=threading.Lock)
    _marks: dict[str, dict[str, Mark]] = field(default_factory=dict)
    _groups: dict[str, Group] = field(default_factory=dict)

    def now(self) -> Content:
        """All records that can be relied on, as they stand. Raises Faulty where too little can be read."""
        with self._lock:
            marks = listing(self.root)
            if known(self.root) is None:  # there are errors: what can be relied on has to be found out
                self._marks, self._groups = {}, {}
                return readable(self.root, None).records
            return self._brought(marks)

    def _brought(self, marks: dict[str, Mark]) -> Content:
        """The records by these marks, from before any of them was read."""
        doubted, now = unsure(marks), dict[str, dict[str, Mark]]()
        for path, mark in marks.items():
            if path.startswith(_PLAYERS) and (player := path.split("/")[1]):
                now.setdefault(player, {})[path] = mark
        same = {
            name
            for name, own in now.items()
            if name in self._groups and self._marks.get(name) == own and doubted.isdisjoint(own)
        }
        content = load(self.root, now.keys() - same)[0]
        fresh = {name: (entry, tuple(content.frames_of(name))) for name, entry in content.players.items()}
        self._groups = dict(sorted({**{name: self._groups[name] for name in same}, **fresh}.items()))
        self._marks = now
        players = {name: player for name, (player, _) in self._groups.items()}
        frames = {entry.name: entry for _, own in self._groups.values() for entry in own}
        return replace(content, players=players, frames=frames)


def with_own(whole: Content, own: Content) -> Content:
    """All records, of which those of some players, and what all share, are as another reading has them."""
    return replace(own, players={**whole.players, **own.players}, frames={**whole.frames, **own.frames})
