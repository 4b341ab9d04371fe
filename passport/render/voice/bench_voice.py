"""The voice of a workshop: the language of its ``workshop.yaml``, and that of the computer where there is no workshop.

What a language has no words for is said in the next that is wished, at last in English, each sentence as a whole.
"""

import os
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from passport.records.disk import opening
from passport.records.language.worded import Voice

if TYPE_CHECKING:  # an English shop needs none
    from passport.render.voice.terminal_words import TerminalWords

FOLDER: Final = "messages/terminal"
"""Where the words stand, below the templates."""
SOURCE: Final = "en"
_LANGUAGE = re.compile(rb"^language:[ \t]*([\"']?)([A-Za-z][\w:-]*)\1[ \t]*(?:#.*)?\r?$", re.MULTILINE)
_VARIABLES = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")
_PLACE = re.compile(r"\{(\w+)(?:!([rsa]))?(?::([^{}]*))?\}|\{\{|\}\}")
_TURNS = dict.fromkeys(map(ord, "\u200e\u200f\u061c\u2066\u2067\u2068\u2069"))
"""Marks of direction in a date, which a terminal would show as signs."""
WARNINGS: Final = frozenset(
    {
        "Broken: do not string.",
        "CRACK FOUND",
        "Crack found: do not string.",
        "a crack was found: not to be strung",
        "marked broken: not to be strung",
        "A cracked frame is not strung. The maker's limits, local rules and licensed practice stand above this recipe.",
        "Cutting strings: eye protection, and evenly from the middle outwards.",
        "Never take the frame off the machine with the mains alone in it.",
        "This frame is marked broken: do not string it.",
        "Lead is fitted: keep it covered, wash hands, no sanding, no heat; dispose of it by local rules.",
    }
)
"""Texts that warn of what can hurt somebody: said only in a language whose words somebody has read whose language it is."""
_APART = re.compile(r"zh-(hant|tw|hk|mo)\b")
"""Languages that are not written as their parent is."""


def language_of(content: Path, environ: Mapping[str, str] = os.environ) -> str:
    """The language that a workshop's technician is spoken to; that of the computer where there is no workshop."""
    try:
        found = _LANGUAGE.search(opening.read(content / "workshop.yaml"))
    except OSError:
        return language_here(environ)
    return found[2].decode() if found else SOURCE


def language_here(environ: Mapping[str, str] = os.environ) -> str:
    """The language of the computer, by the variables that gettext goes by."""
    wish = next((value for name in _VARIABLES if (value := environ.get(name))), "")
    tags = [re.split(r"[.@]", tag)[0].replace("_", "-") for tag in wish.split(":")]
    return ":".join(SOURCE if tag in ("C", "POSIX", "") else tag for tag in tags)


def voice_of(language: str) -> Voice | None:
    """The voice for a language, or for several in the order of a wish; None for English, or where there are no words."""
    tags = language.lower().replace("_", "-").split(":")
    if tags[0].partition("-")[0] == SOURCE:
        return None
    return _voice(language)


def found_voice(language: Callable[[], str]) -> Callable[[], Voice | None]:
    """A voice for a language that is asked for when something is said for the first time."""
    held = list[Voice | None]()

    def voice() -> Voice | None:
        if not held:
            held.append(voice_of(language()))
        return held[0]

    return voice


@lru_cache(maxsize=16)
def _voice(language: str) -> Voice | None:
    from passport.render.theme import assets

    found = list[tuple[str, Path]]()
    for tag in language.lower().replace("_", "-").split(":"):
        if tag.partition("-")[0] == SOURCE:
            break
        for name in dict.fromkeys((tag, *([] if _APART.match(tag) else [tag.partition("-")[0]]))):
            path = assets.templates() / FOLDER / f"{name}.po"
            if path.is_file():
                found.append((name, path))
                break
    return BenchVoice(tuple(found)) if found else None


class BenchVoice:
    """Says English sentences in one language, and in the next where that has no words for one."""

    def __init__(self, catalogues: tuple[tuple[str, Path], ...]) -> None:
        """``catalogues`` are languages with their .po files, the most wished first."""
        self.languages = tuple(name for name, _ in catalogues)
        self.language = self.languages[0]
        self._paths = tuple(path for _, path in catalogues)

    @cached_property
    def _words(self) -> tuple["TerminalWords", ...]:
        return tuple(_read(path) for path in self._paths)

    def said(self, text: str, values: dict[str, object]) -> str:
        """A sentence with its values filled in."""
        for language, words in zip(self.languages, self._words, strict=True):
            known = words.single(text)
            if known and (text not in WARNINGS or _read_by_somebody(language)):
                return _filled(known, values, language) if values else known
        return _filled(text, values, SOURCE) if values else text

    def counted(self, count: float, one: str, many: str, values: dict[str, object]) -> str:
        """A sentence in the form for a count, with its values filled in."""
        for language, words in zip(self.languages, self._words, strict=True):
            if known := words.plural(many, int(count) if count == int(count) else 2):
                return _filled(known, values, language)
        return _filled(one if count == 1 else many, values, SOURCE)


@lru_cache(maxsize=16)
def _read_by_somebody(language: str) -> bool:
    from passport.render.theme import assets
    from passport.render.theme.words import reviewed

    path = assets.templates() / "messages" / f"{language}.po"
    return path.is_file() and reviewed(opening.read(path))


@lru_cache(maxsize=16)
def _read(path: Path) -> "TerminalWords":
    from passport.render.voice.terminal_words import read

    return read(opening.read_text(path))


def _filled(text: str, values: Mapping[str, object], language: str) -> str:
    """A sentence with its values in the form of its language."""

    def shown(place: re.Match[str]) -> str:
        if place[0] in ("{{", "}}"):
            return place[0][0]
        value, spec = values[place[1]], place[3] or ""
        if place[2] == "r":
            value = repr(value)
        if isinstance(value, date):
            return _day(value, language)
        if isinstance(value, float) or (isinstance(value, int) and spec):
            return _number(format(value, spec), language)
        return format(value, spec)

    return _PLACE.sub(shown, text)


def _day(value: date, language: str) -> str:
    if language == SOURCE or isinstance(value, datetime):
        return value.isoformat()
    from passport.render.theme.formats import Formats

    return Formats(language).short_day(value).translate(_TURNS)


def _number(text: str, language: str) -> str:
    if language == SOURCE or not ("." in text or "," in text):
        return text
    symbols = _symbols(language)
    return text.replace(",", "\0").replace(".", symbols[0]).replace("\0", symbols[1])


@lru_cache(maxsize=16)
def _symbols(language: str) -> tuple[str, str]:
    """The decimal mark and what stands between thousands, a plain space for any other kind of it."""
    from babel.core import Locale

    found = Locale.parse(language, sep="-").number_symbols["latn"]
    group = str(found["group"])
    return str(found["decimal"]), " " if group.isspace() else group
