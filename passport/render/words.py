"""The words of pages and cards in the reader's language: gettext catalogues that a shop can add to without code.

The English words stand in the templates and in the code; ``templates/messages/<language>.po`` holds the others. A
folder ``messages`` in the content may hold further languages, or other wordings of shipped ones, which win.
"""

import io
from collections.abc import Callable, Sequence
from functools import lru_cache
from gettext import GNUTranslations, NullTranslations
from pathlib import Path

SOURCE = "en"
"""The language of the words in the templates."""


class Words:
    """The words of one language, from catalogues in the order of their weight: the last one wins."""

    def __init__(self, language: str, catalogues: Sequence[Path] = ()) -> None:
        """``catalogues`` are .po files; those that do not exist are passed over."""
        self.language = language
        self._translations: NullTranslations = NullTranslations()
        for path in catalogues:
            if path.is_file():
                fresh = read_catalogue(path.read_bytes(), language)
                fresh.add_fallback(self._translations)
                self._translations = fresh

    def gettext(self, text: str) -> str:
        """The words for an English text; the English where there are none."""
        return self._translations.gettext(text)

    def ngettext(self, one: str, many: str, count: int) -> str:
        """The words for a count."""
        return self._translations.ngettext(one, many, count)

    @property
    def functions(self) -> tuple[Callable[[str], str], Callable[[str, str, int], str]]:
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
        catalogue = read_po(io.BytesIO(data), locale=language, abort_invalid=True)
    except (PoFileError, UnicodeDecodeError) as error:
        raise ValueError(f"messages for '{language}': {error}") from None
    out = io.BytesIO()
    write_mo(out, catalogue)
    return GNUTranslations(io.BytesIO(out.getvalue()))


def languages(folders: Sequence[Path]) -> tuple[str, ...]:
    """The languages that there are words for: English and one for each catalogue in the folders."""
    found = {path.stem for folder in folders if folder.is_dir() for path in folder.glob("*.po")}
    return (SOURCE, *sorted(found - {SOURCE}))
