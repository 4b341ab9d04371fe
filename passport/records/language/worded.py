"""Sentences for the technician: the code says them in English, a voice says them in the workshop's language.

The whole process has one voice, that of the workshop it works for; without one everything is English. A sentence is put
into words where it is made, so whatever is put together from such texts is in that language too.

    worded("'{name}' is not a number.", name=name)
    numbered(count, "{count} frame is due", "{count} frames are due")

The English text names each value; a value that is a number or a day appears in the form of the language, any other as it
is. The places follow `str.format`. Texts that are chosen from a table stand there marked with `unsaid`, and are put into
words where they are used: `worded(TABLE[key], value=value)`. What is data, and stays the same in every language, the names
of fields, options and commands, and all that ``--json`` prints, does not go through here.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import Protocol


class Voice(Protocol):
    """What says English sentences in another language."""

    @property
    def language(self) -> str:
        """The tag of the language."""

    def said(self, text: str, values: dict[str, object]) -> str:
        """A sentence with its values filled in."""

    def counted(self, count: float, one: str, many: str, values: dict[str, object]) -> str:
        """A sentence in the form for a count, with its values filled in."""


_held: list[Callable[[], Voice | None]] = [lambda: None]


def worded(text: str, /, **values: object) -> str:
    """A text in words that the technician reads, its values filled in."""
    voice = _held[0]()
    if voice is not None:
        return voice.said(text, values)
    return _filled(text, values) if values else text


def numbered(count: float, one: str, many: str, /, **values: object) -> str:
    """A text for a ``{count}`` of things: ``one`` in English for 1, else ``many``."""
    voice = _held[0]()
    values = {"count": count, **values}
    if voice is not None:
        return voice.counted(count, one, many, values)
    return _filled(one if count == 1 else many, values)


def unsaid(text: str) -> str:
    """Marks a text that is put into words later; the text itself."""
    return text


def spoken() -> str:
    """The language that the technician is spoken to, for what has forms of its own: ``en``, ``de``."""
    voice = _held[0]()
    return voice.language if voice else "en"


def speak(voice: Callable[[], Voice | None] | Voice | None) -> None:
    """Let the process say everything by a voice, or by one that is found when something is said; None is English."""
    _held[0] = voice if callable(voice) else lambda: voice


@contextmanager
def speaking(voice: Callable[[], Voice | None] | Voice | None = None) -> Iterator[None]:
    """Speak by a voice for a while, and then as before."""
    before = _held[0]
    speak(voice)
    try:
        yield
    finally:
        _held[0] = before


def _filled(text: str, values: dict[str, object]) -> str:
    return text.format(
        **{name: value.isoformat() if isinstance(value, date) else value for name, value in values.items()}
    )
