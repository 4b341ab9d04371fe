"""``passport verify``: ask the web what it really serves."""

import json
import sys
from itertools import groupby
from pathlib import Path
from typing import Any

import click

from passport.acts.count import counted
from passport.acts.publishing.verify import Dated, Verified, verify
from passport.cli.shared.common import FOLDER, today
from passport.cli.shared.folder import site_of
from passport.cli.shared.printed import progress_bar
from passport.records.language.worded import worded

_SHOWN = 5


@click.command(name="verify", epilog="Example: passport verify content_demo --sample 200")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option(
    "--site", type=FOLDER, show_default="site", help="The folder that was built; without one the manifest on-line."
)
@click.option(
    "--sample",
    type=click.IntRange(0),
    default=100,
    show_default=True,
    metavar="N",
    help="How many of the files that did not change are asked for.",
)
@click.option("--all", "everything", is_flag=True, help="Ask for every file.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as data.")
def command(content: Path, site: Path | None, sample: int, everything: bool, as_json: bool) -> None:
    """Ask the address of CONTENT what it really serves, and hold it against what was built.

    Asked for are the manifest, every page that changed, every closed, lost and erased address, a sample of the rest; how
    the host serves them, until when its certificate lasts, whether it lists folders or shows records, and whether the
    addresses on earlier cards still lead here. It changes nothing. Exit code 1 where something is wrong: for a daily run.
    """
    with progress_bar(worded("Asking")) as progress:
        found = verify(content, site or site_of(content), None if everything else sample, progress)
    if as_json:
        click.echo(json.dumps(_data(found), ensure_ascii=False, indent=2))
    else:
        _tell(found)
    sys.exit(1 if found.wrong else 0)


def _tell(found: Verified) -> None:
    for (wrong, _), same in groupby(found.found, key=lambda one: (one.finding.wrong, one.finding.rule)):
        group = list(same)
        for one in group[:_SHOWN]:
            click.echo(
                worded("Wrong: {what}{since}", what=one.finding.what, since=_since(one))
                if wrong
                else worded("Note: {what}{since}", what=one.finding.what, since=_since(one))
            )
        if len(group) > _SHOWN:
            click.echo(worded("  … and {group} more of this kind.", group=len(group) - _SHOWN))
        click.echo(f"  {group[0].finding.do}")
    click.echo(_summary(found))


def _since(one: Dated) -> str:
    return worded(" (since {since})", since=one.since) if one.since < today() else ""


def _summary(found: Verified) -> str:
    wrong = sum(one.finding.wrong for one in found.found)
    parts = [worded("{address}: {asked:,} addresses asked", address=found.address, asked=found.asked)]
    if found.same is not None:
        parts.append(
            worded("the site on-line is the one built here")
            if found.same
            else worded("the site on-line is another build")
        )
    if found.closed:
        parts.append(worded("{closed} closed for good and proven so", closed=found.closed))
    if found.ends:
        parts.append(worded("the certificate lasts until {ends}", ends=found.ends))
    parts.append(worded("{counted} wrong", counted=counted(wrong, "thing")) if wrong else worded("nothing wrong"))
    return "; ".join(parts) + "."


def _data(found: Verified) -> dict[str, Any]:
    return {
        "address": found.address,
        "asked": found.asked,
        "passports": found.passports,
        "closed": found.closed,
        "same_build": found.same,
        "certificate_ends": found.ends.isoformat() if found.ends else None,
        "findings": [
            {
                "wrong": one.finding.wrong,
                "rule": one.finding.rule,
                "path": one.finding.path,
                "what": one.finding.what,
                "do": one.finding.do,
                "since": one.since.isoformat(),
            }
            for one in found.found
        ],
    }
