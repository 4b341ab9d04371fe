"""The public site brought up to date, with its cards."""

import json
import re
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from passport.acts.clock import today
from passport.acts.count import counted
from passport.acts.memory import CACHE, memory
from passport.acts.refused import Refused
from passport.publish.cache import toolchain, up_to_date
from passport.publish.cache.cache_database import CacheDatabase
from passport.publish.cache.up_to_date import BuildOrder, Report, Seen
from passport.publish.folder import staging
from passport.publish.folder.digest import digest
from passport.publish.folder.foreign import MANIFEST, InTheWay, at_the_top
from passport.publish.folder.listing import UNSEEN
from passport.publish.folder.staging import Staging
from passport.publish.folder.swap import NotOurs
from passport.records.disk import opening, walking
from passport.records.language.worded import unsaid, worded
from passport.records.transaction import lock

if TYPE_CHECKING:
    from passport.publish.build.run import Failed, Progress, Run
    from passport.publish.build.update import Update
    from passport.publish.folder.manifest import FileMark
    from passport.records.load import Content

_NAME = "site-{}"
_SHOWN = 10
_THEIRS = "theirs"


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
    """How a build speaks with the person who waits for it."""

    def say(self, words: str) -> None:
        """A word on what is waited for."""

    def warn(self, words: str) -> None:
        """Something that a person should look at; nothing for an empty text."""

    def progress(self) -> AbstractContextManager["Progress"]:
        """How far it is."""


def up_to_date_site(order: BuildOrder, means: Means, telling: Telling) -> Report:
    """Bring the site up to date where anything changed. Raises NoCards, Faulty, and Refused where it cannot be done."""
    with (
        _ended_well(order.out),
        staging.working(order.out, "passport build", telling.say) as folder,
        memory(order.content, _memory_of(order.out), telling.say, means.cache) as database,
    ):
        if means.anew:
            database.clear()
        seen = Seen(order)
        if UNSEEN in seen.content.values():
            _stop_at_closed_folders(order.content)
        report = up_to_date.unchanged(database, order, seen)
        if report is None:
            if order.cards and not toolchain.print_libraries():
                _stop_without_pango()
            report = _update(order, seen, folder, database, means, telling)
        if database.discarded:
            telling.say(
                worded(
                    "What the last build had remembered was damaged, or is from another version of this program, "
                    "so everything was made anew.\n"
                )
            )
    return report


def _memory_of(site: Path) -> str:
    return _NAME.format(digest(str(site.resolve()))[:12])


@dataclass(frozen=True, slots=True)
class RecordsSince:
    """Whether the records are ``newer`` than a site, None where nothing kept what it was built from; the file ``last``
    written of them."""

    newer: bool | None
    last: str


def records_since(content: Path, site: Path) -> RecordsSince:
    """What of the records changed after a site was built from them. Raises OSError where they cannot be looked at."""
    seen = Seen(BuildOrder(content, site, today()))
    same = None
    if (content / CACHE / _memory_of(site)).is_dir():
        with memory(content, _memory_of(site), lambda words: None) as database:
            same = up_to_date.from_these_records(database, content, seen)
    files = {path: mark for path, mark in seen.content.items() if path[-1] != "/"}
    return RecordsSince(None if same is None else not same, max(files, key=lambda path: files[path][1], default=""))


def _tell_of_theirs(run: "Run", telling: Telling) -> None:
    """Say once what stands in a site's folder that this program did not make."""
    found = at_the_top(run.order.out, run.theirs)
    said = json.dumps(found).encode()
    if found and run.database.get(_THEIRS) != said:
        shown = ", ".join([*found[:_SHOWN], *(["…"] if len(found) > _SHOWN else [])])
        telling.say(
            worded(
                "Not made by this program, and left as they are in '{out}': {shown}\n", out=run.order.out, shown=shown
            )
        )
        run.database.put(_THEIRS, said)
        run.database.commit()


def _stop_at_closed_folders(content: Path) -> None:
    """Raise Faulty where a folder that a site is made from cannot be read; others may lie about, lost+found say."""
    from passport.acts.reading import sound
    from passport.records.folders import blocked
    from passport.records.load import load

    if blocked(load(content, ())[1]):
        sound(content)


def _stop_without_pango() -> None:
    """Raise NoCards where cards cannot be made."""
    from passport.render.print import pdf  # WeasyPrint takes half a second to import

    problem = pdf.available()
    if problem:
        raise NoCards(problem)


def _update(
    order: BuildOrder, seen: Seen, folder: Staging, database: CacheDatabase, means: Means, telling: Telling
) -> Report:
    from passport.publish.build.run import Run
    from passport.publish.build.update import Update
    from passport.publish.workers.pool import Workers, rarely

    rarely()  # what is remembered of ten thousand frames is no rubbish, however often one looks
    with telling.progress() as progress, Workers(order.content, means.jobs, scheduler=means.scheduler) as workers:
        run = Run(order, seen, progress, folder, database)
        report = _updated(order, Update(run, workers), telling)
    if report is None:
        from passport.acts.reading import sound

        sound(order.content)
        raise Refused(worded(_UNSTEADY))
    _tell_of_theirs(run, telling)
    return report


def _updated(order: BuildOrder, update: "Update", telling: Telling) -> Report | None:
    """What the update reports; None where the records have errors. Raises Refused where it cannot be done."""
    from passport.publish.build.run import Failed, FaultyRecords, Unsteady
    from passport.publish.workers.pool import Unmanned

    def closing(records: "Content") -> tuple[str, ...]:
        closed, update.looks_again = _closed(records, order.out, update.run.database, telling)
        update.inventory = partial(_inventory, records, order.out, closed, update.run.database, telling)
        return closed

    try:
        return update.bring(closing)
    except Failed as error:
        if order.cards:
            _stop_without_pango()
        raise Refused(_failed(error, order.out)) from None
    except Unmanned as error:
        raise Refused(worded("Nothing was written. {error}", error=error)) from None
    except Unsteady:
        raise Refused(worded(_UNSTEADY)) from None
    except FaultyRecords:
        return None


