"""Commands that are killed: at random moments, and at each single step that touches the disk."""

import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

CONTEXT: Any = multiprocessing.get_context("forkserver" if sys.platform != "win32" else "spawn")
_STEPS = {"os.rename", "os.remove", "os.rmdir", "os.mkdir", "os.chmod", "os.truncate", "shutil.rmtree"}


_IMPORTED = (
    "click.testing",
    "passport.workshop.gathering.gather",
    *(f"passport.cli.commands.frames.{name}" for name in ("log", "issue", "lost", "erase", "undo", "correct")),
    *(f"passport.cli.commands.workshop.{name}" for name in ("import_", "start", "check")),
)


def prepare() -> None:
    """Have new processes begin with everything imported, so that they are quickly at their work."""
    if sys.platform != "win32":
        CONTEXT.set_forkserver_preload([*_IMPORTED])


def at_step(number: int, arguments: Sequence[Any]) -> bool:
    """Run a command that is killed before its ``number``-th step on the disk; whether it got to its end before that."""
    process = CONTEXT.Process(target=_run_until, args=(number, [str(a) for a in arguments]))
    process.start()
    process.join(60)
    assert process.exitcode in (0, -signal.SIGKILL), process.exitcode
    return bool(process.exitcode == 0)


def after(steps: float, work: Callable[..., None], *arguments: Any) -> None:
    """Run some work in a process of its own and kill it so many steps of the work after it has begun.

    When it begins, it says on its first argument how many seconds a step takes it: on a busy machine all takes longer.
    """
    here, there = CONTEXT.Pipe()
    process = CONTEXT.Process(target=work, args=(there, *arguments))
    process.start()
    assert here.poll(60)
    process.join(steps * here.recv())
    process.kill()
    process.join(60)
    assert process.exitcode in (0, -signal.SIGKILL), process.exitcode


def _run_until(number: int, arguments: list[str]) -> None:
    from commandline import passport

    passport("--version")
    left = [number]

    def step(event: str, details: tuple[Any, ...]) -> None:
        if event in _STEPS or (event == "open" and _writes(details)):
            left[0] -= 1
            if left[0] < 0:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(step)
    result = passport(*arguments)
    assert result.exit_code == 0, result.output


def _writes(details: tuple[Any, ...]) -> bool:
    path, _, flags = details
    return bool(isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)) and "__pycache__" not in str(
        path
    )


def log_on_and_on(begun: Any, content: Path, count: int) -> None:
    """Record one job after another on one frame."""
    from commandline import passport

    for _ in range(2):  # the first one still loads this and that
        start = time.perf_counter()
        passport("log", content, "ada/main", "--mass", "331 g", "--dry-run")
    begun.send(time.perf_counter() - start)
    for _ in range(count):  # each differs from all before, or it would be asked about
        passport(
            "log",
            content,
            "ada/main",
            "--mass",
            f"331.{time.time_ns() % 10**9:09d} g",
            "--note",
            "x" * 2000,
            "--no-build",
        )
