"""``passport issue``: give a record its number and its key, or make the record of a new frame."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import click

from passport.cli.shared.change import Base, Change, Options, base_of, carry_out
from passport.cli.shared.common import FOLDER, report, today
from passport.cli.shared.dialogue import ask, at_terminal, choose, confirmed
from passport.cli.shared.pick import owners, pick
from passport.publish.cache import frame_index
from passport.records.ledger import ledger
from passport.records.ledger.ledger import ISSUED, LedgerLine
from passport.records.load import Content, Entry
from passport.records.schema import numbers
from passport.records.schema.base import SLUG
from passport.records.schema.frame import Frame
from passport.records.yaml.edit import block_of, with_first_lines, with_value
from passport.records.yaml.newrecord import frame_text, frame_values, player_text
from passport.records.yaml.validation_messages import closest
from passport.records.yaml.yamlplace import CannotEdit

FIRST = 1001
"""The first running number of a workshop that has issued none."""
_SECRET = "a secret"
"""Where a fresh secret stands among fresh keys; no record has this name."""


@dataclass(frozen=True, slots=True)
class New:
    """What is said of a frame whose record is to be made; empty where it was not said."""

    model: str = ""
    label: str = ""
    grip: str = ""
    serial: str = ""
    player: str = ""


@click.command(
    name="issue",
    epilog="Example: passport issue content_demo hallerwund/zwei\n\nExample of a new frame in place of a broken one: "
    "passport issue content_demo dunmarrow/three --replaces 0871-6 --serial HW-F100-41207",
)
@click.argument("content", type=FOLDER)
@click.argument("frame", metavar="PLAYER/FRAME")
@click.option("--model", default="", metavar="NAME", help="The model of a new frame: its name in the catalogue.")
@click.option("--label", default="", metavar="TEXT", help="What the player calls a new frame: 'I', 'match'.")
@click.option("--grip", default="", metavar="SIZE", help="The grip size of a new frame: 'L3'.")
@click.option("--serial", default="", metavar="TEXT", help="The serial of a new frame.")
@click.option("--player-name", default="", metavar="TEXT", help="The public name of a new player, as pages show it.")
@click.option(
    "--replaces", default="", metavar="OLD", help="The frame that this one takes over from: number or PLAYER/FRAME."
)
@click.option("--yes", is_flag=True, help="Ask nothing.")
def command(
    content: Path,
    frame: str,
    model: str,
    label: str,
    grip: str,
    serial: str,
    player_name: str,
    replaces: str,
    yes: bool,
) -> None:
    """Give PLAYER/FRAME its passport number and the key of its page; make its record where there is none.

    The number is the next free one with its check character; the key is 130 random bits. What a record already has is
    kept, and such a record is found by its number too; no other line of it is touched. The player gets a key too where there is none. A new frame needs a model
    of the catalogue and a label; what is not said is asked for. With --replaces it takes model, grip, set and setup
    from the old frame, which is then marked broken, unless it is marked lost or retired already, and leads to it; in
    place of a sealed frame the new one is sealed too, with a secret of its own.
    """
    new, frame = New(model, label, grip, serial, player_name), _named(content, frame)
    base = base_of(content, _readable_alone(content, frame, replaces, making=new != New() or bool(replaces)))
    old = pick(base.records, replaces) if replaces else None
    keys = {frame: numbers.new_key(), frame.partition("/")[0]: numbers.new_key(), _SECRET: numbers.new_secret()}
    if frame in base.records.frames:
        if new != New():
            raise click.UsageError(f"'{frame}' has a record already: change model, label and the like there, by hand.")
        make, kept = partial(_issued, name=frame, keys=keys, old=old.name if old else ""), _has_both(base, frame)
    else:
        new, kept = _asked(base, frame, new, old, yes=yes), False
        make = partial(_created, name=frame, keys=keys, new=new, old=old.name if old else "")
    after = carry_out(content, "passport issue", make, Options(yes), base)
    if after or kept:
        _say(after or base.records, frame, kept=kept and not old)


def _named(content: Path, frame: str) -> str:
    """The record's name where its number was said; else what was said."""
    number = numbers.normalise(frame)
    if "/" in frame or numbers.problem(number) or not (content / "workshop.yaml").is_file():
        return frame
    found = [record.name for record in frame_index.frames(content) if record.number == number]
    return found[0] if len(found) == 1 else frame


