"""A real Dask cluster on this computer: one scheduler and its workers, each a process of its own that can be killed."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_SECONDS = 120.0


class Cluster:
    """A scheduler and its workers."""

    def __init__(self, folder: Path) -> None:
        """Start a scheduler that keeps its files in ``folder``."""
        self.folder, self.workers = folder, []
        told = folder / "scheduler.json"
        self.scheduler = self._start("scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", told)
        until(lambda: told.is_file() and told.read_text(encoding="utf-8").rstrip().endswith("}"))
        self.address = json.loads(told.read_text(encoding="utf-8"))["address"]

    def _start(self, kind: str, *more: str | Path) -> subprocess.Popen[bytes]:
        log = (self.folder / f"{kind}-{time.monotonic_ns()}.log").open("wb")
        call = [sys.executable, "-m", "distributed.cli.dask_" + kind, "--no-dashboard", *map(str, more)]
        with log:
            return subprocess.Popen(call, stdout=log, stderr=log, cwd=self.folder, env=_environment())

    def hire(self, *more: str) -> subprocess.Popen[bytes]:
        """One more worker, without anybody that would start it again."""
        kept = self.folder / f"worker-{len(self.workers)}"
        worker = self._start("worker", self.address, "--no-nanny", "--nthreads", "1", "--local-directory", kept, *more)
        self.workers.append(worker)
        return worker

    def close(self) -> None:
        """End all."""
        for process in (*self.workers, self.scheduler):
            process.kill()
            process.wait()


def _environment() -> dict[str, str]:
    return {name: value for name, value in os.environ.items() if name != "SOURCE_DATE_EPOCH"}


def until(holds, seconds: float = _SECONDS) -> None:
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.05)


@contextmanager
def cluster(folder: Path, workers: int) -> Iterator[Cluster]:
    """A cluster with so many workers."""
    folder.mkdir(parents=True, exist_ok=True)
    made = Cluster(folder)
    try:
        for _ in range(workers):
            made.hire()
        yield made
    finally:
        made.close()
