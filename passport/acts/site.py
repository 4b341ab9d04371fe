"""The public site brought up to date, with its cards."""

import errno
import json
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Protocol

from passport.acts.count import counted
from passport.acts.refused import Refused
from passport.publish.cache import toolchain, up_to_date
from passport.publish.cache.cache_database import Store
from passport.publish.cache.up_to_date import Order, Report, Seen
from passport.publish.folder import staging
from passport.publish.folder.digest import digest
from passport.publish.folder.staging import Staging
from passport.publish.folder.swap import NotOurs
from passport.records.transaction import lock

if TYPE_CHECKING:
    from passport.publish.build.update import Failed, Progress, Update
    from passport.records.load import Content

CACHE = ".passport-cache"
_SHOWN = 10


class NoCards(Exception):
    """Cards cannot be made here; the text says what to install."""


@dataclass(frozen=True)
class Means:
    """With what a site is made: where to remember what was made, how many processes, which cluster, all of it anew."""

    cache: Path | None = None
    jobs: int | None = None
    scheduler: str = ""
    anew: bool = False


class Telling(Protocol):
    """How a build speaks with whoever waits for it."""

    def say(self, words: str) -> None:
        """A word on what is waited for."""

    def warn(self, words: str) -> None:
        """Something that somebody should look at; nothing for an empty text."""

    def progress(self) -> AbstractContextManager["Progress"]:
        """How far it is."""


def up_to_date_site(order: Order, means: Means, telling: Telling) -> Report:
    """Bring the site up to date where anything changed. Raises NoCards, Faulty, and Refused where it cannot be done."""
    with (
        _ended_well(order.out),
        staging.working(order.out, "passport build", telling.say) as bench,
        _memory(order, means.cache, telling) as store,
    ):
        if means.anew:
            store.clear()
        seen = Seen(order)
        report = up_to_date.unchanged(store, order, seen)
        if report is None:
            if order.cards and not toolchain.print_libraries():
                _stop_without_pango()
            report = _update(order, seen, bench, store, means, telling)
        if store.discarded:
            telling.say(
                "What the last build had remembered was damaged, or is from another version of this program, so everything was made anew.\n"
            )
    return report


def _stop_without_pango() -> None:
    """Raise NoCards where cards cannot be made."""
    from passport.render.print import pdf  # WeasyPrint takes half a second to import

    problem = pdf.available()
    if problem:
        raise NoCards(problem)


def _update(order: Order, seen: Seen, bench: Staging, store: Store, means: Means, telling: Telling) -> Report:
    from passport.publish.workers.hiring import Hiring
    from passport.publish.workers.pool import rarely

    rarely()  # what is remembered of ten thousand frames is no rubbish, however often one looks
    hiring_ = Hiring(order.content, means.jobs, cards=order.cards, scheduler=means.scheduler)
    with telling.progress() as progress, hiring_ as hiring:
        if store.empty:
            hiring.foresee(sum(path.startswith("players/") and path.count("/") == 2 for path in seen.content))
        else:
            hiring.foresee_change()
        from passport.publish.build.update import Update  # while those who were called are getting ready

        report = _updated(order, Update(order, seen, bench, store, hiring, progress), telling)
    if report is None:
        from passport.acts.reading import sound

        sound(order.content)
        raise Refused(_UNSTEADY)
    return report


def _updated(order: Order, update: "Update", telling: Telling) -> Report | None:
    """What the update reports; None where the records have errors. Raises Refused where it cannot be done."""
    from passport.publish.build.update import Failed, FaultyRecords, Unsteady
    from passport.publish.workers.pool import Unmanned

    def closing(records: "Content") -> tuple[str, ...]:
        closed, update.looks_again = _closed(records, order.out, update.store, telling)
        return closed

    try:
        return update.run(closing)
    except Failed as error:
        if order.cards:
            _stop_without_pango()
        raise Refused(_failed(error, order.out)) from None
    except Unmanned as error:
        raise Refused(f"Nothing was written. {error}") from None
    except Unsteady:
        raise Refused(_UNSTEADY) from None
    except FaultyRecords:
        return None


def _closed(records: "Content", site: Path, store: Store, telling: Telling) -> tuple[tuple[str, ...], bool]:
    """The keys that are closed for good, and whether there was something to warn of, which every build does.

    The ledger is looked at closely where it or the records' keys are not as they were after the last build, or the site
    has a page that neither knows. Raises Refused where an address would be dropped.
    """
    from passport.publish.folder.site_pages import site_keys
    from passport.records.ledger import ledger

    present = ledger.keys_in(records)
    found = store.found("closed", _ledger_mark(records, present))
    if found is not None:
        known = tuple(json.loads(found))
        if site_keys(site) <= present | set(known):
            return known, False
    from passport.acts.addresses import closed_addresses, write_down

    closed, warning = closed_addresses(records, site)
    telling.warn(warning)
    telling.warn(write_down(records, telling.say))
    if not warning:
        store.keep("closed", _ledger_mark(records, present), json.dumps(closed).encode())
    return closed, bool(warning)


def _ledger_mark(records: "Content", present: set[str]) -> str:
    """The fingerprint of the ledger, and of what of the records it is compared with."""
    from passport.records.ledger import ledger

    address = records.workshop.record.address if records.workshop else ""
    try:
        written = digest(ledger.path_of(records.root).read_bytes())
    except OSError as error:
        written = str(error)
    return digest(written, address, *sorted(present))


_UNSTEADY = "The records changed while they were read, so nothing was written. Run the command again."


def _failed(error: "Failed", out: Path) -> str:
    """What could not be made, by what it is."""
    lines = [f"{said}: {what}" for said, what in error.errors[:_SHOWN]]
    more = len(error.errors) - _SHOWN
    rest = f"and {more} more" if more > 0 else ""
    count = len(error.errors)
    body = "\n  ".join([*lines, *([rest] if rest else [])])
    return f"{counted(count, 'thing')} could not be made, so '{out}' is as it was:\n  {body}"


@contextmanager
def _memory(order: Order, cache: Path | None, telling: Telling) -> Iterator[Store]:
    """What the last build of this site left; a passing one where nothing can be kept."""
    root = cache or order.content / CACHE
    folder = root / f"site-{digest(str(order.out.resolve()))[:12]}"
    try:
        if cache is None and root.is_symlink():
            raise OSError(errno.ELOOP, "It is a link, and might lead anywhere", str(root))
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not (root / ".gitignore").exists():
            (root / ".gitignore").write_text("*\n", encoding="utf-8")
        store = Store(folder)
    except OSError as error:
        if cache:
            telling.say(f"Nothing can be remembered in '{cache}': {error}.\n")
        with TemporaryDirectory(prefix="passport-") as passing, Store(Path(passing)) as store:
            yield store
        return
    with store:
        yield store


@contextmanager
def _ended_well(out: Path) -> Iterator[None]:
    """What goes wrong with the folder to be written refuses the act with a word for a person."""
    try:
        yield
    except NotOurs as error:
        do = "Name another folder with --out, or empty this one yourself."
        raise Refused(f"{error}\n  It is left as it is. {do}") from None
    except lock.Busy as error:
        raise Refused(f"Nothing was written: {error}") from None
    except OSError as error:
        raise Refused(f"The site could not be written: {error}.\n  '{out}' is as it was.") from None
