"""``passport preview``: the site on this computer, and if wanted on the phone in the same room, following each save."""

import signal
from contextlib import closing, suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from passport.acts.reading import checked
from passport.cli.shared.common import FOLDER
from passport.records.language.worded import worded

if TYPE_CHECKING:
    from passport.browser.previewing import PreviewServing
    from passport.publish.build.preview import Preview


@click.command(name="preview", epilog="Example: passport preview content_demo")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option(
    "--port", default=8020, show_default=True, type=click.IntRange(0, 65535), help="The port; 0 for any that is free."
)
@click.option(
    "--lan", is_flag=True, help="Answer other devices of the network too, such as the phone in the same room."
)
@click.option("--no-cards", is_flag=True, help="Leave out the PDF cards.")
def command(content: Path, port: int, lan: bool, no_cards: bool) -> None:
    """Show the site of CONTENT while you work on it; a saved record shows within a second.

    Errors in the records are shown in the browser. Nothing is written. It answers this computer alone; with --lan
    anybody in the same network can open a page whose address they know while this runs, and the list of all frames stays
    for this computer. Stop it with Ctrl-C.
    """
    if not (content / "workshop.yaml").is_file():
        raise click.UsageError(
            worded("There is no workshop.yaml in '{content}'. Name the folder that holds it.", content=content)
        )
    from passport.browser.devices.room import own_address  # brings the web server
    from passport.publish.build.preview import Preview

    preview, room = Preview(content, checked, cards=not no_cards and _cards()), own_address() if lan else ""
    if lan and not room:
        raise click.ClickException(worded("This computer is in no network now. Join one, or leave --lan out."))
    serving = _serving(preview, port, room)
    with preview.watch(), closing(serving):
        _greet(serving.port, room)
        # A shell that begins this in the background has Ctrl-C ignored; it stops it all the same, from here on.
        signal.signal(signal.SIGINT, signal.default_int_handler)
        with suppress(KeyboardInterrupt):
            click.echo(worded("Ctrl-C stops it."))
            serving.run()
    click.echo(worded("\nStopped."))


def _serving(preview: "Preview", port: int, room: str) -> "PreviewServing":
    from passport.browser.previewing import PreviewServing

    try:
        return PreviewServing(preview, port, room)
    except OSError as error:
        raise click.ClickException(
            worded("Port {port} cannot be used: {strerror}. Try --port 0.", port=port, strerror=error.strerror)
        ) from None


def _cards() -> bool:
    from passport.render.print import pdf

    problem = pdf.available()
    if problem:
        click.echo(problem, err=True)
    return problem is None


def _greet(port: int, room: str) -> None:
    click.echo(worded("All frames:  http://127.0.0.1:{port}/-frames", port=port))
    click.echo(worded("The site:    http://127.0.0.1:{port}/", port=port))
    if room:
        address = f"http://{room}:{port}/"
        click.echo(worded("On a phone in the same network:  {address}\n", address=address))
        _code(address)


def _code(address: str) -> None:
    """The address as a code on the terminal, for the phone's camera."""
    import qrcode

    code = qrcode.QRCode(border=2, error_correction=qrcode.constants.ERROR_CORRECT_L)
    code.add_data(address)
    rows = code.get_matrix()
    rows = [*rows, *([[False] * len(rows[0])] if len(rows) % 2 else [])]
    for top, foot in zip(rows[::2], rows[1::2], strict=True):
        click.echo("".join(" ▄▀█"[2 * (not a) + (not b)] for a, b in zip(top, foot, strict=True)))
