"""``passport tell``: a player is told that work is done, strings are due, or a replacement is built."""

import getpass
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import get_args

import click

from passport.acts.change import Base
from passport.acts.clock import now, today
from passport.acts.count import counted
from passport.acts.picking import owners, pick
from passport.acts.refused import Refused
from passport.acts.telling.addressed import mailto, sms
from passport.acts.telling.post import mail, password_of, sender_of, sent
from passport.acts.telling.tell import Letter, due_of, letter, to_collect, told, waiting
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import ask, at_terminal, confirmed
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.schema.player import Message, Way
from passport.workshop.entry.phrases import Unclear
from passport.workshop.strings.due import DueEntry

_WAYS: dict[str, Way] = {"mail": "mail", "text": "text message", "send": "mail", "said": "told in person"}
_SIGNS = {"m": "mail", "t": "text", "s": "send", "p": "said"}


@click.command(
    name="tell",
    epilog="Example: passport tell content_demo 1042-9 --show\n\nExample of all whose strings are due: "
    "passport tell content_demo --due --show",
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="[NUMBER-OR-NAME]", default="")
@click.option("--what", type=click.Choice(get_args(Message)), help="What to tell; what there is to tell unless said.")
@click.option("--due", "due_ones", is_flag=True, help="Everybody whose strings are due and who was not told yet.")
@click.option("--done", "done_ones", is_flag=True, help="Everybody whose order is done and not collected yet.")
@click.option(
    "--within",
    type=click.IntRange(0, 3650),
    default=0,
    show_default=True,
    metavar="DAYS",
    help="With --due: look ahead.",
)
@click.option("--mail", "way", flag_value="mail", help="Open it in the mail program.")
@click.option("--text", "way", flag_value="text", help="Open it in the message program.")
@click.option("--send", "way", flag_value="send", help="Send it by the shop's own mail server, after a look.")
@click.option("--said", "way", flag_value="said", help="It was told in person: keep that.")
@click.option("--show", is_flag=True, help="Show the message, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask: it is sent, or was said.")
@click.option("--sure", is_flag=True, help="Tell it once more, though it was told since the last work.")
def command(
    content: Path,
    frame: str,
    what: Message | None,
    due_ones: bool,
    done_ones: bool,
    within: int,
    way: str | None,
    show: bool,
    yes: bool,
    sure: bool,
) -> None:
    """Tell a player that the work on NUMBER-OR-NAME is done, that its strings are due, or that a replacement is built.

    The message is in the player's language and says no more than the records do. It opens in the mail or message program
    of this computer, or is sent by the shop's own server after a look and a yes. Who was told what and when is kept,
    private; who wants no messages ('passport player NAME --messages no') is left alone.
    """
    if bool(frame) + due_ones + done_ones != 1:
        raise click.UsageError(
            worded("Name a frame, or say --due or --done for everybody whose strings are due, or work done.")
        )
    if due_ones:
        _all_due(content, within, way, show=show, yes=yes)
        return
    base = base_of(content, owners(content, frame) if frame else None)
    if done_ones:
        for frames in to_collect(base.records).values():
            base = _one_of_many(base, frames, "done", {}, way, show=show, yes=yes)
        click.echo(worded("Nobody else is to be told that a racquet is done."))
        return
    entry = pick(base.records, frame)
    due = due_of(content, {entry.name}, today()) if what in (None, "due") else {}
    found = letter(base.records, [entry], what, today(), due)
    if found.told and not (sure or show):
        raise click.ClickException(
            worded(
                "{player} was told that on {told} already. Add --sure to tell it once more.",
                player=found.player,
                told=found.told,
            )
        )
    _told(base, found, way, show=show, yes=yes)


def _one_of_many(
    base: Base,
    frames: Sequence[Entry[Frame]],
    what: Message,
    due: Mapping[str, DueEntry],
    way: str | None,
    *,
    show: bool,
    yes: bool,
) -> Base:
    """Tell one player of several; where that fails it is said, and the next one can be told all the same."""
    try:
        base = _told(base, letter(base.records, frames, what, today(), due), way, show=show, yes=yes)
    except Refused as refused:
        click.echo(worded("Error: {refused}", refused=refused), err=True)
    click.echo()
    return base


