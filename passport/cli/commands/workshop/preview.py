"""``passport preview``: the site on this computer, and if wanted on the phone in the same room, following each save."""

import socket
from pathlib import Path

import click

from passport.acts.reading import checked
from passport.cli.shared.common import FOLDER
from passport.publish.build.local_server import LocalServer
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
        raise click.UsageError(f"There is no workshop.yaml in '{content}'. Name the folder that holds it.")
    preview = Preview(content, checked, cards=not no_cards and _cards())
    try:
        server = LocalServer(
            lambda asked: preview.answer(asked.path, at_the_bench=asked.at_the_bench), port=port, lan=lan
        )
    except OSError as error:
        raise click.ClickException(f"Port {port} cannot be used: {error.strerror}. Try --port 0.") from None
    with server, preview.watch():
        _greet(server.port, lan)
        try:
            server.serve()
        except KeyboardInterrupt:
            click.echo("\nStopped.")


def _cards() -> bool:
    from passport.render.print import pdf

    problem = pdf.available()
    if problem:
        click.echo(problem, err=True)
    return problem is None


def _greet(port: int, lan: bool) -> None:
    click.echo(f"All frames:  http://127.0.0.1:{port}/-frames")
    click.echo(f"The site:    http://127.0.0.1:{port}/")
    if lan:
        address = f"http://{_own_address()}:{port}/"
        click.echo(f"On a phone in the same network:  {address}\n")
        _code(address)
    click.echo("Ctrl-C stops it.")


def _code(address: str) -> None:
    """The address as a code on the terminal, for the phone's camera."""
    import qrcode

    code = qrcode.QRCode(border=2, error_correction=qrcode.constants.ERROR_CORRECT_L)
    code.add_data(address)
    rows = code.get_matrix()
    rows = [*rows, *([[False] * len(rows[0])] if len(rows) % 2 else [])]
    for top, foot in zip(rows[::2], rows[1::2], strict=True):
        click.echo("".join(" ▄▀█"[2 * (not a) + (not b)] for a, b in zip(top, foot, strict=True)))


def _own_address() -> str:
    """This computer's address in its network; choosing a route for a datagram sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address kept for documentation, RFC 5737
            return str(probe.getsockname()[0])
        except OSError:
            return "127.0.0.1"
