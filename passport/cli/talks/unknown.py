"""Somebody is named whom nobody knows: then it is a walk-in."""

from pathlib import Path

import click

from passport.cli.shared.dialogue import at_terminal, confirmed
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.workshop.entry.recognising import called_player, recognised


def is_walk_in(records: Content, said: str) -> bool:
    """Whether a person at the terminal says that a name which fits no frame is somebody who just came in."""
    named_so = said.strip() and not any(sign.isdigit() or sign == "/" for sign in said)
    if not (named_so and at_terminal()):
        return False
    known = recognised(said, {name: called_player(name, entry.record) for name, entry in records.players.items()})
    who = (
        worded("'{said}' is here already", said=said)
        if known.sure
        else worded("Nobody and no frame is called '{said}'", said=said)
    )
    return confirmed(worded("{who}. A walk-in?", who=who), yes=False)


def walk_in(content: Path, who: str, *, done: bool) -> None:
    """Go on as ``passport walk-in``; ``done`` records the work as a job."""
    here = click.get_current_context()
    program = here.find_root()
    assert isinstance(program.command, click.Group), "a command is started by the program"
    command = program.command.get_command(program, "walk-in")
    assert command, "the program has a walk-in"
    here.invoke(command, content=content, player=who, done=done)