def next_number(records: Content, issued: int = 0) -> str:
    """The number after the highest one in use, or after the highest running number ever ``issued``."""
    used = [numbers.running_number(e.record.number) for e in records.frames.values() if e.record.number]
    return numbers.with_check(max([*used, issued, FIRST - 1]) + 1)


def _readable_alone(content: Path, name: str, old: str, *, making: bool) -> set[str] | None:
    """The players whose records are enough to read; None where all are: a ledger to begin, a name to guess at."""
    player = name.partition("/")[0]
    if not (content / ledger.FILE).is_file() or not (making or (content / "players" / f"{name}.yaml").is_file()):
        return None
    others = owners(content, old) if old else set()
    return None if others is None else {player, *others}


def _highest(base: Base) -> int:
    """The highest running number that any record has, or that was ever issued."""
    found = [frame.number for frame in frame_index.frames(base.records.root) if not numbers.problem(frame.number)]
    return max([base.ledger().highest, *map(numbers.running_number, found)])


def _has_both(base: Base, name: str) -> bool:
    record = base.records.frames[name].record
    return bool(record.number and record.key)


def _say(records: Content, name: str, *, kept: bool) -> None:
    record = records.frames[name].record
    click.echo(f"{name}: passport {record.number}{' (it had them already)' if kept else ''}")
    if records.workshop:
        click.echo(f"Its page: {records.workshop.record.address}/{record.key}/")
    if not record.jobs:
        click.echo(f"Its first job: passport log {records.root} {record.number}")
    click.echo(f"Next: passport build {records.root} --out site")


# --- a record that is there ------------------------------------------------------------------------------------


def _issued(base: Base, *, name: str, keys: Mapping[str, str], old: str) -> Change:
    record, player = base.records.frames[name].record, name.partition("/")[0]
    fresh = {
        "number": record.number or next_number(base.records, _highest(base)),
        "key": record.key or keys[name],
    }
    files = _with_player_key(base, player, keys)
    added = {key: value for key, value in fresh.items() if not getattr(record, key)}
    path = f"players/{name}.yaml"
    if added:
        files[path] = with_first_lines(base.text(path) or "", added)
    files |= _replaced(base, old, name, fresh["number"])
    return Change(files, issued=_lines(base, files, name, player, fresh, keys))


def _with_player_key(base: Base, player: str, keys: Mapping[str, str]) -> dict[str, str]:
    owner, path = base.records.players.get(player), f"players/{player}/player.yaml"
    if owner is None or owner.record.key:
        return {}
    return {path: with_first_lines(base.text(path) or "", {"key": keys[player]})}


def _lines(
    base: Base, files: Mapping[str, str], name: str, player: str, fresh: Mapping[str, str], keys: Mapping[str, str]
) -> tuple[LedgerLine, ...]:
    """Lines for the ledger: what is issued now, and whatever the content has that the ledger does not know yet."""
    address = base.records.workshop.record.address if base.records.workshop else ""
    known = base.ledger()
    lines = list(known.unlisted(base.records))
    if f"players/{player}/player.yaml" in files:
        lines.append(LedgerLine(ISSUED, keys[player], "player", address=address))
    lines.append(LedgerLine(ISSUED, fresh["key"], "frame", fresh["number"], address))
    return tuple({line.key: line for line in lines if line.key not in known.issued}.values())


# --- a record that is made -------------------------------------------------------------------------------------


def _asked(base: Base, name: str, new: New, old: Entry[Frame] | None, *, yes: bool) -> New:
    """What is needed for a new record, asked where it was not said; ends the command where it cannot be made."""
    asking = at_terminal() and not yes
    if new == New() and old is None and not (asking and _wants_new(base, name)):
        raise _no_record(base, name)
    _refuse_name(base, name)
    if old:
        frame = old.record
        if old.name.partition("/")[0] != name.partition("/")[0]:
            raise click.ClickException(
                f"'{old.name}' is a frame of another player, so '{name}' cannot take over from it."
            )
        new = replace(new, model=new.model or frame.model, label=new.label or frame.label, grip=new.grip or frame.grip)
    known = name.partition("/")[0] in base.records.players
    if asking:
        player = new.player or ("" if known else ask("The player's public name, as pages show it", needed=True))
        models = [(m, f"{e.record.maker} {e.record.name}, {e.record.sport}") for m, e in base.records.models.items()]
        model = new.model or choose("Model", models)
        label = new.label or ask("Label, what the player calls it", needed=True)
        grip = new.grip or ask("Grip size")
        return New(model, label, grip, new.serial or ask("Serial"), player)
    lacking = [option for option, value in (("--model", new.model), ("--label", new.label)) if not value]
    lacking += [] if known or new.player else ["--player-name"]
    if lacking:
        raise click.UsageError(f"A new frame needs {' and '.join(lacking)} too.")
    return new


