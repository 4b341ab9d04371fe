"""A blank that was built becomes the frame that takes over from another: its name, its record, its passport."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from passport.acts.adding.additions import frame_names
from passport.acts.change import Base, Change
from passport.acts.frames.issue import SECRET, SITE, New, created
from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.schema import numbers
from passport.records.schema.frame import Frame
from passport.workshop.entry.naming import made_name


def successor_name(root: Path, old: Entry[Frame], label: str) -> str:
    """A name for the record of a replacement: in the folder of the old frame, after its label."""
    player = old.name.partition("/")[0]
    return f"{player}/{made_name(label or old.record.label, frame_names(root, player), 'frame')}"


def fresh_keys(name: str) -> dict[str, str]:
    """Fresh keys for the frame of a name, its player and a sealed page, the same each time its record is worked out."""
    return {name: numbers.new_key(), name.partition("/")[0]: numbers.new_key(), SECRET: numbers.new_secret()}


def built(
    base: Base, *, name: str, old: str, blank: str, new: New, keys: Mapping[str, str], site: Path = SITE
) -> Change:
    """The change by which a blank becomes the frame ``name`` and takes over from ``old``; what ``new`` does not say is the
    blank's, or the old frame's. Raises Refused and CannotEdit."""
    if blank not in base.records.blanks:
        raise Refused(worded("There is no blank '{blank}' in stock any more.", blank=blank))
    told = replace(new, blank=blank).out_of(base.records.blanks[blank].record).after(base.records.frames[old].record)
    return created(base, name=name, keys=keys, new=told, old=old, site=site)
