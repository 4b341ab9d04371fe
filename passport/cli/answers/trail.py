"""The way through a dialogue: each answer is kept as it is given, and a person may go back over them, or stop.

A dialogue is an ordinary function that asks one question after the other. To go back it is run again from its beginning
with the answers that stay, unseen, up to the question that is asked anew.
"""

import io
import sys
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import TextIO, TypeVar

import click

from passport.acts.drafts import Answered, Draft
from passport.acts.refused import Refused
from passport.records.language.worded import unsaid, worded

T = TypeVar("T")
BACK, STOP = "<", "<<"
"""What a person types to go back a question, and to stop and go on later."""
HELP = unsaid("'<' goes back a question, '<<' stops and keeps it for later.")


def choices(*, default: bool) -> str:
    """The signs of yes and no in the language that is spoken, that of the ``default`` in capitals: ``Y/n``."""
    yes, no = _sign(worded("yes")), _sign(worded("no"))
    return f"{yes.upper()}/{no}" if default else f"{yes}/{no.upper()}"


def agrees(answer: str) -> bool:
    """Whether an answer is yes, in the language that is spoken or by an English ``y``."""
    return answer.strip().lower().startswith(("y", _sign(worded("yes"))))


def refuses(answer: str) -> bool:
    """Whether an answer is no, in the language that is spoken or by an English ``n``."""
    return answer.strip().lower().startswith(("n", _sign(worded("no"))))


def _sign(word: str) -> str:
    """The sign that a person types for a word; the whole of it where that is in other letters than ours."""
    return word[:1].lower() if word.isascii() or word[:1].isascii() else word


class GoneBack(Exception):
    """A person goes back a question."""


class Stopped(Exception):
    """A person stops here, to go on later."""


class OffScreen(io.StringIO):
    """What is said while answers are given again; to whoever asks it is the ``screen`` that it stands in for."""

    def __init__(self, screen: TextIO) -> None:
        super().__init__()
        self.screen = screen

    def isatty(self) -> bool:
        """Whether the screen is a terminal."""
        return self.screen.isatty()


@dataclass
class Trail:
    """The answers of one dialogue: those given so far, and those that are still to be given again unseen."""

    draft: Draft | None
    again: deque[Answered]
    given: list[Answered] = field(default_factory=list)
    unseen: "OffScreen | None" = None

    def known(self, question: str) -> str | None:
        """The answer that a question had before; None where a person has to be asked.

        Where another question comes than came before, the records have changed meanwhile, and the rest is asked anew.
        """
        if self.again and self.again[0][0] != question:
            self.again.clear()
        if not self.again:
            self._come_forth()
            return None
        answer = self.again.popleft()[1]
        if self.unseen:  # what stood above a question that is answered need not be seen again
            self.unseen.seek(0)
            self.unseen.truncate()
        return answer

    def take(self, question: str, answer: str) -> None:
        """Keep an answer that was taken."""
        self.given.append((question, answer))
        if self.draft and not self.again:
            self.draft.keep(self.given)

    def called(self, answer: str) -> None:
        """Keep the last answer by another name, one that means the same whatever the list it was chosen from holds later."""
        question, _ = self.given[-1]
        self.given[-1] = (question, answer)
        if self.draft and not self.again:
            self.draft.keep(self.given)

    def refuse(self) -> None:
        """Note that an answer of before will not do any more: from here on a person is asked."""
        self.again.clear()
        self._come_forth()

    def _come_forth(self) -> None:
        """Show what was said since the last answer, and from now on everything."""
        if self.unseen:
            said, sys.stdout = self.unseen.getvalue(), self.unseen.screen
            self.unseen = None
            click.echo(said, nl=False)


_TRAIL: ContextVar[Trail | None] = ContextVar("trail", default=None)


def trail() -> Trail | None:
    """The trail of the dialogue that is going on; None where there is none."""
    return _TRAIL.get()


def retraced(talk: Callable[[], T | None], draft: Draft, command: str) -> T | None:
    """Run a dialogue that asks and writes, with a way back at every question; what it returns, None where it wrote nothing.

    What was kept of it is offered first. ``command`` is what goes on with it later, as it is typed. Raises Refused where a
    person stops.
    """
    answers = _offered(draft)
    while True:
        going = Trail(draft, deque(answers))
        try:
            with _going(going):
                done = talk()
        except GoneBack:
            if not going.given:
                click.echo(worded("  This is the first question."))
            answers = going.given[:-1]
            draft.keep(answers)
            continue
        except Stopped:
            raise Refused(
                worded("Nothing was written. What you typed is kept: '{command}' goes on with it.", command=command)
            ) from None
        except (click.Abort, KeyboardInterrupt):
            if going.given:
                click.echo(worded("\nWhat you typed is kept: '{command}' goes on with it.", command=command), err=True)
            raise click.Abort from None
        except Refused:
            if going.given:
                click.echo(worded("What you typed is kept: '{command}' goes on with it.", command=command), err=True)
            raise
        if done is None:
            click.echo(worded("What you typed is kept: '{command}' goes on with it.", command=command))
        else:
            draft.drop()
        return done


def _offered(draft: Draft) -> list[Answered]:
    """What was kept, where a person wants to go on with it; its last answer is asked once more, so that there is a way
    back from a dialogue that came to its end."""
    kept = draft.kept()
    if not kept:
        return []
    click.echo(worded("This was begun before and not written:"))
    for question, answer in kept:
        click.echo(f"  {question}: {answer or '–'}")
    click.echo(worded("Go on with it?") + f" [{choices(default=True)}] ", nl=False)
    line = sys.stdin.readline()
    if not line:
        raise click.Abort
    if refuses(line):
        draft.drop()
        return []
    return kept[:-1]


@contextmanager
def _going(going: Trail) -> Iterator[None]:
    """Lead the questions over a trail; what the dialogue says is not seen while its answers are given again."""
    token, screen = _TRAIL.set(going), sys.stdout
    if going.again:
        sys.stdout = going.unseen = OffScreen(screen)
    try:
        yield
    finally:
        sys.stdout = screen
        _TRAIL.reset(token)
