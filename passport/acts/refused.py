"""How an act ends that cannot be done: with a text for a person, or with the faults that stand in its way."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from passport.records.faults import Fault
from passport.records.language.worded import worded


class Refused(Exception):
    """An act could not be done; the text says why, and what to do. A command ends with code 1."""


class Misused(Refused):
    """What was asked for makes no sense, whatever the records hold. A command ends with code 2."""


class Faulty(Refused):
    """Faults in the records stand in the way; the text, where there is one, says what follows from them."""

    def __init__(self, faults: Sequence[Fault], text: str = "") -> None:
        super().__init__(text)
        self.faults = tuple(faults)


@contextmanager
def writing(what: str) -> Iterator[None]:
    """What is written inside: a full disk or a file in the way ends the act with a word for a person."""
    try:
        yield
    except OSError as error:
        raise Refused(worded("{what} could not be written: {error}.", what=what, error=error)) from None
