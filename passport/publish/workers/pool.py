"""Who does the work of a build: this process alone for little, several processes for much, a cluster where one is named.

Work is a function of a module and an item, both picklable; results come as they are done, in any order.
"""

import gc
import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Protocol, Self, TypeVar

T = TypeVar("T")
R = TypeVar("R")
WORTH = 2.0
"""Seconds of work from which on it is divided: each process spends more than a second on its own libraries first."""


@dataclass(frozen=True, slots=True)
class Lost:
    """Stands for a result that no worker could bring."""

    reason: str


class Unmanned(Exception):
    """No worker is left to do the work; the text says why, and what to do."""


class Makers(Protocol):
    """What does work that needs nothing but what it is given."""

    @property
    def size(self) -> int:
        """How many items are worked on at a time."""

    @property
    def together(self) -> int:
        """How many frames are best sent at a time, where there are many."""

    def each(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """The result of each item, as they are done. The items are asked for only as fast as they are worked on."""


class Readers(Makers, Protocol):
    """What works on this computer."""

    def each_again(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """Like `each`; an item goes to the process that had it before, unless another one would be idle."""


class Alone:
    """This process does everything itself."""

    size = together = 1

    def each(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """The results, one after the other."""
        for item in items:
            yield item, function(item)

    each_again = each


class Workers:
    """The processes that do the work of one build. Use it as a context manager: they end with it."""

    def __init__(self, content: Path, jobs: int | None = None, *, scheduler: str = "") -> None:
        """``jobs`` is how many processes may be at work here, as many as there are cores where None; ``scheduler`` is
        the address of a cluster that makes the files."""
        self._content, self._jobs, self._scheduler = content, jobs or cores(), scheduler
        self._stack = ExitStack()
        self._here: Readers = Alone()
        self._cluster: Makers | None = None

    def readers(self, reading: float, making: float) -> Readers:
        """Readers for so many seconds of reading records, where so many seconds of making files follow."""
        return self._divided(reading if self._scheduler else reading + making)

    def makers(self, seconds: float) -> Makers:
        """Makers for so many seconds of making files. Raises Unmanned where a cluster does not answer."""
        if not self._scheduler:
            return self._divided(seconds)
        if self._cluster is None:
            from passport.publish.workers.cluster import Cluster

            self._cluster = self._stack.enter_context(Cluster(self._scheduler, self._content))
        return self._cluster

    def _divided(self, seconds: float) -> Readers:
        """The workers on this computer: several from `WORTH` seconds on, and then to the end of the build."""
        if seconds >= WORTH and self._jobs > 1 and isinstance(self._here, Alone):
            from passport.publish.workers.processes import Pool  # late: for little work no process is started

            self._here = self._stack.enter_context(Pool(self._jobs, self._content))
        return self._here

    def __enter__(self) -> Self:
        """No process is started yet."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """All processes end, and the cluster is left."""
        self._stack.__exit__(kind, error, at)


def rarely() -> None:
    """Look for cyclic rubbish less often: laying out a document makes much, all of which goes when it is done."""
    # What is loaded by now stays to the end, so the collector need not look at it again.
    gc.freeze()
    gc.set_threshold(50_000, 50, 50)


def cores() -> int:
    """How many processes can run at a time here."""
    try:
        # Not the number of processors: a container or taskset may allow this process fewer.
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on macOS and Windows
        return os.cpu_count() or 1
