"""What a process is asked to do: reading, working out, making, each a function of what can be sent to it."""

import pickle
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path

from passport.publish.cache import player_state
from passport.publish.cache.player_state import Gathered, Pile, Reviewed, Surveyed
from passport.publish.outputs.tasks import Made, Task, perform
from passport.publish.workers.pool import rarely
from passport.render.theme import assets
from passport.workshop.strings.string_priors import StringPriors

_pile = Pile()
"""The records that this process read for one build."""


def begin(content: Path | None) -> None:
    """Use the shop's own files from now on."""
    assets.use(content)
    rarely()


def survey(root: Path, today: date, build: str, names: Sequence[str]) -> list[Surveyed]:
    """See `passport.publish.cache.player_state.survey`; ``build`` is unlike that of any other build."""
    return player_state.survey(root, names, today, _pile.of(build))


def gather(
    root: Path, today: date, build: str, cards: bool, priors: StringPriors | bytes, names: Sequence[str]
) -> list[Gathered]:
    """See `passport.publish.cache.player_state.gather`; ``priors`` are pickled where they come from another process."""
    known = _unpickled(priors) if isinstance(priors, bytes) else priors
    return player_state.gather(root, names, known, today, cards=cards, pile=_pile.of(build))


def review(root: Path, today: date, build: str, priors: StringPriors | bytes, names: Sequence[str]) -> list[Reviewed]:
    """See `passport.publish.cache.player_state.review`; ``priors`` as for `gather`."""
    known = _unpickled(priors) if isinstance(priors, bytes) else priors
    return player_state.review(root, names, known, today, _pile.of(build))


@lru_cache(maxsize=1)
def _unpickled(priors: bytes) -> StringPriors:
    """The priors, taken apart once a process though they come with each item."""
    found = pickle.loads(priors)  # the coordinator's own
    assert isinstance(found, StringPriors)
    return found


def perform_all(batch: Sequence[Task]) -> list[Made]:
    """Do some tasks, on any computer."""
    made = [perform(task) for task in batch]
    _settle()
    return made


def perform_parcel(parcel: Sequence[Sequence[Task]]) -> list[list[Made]]:
    """Do several batches of tasks, and bring all their files back at once."""
    return [perform_all(batch) for batch in parcel]


@lru_cache(maxsize=1)
def _settle() -> None:
    """All that the first task loaded is here to stay."""
    rarely()
