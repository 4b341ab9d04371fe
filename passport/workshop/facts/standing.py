"""What a frame is at a glance: one view-model, from which words, colours, marks and drawings follow everywhere.

A frame has one `State` (what matters first of it) and one `Judged` (what its readings say). Neither says more than the
records do: strings are ``fresh`` only where a due day is known, and nothing out of play is on target.
"""

from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from passport.workshop.facts.facts import FrameFacts

State = Literal["fresh", "due soon", "overdue", "strung", "unstrung", "broken", "lost", "retired", "sealed", "erased"]
"""``strung``: there are strings in, but no day is known that they are due, or nobody asked for which day."""
Judged = Literal["never measured", "undecided", "inside", "outside", "no target"]
Tone = Literal["lively", "soon", "late", "plain", "stop"]
"""How a state looks: ``lively`` is the house's ball yellow and belongs to fresh strings alone."""

TONES: Final[dict[State, Tone]] = {
    "fresh": "lively",
    "due soon": "soon",
    "overdue": "late",
    "strung": "plain",
    "unstrung": "plain",
    "broken": "stop",
    "lost": "stop",
    "retired": "plain",
    "sealed": "plain",
    "erased": "plain",
}


@dataclass(frozen=True, slots=True)
class Standing:
    """What a frame is, and what is shown of it for that reason."""

    state: State
    judged: Judged
    strung: bool = False

    @property
    def tone(self) -> Tone:
        """How it looks."""
        return TONES[self.state]

    @property
    def in_play(self) -> bool:
        """Whether it is played with: only then are strings alive, due or on target."""
        return self.state in ("fresh", "due soon", "overdue", "strung", "unstrung")

    @property
    def closed(self) -> bool:
        """Whether nothing is said but that it is so: no setup, no figures, no card."""
        return self.state in ("lost", "retired", "sealed", "erased")

    @property
    def strings_drawn(self) -> bool:
        """Whether strings are drawn: never in a frame of which no stringing is recorded."""
        return self.strung and not self.closed

    @property
    def verdicts(self) -> bool:
        """Whether its figures are judged, in colours and marks; else they are what it last read, and no more."""
        return self.in_play and self.judged in ("undecided", "inside", "outside")


def standing(frame: FrameFacts, today: date | None = None, *, outside: bool = False) -> Standing:
    """What a frame is on a day.

    Without ``today`` strings are no more than ``strung``: a page does not know on which day it is read, and tells it in
    the reader's browser. ``outside``: for a reader without the secret of a sealed frame.
    """
    return Standing(_state(frame, today, outside), _judged(frame), frame.stringing is not None)


ERASED: Final = Standing("erased", "never measured")
"""What is left at the address of an erased frame."""


def _state(frame: FrameFacts, today: date | None, outside: bool) -> State:
    if frame.status in ("lost", "retired"):
        return "lost" if frame.status == "lost" else "retired"
    if frame.sealed and outside:
        return "sealed"
    if frame.status == "broken":
        return "broken"
    if frame.stringing is None:
        return "unstrung"
    if frame.restring is None or today is None:
        return "strung"
    return "overdue" if today > frame.restring.day else "due soon" if today >= frame.restring.soon else "fresh"


def _judged(frame: FrameFacts) -> Judged:
    """The least good of the verdicts decides."""
    verdicts = {spec.verdict for spec in frame.specs if spec.value is not None}
    for verdict in ("outside", "undecided", "inside"):
        if verdict in verdicts:
            return verdict
    return "no target" if verdicts else "never measured"
