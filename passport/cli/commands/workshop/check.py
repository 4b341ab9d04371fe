"""``passport check``: read everything, report every fault."""

import json
import sys
from pathlib import Path

import click

from passport.acts.addresses import faults_of
from passport.acts.count import counted
from passport.acts.reading import surveyed
from passport.cli.shared.common import FOLDER, report
from passport.records.faults import has_errors
from passport.records.language.worded import worded


@click.command(name="check", epilog="Example: passport check content_demo")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--json", "as_json", is_flag=True, help="Print the faults as data.")
def command(content: Path, as_json: bool) -> None:
    """Read the records and the ledger in CONTENT and report every fault: where, what is wrong, what to do.

    Warnings stop nothing. Exit code 0 without errors, 1 with errors.
    """
    records, faults = surveyed(content)
    faults = [*faults, *faults_of(content, records)]
    errors = sum(fault.severity == "error" for fault in faults)
    if as_json:
        click.echo(
            json.dumps({"errors": errors, "warnings": len(faults) - errors, "faults": [f.data() for f in faults]})
        )
    else:
        report(faults)
        players, frames = len(records.players), len(records.frames)
        click.echo(
            worded(
                "{counted} of {counted2} read: {counted3}, {counted4}.",
                counted=counted(frames, "frame"),
                counted2=counted(players, "player"),
                counted3=counted(errors, "error"),
                counted4=counted(len(faults) - errors, "warning"),
            ),
            err=bool(errors),
        )
    sys.exit(1 if has_errors(faults) else 0)
