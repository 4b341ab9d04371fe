"""Finding those who do the work of a build: this process alone for little, several processes for much, a cluster where
one is named.

Starting a process and loading what draws pages and cards takes a second of its time, so those who will be needed are
called while the records are still being read.
"""

import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack, nullcontext
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from passport.publish.workers.pool import Alone, Crew, Crowd, Makers, call, cores, load, rarely

if TYPE_CHECKING:
    from passport.publish.workers.cluster import Cluster

FEW = 3
"""Players up to which two processes are enough: one that makes cards, and one that makes pages."""
_WORTH = 1.2
"""Seconds of work that are worth calling somebody for."""
_HANDS = "passport.publish.workers.worker_tasks"
_LOADED = ("weasyprint", "matplotlib.figure")


class Hiring:
    """The usual way to find them. Use it as a context manager: everybody goes home at the end of the block."""

    def __init__(self, content: Path, jobs: int | None = None, *, cards: bool = True, scheduler: str = "") -> None:
        """``jobs`` is how many processes may be at work here, as many as there are cores where None; ``scheduler`` is
        the address of a cluster that makes the files."""
        self._content, self._cards = content, cards
        self._jobs = jobs or cores()
        self._stack = ExitStack()
        self._crowd: Crowd | None = None
        self._few = self._early = self._needed = False
        self._scheduler = scheduler
        self._cluster: Cluster | None = None

    def foresee(self, players: int) -> None:
        """Call those who will read and make what is new of so many players, before this process itself is ready."""
        if players > FEW and self._jobs > 1:
            self._crowd = self._stack.enter_context(Crowd(self._jobs))
            self._crowd.tell(load, _HANDS)

    def foresee_change(self) -> None:
        """Call those who make what is new of a few players: something changed, though nobody knows yet how much."""
        if self._jobs > 1 and not self._scheduler and not self._ready():
            self._early = True
            size = min(self._jobs - 1, 2)  # this process has enough to do itself
            self._crowd = self._stack.enter_context(Crowd(size))
            self._share(partial(call, _HANDS, "prepare"))

    def expect(self, players: int) -> None:
        """Call those who will make what is new of so many players. Raises Unmanned where a cluster does not answer."""
        if self._early and self._crowd and players > FEW:
            self._early = False
            self._crowd.grow(self._jobs)
        self._few = players <= FEW and (self._crowd is None or self._early)
        if self._early:
            return
        if players and self._scheduler:
            self._connect()
        if players and self._jobs > 1 and not (self._few and (self._scheduler or self._ready())):
            self._call(min(self._jobs, 2) if self._few else self._jobs)

    def readers(self, seconds: float) -> AbstractContextManager[Crew]:
        """Those who read records for so many seconds: many records are for everybody, a few are quickly read."""
        return nullcontext(self._crowd if self._crowd and not self._few else Alone())

    def makers(self, seconds: float) -> AbstractContextManager[Makers]:
        """Those who make files for so many seconds. Raises Unmanned where a cluster does not answer."""
        if self._scheduler:
            return nullcontext(self._connect())
        if self._early and self._crowd and seconds > _WORTH * self._crowd.size:
            self._crowd.grow(self._jobs)
        elif self._crowd is None and self._jobs > 1 and seconds > _WORTH:
            self._few = False
            self._call(self._jobs)
        if self._crowd is None:
            rarely()
        self._needed = True
        return nullcontext(self._crowd or Alone())

    def _connect(self) -> Makers:
        if self._cluster is None:
            from passport.publish.workers.cluster import Cluster

            self._cluster = self._stack.enter_context(Cluster(self._scheduler, self._content))
        return self._cluster

    def _ready(self) -> bool:
        """Whether this process has loaded everything already."""
        return all(name in sys.modules for name in (_LOADED if self._cards else _LOADED[1:]))

    def _call(self, size: int) -> None:
        from passport.publish.workers import (
            worker_tasks,  # it takes everything with it, and `foresee` comes before that
        )

        if self._crowd is None:
            self._crowd = self._stack.enter_context(Crowd(size))
        if not self._few:  # who has much to read needs nothing at hand for a while, and then it is soon loaded
            self._crowd.tell(worker_tasks.prepare, self._content, False, False)
        else:
            self._share(worker_tasks.prepare)

    def _share(self, prepare: Callable[..., object]) -> None:
        """Have two get ready for a few players: one makes cards, one pages."""
        assert self._crowd, "somebody was called"
        if self._cards and self._crowd.size > 1:
            self._crowd.tell_one(0, prepare, self._content, False, True)
            self._crowd.tell_one(1, prepare, self._content, True, False)
        else:
            self._crowd.tell(prepare, self._content, True, self._cards)

    def __enter__(self) -> Self:
        """Nobody is called yet."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Everybody goes home; who was called for a change that was none is not waited for."""
        if self._early and self._crowd and not self._needed:
            self._crowd.dismiss()
        self._stack.__exit__(kind, error, at)
