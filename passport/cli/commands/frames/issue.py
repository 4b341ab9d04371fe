"""``passport issue``: give a record its number and its key, or make the record of a new frame."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path, PurePosixPath

import click

from passport.acts.amending import targets
from passport.acts.change import Base, Change
from passport.acts.drafts import Draft
from passport.acts.frames.issue import SECRET, SITE, New, created, issued, named, no_record, refuse_name, unproven
from passport.acts.picking import namesakes, owners, pick
from passport.acts.rebuilding.finished import successor_name
from passport.cli.shared.change import Options, base_of, carry_out
from passport.cli.shared.common import FOLDER
from passport.cli.shared.dialogue import ask, at_terminal, choose, confirmed
from passport.cli.shared.folder import build_command
from passport.cli.shared.printed import warn
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.load import Content, Entry
from passport.records.schema import numbers
from passport.records.schema.frame import Frame
from passport.records.yaml.validation_messages import closest


@click.command(
    name="issue",
    epilog="Example: passport issue content_demo hallerwund/zwei\n\nExample of a new frame in place of a broken one: "
    "passport issue content_demo dunmarrow/three --replaces 0871-6 --serial HW-F100-41207\n\n"
    "Example of one out of stock: passport issue content_demo --replaces 0871-6 --blank fallowgate-a --yes",
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="[PLAYER/FRAME]", default="")
@click.option("--model", default="", metavar="NAME", help="The model of a new frame: its name in the catalogue.")
@click.option("--label", default="", metavar="TEXT", help="What the player calls a new frame: 'I', 'match'.")
@click.option("--grip", default="", metavar="SIZE", help="The grip size of a new frame: 'L3'.")
@click.option("--serial", default="", metavar="TEXT", help="The serial of a new frame.")
@click.option("--player-name", default="", metavar="TEXT", help="The public name of a new player, as pages show it.")
@click.option(
    "--replaces", default="", metavar="OLD", help="The frame that this one takes over from: number or PLAYER/FRAME."
)
@click.option("--blank", default="", metavar="NAME", help="The blank that it was until now, which leaves the stock.")
@click.option("--site", type=FOLDER, help="The last site, which knows numbers too; 'site' unless said.")
@click.option("--yes", is_flag=True, help="Ask nothing.")
@click.option("--sure", is_flag=True, help="A name or serial that stands elsewhere too is right all the same.")
def command(
    content: Path,
    frame: str,
    model: str,
    label: str,
    grip: str,
    serial: str,
    player_name: str,
    replaces: str,
    blank: str,
    site: Path | None,
    yes: bool,
    sure: bool,
) -> None:
    """Give PLAYER/FRAME its passport number and the key of its page; make its record where there is none.

    The number is the next free one with its check character; the key is 130 random bits. What a record already has is
    kept, and such a record is found by its number too; no other line of it is touched. The player gets a key too where there is none. A new frame needs a model
    of the catalogue and a label; what is not said is asked for. With --replaces it takes model, grip, set and setup
    from the old frame, and as targets that the setup lacks what that one read as it was played; the old one is then
    marked broken, unless it is marked lost or retired already, and leads to it; in place of a sealed frame the new one is
    sealed too, with a secret of its own. With --blank it takes model, serial, grip and what is on it from the blank,
    which leaves the stock. Of a replacement PLAYER/FRAME may be left out: the record is named after its label.
    """
    if not frame and not replaces:
        raise click.UsageError(worded("Say which frame: PLAYER/FRAME, or the one that it replaces, --replaces OLD."))
    new = New(model, label, grip, serial, player_name)
    frame = named(content, frame) if frame else _beside(content, replaces, label)
    base = base_of(content, _readable_alone(content, frame, replaces, new, asks=at_terminal() and not yes))
    old = pick(base.records, replaces) if replaces else None
    if blank:
        used = PurePosixPath(targets.kept(base, "blank", blank).file).stem
        new = replace(new, blank=used).out_of(base.records.blanks[used].record)
    keys = {frame: numbers.new_key(), frame.partition("/")[0]: numbers.new_key(), SECRET: numbers.new_secret()}
    last = site or SITE
    warn(unproven(base, last))
    if frame in base.records.frames:
        if new != New():
            raise click.UsageError(
                worded(
                    "'{frame}' has a record already: 'passport correct {content} {frame} --frame' changes model, "
                    "label and the like.",
                    frame=frame,
                    content=content,
                )
            )
        kept = _has_both(base, frame)
        make: Callable[[Base], Change] | None = partial(
            issued, name=frame, keys=keys, old=old.name if old else "", site=last
        )
    else:
        make, kept = None, False

    def written() -> Content | None:
        told = make or _made(base, frame, new, old, keys, last, yes=yes)
        return carry_out(content, "passport issue", told, Options(yes, sure=sure), base)

    if make is None and at_terminal() and not yes:
        from passport.cli.answers.trail import retraced  # only where a person sits

        after = retraced(written, Draft(content, f"issue-{frame}"), f"passport issue {content} {frame}")
    else:
        after = written()
    if after or kept:
        _say(after or base.records, frame, kept=kept and not old)


def _beside(content: Path, replaces: str, label: str) -> str:
    """A name for the record of a replacement: in the folder of the old frame, after its label."""
    return successor_name(content, pick(base_of(content, owners(content, replaces)).records, replaces), label)


def _made(
    base: Base, name: str, new: New, old: Entry[Frame] | None, keys: Mapping[str, str], site: Path, *, yes: bool
) -> Callable[[Base], Change]:
    """What makes a new record, after what was not said of it was asked."""
    told = _asked(base, name, new, old, yes=yes)
    return partial(created, name=name, keys=keys, new=told, old=old.name if old else "", site=site)


def _readable_alone(content: Path, name: str, old: str, new: New, *, asks: bool) -> set[str] | None:
    """The players whose records are enough to read; None where all are: a ledger to begin, a name to guess at, a name or
    serial still to be asked for."""
    making = new != New() or bool(old)
    player = name.partition("/")[0]
    if player.startswith("."):  # no player's folder, and perhaps a way out of players/
        return None
    if not (content / ledger.FILE).is_file() or not (making or (content / "players" / f"{name}.yaml").is_file()):
        return None
    others = owners(content, old) if old else set()
    if others is None or (making and asks):
        return None
    return {player, *others, *namesakes(content, serial=new.serial, player=new.player, label=new.label)}


def _has_both(base: Base, name: str) -> bool:
    record = base.records.frames[name].record
    return bool(record.number and record.key)


def _say(records: Content, name: str, *, kept: bool) -> None:
    record = records.frames[name].record
    click.echo(
        worded("{name}: passport {number} (it had them already)", name=name, number=record.number)
        if kept
        else worded("{name}: passport {number}", name=name, number=record.number)
    )
    if records.workshop:
        click.echo(worded("Its page: {address}/{key}/", address=records.workshop.record.address, key=record.key))
    if not record.jobs:
        click.echo(worded("Its first job: passport log {root} {number}", root=records.root, number=record.number))
    click.echo(worded("Next: {build_command}", build_command=build_command(records.root)))


def _asked(base: Base, name: str, new: New, old: Entry[Frame] | None, *, yes: bool) -> New:
    """What is needed for a new record, asked where it was not said; ends the command where it cannot be made."""
    asking = at_terminal() and not yes
    if new == New() and old is None and not (asking and _wants_new(base, name)):
        raise no_record(base, name)
    refuse_name(base, name)
    if old:
        if old.name.partition("/")[0] != name.partition("/")[0]:
            raise click.ClickException(
                worded(
                    "'{old}' is a frame of another player, so '{name}' cannot take over from it.",
                    old=old.name,
                    name=name,
                )
            )
        new = new.after(old.record)
    known = name.partition("/")[0] in base.records.players
    if asking:
        player = new.player or ("" if known else ask(worded("The player's public name, as pages show it"), needed=True))
        models = [(m, f"{e.record.maker} {e.record.name}, {e.record.sport}") for m, e in base.records.models.items()]
        model = new.model or choose(worded("Model"), models)
        label = new.label or ask(worded("Label, what the player calls it"), needed=True)
        grip = new.grip or ask(worded("Grip size"))
        return New(model, label, grip, new.serial or ask(worded("Serial")), player, new.blank)
    lacking = [option for option, value in (("--model", new.model), ("--label", new.label)) if not value]
    lacking += [] if known or new.player else ["--player-name"]
    if lacking:
        raise click.UsageError(worded("A new frame needs {lacking} too.", lacking=" and ".join(lacking)))
    return new


def _wants_new(base: Base, name: str) -> bool:
    if f"frame {name}" in base.records.unread:
        return False
    near = closest(name, list(base.records.frames))
    click.echo(worded("There is no record '{name}'. {near}", name=name, near=near).strip())
    return confirmed(worded("Make a new one?"), yes=False, default=not near)
