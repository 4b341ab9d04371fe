"""Workers on other computers: a Dask cluster that makes pages and cards for one shop or for many.

What goes out are tasks, facts in and bytes out; no disk is shared. A shop's own styles, words and fonts go out
once to each worker that has not seen them; templates of its own do not, since they are a program. A worker makes the same bytes as this computer or it is not given any
work: its program, libraries and templates are compared with those here by their fingerprints.

A worker that dies takes no task with it: the scheduler gives it to another one. Several shops may use a worker at the
same time; it makes one batch after the other.
"""

import logging
import os
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import CancelledError
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory
from types import TracebackType
from typing import Any, ClassVar, Generic, Self, TypeVar

from passport.publish.cache import toolchain
from passport.publish.folder.digest import digest
from passport.publish.workers.pool import Lost, Unmanned
from passport.records.disk import opening, walking
from passport.records.language.worded import unsaid, worded
from passport.render.theme import assets

T = TypeVar("T")
R = TypeVar("R")
Files = tuple[tuple[str, bytes], ...]
_AHEAD = 2
"""Batches for each worker: one that it is at and one that waits there."""
_LOOK = 1.0
"""Seconds between two looks at which workers are there."""
_ANSWER = 10.0
"""Seconds that a scheduler has to answer."""
PATIENCE = 60.0
"""Seconds that are waited for a worker where there is none."""
_SHOPS = 16
"""Shops whose own files a worker keeps at hand."""
_LACKING = unsaid(
    "Building on a cluster takes the package 'distributed': run pip install 'racquet-passport[cluster]' here, at the "
    "scheduler and on every worker."
)


# --- on a worker -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ShopEnvironment:
    """What a worker has to agree on: the mark of the shop's own files, the fingerprints of what all is made with, and
    the day that stands in for the clock."""

    mark: str
    parts: tuple[tuple[str, str], ...]
    stamp: str = ""
    ready: str = ""
    """The ready look that the shop's ``workshop.yaml``, which is not sent, names."""


@dataclass(frozen=True, slots=True)
class Unseen:
    """The worker does not have the shop's own files."""


@dataclass(frozen=True, slots=True)
class Unlike:
    """The worker is not like the computer that asks: who it is, and in what it differs."""

    worker: str
    parts: tuple[str, ...]


class _Counter:
    """What this worker holds of each shop; the turn is taken by one batch at a time, since files in use are the whole
    process's."""

    turn: ClassVar[threading.Lock] = threading.Lock()
    folders: ClassVar["OrderedDict[str, TemporaryDirectory[str]]"] = OrderedDict()


def work(function: Callable[[T], R], shop: ShopEnvironment, files: Files | None, item: T) -> R | Unseen | Unlike:
    """Do one item for a shop on this worker; ``files`` are the shop's own, None where they were sent before."""
    with _Counter.turn:
        if files is not None:
            _unpack(shop.mark, files)
        if shop.mark not in _Counter.folders:
            return Unseen()
        _Counter.folders.move_to_end(shop.mark)
        with assets.using(Path(_Counter.folders[shop.mark].name), shop.ready), _stamped(shop.stamp):
            other = tuple(name for name, value in parts() if dict(shop.parts).get(name) != value)
            return Unlike(_address(), other) if other else function(item)


