"""Where commands remember what they read and made: a folder in the content, made anew when it is wanted."""

import errno
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from passport.publish.cache.cache_database import CacheDatabase
from passport.records.language.worded import worded

CACHE = ".passport-cache"
RECORDS = "records"
"""The memory of the records, beside which each site has one of its own."""


@contextmanager
def memory(content: Path, name: str, say: Callable[[str], None], cache: Path | None = None) -> Iterator[CacheDatabase]:
    """The memory of some name of a content folder; a passing one where nothing can be kept.

    ``cache`` is where to keep it instead.
    """
    root = cache or content / CACHE
    folder = root / name
    try:
        if cache is None and root.is_symlink():
            raise OSError(errno.ELOOP, "It is a link, and might lead anywhere", str(root))
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not (root / ".gitignore").exists():
            (root / ".gitignore").write_text("*\n", encoding="utf-8")
        database = CacheDatabase(folder)
    except OSError as error:
        if cache:
            say(worded("Nothing can be remembered in '{cache}': {error}.\n", cache=cache, error=error))
        with TemporaryDirectory(prefix="passport-") as passing, CacheDatabase(Path(passing)) as database:
            yield database
        return
    with database:
        yield database
