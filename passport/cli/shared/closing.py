"""What ``erase`` and ``retire`` share: which site, and an address whose record is gone closed."""

from pathlib import Path

import click

from passport.acts import erase
from passport.acts.change import Base
from passport.cli.shared.change import said
from passport.cli.shared.dialogue import at_terminal, confirmed
from passport.cli.shared.folder import site_of
from passport.publish.folder.foreign import MARK
from passport.records.language.worded import worded


def own_site(content: Path, site: Path | None) -> Path | None:
    """The site to erase from. Ends the command where one was named that this program did not make."""
    if site is None:
        usual = site_of(content)
        return usual if (usual / MARK).is_file() else None
    if not (site / MARK).is_file():
        raise click.UsageError(
            worded("'{site}' is not a site that this program made. Name the folder that was built.", site=site)
        )
    return site


def agree(plan: str, question: str, *, yes: bool) -> None:
    """Show a plan and ask. Ends the command where the answer is no, or nobody is there to give one."""
    click.echo(plan)
    if not yes and not at_terminal():
        raise click.ClickException(
            worded("Nothing was erased: nobody is here to agree. Add --yes to do it all the same.")
        )
    if not confirmed(question, yes=yes, default=False):
        raise click.ClickException(worded("Nothing was erased."))


def close_one(base: Base, who: str, site: Path | None, *, yes: bool) -> bool:
    """Close an address whose record is gone, named by its passport number or key; False where it is no such address."""
    line = erase.open_without_record(base, who)
    if line is None:
        return False
    agree(
        worded("The address of {value} has no record; it is closed for good.", value=line.number or line.key),
        worded("Close it?"),
        yes=yes,
    )
    erase.close(base, line, site, said)
    click.echo(
        worded(
            "Closed. Next: passport build {root} --out {value}",
            root=base.records.root,
            value=site or site_of(base.records.root),
        )
    )
    return True
