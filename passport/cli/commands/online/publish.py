"""``passport publish``: put the site where the web sees it."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from passport.acts.count import counted
from passport.acts.publishing.places import Asking
from passport.acts.publishing.publish import Published, RecordsNewer, Wish, publish
from passport.cli.shared.building import build_as_before
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal, confirmed
from passport.cli.shared.folder import site_of
from passport.publish.remote.send import Told
from passport.records.language.worded import worded

_SHOWN = 20


@click.command(name="publish", epilog="Example: passport publish content_demo --dry-run")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--site", type=FOLDER, show_default="site", help="The folder that was built.")
@click.option("--dry-run", is_flag=True, help="Show what would go up, change and go away, and stop.")
@click.option(
    "--delete",
    type=click.IntRange(0),
    default=0,
    metavar="N",
    help="Let up to N passports go away; without it no more than a tenth.",
)
@click.option(
    "--anew",
    is_flag=True,
    help="Send everything, whatever is there; files of others of the same names are replaced.",
)
@click.option("--build", "build_first", is_flag=True, help="Build the site first, as it was built before.")
@click.option("--as-built", is_flag=True, help="Publish what was built, though records changed since.")
def command(
    content: Path, site: Path | None, dry_run: bool, delete: int, anew: bool, build_first: bool, as_built: bool
) -> None:
    """Put the built site of CONTENT where 'publish' in workshop.yaml says: a folder or mounted disk, SFTP, a branch of a
    git repository, S3 storage, WebDAV or FTPS.

    Only what changed is sent: contents first, then pages, deletions last. Whatever stops it, nothing half is served, and
    the next run goes on from there. Files of others stay. One computer at a time publishes to a place. Where records
    changed after the site was built, it says so and sends nothing: build it first, or with --build.

    No password stands in workshop.yaml. SSH takes its agent or a key; everything else takes PASSPORT_PUBLISH_SECRET,
    which holds the host, a colon and the password or token ('web.example:…'), or the system's keyring, or asks.
    """
    site, wish = site or site_of(content), Wish(dry_run, delete, anew, as_built)
    if build_first:
        _build(content, site)
    try:
        done = publish(content, site, wish, _UploadBar(), _asking())
    except RecordsNewer as error:
        if build_first or not at_terminal():
            raise
        click.echo(str(error).partition("\n")[0], err=True)
        if not confirmed(worded("Build it and publish?"), yes=False):
            raise
        _build(content, site)
        done = publish(content, site, wish, _UploadBar(), _asking())
    if dry_run:
        _preview(done)
    else:
        _summary(done)
        click.echo(
            worded(
                "Its address is {address}; what the web serves there is told by: passport verify {content}",
                address=done.address,
                content=content,
            )
        )


def _build(content: Path, site: Path) -> None:
    if not build_as_before(content, site):
        sys.exit(1)


class _UploadBar:
    """A person at a terminal: a bar with files, bytes and the rate; nothing where no terminal is."""

    def say(self, words: str) -> None:
        click.echo(words, err=True)

    @contextmanager
    def sending(self, files: int, size: int) -> Iterator[Told]:
        if not sys.stderr.isatty():
            yield lambda files, size: None
            return
        from rich.console import Console
        from rich.progress import (
            BarColumn,
            DownloadColumn,
            Progress,
            TextColumn,
            TimeRemainingColumn,
            TransferSpeedColumn,
        )

        columns = (
            TextColumn("{task.description}"), BarColumn(), DownloadColumn(), TransferSpeedColumn(), TimeRemainingColumn()
        )  # fmt: skip
        with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
            task = bar.add_task(worded("0 of {counted}", counted=counted(files, "file")), total=size)
            yield lambda done, sent: bar.update(
                task,
                description=worded("{done} of {counted}", done=done, counted=counted(files, "file")),
                completed=sent,
            )


def _asking() -> Asking:
    return (lambda question: str(click.prompt(question, hide_input=True, err=True))) if at_terminal() else None


def _preview(done: Published) -> None:
    plan = done.plan
    up = [mark.path for mark in (*plan.contents, *plan.pages)]
    new = [path for path in up if path in plan.new]
    changed = [path for path in up if path not in plan.new]
    for mark, said, paths in (
        ("+", worded("new"), new),
        ("~", worded("changed"), changed),
        ("-", worded("going away"), plan.gone),
    ):
        if paths:
            click.echo(f"{counted(len(paths), 'file')} {said}:")
            click.echo("\n".join(f"  {mark} {path}" for path in paths[:_SHOWN]))
            if len(paths) > _SHOWN:
                click.echo(worded("  … and {paths} more", paths=len(paths) - _SHOWN))
    if plan.lost:
        more = worded("; that takes --delete {lost}", lost=len(plan.lost)) if plan.too_many else ""
        click.echo(
            worded("{counted} would no longer be there{more}.", counted=counted(len(plan.lost), "passport"), more=more)
        )
    if plan.nothing:
        click.echo(worded("'{place}' is up to date.", place=done.place))
    else:
        click.echo(
            worded(
                "Nothing was sent. It would be {size:.1f} MB to '{place}'.",
                size=plan.size / 1e6,
                place=done.place,
            )
        )


def _summary(done: Published) -> None:
    plan = done.plan
    if plan.nothing:
        click.echo(worded("'{place}' is up to date: nothing was sent.", place=done.place))
    else:
        sent = len(plan.contents) + len(plan.pages)
        rate = plan.size / 1e6 / max(done.seconds, 0.001)
        gone = worded(", {gone} taken away", gone=len(plan.gone)) if plan.gone else ""
        click.echo(
            worded(
                "{counted} sent{gone}: {size:.1f} MB in {seconds:.1f} s ({rate:.1f} MB/s) to '{place}'.",
                counted=counted(sent, "file"),
                gone=gone,
                size=plan.size / 1e6,
                seconds=done.seconds,
                rate=rate,
                place=done.place,
            )
        )