def _closed(records: "Content", site: Path, database: CacheDatabase, telling: Telling) -> tuple[tuple[str, ...], bool]:
    """The keys that are closed for good, and whether there was something to warn of, which every build does.

    The ledger is looked at closely where it or the records' keys are not as they were after the last build, or the site
    has a page that neither knows. Raises Refused where an address would be dropped.
    """
    from passport.publish.folder.site_pages import site_keys
    from passport.records.ledger import ledger

    present = ledger.keys_in(records)
    found = database.found("closed", _ledger_mark(records, present))
    if found is not None and _same_manifest(database, site):
        known = tuple(json.loads(found))
        if site_keys(site) <= present | set(known):
            return known, False
    from passport.acts.addresses import closed_addresses, write_down

    closed, warning = closed_addresses(records, site)
    telling.warn(warning)
    telling.warn(write_down(records, telling.say))
    if not warning:
        database.keep("closed", _ledger_mark(records, present), json.dumps(closed).encode())
    return closed, bool(warning)


def _same_manifest(database: CacheDatabase, site: Path) -> bool:
    """Whether the site has the manifest that the last build of it wrote, or none as then."""
    try:
        found = digest(opening.read(site / MANIFEST))
    except OSError:
        found = ""
    return (database.get(MANIFEST) or b"").decode() == found


def _inventory(
    records: "Content",
    site: Path,
    closed: Iterable[str],
    database: CacheDatabase,
    telling: Telling,
    files: Iterable["FileMark"],
) -> bytes | None:
    """The manifest of a site with some files; None where its key can neither be read nor made."""
    from passport.publish.folder import manifest
    from passport.records.ledger import ledger
    from passport.records.transaction import ledger_file

    try:
        secret = ledger_file.made_key(records.root)
        mark = _ledger_mark(records, ledger.keys_in(records))
        head = (database.found("inventory", mark) or b"").decode()
        if not head:
            head = _head(records, site, closed)
            database.keep("inventory", _ledger_mark(records, ledger.keys_in(records)), head.encode())
    except (OSError, ValueError) as error:
        telling.warn(worded("The site has no manifest, since its key could not be kept: {error}.", error=error))
        return None
    return manifest.encrypted(head, files, secret)


def _head(records: "Content", site: Path, closed: Iterable[str]) -> str:
    """What the manifest says of numbers and keys; the file beside the content folder is brought to the same."""
    from passport.publish.folder import manifest
    from passport.publish.folder.known import survey
    from passport.records.schema import numbers
    from passport.records.transaction import ledger_file

    known = survey(records.root, site, records)
    ledger_file.write_beside(records.root, known.ledger)
    highest = max(known.highest, numbers.highest(e.record.number for e in records.frames.values()))
    return manifest.head_of(manifest.manifest_of(known.ledger, highest, closed))


def _ledger_mark(records: "Content", present: set[str]) -> str:
    """The fingerprint of the ledger, and of what of the records it is compared with."""
    from passport.records.ledger import ledger

    address = records.workshop.record.address if records.workshop else ""
    try:
        written = digest(opening.read(ledger.path_of(records.root)))
    except OSError as error:
        written = str(error)
    return digest(written, up_to_date.beside(records.root), address, *sorted(present))


_UNSTEADY = unsaid("The records changed while they were read, so nothing was written. Run the command again.")


def _failed(error: "Failed", out: Path) -> str:
    """What could not be made, by what it is."""
    lines = [f"{said}: {what}" for said, what in error.errors[:_SHOWN]]
    more = len(error.errors) - _SHOWN
    rest = worded("and {more} more", more=more) if more > 0 else ""
    count = len(error.errors)
    body = "\n  ".join([*lines, *([rest] if rest else [])])
    return worded(
        "{counted} could not be made, so '{out}' is as it was:\n  {body}",
        counted=counted(count, "thing"),
        out=out,
        body=body,
    )


@contextmanager
def _ended_well(out: Path) -> Iterator[None]:
    """What goes wrong with the folder to be written refuses the act with a word for a person."""
    try:
        yield
    except NotOurs as error:
        do = worded("Name another folder with --out, or empty this one yourself.")
        raise Refused(worded("{error}\n  It is left as it is. {do}", error=error, do=do)) from None
    except InTheWay as error:
        shown = ", ".join(f"'{path}'" for path in error.paths[:_SHOWN])
        raise Refused(
            worded(
                "{shown} in '{out}' was not made by this program, and the site has a file of its own to put "
                "there.\n  Nothing was written. Move it elsewhere to keep it, or delete it, and build again.",
                shown=shown,
                out=out,
            )
        ) from None
    except lock.Busy as error:
        raise Refused(worded("Nothing was written: {error}", error=error)) from None
    except OSError as error:
        raise Refused(
            worded("The site could not be written: {error}.\n  '{out}' is as it was.", error=error, out=out)
        ) from None


def from_disk(site: Path) -> bool:
    """Whether the links of a site name index.html, so that it can be opened without a server."""
    try:
        return re.search(rb'href="[^":]*/index\.html"', opening.read(site / "index.html", inside=site)) is not None
    except OSError:
        return False


def without_cards(site: Path) -> bool:
    """Whether a site was built without cards."""
    return not any(file.name.startswith("card-") for file in walking.files(site) if file.suffix == ".pdf")
