"""Several processes of this computer.

A process that dies takes only the item that it was at: that one is tried once more, and given up when it kills again.
"""

import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Hashable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from importlib import import_module
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar, cast

from passport.publish.workers.pool import Lost
from passport.records.language.worded import speak, spoken
from passport.render.voice.bench_voice import voice_of

T = TypeVar("T")
R = TypeVar("R")
_AHEAD = 2
"""Items given to a process at a time: one that it is at and one that waits, so that it never has to."""
_NOTHING: Any = object()


class Pool:
    """Several processes of this computer, each an executor of its own, so that it is known what one was at when it died.

    Use it as a context manager: the processes end with the block.
    """

    together = 1

    def __init__(self, size: int, content: Path | None = None) -> None:
        """Start them, ready to work with the files of a content folder."""
        self.size, self._content = size, content
        # One executor a process: one with many breaks as a whole when a process dies, and loses all that was under way.
        self._executors = [self._started() for _ in range(size)]
        self._homes: dict[Hashable, int] = {}

    def _started(self) -> ProcessPoolExecutor:
        # A new interpreter rather than a fork: a fork would share locks and open files with threads that it does not have.
        spawn = multiprocessing.get_context("spawn")
        executor = ProcessPoolExecutor(1, mp_context=spawn, initializer=_begin, initargs=(self._content, spoken()))
        executor.submit(int)  # a process starts with the first thing that it is asked for
        return executor

    def each(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """The results as they are done; an item that two processes died of is `Lost`."""
        waiting = iter(items)
        return self._each(function, lambda number: cast(T, next(waiting, _NOTHING)))

    def each_again(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """Like `each`; an item, which is hashable, goes to the process that had it before, unless another is idle."""
        waiting = list(items)

        def next_for(number: int) -> T:
            if not waiting:
                return cast(T, _NOTHING)
            homes = [self._homes.get(item, number) for item in waiting]
            chosen = waiting.pop(homes.index(number) if number in homes else 0)
            self._homes[chosen] = number
            return chosen

        return self._each(function, next_for)

    def _each(self, function: Callable[[T], R], next_for: Callable[[int], T]) -> Iterator[tuple[T, R | Lost]]:
        """The results of the items that there are for each process, until there is none."""
        queues: list[deque[tuple[Future[R], T]]] = [deque() for _ in self._executors]
        again, tried = deque[T](), list[T]()
        more = True
        while True:
            # Round by round, so that every process has its first item before any has its second.
            for number in (n for _ in range(_AHEAD) for n, queue in enumerate(queues) if len(queue) < _AHEAD):
                item = again.popleft() if again else next_for(number) if more else _NOTHING
                if item is _NOTHING:
                    more = False
                else:
                    queues[number].append((self._submitted(number, function, item), item))
            if not any(queues):
                return
            wait([future for queue in queues for future, _ in queue], return_when=FIRST_COMPLETED)
            for number, queue in enumerate(queues):
                while queue and queue[0][0].done():
                    future, item = queue.popleft()
                    try:
                        result: R | Lost = future.result()
                    except BrokenProcessPool:
                        self._replace(number)
                        # What waited behind it is innocent, and does not count as tried.
                        again.extend(other for _, other in queue)
                        queue.clear()
                        # By identity: items need not be hashable, and two equal ones are two pieces of work.
                        if not any(item is other for other in tried):
                            tried.append(item)
                            again.appendleft(item)
                            continue
                        result = Lost(
                            "the process that was at it ended, twice; with --jobs 1 there is no other process"
                        )
                    yield item, result

    def _submitted(self, number: int, function: Callable[[T], R], item: T) -> Future[R]:
        """What comes of an item; where its process has died meanwhile, that is what comes of it."""
        try:
            return self._executors[number].submit(function, item)
        except BrokenProcessPool as error:
            failed = Future[R]()
            failed.set_exception(error)
            return failed

    def _replace(self, number: int) -> None:
        self._executors[number].shutdown(wait=False, cancel_futures=True)
        self._executors[number] = self._started()

    def __enter__(self) -> Self:
        """The pool itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """End the processes; after an error without waiting for what they are at."""
        for executor in self._executors:
            executor.shutdown(wait=error is None, cancel_futures=True)


def _begin(content: Path | None, language: str) -> None:
    """A process's set-up: an interrupt at the terminal is the coordinator's to handle."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_the_coordinator, daemon=True).start()
    speak(voice_of(language))
    import_module("passport.publish.workers.worker_tasks").begin(content)  # late: it takes all that it works with along


def _end_with_the_coordinator() -> None:
    """Go when the coordinator is killed: a process holds both ends of its own queue and would wait at it for ever."""
    coordinator = multiprocessing.parent_process()
    if coordinator is not None:
        coordinator.join()
        os._exit(1)
