"""The words of pages and cards in the reader's language: gettext catalogues that a shop can add to without code.

The English words stand in the templates and in the code; ``templates/messages/<language>.po`` holds the others. A
folder ``messages`` in the content may hold further languages, or other wordings of shipped ones, English among them,
which win.
"""

import io
import math
import re
from collections.abc import Callable, Sequence
from copy import copy
from functools import lru_cache
from gettext import GNUTranslations, NullTranslations
from pathlib import Path

from markupsafe import Markup

from passport.render.theme import assets

SOURCE = "en"
"""The language of the words in the templates."""


class Words:
    """The words of one language, from catalogues in the order of their weight: the last one wins."""

    def __init__(self, language: str, catalogues: Sequence[Path] = ()) -> None:
        """``catalogues`` are .po files; those that do not exist are passed over."""
        self.language = language
        self.written: dict[str, Markup] = {}
        """What templates have written already, by its English."""
        self._translations: NullTranslations = NullTranslations()
        for path in catalogues:
            if path.is_file():
                fresh = copy(read_catalogue(path.read_bytes(), language))  # others have the same one
                fresh.add_fallback(self._translations)
                self._translations = fresh

    def gettext(self, text: str) -> str:
        """The words for an English text; the English where there are none."""
        return self._translations.gettext(text)

    def ngettext(self, one: str, many: str, count: float) -> str:
        """The words for a count; for one that is not whole those of two."""
        return self._translations.ngettext(one, many, int(count) if math.floor(count) == count else 2)

    @property
    def functions(self) -> tuple[Callable[[str], str], Callable[[str, str, float], str]]:
        """What a template environment takes."""
        return self.gettext, self.ngettext


@lru_cache(maxsize=64)
def read_catalogue(data: bytes, language: str) -> GNUTranslations:
    """The text of a .po file as translations.

    Raises ValueError with the place where the file is not a catalogue.
    """
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import PoFileError, read_po

    try:
        catalogue = read_po(io.BytesIO(data), locale=language.replace("-", "_"), abort_invalid=True)
    except (PoFileError, UnicodeDecodeError, ValueError) as error:
        raise ValueError(f"messages for '{language}': {error}") from None
    out = io.BytesIO()
    write_mo(out, catalogue)
    return GNUTranslations(io.BytesIO(out.getvalue()))


def languages() -> tuple[str, ...]:
    """The languages that there are words for: English and one for each catalogue, shipped or the shop's own."""
    return _languages(assets.own())


def shown_language(wanted: str) -> str:
    """The language that a page is shown in to a reader who wants ``wanted``: that one, else its parent (``de`` for
    ``de-AT``), else English."""
    shown, names = _shown(wanted, assets.own())
    for name in names:
        assets.note(name)  # also where there is none: one that is added changes what is shown
    return shown


def words_of(language: str) -> Words:
    """The words of the language that a reader is shown who wants ``language``."""
    shown = shown_language(language)
    assets.note(f"messages/{shown}.po")
    return _words(shown, assets.own())


@lru_cache(maxsize=256)
def _shown(wanted: str, own: assets.Own) -> tuple[str, tuple[str, ...]]:
    """The language that is shown, and the catalogues that were looked for."""
    tag = wanted.strip().replace("_", "-").lower()
    known = {name.lower(): name for name in _languages(own)}
    tried = list[str]()
    for name in (tag, tag.partition("-")[0]):
        tried.append(f"messages/{name}.po")
        if name in known:
            return known[name], tuple(tried)
    return SOURCE, tuple(tried)


@lru_cache(maxsize=64)
def _words(language: str, own: assets.Own) -> Words:
    return Words(language, assets.sources(f"messages/{language}.po")[::-1])


@lru_cache(maxsize=8)
def _languages(own: assets.Own) -> tuple[str, ...]:
    folders = [folder / "messages" for folder in (assets.templates(), *([own.content] if own.content else []))]
    found = {path.stem for folder in folders if folder.is_dir() for path in folder.glob("*.po")}
    return (SOURCE, *sorted(found - {SOURCE}))


_PLACES = re.compile(r"%\((\w+)\)[#0 +-]*[0-9.]*[a-zA-Z]|%%|\{(\w*)\}")


def problems(data: bytes, language: str) -> list[str]:
    """What is wrong with a catalogue's words: a sentence that lacks what is filled in, or asks for what is not there.

    Raises ValueError where the file is not a catalogue.
    """
    from babel.messages.pofile import read_po

    read_catalogue(data, language)
    found = []
    for message in read_po(io.BytesIO(data), locale=language.replace("-", "_")):
        sources = [message.id] if isinstance(message.id, str) else list(message.id)
        said = [message.string] if isinstance(message.string, str) else list(message.string or ())
        if not message.id or not any(said):
            continue
        allowed = set().union(*map(_places, sources))
        needed = _places(sources[-1])  # a sentence for one may name the number or not
        for i, text in enumerate(said):
            extra, lacking = _places(text) - allowed, needed - _places(text) if i == len(said) - 1 else set()
            if extra or lacking or ("%" in "".join(allowed) and "%" in _PLACES.sub("", text)):
                what = (
                    f"lacks {', '.join(sorted(lacking))}"
                    if lacking
                    else f"has {', '.join(sorted(extra)) or 'a lone %'}"
                )
                found.append(f"'{text}' {what}, unlike '{sources[-1]}'")
    return found


def _places(text: str) -> set[str]:
    """What is filled into a text: ``%(name)s`` and ``{name}``."""
    return {match[0] for match in _PLACES.finditer(text) if match[0] != "%%"}
