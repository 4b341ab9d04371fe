"""Building the small workshop's site from what the last build left, and from nothing."""

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import date
from pathlib import Path

from smallshop import TODAY

from passport.publish.build.update import Update
from passport.publish.cache.cache_database import Store
from passport.publish.cache.up_to_date import Order, Report, Seen, unchanged
from passport.publish.folder.staging import Staging, working
from passport.publish.workers import worker_tasks
from passport.publish.workers.pool import Alone, Crew, Crowd


class Hired:
    """This process alone, or several beside it."""

    def __init__(self, content: Path | None = None, size: int = 1) -> None:
        """So many processes."""
        self.crew: Crew = Alone() if size == 1 else Crowd(size)
        self.crew.tell(worker_tasks.prepare, content, False, False)

    def expect(self, players: int) -> None:
        """Everybody is here."""

    def readers(self, seconds: float) -> AbstractContextManager[Crew]:
        """Those who read."""
        return nullcontext(self.crew)

    def makers(self, seconds: float) -> AbstractContextManager[Crew]:
        """The same ones make."""
        return nullcontext(self.crew)


@contextmanager
def at_work(out: Path, memory: Path) -> Iterator[tuple[Staging, Store]]:
    """The bench of a site and its memory."""
    with working(out, "test") as bench, Store(memory) as store:
        yield bench, store


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
    order = Order(content, out, today, cards)
    with at_work(out, memory) as (bench, store):
        update = Update(order, Seen(order), bench, store, Hired(content, size), lambda said, done, total: None)
        return update.run(lambda records: closed)


def same_at_a_glance(content: Path, out: Path, memory: Path, *, cards: bool = False, today: date = TODAY) -> bool:
    """Whether nothing changed, as far as the quick look tells."""
    with Store(memory) as store:
        order = Order(content, out, today, cards)
        return unchanged(store, order, Seen(order)) is not None


def tree(folder: Path) -> dict[str, bytes]:
    """All files below a folder with their content."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
