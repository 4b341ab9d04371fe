"""``passport trust``: let a content folder's own templates do more than the sandbox lets them."""

from pathlib import Path

import click

from passport.cli.shared.common import FOLDER, writing
from passport.cli.shared.dialogue import at_terminal, confirmed
from passport.records.disk import walking
from passport.records.language.worded import worded
from passport.render.untrusted import trust


@click.command(name="trust", epilog="Example: passport trust content_demo --yes")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option("--forget", is_flag=True, help="End the trust.")
@click.option("--yes", is_flag=True, help="Ask nothing.")
def command(content: Path, forget: bool, yes: bool) -> None:
    """Trust the templates in CONTENT's own folder 'templates', as they are now, to run as a program.

    Without trust they work, too, but in a sandbox: they draw pages, and can do nothing else. Trusted ones can do
    whatever you can do on this computer: read each of them first, and trust nobody else's folder. It is remembered on
    this computer, outside CONTENT, and ends when one of the templates changes.
    """
    if not (content / "workshop.yaml").is_file():
        raise click.UsageError(
            worded("There is no workshop.yaml in '{content}'. Name the folder that holds it.", content=content)
        )
    if forget:
        with writing(f"'{trust.place()}'"):
            trust.distrust(content)
        click.echo(worded("They run in the sandbox from now on."))
        return
    own = [path for path in walking.files(content, "templates", hidden=True) if path.suffix == ".j2"]
    if not own:
        click.echo(worded("This folder has no templates of its own, so there is nothing to trust."))
        return
    if trust.trusted(content):
        click.echo(worded("They are trusted already."))
        return
    for path in own:
        click.echo(f"  {path}")
    if not yes and not at_terminal():
        raise click.ClickException(
            worded("Nothing was changed: nobody is here to agree. Add --yes once you have read them.")
        )
    if not confirmed(worded("Did you read them, and may they run as a program?"), yes=yes, default=False):
        click.echo(worded("Nothing was changed."))
        return
    with writing(f"'{trust.place()}'"):
        trust.trust(content)
    click.echo(worded("Trusted as they are now; a change of one of them ends it."))
