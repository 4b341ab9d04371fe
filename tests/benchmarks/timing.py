"""Runs a command and says how long it took, what it cost and how much memory it held.

The machine's pace is sampled beside each command, and times are told as they would be at the usual speed: a machine that
is shared changes its speed within seconds, so that nothing that was measured after something else compares with it.
"""

import json
import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.support.speed import Pace

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Cost:
    """What a command cost: time by the clock and of all processors, s at the usual speed, and the memory that its own
    process held at most, MB (not that of processes it started). Meanwhile work took ``slow`` times as long."""

    seconds: float
    cpu: float
    memory: float
    said: str
    slow: float = 1.0


class Failed(Exception):
    """A command did not succeed; the text is what it said."""


def passport(*arguments: str | Path, inside: Path | None = None) -> Cost:
    """The cost of ``passport ARGUMENTS`` in a process of its own."""
    return _cost([HERE / "held.py", "passport.cli.main", *arguments], inside)


def module(name: str, *arguments: str | Path, inside: Path | None = None) -> Cost:
    """The cost of ``python -m NAME ARGUMENTS`` for a module whose ``main`` takes its arguments from the command line."""
    return _cost([HERE / "held.py", name, *arguments], inside)


def _cost(call: Sequence[str | Path], inside: Path | None) -> Cost:
    with TemporaryDirectory() as folder:
        told = Path(folder, "held.json")
        environment = {**os.environ, "HELD": str(told), "PYTHONPATH": str(HERE.parents[1])}
        for name in ("PASSPORT_JOBS", "PYTHONDONTWRITEBYTECODE"):  # bytecode is kept, as an installation keeps it
            environment.pop(name, None)
        started = run([sys.executable, *call], inside, environment)
        memory = json.loads(told.read_text(encoding="utf-8"))
    return replace(started, memory=memory)


def run(call: Sequence[str | Path], inside: Path | None = None, environment: dict[str, str] | None = None) -> Cost:
    """The cost of any command; its memory is the most that any one of its processes held. Raises Failed."""
    with TemporaryDirectory() as folder:
        said = Path(folder, "said.txt")
        with Pace() as pace, said.open("wb") as out:
            begin = time.perf_counter()
            process = subprocess.Popen([*map(str, call)], cwd=inside, env=environment, stdout=out, stderr=out)
            _, status, used = os.wait4(process.pid, 0)
            seconds = time.perf_counter() - begin
        text = said.read_text(encoding="utf-8", errors="replace")
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise Failed(f"{' '.join(map(str, call))}\n{text[-2000:]}")
    cpu = used.ru_utime + used.ru_stime
    return Cost(seconds / pace.slow, cpu / pace.slow, used.ru_maxrss / 1024, text, pace.slow)