def _wants_new(base: Base, name: str) -> bool:
    if f"frame {name}" in base.records.unread:
        return False
    near = closest(name, list(base.records.frames))
    click.echo(f"There is no record '{name}'. {near}".strip())
    return confirmed("Make a new one?", yes=False, default=not near)


def _no_record(base: Base, name: str) -> click.ClickException:
    about = [f for f in base.faults if f"players/{name}.yaml" in f.place.file.replace("\\", "/")]
    report(about)
    if about:
        return click.ClickException(f"The record '{name}' cannot be read, so nothing was written.")
    hint = closest(name, list(base.records.frames)) or "Frames are named by folder and file, as in 'ines/spare'."
    return click.ClickException(
        f"The record '{name}' does not exist, so nothing was written. {hint} To make a new one, add --model and --label."
    )


def _refuse_name(base: Base, name: str) -> None:
    player, slash, frame = name.partition("/")
    folder_known = player in base.records.players
    if not slash or not SLUG.fullmatch(frame) or frame == "player" or not (folder_known or SLUG.fullmatch(player)):
        do = "Use small letters, digits and hyphens for player and frame, as in 'ines/spare'."
        raise click.ClickException(f"'{name}' cannot be the name of a record. {do}")
    if f"frame {name}" in base.records.unread or (base.records.root / f"players/{name}.yaml").exists():
        raise _no_record(base, name)
    if f"player {player}" in base.records.unread and (base.records.root / f"players/{player}/player.yaml").exists():
        raise click.ClickException(f"The record of the player '{player}' cannot be read. Run 'passport check' first.")


def _created(base: Base, *, name: str, keys: Mapping[str, str], new: New, old: str) -> Change:
    player, path = name.partition("/")[0], f"players/{name}.yaml"
    if base.text(path) is not None:
        raise CannotEdit(f"Another command has just made '{name}'.")
    number = next_number(base.records, _highest(base))
    files = _with_player_key(base, player, keys)
    if player not in base.records.players:
        files[f"players/{player}/player.yaml"] = player_text(new.player, keys[player])
        base.text(f"players/{player}/player.yaml")
    former = base.records.frames[old].record if old else None
    values = frame_values(
        number, keys[name], model=new.model, label=new.label, serial=new.serial, grip=new.grip, since=today(),
        set_name=former.set if former else "", rebuilds=former.number if former else "",
        secret=keys[_SECRET] if former and former.sealed else "",
    )  # fmt: skip
    setup = block_of(base.text(f"players/{old}.yaml") or "", "setup").replace("\r\n", "\n") if old else ""
    remark = f"Takes over from {former.number or old}." if former else ""
    files[path] = frame_text(values, remark=remark, setup=setup)
    files |= _replaced(base, old, name, number)
    fresh = {"number": number, "key": keys[name]}
    return Change(files, _shown(files, name), _lines(base, files, name, player, fresh, keys))


def _shown(files: Mapping[str, str], name: str) -> str:
    """The lines of the new record that say something, without its key and secret."""
    path = f"players/{name}.yaml"
    lines = [line for line in files[path].splitlines() if line and not re.match(r"#|key:|secret:", line)]
    others = [f"{other}: changed" for other in files if other != path]
    return "\n".join([click.style(f"{path}:", bold=True), *(f"  {line}" for line in lines), *others])


def _replaced(base: Base, old: str, name: str, number: str) -> dict[str, str]:
    """The record of the frame that is taken over from: out of use, leading to its successor."""
    if not old:
        return {}
    frame, path = base.records.frames[old].record, f"players/{old}.yaml"
    if old == name:
        raise click.ClickException(f"'{name}' cannot take over from itself.")
    if frame.replaced_by and frame.replaced_by != number:
        raise click.ClickException(
            f"'{old}' was replaced by {frame.replaced_by} already. Take out its line 'replaced_by' first if that is wrong."
        )
    text = base.text(path) or ""
    if frame.status == "active":
        text = with_value(text, "status", "broken", Frame.model_fields)
    return {path: with_value(text, "replaced_by", number, Frame.model_fields)}
