"""Who is known, from what is kept beside the records: a walk-in need not read those of every player."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from passport.acts.change import Base, base_of
from passport.acts.count import counted
from passport.publish.cache import frame_index
from passport.records.ledger import ledger
from passport.workshop.entry.recognising import called_player


@dataclass
class Everybody:
    """The players of a content folder by name, and the records of those who turn out to matter.

    ``reading`` is held while records are read.
    """

    content: Path
    reading: Callable[[], AbstractContextManager[None]] = nullcontext
    _bases: dict[str, Base] = field(default_factory=dict)

    def base(self, player: str = "") -> Base:
        """The records with those of one player, or of none; of all where there is a ledger to begin. Raises Faulty."""
        whole = not (self.content / ledger.FILE).is_file()
        key = "*" if whole else player
        if key not in self._bases:
            self._bases[key] = base_of(self.content, None if whole else {player} - {""}, self.reading)
        return self._bases[key]

    def ways(self, said: str) -> Mapping[str, Sequence[str]]:
        """The ways in which each player is called; for a telephone number or an e-mail address all records are read."""
        if any(sign.isdigit() or sign == "@" for sign in said):
            records = base_of(self.content, None, self.reading).records
            return {name: called_player(name, entry.record) for name, entry in records.players.items()}
        return {folder: (folder, public, full) for folder, (public, full, _) in self._names.items()}

    def shown(self, folder: str) -> str:
        """A player in a line: names, and how many frames."""
        public, full, count = self._names[folder]
        return ", ".join(filter(None, (public, full, counted(count, "frame"))))

    @property
    def called(self) -> list[str]:
        """What the players are called, in full where that is known."""
        return sorted({full or public for public, full, _ in self._names.values()})

    @cached_property
    def _names(self) -> Mapping[str, tuple[str, str, int]]:
        return frame_index.players(self.content)
