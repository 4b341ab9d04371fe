"""A plan carried out: contents, then pages, then deletions, then the new manifest; each file whole, by several hands."""

import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import partial
from itertools import islice
from pathlib import Path
from queue import SimpleQueue

from passport.publish.folder.manifest import FILE, FileMark
from passport.publish.remote.expected import PENDING, file_of
from passport.publish.remote.far import PART, Far, Trouble
from passport.publish.remote.lease import Lease
from passport.publish.remote.memo import Memo
from passport.publish.remote.plan import UploadPlan

_ALONE = 8
"""Files from which on more than one connection is worth it."""

Told = Callable[[int, int], None]
"""Told after each file: how many files are done, and how many bytes went up."""


class NotAsBuilt(Exception):
    """A file of the site is not what its manifest says; ``path`` names it."""

    def __init__(self, path: str) -> None:
        self.path = path
        super().__init__(path)


@dataclass
class Sending:
    """One run: what is sent from the folder ``site`` under a lease, noted in a memo."""

    far: Far
    plan: UploadPlan
    site: Path
    key: str
    lease: Lease
    memo: Memo
    told: Told
    _files: int = 0
    _bytes: int = 0
    _noting: threading.Lock = field(default_factory=threading.Lock)

    def run(self) -> None:
        """Carry it out.

        Raises `passport.publish.remote.far.Trouble`, `passport.publish.remote.lease.NotAlone`, `NotAsBuilt`, OSError;
        then a second run goes on from there.
        """
        if self.plan.there.pending is not None:  # what a run left that was stopped in the middle of a file
            # Before anything goes up under these names, for the same reason as in `_all`: into a file that is gone what is
            # written late does no harm.
            for number in range(self.far.hands):
                self.far.remove(f"{PART}-{number}")
        pending = self.plan.pending(self.key)
        self.far.write(PENDING, pending)
        self.memo.begin(pending, self.plan.there.sent or {})
        with ExitStack() as hands:
            several = self._hands(hands)
            for marks in (self.plan.contents, self.plan.pages):
                self._all(several, [partial(self._up, mark) for mark in marks])
            self._all(several, [partial(self._away, path) for path in self.plan.gone])
        self.lease.hold()
        self.far.write(FILE, self.plan.wanted.data)
        self.far.remove(PENDING)
        self.memo.done(self.plan.wanted.data)

    def _hands(self, stack: ExitStack) -> list[Far]:
        work = max(map(len, (self.plan.contents, self.plan.pages, self.plan.gone)))
        found = [self.far]
        for number in range(1, self.far.hands if work >= _ALONE else 1):
            try:
                one = self.far.another(number)
            except Trouble:  # a host that lets in no more of them
                break
            stack.callback(one.close)
            found.append(one)
        return found

    def _up(self, mark: FileMark, far: Far) -> None:
        data = file_of(self.site, mark)
        if data is None:
            raise NotAsBuilt(mark.path)
        far.write(mark.path, data)
        with self._noting:
            self.memo.add(mark.path, mark.sum)
            self._count(mark.size)

    def _away(self, path: str, far: Far) -> None:
        far.remove(path)
        with self._noting:
            self._count(0)

    def _count(self, size: int) -> None:
        self._files += 1
        self._bytes += size
        self.told(self._files, self._bytes)

    def _all(self, hands: Sequence[Far], work: Sequence[Callable[[Far], None]]) -> None:
        """Do all of some work before the next; the first trouble stops the rest."""
        if len(hands) == 1 or len(work) < _ALONE:
            for one in work:
                self.lease.renew()
                one(self.far)
            return
        free: SimpleQueue[Far] = SimpleQueue()
        for far in hands[1:]:  # the first one renews the lock meanwhile
            free.put(far)

        failed = threading.Event()

        def carried(one: Callable[[Far], None]) -> None:
            if failed.is_set():
                return
            far = free.get()
            try:
                one(far)
            except BaseException:
                # Nothing more goes up under the name of what failed: a server may still hold that file open, and writes
                # what it has left of it into whatever stands there by then (seen after a full disk).
                failed.set()
                raise
            finally:
                free.put(far)

        with ThreadPoolExecutor(len(hands) - 1) as pool, _stopped_early(pool):
            waiting = iter(work)
            running = {pool.submit(carried, one) for one in islice(waiting, 2 * len(hands))}
            while running:
                done, running = wait(running, timeout=1.0, return_when=FIRST_COMPLETED)
                _raise_first(done)
                self.lease.renew()
                running |= {pool.submit(carried, one) for one in islice(waiting, len(done))}


def _raise_first(done: set[Future[None]]) -> None:
    for future in done:
        future.result()


@contextmanager
def _stopped_early(pool: ThreadPoolExecutor) -> Iterator[None]:
    """Let what waits not begin once something went wrong."""
    try:
        yield
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        raise
