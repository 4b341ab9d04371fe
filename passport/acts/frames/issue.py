"""Giving a frame its number and key, or making the record of a new one."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from passport.acts.addresses import ledger_faults, stop_at, surveyed
from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.frames.built import job_of
from passport.acts.frames.inherit import read_targets
from passport.acts.refused import Faulty, Refused
from passport.publish.cache import frame_index
from passport.publish.folder.known import doubts
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.ledger.ledger import ISSUED, RENUMBERED, LedgerLine
from passport.records.load import Content
from passport.records.schema import numbers
from passport.records.schema.base import SLUG
from passport.records.schema.frame import Blank, Frame
from passport.records.yaml import yamltext
from passport.records.yaml.appending import with_appended
from passport.records.yaml.edit import block_of, with_first_lines, with_value
from passport.records.yaml.nested import with_at
from passport.records.yaml.newrecord import frame_text, frame_values, player_text
from passport.records.yaml.validation_messages import closest
from passport.records.yaml.yamlplace import CannotEdit

FIRST = 1001
"""The first running number of a workshop that has issued none."""
SITE = Path("site")
"""Where the last site is looked for unless another is named."""
SECRET = "a secret"
"""Where a fresh secret stands among fresh keys; no record has this name."""


@dataclass(frozen=True, slots=True)
class New:
    """What is said of a frame whose record is to be made; empty where it was not said."""

    model: str = ""
    label: str = ""
    grip: str = ""
    serial: str = ""
    player: str = ""
    blank: str = ""
    """The blank that it was until now, which leaves the stock."""

    def out_of(self, blank: Blank) -> "New":
        """What is said, and for the rest what the stock knows of the blank that it was."""
        return replace(
            self, model=self.model or blank.model, grip=self.grip or blank.grip, serial=self.serial or blank.serial
        )

    def after(self, old: Frame) -> "New":
        """What is said, and for the rest what an old frame has that this one takes over from."""
        return replace(self, model=self.model or old.model, label=self.label or old.label, grip=self.grip or old.grip)


def named(content: Path, frame: str) -> str:
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


def highest_issued(base: Base, site: Path) -> int:
    """The highest running number that any record has, or that was ever issued, by whatever tells. Raises Refused where
    that cannot be known before something is put back or mended."""
    root, known = base.records.root, surveyed(base.records, site, base.ledger())
    if not known.ledger.sound:
        raise Refused(
            worded("Nothing was written.\n{stop_at}", stop_at=stop_at(ledger_faults(known.ledger, root, site)))
        )
    stops = doubts(known)
    if stops:
        raise Refused("\n".join([worded("Nothing was written."), *(one.text for one in stops)]))
    return max(known.highest, numbers.highest(frame.number for frame in frame_index.frames(root)))


def unproven(base: Base, site: Path) -> str:
    """That nothing but the records tells which numbers were given out, where that is so; else nothing."""
    recorded = numbers.highest(frame.number for frame in frame_index.frames(base.records.root))
    known = surveyed(base.records, site, base.ledger())
    if known.began or not recorded:
        return ""
    most = numbers.with_check(max(recorded, known.highest))
    return f"There is no {ledger.FILE}, so numbers that were given out without a record are not known; the highest known is {most}."


def no_record(base: Base, name: str) -> Refused:
    """That a record is not there, or cannot be read; with the names that are near."""
    about = [f for f in base.faults if f"players/{name}.yaml" in f.place.file.replace("\\", "/")]
    if about:
        return Faulty(about, worded("The record '{name}' cannot be read, so nothing was written.", name=name))
    hint = closest(name, list(base.records.frames)) or worded(
        "Frames are named by folder and file, as in 'ines/spare'."
    )
    return Refused(
        worded(
            "The record '{name}' does not exist, so nothing was written. {hint} To make a new one, add "
            "--model and --label.",
            name=name,
            hint=hint,
        )
    )


def refuse_name(base: Base, name: str) -> None:
    """Raise Refused where no record of that name can be made."""
    player, slash, frame = name.partition("/")
    folder_known = player in base.records.players
    if not slash or not SLUG.fullmatch(frame) or frame == "player" or not (folder_known or SLUG.fullmatch(player)):
        do = worded("Use small letters, digits and hyphens for player and frame, as in 'ines/spare'.")
        raise Refused(worded("'{name}' cannot be the name of a record. {do}", name=name, do=do))
    if f"frame {name}" in base.records.unread or (base.records.root / f"players/{name}.yaml").exists():
        raise no_record(base, name)
    if f"player {player}" in base.records.unread and (base.records.root / f"players/{player}/player.yaml").exists():
        raise Refused(
            worded("The record of the player '{player}' cannot be read. Run 'passport check' first.", player=player)
        )


# --- a record that is there ------------------------------------------------------------------------------------


def issued(base: Base, *, name: str, keys: Mapping[str, str], old: str, site: Path = SITE) -> Change:
    """The change that gives a record what it lacks of number and key; ``keys`` are fresh ones by name. Raises Refused."""
    record, player = base.records.frames[name].record, name.partition("/")[0]
    fresh = {
        "number": record.number or next_number(base.records, highest_issued(base, site)),
        "key": record.key or keys[name],
    }
    files = _with_player_key(base, player, keys)
    added = {key: value for key, value in fresh.items() if not getattr(record, key)}
    path = f"players/{name}.yaml"
    if added:
        files[path] = with_first_lines(base.text(path) or "", added)
    files |= _replaced(base, old, name, fresh["number"])
    lines = _lines(base, files, name, player, fresh, keys)
    return Change(files, issued=lines, summary=f"Passport {fresh['number']} for {name}")


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
    key, number = fresh["key"], fresh["number"]
    if key not in known.issued:
        lines.append(LedgerLine(ISSUED, key, "frame", number, address))
    elif known.numbers.get(key) != number:
        lines.append(LedgerLine(RENUMBERED, key, "frame", number, address))
    return tuple({line.key: line for line in lines}.values())


# --- a record that is made -------------------------------------------------------------------------------------


def created(base: Base, *, name: str, keys: Mapping[str, str], new: New, old: str, site: Path = SITE) -> Change:
    """The change that makes a record, and its player's where there is none. Raises Refused and CannotEdit."""
    player, path = name.partition("/")[0], f"players/{name}.yaml"
    if base.text(path) is not None:
        raise CannotEdit(worded("Another command has just made '{name}'.", name=name))
    number = next_number(base.records, highest_issued(base, site))
    files = _with_player_key(base, player, keys)
    if player not in base.records.players:
        files[f"players/{player}/player.yaml"] = player_text(new.player, keys[player])
        base.text(f"players/{player}/player.yaml")
    former = base.records.frames[old].record if old else None
    values = frame_values(
        number, keys[name], model=new.model, label=new.label, serial=new.serial, grip=new.grip, since=today(),
        set_name=former.set if former else "", rebuilds=former.number if former else "",
        secret=keys[SECRET] if former and former.sealed else "",
    )  # fmt: skip
    setup = block_of(base.text(f"players/{old}.yaml") or "", "setup").replace("\r\n", "\n") if old else ""
    remark = f"Takes over from {former.number or old}." if former else ""
    for quantity, target in read_targets(base.records, old).items() if old else ():
        setup = with_at(setup, ("setup", quantity), target) if setup else f"setup:\n  {quantity}: {target}\n"
    files[path] = frame_text(values, remark=remark, setup=setup)
    files |= _replaced(base, old, name, number)
    left: dict[str, str | None] = {}
    if new.blank:
        left[f"blanks/{new.blank}.yaml"] = None
        files[path] = _as_a_blank(base, new.blank, files[path])
    fresh = {"number": number, "key": keys[name]}
    lines = _lines(base, files, name, player, fresh, keys)
    summary = f"A new frame {name}, passport {number}{f', out of the blank {new.blank}' if new.blank else ''}"
    return Change({**files, **left}, _shown({**files, **left}, name), (f"{path}:",), lines, summary=summary)