def _unpack(mark: str, files: Files) -> None:
    if mark in _Counter.folders:
        return
    safe = [(_safe(name), data) for name, data in files]  # a name that is refused leaves no folder behind
    folder = TemporaryDirectory(prefix="passport-shop-")  # its owner's alone
    for name, data in safe:
        path = Path(folder.name, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    _Counter.folders[mark] = folder
    while len(_Counter.folders) > _SHOPS:
        _Counter.folders.popitem(last=False)[1].cleanup()


def _safe(name: str) -> str:
    """The name of a shop's file, where that stays below a folder and is no template. Raises ValueError.

    A worker serves many shops, and holds the secrets of their sealed pages while it does: what one of them sends is
    data, never a program.
    """
    parts = PurePosixPath(name).parts
    inside = name and not name.startswith("/") and "\\" not in name and ":" not in name and ".." not in parts
    if not inside or parts[0] not in assets.BESIDE or is_template(name):
        raise ValueError(worded("no file of a shop that a worker takes: {name!r}", name=name[:100]))
    return name


def is_template(name: str) -> bool:
    """Whether a file would be read as a template, or stand in a shipped one's place."""
    return name.startswith("templates/") or name.lower().endswith(".j2")


def _address() -> str:
    from distributed import get_worker

    return str(get_worker().address)


@contextmanager
def _stamped(stamp: str) -> Iterator[None]:
    """The day that stands in for the clock, for the length of a block."""
    before = toolchain.stamp()
    _stamp(stamp)
    try:
        yield
    finally:
        _stamp(before)


def _stamp(stamp: str) -> None:
    if stamp:
        os.environ["SOURCE_DATE_EPOCH"] = stamp
    else:
        os.environ.pop("SOURCE_DATE_EPOCH", None)


def parts() -> tuple[tuple[str, str], ...]:
    """The fingerprints of everything that a page or card is made with, by a name for a person."""
    return (
        ("the version of racquet-passport", toolchain.program()),
        ("Python or its libraries", toolchain.libraries()),
        ("the system's libraries for PDF", toolchain.print_libraries()),
        ("the templates", _templates(assets.own())),
    )


def _templates(own: assets.Own) -> str:
    if own not in _KNOWN:
        _KNOWN.clear()
        _KNOWN[own] = digest(*(f"{name} {print_}" for name, print_ in sorted(toolchain.templates().items())))
    return _KNOWN[own]


_KNOWN: dict[assets.Own, str] = {}


# --- here ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Sent(Generic[T]):
    """An item that is under way: with the shop's files or without, to some workers alone or to all."""

    item: T
    files: Files | None = None
    workers: frozenset[str] | None = None


class Cluster:
    """The workers of a scheduler. Use it as a context manager: what is under way is given up at the end of the block."""

    together = 12
    """Each item costs the scheduler and this computer a few ms, whatever is in it."""

    def __init__(self, address: str, content: Path, patience: float = PATIENCE) -> None:
        """Connect to a scheduler. Raises Unmanned where it does not answer, or the package is not here."""
        self._address, self._patience = address, patience
        self._files = own_files(content)
        self._client = _connected(address)
        mark = digest(*(part for file in self._files for part in file))
        self._shop = ShopEnvironment(mark, parts(), toolchain.stamp(), assets.own().ready)
        self._unlike: dict[str, tuple[str, ...]] = {}
        self._workers: frozenset[str] = frozenset()
        self._looked = -_LOOK

    @property
    def size(self) -> int:
        """How many workers there are that can be given work; one at least."""
        return max(1, len(self._here() - self._unlike.keys()))

    def each(self, function: Callable[[T], R], items: Iterable[T]) -> Iterator[tuple[T, R | Lost]]:
        """The results as they are done; an item that workers died of again and again is `Lost`.

        Raises Unmanned where no worker, or the scheduler, is to be found any more.
        """
        waiting, flying = iter(items), dict[Any, _Sent[T]]()
        while True:
            # A few ahead, not all: what is sent lies in the scheduler's memory until it is done.
            for item in islice(waiting, max(0, _AHEAD * self.size - len(flying))):
                self._send(flying, function, _Sent(item))
            if not flying:
                return
            for future in self._done(flying, function):
                sent = flying.pop(future)
                result = self._result(future)
                if isinstance(result, Unseen):
                    self._send(flying, function, replace(sent, files=self._files))
                elif isinstance(result, Unlike):
                    self._unlike[result.worker] = result.parts
                    self._send(flying, function, sent)
                else:
                    yield sent.item, result

    def _send(self, flying: dict[Any, _Sent[T]], function: Callable[[T], R], sent: _Sent[T]) -> None:
        """Give an item to the workers, to those that are like this computer where some are not."""
        fit = self._fit()
        sent = replace(sent, workers=fit if self._unlike else None)
        with _gone(self._address):
            future = self._client.submit(
                *(work, function, self._shop, sent.files, sent.item),
                # Named only where there are others: with names the scheduler can no longer move work to a worker that
                # comes later.
                workers=sorted(fit) if self._unlike else None,
                pure=False,
            )
        flying[future] = sent

    def _fit(self) -> frozenset[str]:
        """The workers that may be given work; waits where there is none yet. Raises Unmanned where none comes."""
        end = time.monotonic() + self._patience
        while not (fit := self._here() - self._unlike.keys()):
            if others := self._here() & self._unlike.keys():
                raise Unmanned(_unlike_text({worker: self._unlike[worker] for worker in sorted(others)}))
            if time.monotonic() > end:
                raise Unmanned(_nobody(self._address, self._patience))
            time.sleep(min(0.2, self._patience))
        return fit

    def _here(self) -> frozenset[str]:
        """The workers that are there, as of a moment ago."""
        if time.monotonic() - self._looked >= _LOOK or not self._workers:
            with _gone(self._address):
                self._workers = frozenset(map(str, self._client.nthreads()))
            self._looked = time.monotonic()
        return self._workers

    def _done(self, flying: dict[Any, _Sent[T]], function: Callable[[T], R]) -> list[Any]:
        """What is done, one item at least. What waits for workers that are gone is given to others."""
        from distributed import wait

        while True:
            with suppress(TimeoutError), _gone(self._address), self._client.as_current():
                wait(list(flying), timeout=_LOOK, return_when="FIRST_COMPLETED")
            if done := [future for future in flying if future.status != "pending"]:
                return done
            fit = self._fit()
            for future, sent in list(flying.items()):
                if sent.workers is not None and not sent.workers & fit:
                    del flying[future]
                    future.cancel()
                    self._send(flying, function, sent)

    def _result(self, future: Any) -> Any:
        """What came of an item. Raises Unmanned where the scheduler is gone, or a worker lacks this program."""
        if future.status in ("cancelled", "lost"):
            raise Unmanned(_silent(self._address))
        error = future.exception() if future.status == "error" else None
        if isinstance(error, ImportError | AttributeError) or "deserialization" in str(error):
            raise Unmanned(worded("The cluster cannot do this work. {lacking}", lacking=worded(_LACKING))) from error
        if error:
            return Lost(f"{type(error).__name__}: {error}")
        try:
            return future.result()
        except OSError as gone:  # the scheduler went away between saying that it is done and handing it over
            raise Unmanned(_silent(self._address)) from gone

    def __enter__(self) -> Self:
        """The cluster itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Give up what is under way, and say goodbye."""
        with suppress(Exception):
            self._client.close(timeout=2)


def own_files(content: Path) -> Files:
    """A shop's own styles, words and fonts, by their paths below the content folder.

    Raises Unmanned where it has templates of its own: they are a program, which the workers of others do not run.
    """
    # Refused here, before anything is sent, so that no worker has to be trusted to refuse it.
    own = [path for path in walking.files(content, "templates") if path.is_file()]
    if own:
        raise Unmanned(
            worded(
                "This shop has templates of its own ({relative_to}), which a cluster's workers do not run: "
                "they serve others too. Build without --scheduler.",
                relative_to=own[0].relative_to(content).as_posix(),
            )
        )
    paths = (path for path in walking.files(content, *assets.BESIDE, hidden=True) if path.is_file())
    return tuple((path.relative_to(content).as_posix(), opening.read(path, inside=content)) for path in paths)


def _connected(address: str) -> Any:
    try:
        from distributed import Client
    except ImportError:
        raise Unmanned(_LACKING) from None
    from distributed.comm.registry import backends

    if address.partition("://")[0] not in backends:
        raise Unmanned(_silent(address))
    logging.getLogger("distributed").setLevel(logging.CRITICAL)  # what matters is said by this program
    try:
        return Client(address, timeout=_ANSWER, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise Unmanned(f"{_silent(address)} ({str(error).splitlines()[0] or type(error).__name__})") from None


@contextmanager
def _gone(address: str) -> Iterator[None]:
    """A scheduler that has gone away is `Unmanned`."""
    try:
        yield
    except TimeoutError:
        raise
    except (OSError, CancelledError, RuntimeError) as error:
        raise Unmanned(_silent(address)) from error


def _silent(address: str) -> str:
    return (
        f"No scheduler answers at '{address}'. Start one with 'dask scheduler', workers with "
        f"'dask worker {address} --nthreads 1', and name the address that the scheduler prints, as in tcp://10.0.0.5:8786."
    )


def _nobody(address: str, seconds: float) -> str:
    return (
        f"The scheduler at '{address}' has had no worker for {seconds:g} s. Start some with "
        f"'dask worker {address} --nthreads 1'."
    )


def _unlike_text(unlike: Mapping[str, tuple[str, ...]]) -> str:
    lines = (f"  {worker}: not the same are {', '.join(parts)}" for worker, parts in unlike.items())
    return "\n".join([
        "No worker would make the same bytes as this computer:", *lines,
        "Install the same versions on all of them.",
    ])  # fmt: skip
