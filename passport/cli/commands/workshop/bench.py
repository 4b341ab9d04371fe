"""``passport bench``: the bench in a browser of this computer, and where wanted of devices in the room."""

import signal
import sys
import threading
import webbrowser
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from passport.acts.devices.atlogin import NAME, login_files, set_up, taken_away
from passport.acts.devices.handed import hand_over, handed_over, take_back
from passport.acts.refused import Refused
from passport.cli.shared.folder import FOLDER, site_of
from passport.records.language.worded import worded

if TYPE_CHECKING:
    from passport.browser.devices.room import RoomServing, RoomWish


@click.command(name="bench", epilog="Example: passport bench content_demo")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.option(
    "--port", default=8030, show_default=True, type=click.IntRange(0, 65535), help="The port; 0 for any that is free."
)
@click.option("--site", type=FOLDER, show_default="site", help="The folder of the site that is built from it.")
@click.option("--open", "opens", is_flag=True, help="Open this computer's browser on it.")
@click.option("--phone", is_flag=True, help="Answer devices of the room's network that were paired, too; encrypted.")
@click.option(
    "--phone-port", default=8031, show_default=True, type=click.IntRange(0, 65535), help="The port for those devices."
)
@click.option(
    "--address", metavar="IP", help="This computer's address in that network, where the one found is another."
)
@click.option("--plain-http", is_flag=True, help="For those devices without encryption; contact data stay here then.")
@click.option("--at-login", is_flag=True, help="Write an icon that opens it and a start at log-in; it tells each file.")
@click.option("--not-at-login", is_flag=True, help="Take both away again.")
def command(
    content: Path,
    port: int,
    site: Path | None,
    opens: bool,
    phone: bool,
    phone_port: int,
    address: str | None,
    plain_http: bool,
    at_login: bool,
    not_at_login: bool,
) -> None:
    """Work at the bench in a browser of this computer: the rack, each frame at the machine, jobs, the way back.

    Whatever is saved there is written into the records of CONTENT as the commands do it, and 'passport undo' takes it
    back. The address that is shown opens one browser; another one is then shown for the next. It answers this computer
    alone, unless --phone is given: then the screen 'Devices' shows a code that pairs a phone or tablet in the same
    room. It is told apart from others by a key of its own, is shown the bench without contact data unless it may see
    everything, and is let in until it is forgotten there. Stop it with Ctrl-C.

    With --at-login it is started, with the options beside it, whenever you log in, and an icon opens the browser on it:
    no terminal is needed then. On macOS and Windows that was not tried yet.
    """
    if not (content / "workshop.yaml").is_file():
        raise click.UsageError(
            worded("There is no workshop.yaml in '{content}'. Name the folder that holds it.", content=content)
        )
    if (address or plain_http) and not phone:
        raise click.UsageError(worded("--address and --plain-http are for devices in the room: add --phone."))
    if at_login or not_at_login:
        said: tuple[str, ...] = ("--phone", "--phone-port", str(phone_port)) if phone else ()
        said += ("--site", str(site.resolve())) if site else ()
        said += (("--address", address) if address else ()) + (("--plain-http",) if plain_http else ())
        _at_login(content, ("--port", str(port), *said), wanted=at_login)
        return
    running = handed_over(content) if opens else None
    if running:
        webbrowser.open(running)
        click.echo(worded("It runs already, and is opened in the browser."))
        return
    from passport.browser.serving import Serving  # brings the web server

    def fresh(opening: str) -> None:
        click.echo(worded("For another browser: {opening}", opening=opening))
        _hand_over(content, opening)

    wish = _wish(address, phone_port, plain_http) if phone else None
    try:
        serving = Serving(content, port, fresh, wish)
    except OSError as error:
        which = worded("Port {port}", port=port) + (
            worded(", or {phone_port} of {address},", phone_port=phone_port, address=wish.address) if wish else ""
        )
        raise click.ClickException(
            worded("{which} cannot be used: {strerror}. Try --port 0.", which=which, strerror=error.strerror)
        ) from None
    serving.bench.site = site or site_of(content)
    click.echo(worded("The bench: {address}", address=serving.address))
    _hand_over(content, serving.address)
    _tell(serving.room)
    # A shell that begins this in the background has Ctrl-C ignored; it stops the bench all the same, from here on and
    # not only once the server has begun.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with suppress(KeyboardInterrupt):
            click.echo(worded("Ctrl-C stops it."))
            if opens:
                threading.Thread(target=webbrowser.open, args=(serving.address,), daemon=True).start()
            serving.run()
    finally:
        take_back(content)
    click.echo(worded("\nStopped."))


def _hand_over(content: Path, address: str) -> None:
    """Keep the address for the icon; the bench works without."""
    with suppress(Refused):
        hand_over(content, address)


def _at_login(content: Path, said: tuple[str, ...], *, wanted: bool) -> None:
    """Write what starts the bench without a terminal, or take it away, and tell each file."""
    program = Path(sys.executable).with_name("passport.exe" if sys.platform == "win32" else "passport")
    begin = (
        (str(program),) if program.is_file() else (sys.executable, "-c", "from passport.cli.main import main; main()")
    )
    files = login_files((*begin, "bench", str(content.resolve()), *said))
    if not wanted:
        gone = taken_away(files)
        click.echo(
            "\n".join([worded("Taken away:"), *(f"  {path}" for path in gone)])
            if gone
            else worded("There was nothing to take away.")
        )
        return
    set_up(files)
    click.echo("\n".join([worded("Written:"), *(f"  {one.path}  ({one.what})" for one in files)]))
    if sys.platform.startswith("linux"):
        click.echo(worded("It starts when you log in next; at once by: systemctl --user start {name}", name=NAME))
    else:
        click.echo(
            worded("It starts when you log in next. Nobody has tried that on this system yet: please tell how it went.")
        )
    click.echo(worded("All of it is taken away by: passport bench {content} --not-at-login", content=content))


def _wish(address: str | None, port: int, plain: bool) -> "RoomWish":
    from passport.browser.devices.room import RoomWish, own_address

    found = address or own_address()
    if not found:
        raise click.ClickException(
            worded("This computer is in no network now. Join one, or name its address: --address …")
        )
    return RoomWish(found, port, plain)


def _tell(serving: "RoomServing | None") -> None:
    if serving is None:
        return
    room = serving.room
    click.echo(worded("For devices in the room: {address}. 'Devices' in the bench pairs one.", address=room.address))
    if room.plain:
        click.echo(
            worded(
                "  Unencrypted: whoever is in that network can read the names, frames and notes that such a "
                "device shows,\n  what it sends, and the key by which it is let in. Contact data are shown on "
                "this computer alone."
            )
        )
    else:
        click.echo(worded("  Its certificate's SHA-256: {fingerprint}", fingerprint=":".join(room.fingerprint)))
