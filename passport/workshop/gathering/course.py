"""All that is known of one frame over time, for the bench."""

from dataclasses import replace

from passport.records.load import Content
from passport.records.schema.player import Shows
from passport.workshop.facts.facts import FrameFacts
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.strings.string_priors import StringPriors


def course(content: Content, name: str, priors: StringPriors | None = None) -> FrameFacts:
    """The facts of a frame with all its jobs and beds, whatever its player lets the pages show."""
    owner = name.partition("/")[0]
    entry = content.players[owner]
    shown = replace(entry, record=entry.record.model_copy(update={"shows": Shows()}))
    return Gatherer(replace(content, players={**content.players, owner: shown}), priors).frame(name)
