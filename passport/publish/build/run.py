"""What the stages of one build share: what was ordered and seen, what is known of each player, how far the work is."""

import os
import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from passport.publish.cache.build_state import PlayerState
from passport.publish.cache.cache_database import CacheDatabase
from passport.publish.cache.up_to_date import BuildOrder, Seen
from passport.records.faults import Fault

if TYPE_CHECKING:  # a look at the records alone writes no site
    from passport.publish.folder.staging import Staging

Progress = Callable[[str, float, float], None]
"""Told what is being made, how much of the work is done, and of how much."""


class FaultyRecords(Exception):
    """The records have errors. Their text is not here: the caller reads all records and names them."""


class Unsteady(Exception):
    """The records changed while they were read."""


class Failed(Exception):
    """Some things could not be made; each with what it is and what went wrong."""

    def __init__(self, errors: Sequence[tuple[str, str]]) -> None:
        """Keep each error once, in the order of the site."""
        super().__init__("; ".join(f"{label}: {what}" for label, what in errors))
        self.errors = tuple(dict.fromkeys(errors))


def _name() -> str:
    return f"{os.getpid()} {time.monotonic_ns()}"


@dataclass
class RecordsLook:
    """One look at the records. ``seen`` is from before any of them was read."""

    order: BuildOrder
    seen: Seen
    progress: Progress
    name: str = field(default_factory=_name, kw_only=True)
    """Unlike that of any other."""
    states: dict[str, PlayerState] = field(default_factory=dict, kw_only=True)
    """What is known of each player by the name of the folder, and of the workshop."""
    common: list[Fault] = field(default_factory=list, kw_only=True)
    """The faults of what all players share."""
    changed: set[str] = field(default_factory=set, kw_only=True)
    """Units of which there is more to remember than was left."""
    done: float = field(default=0.0, kw_only=True)
    total: float = field(default=0.0, kw_only=True)

    def step(self, label: str, seconds: float) -> None:
        """Tell that some of the work is done."""
        self.done += seconds
        self.progress(label, self.done, max(self.done, self.total))


@dataclass
class Run(RecordsLook):
    """One build of a site; ``staging`` and ``database`` are its own."""

    staging: "Staging"
    database: CacheDatabase
    inputs: dict[str, Sequence[str]] = field(default_factory=dict)
    """The files that were in each set of inputs of the last build."""
    staged: set[str] = field(default_factory=set)
    """Paths of files that were made."""

    def __post_init__(self) -> None:
        """Look at the site as well before any record is read."""
        self.site = self.seen.site
        self.theirs: Collection[str] = ()
        """What others put into the site's folder, once the new site is in place: what is now one of its own is not."""
