"""``passport preview``: the site on this computer and on the phone in the same room, following each save."""

import http.server
import socket
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

import click

from passport.cli.shared.common import FOLDER, checked
from passport.publish.build.preview import Preview


@click.command(name="preview", epilog="Example: passport preview content_demo")
@click.argument("content", type=FOLDER)
@click.option(
    "--port", default=8020, show_default=True, type=click.IntRange(0, 65535), help="The port; 0 for any that is free."
)
@click.option("--here", is_flag=True, help="Answer this computer only, not the phone in the same room.")
@click.option("--no-cards", is_flag=True, help="Leave out the PDF cards.")
def command(content: Path, port: int, here: bool, no_cards: bool) -> None:
    """Show the site of CONTENT while you work on it; a saved record shows within a second.

    Errors in the records are shown in the browser. Nothing is written. Anybody in the same network can open a page
    whose address they know while this runs; the list of all frames is for this computer alone. Stop it with Ctrl-C.
    """
    if not (content / "workshop.yaml").is_file():
        raise click.UsageError(f"There is no workshop.yaml in '{content}'. Name the folder that holds it.")
    preview = Preview(content, checked, cards=not no_cards and _cards())
    try:
        server = http.server.ThreadingHTTPServer(("127.0.0.1" if here else "", port), _handler(preview))
    except OSError as error:
        raise click.ClickException(f"Port {port} cannot be used: {error.strerror}. Try --port 0.") from None
    _greet(server.server_port, here)
    try:
        server.serve_forever(poll_interval=0.2)
    except KeyboardInterrupt:
        click.echo("\nStopped.")
    finally:
        server.server_close()


def _cards() -> bool:
    from passport.render.print import pdf

    problem = pdf.available()
    if problem:
        click.echo(problem, err=True)
    return problem is None


def _greet(port: int, here: bool) -> None:
    click.echo(f"All frames:  http://127.0.0.1:{port}/-frames")
    click.echo(f"The site:    http://127.0.0.1:{port}/")
    if not here:
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


def _at_the_bench(client: str, host: str) -> bool:
    """Whether this computer asks, and by its own name: a page from elsewhere can have a browser ask under that one's."""
    name = urlsplit(f"//{host}").hostname
    return client in ("127.0.0.1", "::1") and name in ("127.0.0.1", "::1", "localhost")


def _handler(preview: Preview) -> type[http.server.BaseHTTPRequestHandler]:
    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            """Answer with what stands at the path now."""
            path = unquote(urlsplit(self.path).path)
            answer = preview.answer(
                path, at_the_bench=_at_the_bench(self.client_address[0], self.headers["Host"] or "")
            )
            self.send_response(answer.status)
            self.send_header("Content-Type", answer.kind)
            self.send_header("Content-Length", str(len(answer.data)))
            self.send_header("Cache-Control", "no-store")
            self.send_header("Referrer-Policy", "no-referrer")
            self.send_header("X-Content-Type-Options", "nosniff")
            self.end_headers()
            self.wfile.write(answer.data)

        def log_message(self, format: str, *args: Any) -> None:
            """Addresses of passports are not for the log."""

    return Handler
