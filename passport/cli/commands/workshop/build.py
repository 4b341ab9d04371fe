"""``passport build``: write the public site and the cards."""

import errno
import json
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from passport.cli.shared.clock import today
from passport.cli.shared.count import counted
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

FOLDER = click.Path(path_type=Path)
CACHE = ".passport-cache"
_SHOWN = 10


@click.command(name="build", epilog="Example: passport build content_demo --out site")
@click.argument("content", type=FOLDER)
@click.option("--out", type=FOLDER, default=Path("site"), show_default=True, help="The folder to write.")
@click.option("--no-cards", is_flag=True, help="Write the pages only, without the PDF cards.")
@click.option("--from-disk", is_flag=True, help="Make links that also work when the pages are opened without a server.")
@click.option(
    "--jobs",
    type=click.IntRange(1, 256),
    envvar="PASSPORT_JOBS",
    help="Processes to work with; as many as there are cores unless said here or in PASSPORT_JOBS.",
)
@click.option(
    "--scheduler", metavar="ADDRESS", default="", help="Have the Dask cluster of this scheduler make pages and cards."
)
@click.option("--anew", is_flag=True, help="Make everything anew, whatever the last build left.")
@click.option("--cache", type=FOLDER, help=f"Where to remember what was made; CONTENT/{CACHE} unless said.")
def command(
    content: Path,
    out: Path,
    no_cards: bool,
    from_disk: bool,
    jobs: int | None,
    scheduler: str,
    anew: bool,
    cache: Path | None,
) -> None:
    """Build the public site of CONTENT: a page for each frame and player, cards, reminders, data.

    Only what changed since the last build is made again. The new site is put together beside the old one and takes its
    place when it is whole; if anything cannot be made, the old site stays.

    With --scheduler, records are read here and pages and cards are made by the workers of a Dask cluster, which need
    no shared disk but the same version of everything: 'dask scheduler', then 'dask worker ADDRESS --nthreads 1' on each
    computer. What is public goes there, and the secrets of sealed pages: use a network you trust, or tls://.
    """
    start = time.monotonic()
    if not (content / "workshop.yaml").is_file():
        from passport.cli.shared.common import sound

        sound(content)
    order = Order(content, out, today(), not no_cards, "index.html" if from_disk else "")
    problem = ""
    try:
        report = _build(order, cache, jobs, scheduler, anew=anew)
    except _NoCards as error:
        problem = str(error)
        report = _build(replace(order, cards=False), cache, jobs, scheduler, anew=anew)
    _tell(report)
    _summary(report, time.monotonic() - start)
    click.echo(
        f"Open {out / 'index.html'} in a browser." if from_disk else f"Look at it with: passport preview {content}"
    )
    if problem:
        click.echo(f"\n{problem}", err=True)
        sys.exit(1)


class _NoCards(Exception):
    """Cards cannot be made here; the text says what to install."""


def _build(order: Order, cache: Path | None, jobs: int | None, scheduler: str, *, anew: bool) -> Report:
    """Bring the site up to date where anything changed. Raises _NoCards; ends the command where it cannot be done."""
    with (
        _ended_well(order.out),
        staging.working(order.out, "passport build", _say) as bench,
        _memory(order, cache) as store,
    ):
        if anew:
            store.clear()
        seen = Seen(order)
        report = up_to_date.unchanged(store, order, seen)
        if report is None:
            if order.cards and not toolchain.print_libraries():
                _stop_without_pango()
            report = _update(order, seen, bench, store, jobs, scheduler)
        if store.discarded:
            click.echo(
                "What the last build had remembered was damaged, or is from another version of this program, so everything was made anew.\n",
                err=True,
            )
    return report


def _stop_without_pango() -> None:
    """Raise _NoCards where cards cannot be made."""
    from passport.render.print import pdf  # WeasyPrint takes half a second to import

    problem = pdf.available()
    if problem:
        raise _NoCards(problem)