def _as_a_blank(base: Base, blank: str, text: str) -> str:
    """A new frame's record with what was known of it in stock: what is on it, what a rebuild did to it as its first job,
    and what was measured, as a private note.

    The readings of a blank have no day, so they make no job.
    """
    stock = base.text(f"blanks/{blank}.yaml") or ""
    data, _, _ = yamltext.read(stock.removeprefix("\ufeff"), blank)
    found = data if isinstance(data, dict) else {}
    for part in _listed(found.get("build")):
        text = with_appended(text, ("build",), part, Frame.model_fields)
    if (job := job_of(base, blank)) is not None:
        text = with_appended(text, ("jobs",), job, Frame.model_fields)
    told = [", ".join(f"{key} {value}" for key, value in one.items()) for one in _listed(found.get("readings"))]
    told += [f"price {found['price']}"] if found.get("price") else []
    since = f", received {found['received']}" if found.get("received") else ""
    note = f"The blank {blank} until {today().isoformat()}{since}"
    return with_value(text, "private_note", ": ".join(filter(None, (note, "; ".join(told)))), Frame.model_fields)


def _listed(value: Any) -> list[dict[str, Any]]:
    return [one for one in (value if isinstance(value, list) else [value]) if isinstance(one, dict)]


def _shown(files: Mapping[str, str | None], name: str) -> str:
    """The lines of the new record that say something, without its key and secret."""
    path = f"players/{name}.yaml"
    lines = [line for line in (files[path] or "").splitlines() if line and not re.match(r"#|key:|secret:", line)]
    others = [f"{other}: {'taken away' if files[other] is None else 'changed'}" for other in files if other != path]
    return "\n".join([f"{path}:", *(f"  {line}" for line in lines), *others])


def _replaced(base: Base, old: str, name: str, number: str) -> dict[str, str]:
    """The record of the frame that is taken over from: out of use, leading to its successor."""
    if not old:
        return {}
    frame, path = base.records.frames[old].record, f"players/{old}.yaml"
    if old == name:
        raise Refused(worded("'{name}' cannot take over from itself.", name=name))
    if frame.replaced_by and frame.replaced_by != number:
        raise Refused(
            worded(
                "'{old}' was replaced by {replaced_by} already. If that is wrong: passport correct CONTENT "
                "{old} --frame --unset replaced_by.",
                old=old,
                replaced_by=frame.replaced_by,
            )
        )
    text = base.text(path) or ""
    if frame.status == "active":
        text = with_value(text, "status", "broken", Frame.model_fields)
    return {path: with_value(text, "replaced_by", number, Frame.model_fields)}
