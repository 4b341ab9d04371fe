"""``passport fonts``: typefaces for names in other scripts."""

import sys
from pathlib import Path

import click

from passport.acts.typefaces.adding import Needs, needs, packages, take
from passport.cli.shared.common import FOLDER
from passport.records.language.worded import worded
from passport.render.faces.known import KNOWN


@click.command(name="fonts", epilog="Example: passport fonts content_demo --take")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--take", "taking", is_flag=True, help="Take what is missing from this computer's own typefaces.")
@click.option(
    "--from",
    "places",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="FILE|FOLDER",
    help="Take it from here; once for each file or folder.",
)
def command(content: Path, taking: bool, places: tuple[Path, ...]) -> None:
    """Say which typefaces the names in CONTENT lack, and take them into its folder 'fonts'.

    Latin with its accents, Vietnamese, Greek and Cyrillic are there from the start. For Arabic, Hebrew, Devanagari,
    Bengali, Tamil, Thai, Khmer, Chinese, Japanese and Korean, files of the Noto families are taken, and only those whose
    bytes this program knows: so the same records print the same everywhere. Exit code 1 where something is still missing.
    """
    found = needs(content)
    if taking or places:
        wanted = [one for need in found.scripts for one in need.files] if found.scripts else [*KNOWN] if places else []
        for one in take(content, wanted, [*places] or None):
            click.echo(
                worded(
                    "{one} is in '{content}' now, for {script}.",
                    one=one.name,
                    content=content / "fonts",
                    script=one.script,
                )
            )
        found = needs(content)
    _say(found, content)
    sys.exit(1 if found.scripts or found.foreign else 0)


def _say(found: Needs, content: Path) -> None:
    for need in found.scripts:
        names = ", ".join(one.name for one in need.files)
        click.echo(
            worded(
                "{script}: {signs} signs have no typeface, as in: {example}",
                script=need.script,
                signs=len(need.signs),
                example=need.example,
            )
        )
        click.echo(
            worded(
                "  {names} have them (the package {packages} of Debian and Ubuntu).",
                names=names,
                packages=packages(need.files)[0],
            )
        )
    if found.scripts:
        files = " ".join(packages(one for need in found.scripts for one in need.files))
        click.echo(
            worded(
                "Install them (sudo apt install {files}) and run: passport fonts {content} --take",
                files=files,
                content=content,
            )
        )
        click.echo(worded("Or take the files from elsewhere: passport fonts {content} --from FOLDER", content=content))
    if found.foreign:
        click.echo(
            worded(
                "No typeface is known for: {foreign}. 'passport check' shows where they stand.",
                foreign=" ".join(found.foreign),
            )
        )
    if not found.scripts and not found.foreign:
        added = worded(" ({added} files added in 'fonts')", added=len(found.added)) if found.added else ""
        click.echo(worded("Every sign of the names at hand has a typeface{added}.", added=added))
