"""Who does the work: this process alone, or several processes beside it.

Work is a function of a module and an item, both picklable; results come as they are done, in any order. A process that
dies takes only the item it was at: that one is tried once more, and given up with its name when it kills again.
"""

import gc
import multiprocessing
import os
import threading
from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from importlib import import_module
from types import TracebackType
from typing import Any, Protocol, Self, TypeVar, cast

T = TypeVar("T")
R = TypeVar("R")
_AHEAD = 2
"""Items given to a process at a time: one that it is at and one that waits, so that it never has to."""


@dataclass(frozen=True, slots=True)
class Lost:
    """What stands in the place of a result that nobody could bring."""

    reason: str


class Unmanned(Exception):
    """There is nobody left who could do the work; the text says why, and what to do."""


class Makers(Protocol):
    """Those who do work that needs nothing but what it is given."""

    @property
    def size(self) -> int:
        """How many items are worked on at a time."""

    def each(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """The result of each item, as they are done. The items are asked for only as fast as they are worked on."""


class Crew(Makers, Protocol):
    """Those who work on this computer."""

    def tell(self, function: Callable[..., object], *given: object) -> None:
        """Have everybody call a function before they do anything else."""

    def each_of(
        self, function: Callable[[T], R], items: Iterable[T], of: Callable[[T], Hashable]
    ) -> Iterator[tuple[T, R | Lost]]:
        """Like `each`; an item goes to whoever did the last item ``of`` the same, unless somebody would be idle."""


class Alone:
    """This process does everything itself."""

    size = 1

    def tell(self, function: Callable[..., object], *given: object) -> None:
        """Call the function here."""
        function(*given)

    def each(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """The results, one after the other."""
        for item in items:
            yield item, function(item)

    def each_of(
        self, function: Callable[[T], R], items: Iterable[T], of: Callable[[T], Hashable]
    ) -> Iterator[tuple[T, R | Lost]]:
        """The results, one after the other."""
        return self.each(function, items)


@dataclass(slots=True)
class _Hand:
    """One process, what it was told, and the items that it has, the one it is at first."""

    pool: ProcessPoolExecutor
    items: deque[tuple[Future[Any], Any]] = field(default_factory=deque)

    def do(self, function: Callable[..., Any], *given: object) -> Future[Any]:
        """Have the process call a function; where it has died meanwhile, that is what comes of it."""
        try:
            return self.pool.submit(function, *given)
        except BrokenProcessPool as error:
            failed = Future[Any]()
            failed.set_exception(error)
            return failed


class Crowd:
    """Several processes of this computer, each started when there is something for it to do.

    Use it as a context manager: the processes end with the block.
    """

    def __init__(self, size: int) -> None:
        """Start nothing yet."""
        self._told: list[tuple[Callable[..., object], tuple[object, ...]]] = []
        self._hands = [_Hand(_pool()) for _ in range(size)]
        self._homes: dict[Hashable, int] = {}

    @property
    def size(self) -> int:
        """The number of processes."""
        return len(self._hands)

    def grow(self, size: int) -> None:
        """Be so many; who comes later is told what everybody was told."""
        for hand in (_Hand(_pool()) for _ in range(len(self._hands), size)):
            self._hands.append(hand)
            for function, given in self._told:
                hand.do(function, *given)

    def tell_one(self, number: int, function: Callable[..., object], *given: object) -> None:
        """Have one process call a function; the first is the one that gets the first item."""
        self._hands[number].do(function, *given)

    def tell(self, function: Callable[..., object], *given: object) -> None:
        """Have every process call a function, also one that takes the place of another later."""
        self._told.append((function, given))
        for hand in self._hands:
            hand.do(function, *given)

    def each_of(
        self, function: Callable[[T], R], items: Iterable[T], of: Callable[[T], Hashable]
    ) -> Iterator[tuple[T, R | Lost]]:
        """Like `each`; an item goes to whoever did the last item ``of`` the same, unless somebody would be idle."""
        waiting = list(items)

        def pick(hand: int) -> T:
            homes = [self._homes.get(of(item), hand) for item in waiting]
            chosen = waiting.pop(homes.index(hand) if hand in homes else 0) if waiting else _NOTHING
            if chosen is not _NOTHING:
                self._homes[of(chosen)] = hand
            return cast(T, chosen)

        return self._each(function, pick)

    def each(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """The results as they are done; an item that two processes died of is `Lost`."""
        waiting = iter(items)
        return self._each(function, lambda hand: cast(T, next(waiting, _NOTHING)))

    def _each(self, function: Callable[[T], R], pick: Callable[[int], T]) -> Iterator[tuple[T, R | Lost]]:
        """The results of the items that are picked for the hands by their numbers, until there is nothing."""
        again = deque[T]()
        tried: dict[int, T] = {}
        more = True
        for hand in self._hands:
            hand.items.clear()  # of work that was given up half way
        while True:
            for depth in range(_AHEAD):
                for number, hand in enumerate(self._hands):
                    if not more or len(hand.items) > depth or (again and hand.items):
                        continue
                    item = again.popleft() if again else pick(number)
                    if item is _NOTHING:
                        more = False
                    else:
                        hand.items.append((hand.do(function, item), item))
            busy = [hand for hand in self._hands if hand.items]
            if not busy:
                return
            wait([future for hand in busy for future, _ in hand.items], return_when=FIRST_COMPLETED)
            for hand in busy:
                yield from self._collected(hand, again, tried)
                more = more or bool(again)

    def _collected(self, hand: _Hand, again: deque[T], tried: dict[int, T]) -> Iterator[tuple[T, Any]]:
        """What a process has done; where it died, its items go back, and the one it was at is given up at the second time."""
        while hand.items and hand.items[0][0].done():
            future, item = hand.items.popleft()
            try:
                result = future.result()
            except BrokenProcessPool:
                others = [other for _, other in hand.items]
                self._replace(hand)
                if id(item) in tried:
                    yield item, Lost("the process that was at it ended, twice; with --jobs 1 there is no other process")
                    again.extend(others)
                else:
                    tried[id(item)] = item
                    again.extend([item, *others])
                return
            yield item, result

    def _replace(self, hand: _Hand) -> None:
        hand.pool.shutdown(wait=False, cancel_futures=True)
        hand.pool, hand.items = _pool(), deque()
        for function, given in self._told:
            hand.do(function, *given)

    def dismiss(self) -> None:
        """End the processes at once, where nobody waits for anything from them."""
        for hand in self._hands:
            for process in list((getattr(hand.pool, "_processes", None) or {}).values()):
                process.kill()

    def __enter__(self) -> Self:
        """The crew itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """End the processes; after an error without waiting for what they are at."""
        for hand in self._hands:
            hand.pool.shutdown(wait=error is None, cancel_futures=True)


_NOTHING: Any = object()


def _pool() -> ProcessPoolExecutor:
    # A new interpreter rather than a fork: a fork would share locks and open files with threads that it does not have.
    return ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn"), initializer=_begin)


def _begin() -> None:
    """A worker's set-up: an interrupt at the terminal is the coordinator's to handle, and rubbish is rare."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_coordinator, daemon=True).start()
    rarely()


def _end_with_the_coordinator() -> None:
    """Go when the coordinator is killed: a worker holds both ends of its own queue and would wait at it for ever."""
    coordinator = multiprocessing.parent_process()
    if coordinator is not None:
        coordinator.join()
        os._exit(1)


def rarely() -> None:
    """Look for cyclic rubbish less often: laying out a document makes much, all of which goes when it is done."""
    gc.freeze()
    gc.set_threshold(50_000, 50, 50)


def load(name: str) -> None:
    """Import a module, for what it takes with it."""
    import_module(name)


def call(module: str, function: str, *given: object) -> object:
    """Call a function of a module that whoever says so need not have imported itself."""
    return getattr(import_module(module), function)(*given)


def cores() -> int:
    """How many processes can run at a time here."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on macOS and Windows
        return os.cpu_count() or 1
