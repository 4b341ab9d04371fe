"""``passport schema``: JSON Schemas for editors."""

import json
from pathlib import Path

import click

from passport.cli.shared.common import FOLDER, refuse_records, writing
from passport.records.language.worded import worded


@click.command(name="schema", epilog="Example: passport schema --out schemas")
@click.option("--out", type=FOLDER, default=Path("schemas"), show_default=True, help="The folder to write.")
def command(out: Path) -> None:
    """Write a JSON Schema for each kind of record, for editors that complete and check YAML, and that of a setup's file."""
    from passport.records.exchange import setup  # takes a moment, and only this command needs it
    from passport.records.jsonschemas import schemas

    refuse_records(out, "--out")
    with writing(worded("The schemas")):
        out.mkdir(parents=True, exist_ok=True)
        for name, schema in schemas().items():
            (out / f"{name}.schema.json").write_text(json.dumps(schema, indent=2) + "\n", encoding="utf-8")
            click.echo(out / f"{name}.schema.json")
        published = out / Path(setup.SCHEMA_FILE).name
        published.write_text(json.dumps(setup.schema(), indent=1) + "\n", encoding="utf-8")
        click.echo(published)
