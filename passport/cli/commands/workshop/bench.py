"""``passport bench``: the bench in a browser of this computer."""

import threading
import webbrowser
from contextlib import suppress
from pathlib import Path

import click

from passport.cli.shared.folder import FOLDER, site_of


@click.command(name="bench", epilog="Example: passport bench content_demo")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option(
    "--port", default=8030, show_default=True, type=click.IntRange(0, 65535), help="The port; 0 for any that is free."
)
@click.option("--site", type=FOLDER, show_default="site", help="The folder of the site that is built from it.")
@click.option("--open", "opens", is_flag=True, help="Open this computer's browser on it.")
def command(content: Path, port: int, site: Path | None, opens: bool) -> None:
    """Work at the bench in a browser of this computer: the rack, each frame at the machine, jobs, the way back.

    Whatever is saved there is written into the records of CONTENT as the commands do it, and 'passport undo' takes it
    back. The address that is shown opens one browser; another one is then shown for the next. It answers this computer
    alone. Stop it with Ctrl-C.
    """
    if not (content / "workshop.yaml").is_file():
        raise click.UsageError(f"There is no workshop.yaml in '{content}'. Name the folder that holds it.")
    from passport.browser.serving import Serving  # brings the web server

    try:
        serving = Serving(content, port, said=lambda address: click.echo(f"For another browser: {address}"))
    except OSError as error:
        raise click.ClickException(f"Port {port} cannot be used: {error.strerror}. Try --port 0.") from None
    serving.bench.site = site or site_of(content)
    click.echo(f"The bench: {serving.address}")
    click.echo("Ctrl-C stops it.")
    if opens:
        threading.Thread(target=webbrowser.open, args=(serving.address,), daemon=True).start()
    # Where the shell that began this ignores Ctrl-C, the server stops by it all the same, without an exception.
    with suppress(KeyboardInterrupt):
        serving.run()
    click.echo("\nStopped.")
