"""A person at a real terminal: the command line in a pseudo-terminal, with what is asked and typed counted."""

import os
import pty
import re
import select
import sys
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

_SIGNS = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]|\r")


@dataclass
class Counted:
    """What became of a command: its exit code, what stood on the screen, what was typed at each question."""

    code: int
    screen: str
    typed: list[str] = field(default_factory=list)

    @property
    def answers(self) -> int:
        """How often Enter was pressed."""
        return len(self.typed)

    def characters(self, names: Iterable[str] = ()) -> int:
        """How many characters were typed, those of names left out wherever they stand, and Enter not counted."""
        text = "\n".join(self.typed)
        for name in sorted(names, key=len, reverse=True):
            text = text.replace(name, "")
        return len(text.replace("\n", ""))


def typed(folder: Path, command: list[str], lines: list[str], env: Mapping[str, str], within: float = 300) -> Counted:
    """Run ``passport`` with a command in a pseudo-terminal and type each line when a question stands there.

    A question is a last line that ends with a colon or a bracket and a space, with nothing coming behind it. A command that asks more than there are lines for is hung
    up on, as by somebody who closes the window.
    """
    pid, screen = pty.fork()
    if pid == 0:  # pragma: no cover - the other process
        os.chdir(folder)
        os.execve(
            sys.executable, [sys.executable, "-m", "passport.cli.main", *command], {**os.environ, **env, "TERM": "dumb"}
        )
    seen, waiting, until = "", list(lines), time.monotonic() + within
    done = Counted(-1, "")
    asked_at = -1
    try:
        while time.monotonic() < until:
            ready, _, _ = select.select([screen], [], [], 0.05)
            if ready:
                try:
                    data = os.read(screen, 65536)
                except OSError:  # Linux tells so that the other end is closed
                    break
                if not data:
                    break
                seen += _SIGNS.sub("", data.decode("utf-8", "replace"))
            elif re.search(r"(?:: |\] )\Z", seen) and len(seen) != asked_at:
                if not waiting:
                    break
                asked_at = len(seen)
                line = waiting.pop(0)
                done.typed.append(line)
                os.write(screen, f"{line}\n".encode())
    finally:
        os.close(screen)
    _, status = os.waitpid(pid, 0)
    done.code, done.screen = os.waitstatus_to_exitcode(status), seen
    return done
