"""``passport player``: what a player wishes, and how to reach them."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

import click

from passport.acts.amending import targets
from passport.acts.amending.correct import Corrections, corrected
from passport.acts.drafts import Draft
from passport.acts.picking import owners
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal
from passport.cli.talks.meeting import SaidBefore
from passport.cli.talks.values import AskedValue, differing, language_of, led, often_of, said_of
from passport.records.language.worded import unsaid, worded
from passport.records.load import Content
from passport.records.schema.base import SLUG
from passport.render.theme.formats import LANGUAGES
from passport.workshop.entry.newcomers import reach_of
from passport.workshop.entry.phrases import Unclear
from passport.workshop.entry.search import plain

_YES_OR_NO = ("yes", "no")


def _reached(text: str, place: int) -> None:
    if not reach_of(text)[place]:
        raise Unclear(worded("'{text}' is no {value}.", text=text, value=("e-mail address", "telephone number")[place]))


def _yes_or_no(text: str) -> None:
    if text not in _YES_OR_NO:
        raise Unclear(worded("Write yes or no."))


def _kg_or_lb(text: str) -> None:
    if text not in ("kg", "lb"):
        raise Unclear(worded("Write kg or lb."))


def _never(text: str) -> None:
    if text != "no":
        raise Unclear(worded("Write 'no' where the player wants none, '-' where messages are welcome again."))


def _bare(text: str) -> None:
    if text != "bare":
        raise Unclear(
            worded("Write 'bare' where the player wants nothing on the hoop, '-' where tape may be there again.")
        )


_VALUES = (
    AskedValue("name", unsaid("Name, as the pages show it"), "name"),
    AskedValue("full-name", unsaid("Full name, private"), "full_name"),
    AskedValue("reading", unsaid("Name as it is read aloud, in Latin letters"), "reading"),
    AskedValue("email", unsaid("E-mail"), "contact.email", partial(_reached, place=0)),
    AskedValue("phone", unsaid("Telephone"), "contact.phone", partial(_reached, place=1)),
    AskedValue("language", f"Language ({', '.join(LANGUAGES)})", "language", language_of),
    AskedValue("units", unsaid("Tensions first in (kg, lb)"), "units", _kg_or_lb),
    AskedValue("plays", unsaid("Plays how often a week"), "plays_a_week", often_of),
    AskedValue("history", unsaid("Pages show earlier jobs (yes, no)"), "shows.history", _yes_or_no),
    AskedValue("photos", unsaid("Pages show photos (yes, no)"), "shows.photos", _yes_or_no),
    AskedValue("serial", unsaid("Pages show the serial (yes, no)"), "shows.serial", _yes_or_no),
    AskedValue("messages", unsaid("Messages ('no': never asked again)"), "messages", _never),
    AskedValue("hoop", unsaid("Tape on the hoop ('bare': none)"), "hoop", _bare),
    AskedValue("note", unsaid("Wishes and remarks, for the bench alone"), "private_note"),
)
_HELP = {
    "name": "The public name, as pages show it.",
    "full-name": "The full name; private.",
    "reading": "How the name is read aloud, in Latin letters: it is found by that too.",
    "email": "E-mail address; '-' takes it out, as in all of these.",
    "phone": "Telephone.",
    "language": "The language of the pages.",
    "units": "kg or lb: what tensions are shown first in; '-': as the workshop or the language has it.",
    "plays": "How often a week.",
    "history": "yes or no: whether pages show earlier jobs.",
    "photos": "yes or no: whether pages show photos.",
    "serial": "yes or no: whether pages show the serial.",
    "messages": "'no': the player wants none, and is never asked again; '-': messages are welcome.",
    "hoop": "'bare': no tape on the hoop, in no plan; '-': it may be there again.",
    "note": "Wishes and remarks, for the bench alone.",
}


def _options(command: Callable[..., None]) -> Callable[..., None]:
    for value in reversed(_VALUES):
        command = click.option(f"--{value.option}", metavar="TEXT", help=_HELP[value.option])(command)
    return command


@click.command(name="player", epilog="Example: passport player content_demo askwell --plays 4 --history no --dry-run")
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("who", metavar="PLAYER")
@_options
@click.option("--dry-run", is_flag=True, help="Show what would be written, and stop.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
@click.option("--sure", is_flag=True, help="A name or contact that stands elsewhere too is right all the same.")
def command(content: Path, who: str, dry_run: bool, yes: bool, sure: bool, **said: str | None) -> None:
    """Say what PLAYER wishes and how to reach them: contact, language, how often they play, what pages show, messages.

    PLAYER is a folder, a name, or one of the player's frames. Without options it asks for each, with what stands there
    offered; all else in the record stays as it is.
    """
    base = base_of(content, _readable_alone(content, who))
    target = targets.player(base, who)
    given = {name.replace("_", "-"): text for name, text in said_of(said).items()}
    asks = not given and at_terminal()
    if not given and not asks:
        raise click.UsageError(
            worded("Say what the player wishes: --phone …, --plays …, --history no; --help shows them all.")
        )

    # Who reads Latin letters reads the name off the record; only of other letters is it worth a question.
    asked = [value for value in _VALUES if value.option != "reading" or not plain(target.called).isascii()]

    def written() -> Content | None:
        wanted = asked if asks else [value for value in _VALUES if value.option in given]
        make = partial(corrected, target=target, wanted=Corrections(differing(target, SaidBefore(given), wanted)))
        question = worded("Write this?") if asks and not dry_run else ""
        return carry_out(content, "passport player", make, Options(yes, question, dry_run, sure), base)

    folder = Path(target.file).parent.name
    done = led(
        written,
        Draft(content, f"player-{folder}"),
        f"passport player {content} {folder}",
        asks=asks and not dry_run,
        takes=True,
    )
    if done is not None:
        click.echo(worded("Written to {content}.", content=content / target.file))


def _readable_alone(content: Path, who: str) -> set[str] | None:
    """The player whose records are enough to read: a folder, or the owner of a frame; None where that is not sure."""
    if SLUG.fullmatch(who) and (content / "players" / who / "player.yaml").is_file():
        return {who}
    return owners(content, who)
