"""Which frame is meant by what somebody says over the counter: the frame itself, or its player."""

from collections.abc import Sequence
from pathlib import Path

import click

from passport.acts.change import Base
from passport.acts.picking import matching, owners, pick
from passport.acts.refused import Refused
from passport.cli.shared.change import base_of
from passport.cli.shared.dialogue import at_terminal, choose
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.workshop.entry.search import plain


def frame_meant(content: Path, said: str) -> tuple[Base, Entry[Frame]]:
    """The records and the frame that is meant by a frame's number or name, or by a player who has one in play.

    Of several frames of a player the person at the terminal chooses. Raises Refused where no frame can be meant.
    """
    base = base_of(content, owners(content, said))
    if len(matching(base.records, said)) == 1:
        return base, pick(base.records, said)
    frames = frames_of_player(base.records, said)
    if len(frames) == 1:
        return base, frames[0]
    if frames and at_terminal():
        choices = [(e.record.number or e.name, f"{e.record.label}, {e.record.model}") for e in frames]
        chosen = choose(worded("Which frame"), choices)
        return base, frames[[name for name, _ in choices].index(chosen)]
    if frames:
        names = ", ".join(f"{e.record.number or e.name} {e.record.label}" for e in frames)
        raise click.ClickException(
            worded("'{said}' has several frames in play: {names}. Name one of them.", said=said, names=names)
        )
    try:
        return base, pick(base.records, said)
    except Refused as refused:
        raise Refused(
            worded(
                "{refused}\n  Somebody new, or a new frame: passport walk-in {content}",
                refused=refused,
                content=content,
            )
        ) from None


def frames_of_player(records: Content, said: str) -> Sequence[Entry[Frame]]:
    """The frames in play of the one player whom a name means: folder, name, full name or how it is read, in any case."""
    low = plain(said)
    folders = [
        folder
        for folder, entry in records.players.items()
        if low
        and low in {plain(name) for name in (folder, entry.record.name, entry.record.full_name, entry.record.reading)}
    ]
    if len(folders) != 1:
        return ()
    return [entry for entry in records.frames_of(folders[0]) if entry.record.status in ("active", "broken")]
