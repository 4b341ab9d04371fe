"""``passport build``: write the public site and the cards."""

import errno
import sys
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from passport.cli.clock import today
from passport.publish import lock, quick, tree
from passport.publish.digest import digest
from passport.publish.quick import Order, Report
from passport.publish.store import Store
from passport.publish.swap import NotOurs
from passport.publish.tree import Bench

if TYPE_CHECKING:
    from passport.publish.crew import Crew
    from passport.publish.update import Failed, Progress
    from passport.records.load import Content

FOLDER = click.Path(path_type=Path)
CACHE = ".passport-cache"
_CROWD_SECONDS = 1.2
"""Work that takes longer is worth the start of several processes."""
_SHOWN = 10


@click.command(name="build", epilog="Example: passport build content_demo --out site")
@click.argument("content", type=FOLDER)
@click.option("--out", type=FOLDER, default=Path("site"), show_default=True, help="The folder to write.")
@click.option("--no-cards", is_flag=True, help="Write the pages only, without the PDF cards.")
@click.option("--from-disk", is_flag=True, help="Make links that also work when the pages are opened without a server.")
@click.option("--jobs", type=click.IntRange(1, 256), help="Processes to work with; as many as there are cores.")
@click.option("--anew", is_flag=True, help="Make everything anew, whatever the last build left.")
@click.option("--cache", type=FOLDER, help=f"Where to remember what was made; CONTENT/{CACHE} unless said.")
def command(
    content: Path,
    out: Path,
    no_cards: bool,
    from_disk: bool,
    jobs: int | None,
    anew: bool,
    cache: Path | None,
) -> None:
    """Build the public site of CONTENT: a page for each frame and player, cards, reminders, data.

    Only what changed since the last build is made again. The new site is put together beside the old one and takes its
    place when it is whole; if anything cannot be made, the old site stays.
    """
    start = time.monotonic()
    if not (content / "workshop.yaml").is_file():
        from passport.cli.common import sound

        sound(content)
    order = Order(content, out, today(), not no_cards, "index.html" if from_disk else "")
    crew = _Hiring(content, jobs)
    problem = ""
    with _ended_well(out), tree.working(out, "passport build", _say) as bench, _memory(order, cache) as store:
        if anew:
            store.clear()
        report = quick.unchanged(store, order)
        if report is None:
            order, problem = _printable(order)
            report = _update(order, bench, store, crew)
        if store.discarded:
            click.echo("What the last build had remembered was damaged, so everything was made anew.\n", err=True)
    _tell(report)
    _summary(report, out, time.monotonic() - start)
    if problem:
        click.echo(f"\n{problem}", err=True)
        sys.exit(1)


def _printable(order: Order) -> tuple[Order, str]:
    """The order without cards, and what to install, where cards cannot be made."""
    if not order.cards:
        return order, ""
    from dataclasses import replace

    from passport.render import pdf  # WeasyPrint takes half a second to import; pages alone do not need it

    problem = pdf.available()
    return (replace(order, cards=False), problem) if problem else (order, "")


def _update(order: Order, bench: Bench, store: Store, crew: "_Hiring") -> Report:
    from passport.cli.addresses import closed_addresses, write_down
    from passport.cli.common import sound
    from passport.publish import ledger
    from passport.publish.update import Failed, FaultyRecords, Unsteady, Update

    with _bar() as progress:
        update = Update(order, bench, store, crew, progress)

        def closing(records: "Content") -> tuple[str, ...]:
            closed = closed_addresses(records, order.out)
            write_down(records)
            known = ledger.read(records.root)
            if known and known.moved(records.workshop.record.address if records.workshop else ""):
                update.looks_again = True  # the warning is given at every build
            return closed

        try:
            report = update.run(closing)
        except Failed as error:
            raise click.ClickException(_failed(error, order.out)) from None
        except Unsteady:
            raise click.ClickException(_UNSTEADY) from None
        except FaultyRecords:
            report = None
    if report is None:
        sound(order.content)
        raise click.ClickException(_UNSTEADY)
    return report


_UNSTEADY = "The records changed while they were read, so nothing was written. Run the command again."


def _failed(error: "Failed", out: Path) -> str:
    """What could not be made, by what it is."""
    lines = [f"{said}: {what}" for said, what in error.errors[:_SHOWN]]
    more = len(error.errors) - _SHOWN
    rest = f"and {more} more" if more > 0 else ""
    count = len(error.errors)
    things = "1 thing" if count == 1 else f"{count} things"
    body = "\n  ".join([*lines, *([rest] if rest else [])])
    return f"{things} could not be made, so '{out}' is as it was:\n  {body}"


class _Hiring:
    """Who reads the records, and who makes pages and cards."""

    def __init__(self, content: Path, jobs: int | None) -> None:
        self._content, self._jobs = content, jobs

    def readers(self, seconds: float) -> AbstractContextManager["Crew"]:
        """Those who read records for so many seconds."""
        return self._local(seconds)

    def makers(self, seconds: float, readers: "Crew") -> AbstractContextManager["Crew"]:
        """Those who make files for so many seconds; those who read go on where they are several."""
        if readers.size > 1:
            return nullcontext(readers)
        return self._local(seconds)

    def _local(self, seconds: float) -> AbstractContextManager["Crew"]:
        from passport.publish import crew, hands

        jobs = self._jobs or crew.cores()
        if jobs == 1 or seconds < _CROWD_SECONDS:
            crew.rarely()
            return nullcontext(crew.Alone())
        crowd = crew.Crowd(jobs)
        crowd.tell(hands.prepare, self._content)
        return crowd


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
        from passport.cli.printed import printed

        for fault in report.faults:
            click.echo(printed(fault) + "\n", err=True)


def _summary(report: Report, out: Path, seconds: float) -> None:
    made = "nothing changed" if not report.made else f"{report.made} made anew" if report.made < report.files else ""
    click.echo(
        f"{report.frames} passports and {report.players} player pages, {report.cards} cards: {report.files} files, "
        f"{report.size / 1e6:.1f} MB in {seconds:.1f} s{f', {made}' if made else ''}.\n"
        f"Open {out / 'index.html'} in a browser."
    )