def _update(order: Order, seen: Seen, bench: Staging, store: Store, jobs: int | None, scheduler: str) -> Report:
    from passport.publish.workers.hiring import Hiring
    from passport.publish.workers.pool import rarely

    rarely()  # what is remembered of ten thousand frames is no rubbish, however often one looks
    with _bar() as progress, Hiring(order.content, jobs, cards=order.cards, scheduler=scheduler) as hiring:
        if store.empty:
            hiring.foresee(sum(path.startswith("players/") and path.count("/") == 2 for path in seen.content))
        else:
            hiring.foresee_change()
        from passport.publish.build.update import Update  # while those who were called are getting ready

        report = _updated(order, Update(order, seen, bench, store, hiring, progress))
    if report is None:
        from passport.cli.shared.common import sound

        sound(order.content)
        raise click.ClickException(_UNSTEADY)
    return report


def _updated(order: Order, update: "Update") -> Report | None:
    """What the update reports; None where the records have errors. Ends the command where it cannot be done."""
    from passport.publish.build.update import Failed, FaultyRecords, Unsteady
    from passport.publish.workers.pool import Unmanned

    def closing(records: "Content") -> tuple[str, ...]:
        closed, update.looks_again = _closed(records, order.out, update.store)
        return closed

    try:
        return update.run(closing)
    except Failed as error:
        if order.cards:
            _stop_without_pango()
        raise click.ClickException(_failed(error, order.out)) from None
    except Unmanned as error:
        raise click.ClickException(f"Nothing was written. {error}") from None
    except Unsteady:
        raise click.ClickException(_UNSTEADY) from None
    except FaultyRecords:
        return None


def _closed(records: "Content", site: Path, store: Store) -> tuple[tuple[str, ...], bool]:
    """The keys that are closed for good, and whether there was something to warn of, which every build does.

    The ledger is looked at closely where it or the records' keys are not as they were after the last build, or the site
    has a page that neither knows. Ends the command where an address would be dropped.
    """
    from passport.records.ledger import ledger, repair

    present = ledger.keys_in(records)
    found = store.found("closed", _ledger_mark(records, present))
    if found is not None:
        known = tuple(json.loads(found))
        if repair.site_keys(site) <= present | set(known):
            return known, False
    from passport.cli.commands.workshop.addresses import closed_addresses, write_down

    closed, warned = closed_addresses(records, site)
    write_down(records)
    if not warned:
        store.keep("closed", _ledger_mark(records, present), json.dumps(closed).encode())
    return closed, warned


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
def _memory(order: Order, cache: Path | None) -> Iterator[Store]:
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
            click.echo(f"Nothing can be remembered in '{cache}': {error}.\n", err=True)
        with TemporaryDirectory(prefix="passport-") as passing, Store(Path(passing)) as store:
            yield store
        return
    with store:
        yield store


@contextmanager
def _ended_well(out: Path) -> Iterator[None]:
    """What goes wrong with the folder to be written ends the command with a word for a person."""
    try:
        yield
    except NotOurs as error:
        do = "Name another folder with --out, or empty this one yourself."
        raise click.ClickException(f"{error}\n  It is left as it is. {do}") from None
    except lock.Busy as error:
        raise click.ClickException(f"Nothing was written: {error}") from None
    except OSError as error:
        raise click.ClickException(f"The site could not be written: {error}.\n  '{out}' is as it was.") from None


@contextmanager
def _bar() -> Iterator["Progress"]:
    """One progress bar with what is being made and how long is left; nothing where no terminal is."""
    if not sys.stderr.isatty():
        yield lambda said, done, total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TaskProgressColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda said, done, total: bar.update(task, description=said, completed=done, total=total)


def _say(words: str) -> None:
    click.echo(words, err=True)


def _tell(report: Report) -> None:
    """Print what was noticed in the records."""
    if report.faults:
        from passport.cli.shared.printed import printed

        for fault in report.faults:
            click.echo(printed(fault) + "\n", err=True)


def _summary(report: Report, seconds: float) -> None:
    made = "nothing changed" if not report.made else f"{report.made} made anew" if report.made < report.files else ""
    click.echo(
        f"{counted(report.frames, 'passport')} and {counted(report.players, 'player page')}, "
        f"{counted(report.cards, 'card')}: {counted(report.files, 'file')}, "
        f"{report.size / 1e6:.1f} MB in {seconds:.1f} s{f', {made}' if made else ''}."
    )
