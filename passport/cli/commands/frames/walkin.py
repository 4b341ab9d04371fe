"""``passport walk-in``: somebody comes in, known or new, with a frame and a string that may be new too."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

import click

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.adding.everybody import Everybody
from passport.acts.adding.walkin import WalkIn, walked_in
from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.drafts import Draft
from passport.acts.frames.issue import SITE, unproven
from passport.acts.frames.log import path_of
from passport.cli.answers.trail import retraced
from passport.cli.shared.change import Options, carry_out, reading
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal
from passport.cli.shared.printed import warn
from passport.cli.talks.meeting import SaidBefore
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Frame

_SAID = (
    ("reach", "TEXT", "A new player's e-mail address, telephone, or both with a comma between."),
    ("language", "TAG", "A new player's language."),
    ("plays", "NUMBER", "How often a week a new player plays."),
    (
        "frame",
        "TEXT",
        "A known player's frame by number or label; else its model, or 'maker, model, sport, head size'.",
    ),
    ("called", "TEXT", "What a new frame is called; grip size and serial behind commas."),
    ("string", "TEXT", "Its name, or 'maker, name, gauge, material'; ' / ' between mains and crosses."),
    ("tension", "TENSION", "'52 lb', or '52/50 lb' for mains/crosses."),
    ("asked", "TEXT", "What else is wanted, in the player's own words."),
    ("promised", "DAY", "For when: 'friday', 'in 3 days', '2026-12-04'."),
    ("note", "TEXT", "With --done: said to the player, on the page."),
    ("price", "TEXT", "For the bench alone."),
)


def _options(command: Callable[..., None]) -> Callable[..., None]:
    for name, kind, text in reversed(_SAID):
        command = click.option(f"--{name}", metavar=kind, help=text)(command)
    return command


@click.command(
    name="walk-in",
    epilog='Example: passport walk-in content_demo "Mira T." --reach "01632 960155" '
    '--frame "Haldric, Fallowgate 98, tennis, 98 sq in" --string "Oxbow, Gorse, 1.30, polyester" --tension "52/50 lb" '
    "--done --no-build --yes",
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("player", metavar="[PLAYER]", default="")
@_options
@click.option("--done", is_flag=True, help="The work is done already: record it as a job instead of an order.")
@click.option("--new", "is_new", is_flag=True, help="A name that is near one that is there is new all the same.")
@click.option("--site", type=FOLDER, help="The last site, which knows numbers too; 'site' unless said.")
@click.option("--no-build", is_flag=True, help="With --done: record the job alone, no page, no card.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
@click.option("--sure", is_flag=True, help="What stands elsewhere too, or is far from usual, is right all the same.")
def command(
    content: Path,
    player: str,
    done: bool,
    is_new: bool,
    site: Path | None,
    no_build: bool,
    yes: bool,
    sure: bool,
    **said: str | None,
) -> None:
    """Somebody comes in: who, with which frame, and what is wanted of it; what is not there yet is added.

    What is wanted is the frame's order, as 'passport take' has it. Each is found by any of its names, with those that are
    near offered. A new player gets a folder, a new frame its number and key, a new model or string its entry in the
    catalogue: names of files are made and never asked for. What is not known stays out. Whatever is not said is asked; at
    every question '<' goes back, and '<<' stops and keeps what was typed.
    """
    told = SaidBefore({name: text for name, text in {"player": player, **said}.items() if text}, is_new)
    keys, last = FreshKeys(), site or SITE
    known = Everybody(content, reading)
    warn(unproven(known.base(), last))
    names: list[str] = []
    options = Options(yes, worded("Write this?") if at_terminal() else "", sure=sure)

    def talked() -> Content | None:
        from passport.cli.talks.walkintalk import talk

        words, base = talk(known, told, done=done)
        make = partial(_made, said=words, keys=keys, site=last, names=names, done=done)
        return carry_out(content, "passport walk-in", make, options, base)

    again = f"passport walk-in {content}"
    after = retraced(talked, Draft(content, "walk-in"), again) if at_terminal() else talked()
    if after is not None:
        _say(after, names[-1])
        if done and not no_build:
            from passport.cli.shared.follow_up import follow_up  # the gatherer brings numpy and more

            follow_up(after, names[-1], site)


def _made(base: Base, said: WalkIn, keys: FreshKeys, site: Path, names: list[str], *, done: bool) -> Change:
    """The change of a walk-in; the frame that it is about is put into ``names``."""
    name, change = walked_in(Additions(base, keys, site), said, today(), done=done)
    names.append(name)
    return change


def _say(records: Content, name: str) -> None:
    frame: Frame = records.frames[name].record
    click.echo(worded("Written to {root}.", root=records.root / path_of(name)))
    click.echo(f"{click.style(frame.number, bold=True)}  {frame.label}")
    if records.workshop:
        click.echo(worded("Its page: {address}/{key}/", address=records.workshop.record.address, key=frame.key))
    if frame.waiting:
        click.echo(worded("Its label: passport label {root} {number}", root=records.root, number=frame.number))
