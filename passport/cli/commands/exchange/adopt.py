"""``passport adopt``: a frame that another workshop kept becomes one of one's own."""

from functools import partial
from pathlib import Path

import click

from passport.acts.adding.additions import FreshKeys
from passport.acts.adding.everybody import Everybody
from passport.acts.change import Base, Change
from passport.acts.drafts import Draft
from passport.acts.exchange.adopt import Adoption, adopted
from passport.acts.exchange.adopt_history import adopted_history
from passport.acts.frames.issue import SITE, unproven
from passport.acts.frames.log import path_of
from passport.cli.answers.trail import HELP, retraced
from passport.cli.exchange.brought import brought, brought_history
from passport.cli.shared.change import Options, carry_out, reading
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import at_terminal
from passport.cli.shared.printed import warn
from passport.cli.talks.meeting import SaidBefore, player_met
from passport.records.exchange.carried import Kind
from passport.records.exchange.history import FILE, PlayerHistory
from passport.records.exchange.setup import SetupData
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.workshop.entry.newcomers import NewPlayer, fields_of, reach_of
from passport.workshop.entry.phrases import NOTHING


@click.command(
    name="adopt", epilog="Example: passport adopt content_demo setup-1042-9.json --player 'Mira T.' --label Blue --yes"
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("file", type=FOLDER, metavar="FILE")
@click.option("--player", metavar="TEXT", help="Whose frame it is: a player by any name, or a new one's name.")
@click.option("--reach", metavar="TEXT", help="A new player's e-mail address, telephone, or both.")
@click.option("--label", metavar="TEXT", help="What it is called here; what it was called there unless said.")
@click.option("--serial", metavar="TEXT", help="Its serial; the setup's unless said.")
@click.option("--new", "is_new", is_flag=True, help="A name that is near one that is there is new all the same.")
@click.option("--site", type=FOLDER, help="The last site, which knows numbers too; 'site' unless said.")
@click.option("--yes", is_flag=True, help="Do not ask before writing.")
@click.option("--sure", is_flag=True, help="What is far from usual is right all the same.")
@click.option("--dry-run", is_flag=True, help="Show what would be written, and write nothing.")
def command(
    content: Path, file: Path, is_new: bool, site: Path | None, yes: bool, sure: bool, dry_run: bool, **said: str | None
) -> None:
    """Make a frame of your own from what another workshop told of it.

    FILE is the setup's file from the passport's page, a text file with what the code on a tag or set card says, or the page
    of an open passport saved to disk; or the folder that 'passport export' wrote, whose frames are taken over with every job
    that was done on them. The frame gets a number and a key of this workshop; its record
    says where it was kept before. A model, a string or a part that the catalogue lacks is added; what it has under the
    same name is used as it is. 'passport undo' takes all of it back.
    """
    told = SaidBefore({name: text for name, text in said.items() if text}, is_new)
    history = brought_history(file) if file.is_dir() or file.name == FILE else None
    setup, came_as = (None, None) if history else brought(file)
    keys, last, known, names = FreshKeys(), site or SITE, Everybody(content, reading), list[str]()
    warn(unproven(known.base(), last))
    options = Options(yes, worded("Write this?") if at_terminal() else "", dry_run=dry_run, sure=sure)

    def talked() -> Content | None:
        if history:
            player, base = _player(known, told, history.player)
            make = partial(_all_made, history=history, player=player, keys=keys, site=last, names=names)
            return carry_out(content, "passport adopt", make, options, base)
        assert setup and came_as, "what is no history is a setup"
        adoption, base = _talk(known, told, setup, came_as)
        make = partial(_made, said=adoption, keys=keys, site=last, names=names)
        return carry_out(content, "passport adopt", make, options, base)

    again = f"passport adopt {content} {file}"
    after = retraced(talked, Draft(content, "adopt"), again) if at_terminal() else talked()
    if after is not None:
        for name in dict.fromkeys(names):
            _say(after, name)


def _talk(known: Everybody, told: SaidBefore, setup: SetupData, came_as: Kind) -> tuple[Adoption, Base]:
    """Whose the frame is and what it is called, asked where it was not said; with the records."""
    if at_terminal():
        click.echo(f"{setup.number} {setup.label}: {setup.frame.maker} {setup.frame.model}, {setup.sport}")
        click.echo(
            worded(
                "Enter takes what stands in [ ], '{nothing}' leaves it out, {help}\n",
                nothing=NOTHING,
                help=worded(HELP),
            )
        )
    player, base = _player(known, told)
    label = told.ask("label", worded("Called"), setup.label or setup.frame.model)
    return Adoption(setup, came_as, player, label, told.ask("serial", worded("Serial"), setup.frame.serial)), base


def _player(known: Everybody, told: SaidBefore, offered: str = "") -> tuple[str | NewPlayer, Base]:
    """Whose a frame is: a player who is there, or a new one; with the records."""
    if offered and "player" not in told.said and not at_terminal():
        told = SaidBefore({**told.said, "player": offered}, told.new)
    said, folder = player_met(told, known, lambda text: (fields_of(text) or [text])[0])
    if folder:
        return folder, known.base(folder)
    public, *full = fields_of(said) or [said]
    email, phone = reach_of(told.ask("reach", worded("E-mail or telephone"), read=reach_of))
    return NewPlayer(public, ", ".join(full), "", email, phone), known.base()


def _all_made(
    base: Base, history: PlayerHistory, player: str | NewPlayer, keys: FreshKeys, site: Path, names: list[str]
) -> Change:
    found, change = adopted_history(base, history, player, keys, site)
    names[:] = found
    return change


def _made(base: Base, said: Adoption, keys: FreshKeys, site: Path, names: list[str]) -> Change:
    name, change = adopted(base, said, keys, site)
    names[:] = [name]
    return change


def _say(records: Content, name: str) -> None:
    frame = records.frames[name].record
    click.echo(worded("Written to {root}.", root=records.root / path_of(name)))
    click.echo(f"{click.style(frame.number, bold=True)}  {frame.label}")
    if records.workshop:
        click.echo(worded("Its page: {address}/{key}/", address=records.workshop.record.address, key=frame.key))
