"""Building the small workshop's site from what the last build left, and from nothing."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from smallshop import TODAY

from passport.publish.build.run import Run
from passport.publish.build.update import Update
from passport.publish.cache.cache_database import CacheDatabase
from passport.publish.cache.up_to_date import BuildOrder, Report, Seen, unchanged
from passport.publish.folder.staging import Staging, working
from passport.publish.workers.pool import WORTH, Makers, Readers, Workers


class Always(Workers):
    """Several processes, however little there is to do."""

    def readers(self, reading: float, making: float) -> Readers:
        """All of them."""
        return super().readers(WORTH, WORTH)

    def makers(self, seconds: float) -> Makers:
        """All of them."""
        return super().makers(WORTH)


@contextmanager
def at_work(out: Path, memory: Path) -> Iterator[tuple[Staging, CacheDatabase]]:
    """The bench of a site and its memory."""
    with working(out, "test") as bench, CacheDatabase(memory) as database:
        yield bench, database


def updated(
    content: Path,
    out: Path,
    memory: Path,
    *,
    cards: bool = False,
    size: int = 1,
    today: date = TODAY,
    closed: tuple[str, ...] = (),
) -> Report:
    """Bring a site up to date with what is remembered."""
    order = BuildOrder(content, out, today, cards)
    with at_work(out, memory) as (bench, database), Always(content, size) as work:
        run = Run(order, Seen(order), lambda said, done, total: None, bench, database)
        return Update(run, work).bring(lambda records: closed)


def same_at_a_glance(content: Path, out: Path, memory: Path, *, cards: bool = False, today: date = TODAY) -> bool:
    """Whether nothing changed, as far as the quick look tells."""
    with CacheDatabase(memory) as database:
        order = BuildOrder(content, out, today, cards)
        return unchanged(database, order, Seen(order)) is not None


def tree(folder: Path) -> dict[str, bytes]:
    """All files below a folder with their content."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
