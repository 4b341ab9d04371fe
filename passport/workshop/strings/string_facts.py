"""A frame's facts with all that is said of its strings: their life, the earlier beds, what held, when they are due."""

from dataclasses import replace

from passport.records.schema.player import Player
from passport.records.schema.workshop import Restring
from passport.workshop.facts.facts import FrameFacts
from passport.workshop.strings.advice import advice
from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.due import due_facts
from passport.workshop.strings.life import bed_life


def with_life(frame: FrameFacts, book: BedBook, player: Player, restring: Restring) -> FrameFacts:
    """The facts with the life of the strings added.

    Only what is in a frame in play has a life and a day that it is due; earlier beds are there for players who show a
    history.
    """
    beds = book.beds[frame.name]
    now = beds[-1] if beds and frame.status == "active" else None
    due = due_facts(now, book, player, restring) if now else None
    history = player.shows.history
    return replace(
        frame,
        due=due.day if due else None,
        restring=due,
        life=bed_life(now, book) if now else None,
        past=tuple(bed_life(bed, book) for bed in (beds[:-1] if now else beds)) if history else (),
        hold=advice(book, beds) if history else None,
    )