def _all_due(content: Path, within: int, way: str | None, *, show: bool, yes: bool) -> None:
    """Everybody whose strings are due, one player after the other."""
    left_alone = told_before = 0
    for folder, frames in waiting(content, today(), within).items():
        fresh = {one.frame: one for one in frames if one.messages and not one.told}
        left_alone += not frames[0].messages
        told_before += frames[0].messages and not fresh
        if fresh:
            base = base_of(content, {folder})
            entries = [base.records.frames[name] for name in fresh]
            _one_of_many(base, entries, "due", fresh, way, show=show, yes=yes)
    click.echo(
        worded(
            "{counted} told already; {left_alone} want no messages.",
            counted=counted(told_before, "player"),
            left_alone=left_alone,
        )
    )


def _told(base: Base, found: Letter, way: str | None, *, show: bool, yes: bool) -> Base:
    """Show a message, tell it, keep that it was told; the records as they are then."""
    _look(found)
    if show:
        return base
    way = way or _asked(found)
    if not way:
        click.echo(worded("Nothing was sent."))
        return base
    address = _address(found, way)
    if way == "send":
        _send(base.records, found, address, yes=yes)
    elif way != "said":
        link = (
            mailto(address, found.words.subject, found.words.text) if way == "mail" else sms(address, found.words.short)
        )
        if click.launch(link):
            raise Refused(
                worded("No program for that could be started. What is above can be copied, or sent with --send.")
            )
        if not confirmed(worded("Was it sent?"), yes=yes):
            click.echo(worded("Not kept as sent."))
            return base
    make = partial(told, letter=found, by=_WAYS[way], to=address, day=today())
    after = carry_out(base.records.root, "passport tell", make, Options(yes=True), base)
    if after is None:
        return base
    click.echo(
        worded(
            "Kept: {player} was told of {frames} on {today}.", player=found.player, frames=_frames(found), today=today()
        )
    )
    return Base(after, base.faults, base.players)


def _frames(found: Letter) -> str:
    return ", ".join(number or name for name, number in found.frames)


def _look(found: Letter) -> None:
    """Show a message as it will be read."""
    reach = ", ".join(filter(None, (found.email, found.phone))) or worded("no way to reach them is noted")
    click.echo(f"{click.style(_frames(found), bold=True)}  {found.player}: {reach}")
    click.echo(f"  {click.style(found.words.subject, bold=True)}")
    for line in found.words.text.splitlines():
        click.echo(f"  {line}".rstrip())


def _asked(found: Letter) -> str:
    """How to tell it; nothing where it is left. Raises Refused where nobody can be asked."""
    if not at_terminal():
        raise Refused(worded("Say how to tell it: --mail, --text, --send or --said; --show shows it alone."))
    signs = [sign for sign, way in _SIGNS.items() if way == "said" or _reachable(found, way)]
    names = {
        "m": worded("m mail program"),
        "t": worded("t message program"),
        "s": worded("s send by the shop's server"),
        "p": worded("p told in person"),
    }

    def known(text: str) -> None:
        if text not in signs:
            raise Unclear(worded("Type one of {signs}, or Enter to leave it.", signs=", ".join(signs)))

    sign = ask(worded("{signs}; Enter leaves it", signs=", ".join(names[sign] for sign in signs)), read=known)
    return _SIGNS.get(sign, "")


def _reachable(found: Letter, way: str) -> bool:
    return bool(found.phone if way == "text" else found.email)


def _address(found: Letter, way: str) -> str:
    """Where a message goes. Raises Refused where that is not noted."""
    if way == "said":
        return ""
    if not _reachable(found, way):
        kind, option = (worded("telephone number"), "phone") if way == "text" else (worded("e-mail address"), "email")
        raise Refused(
            worded(
                "No {kind} of {player} is noted. To note one: passport player CONTENT NAME --{option} …",
                kind=kind,
                player=found.player,
                option=option,
            )
        )
    return found.phone if way == "text" else found.email


def _send(records: Content, found: Letter, address: str, *, yes: bool) -> None:
    """Send a mail by the shop's own server, after a yes. Raises Refused."""
    assert records.workshop, "content without a workshop is not read"
    shop = records.workshop.record
    sender = sender_of(shop.mail, shop.contact.email)
    if not yes and not at_terminal():
        raise Refused(worded("Nothing was sent: nobody is here to agree. Add --yes to send it all the same."))
    if not confirmed(worded("Send this to {address}?", address=address), yes=yes, default=False):
        raise Refused(worded("Nothing was sent."))
    hidden: Callable[[str], str] | None = getpass.getpass if at_terminal() else None
    password = password_of(shop.mail, hidden)
    sent(mail(found.words, shop.name, sender, address, now()), shop.mail, password)
