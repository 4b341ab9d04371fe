"""Whether something in a folder may have changed: the system's own watcher tells, so nothing is listed."""

import threading
import time
from pathlib import Path

from passport.records.disk import walking

ANYWAY = 10.0
"""Seconds after which a change is thought possible whatever the watcher says: not every network drive tells of them."""
POLLED = 2.0
"""The same where there is no watcher, since the system has no place left for one."""
_STEP_MS, _DEBOUNCE_MS, _WAIT_MS = 30, 120, 500


class Watch:
    """A watcher of a folder and all below it, links left out. Use it as a context manager."""

    def __init__(self, root: Path) -> None:
        """Watch nothing yet."""
        self._root, self._over = root, threading.Event()
        self._changed, self._looked, self._every = threading.Event(), -ANYWAY, POLLED
        self._thread = threading.Thread(target=self._run, name="watch", daemon=True)

    def changed(self) -> bool:
        """Whether something may have changed since this was last asked."""
        now = time.monotonic()
        if not self._changed.is_set() and now - self._looked < self._every:
            return False
        self._changed.clear()
        self._looked = now
        return True

    def __enter__(self) -> "Watch":
        """The watcher, at work."""
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Watch no longer."""
        self._over.set()
        self._thread.join(timeout=5)

    def _run(self) -> None:
        while not self._over.is_set():
            try:
                self._follow(self._folders())
            except (OSError, RuntimeError):  # no place left for a watcher, or a folder that is just going away
                self._every = POLLED
                self._over.wait(POLLED)

    def _folders(self) -> list[Path]:
        below = (Path(entry.path) for path, entry in walking.entries(self._root) if path[-1] == "/")
        return [self._root, *below]

    def _follow(self, folders: list[Path]) -> None:
        """Follow these folders until others are there."""
        from watchfiles import watch

        told = watch(
            *folders, watch_filter=None, recursive=False, stop_event=self._over, debounce=_DEBOUNCE_MS, step=_STEP_MS,
            rust_timeout=_WAIT_MS, raise_interrupt=False, yield_on_timeout=False,
        )  # fmt: skip
        self._changed.set()  # from now on nothing is missed
        self._every = ANYWAY
        for changes in told:
            if any(not Path(path).name.startswith(".") for _, path in changes):
                self._changed.set()
            if any(Path(path).is_dir() for _, path in changes) and self._folders() != folders:
                return
