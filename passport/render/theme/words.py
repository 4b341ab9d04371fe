"""The words of pages and cards in the reader's language: gettext catalogues that a shop can add to without code.

The English words stand in the templates and in the code; ``templates/messages/<language>.po`` holds the others. A
folder ``messages`` in the content may hold further languages, or other wordings of shipped ones, English among them,
which win. What only the bench reads, sheets, labels and screens, stands apart in ``messages/bench``: what a language
lacks there is in English.

A reader's languages come in the order of their wish, as gettext's variable LANGUAGE has them: ``pl:de`` is shown in
Polish, else in German, else in English.
"""

import io
import math
import re
from collections.abc import Callable, Sequence
from copy import copy
from datetime import date
from functools import lru_cache
from gettext import GNUTranslations, NullTranslations
from pathlib import Path
from typing import Final

from markupsafe import Markup

from passport.records.disk import walking
from passport.render.theme import assets

SOURCE = "en"
"""The language of the words in the templates."""
BENCH = "messages/bench"
"""Where the words stand that only the bench reads."""
_READ = re.compile(rb'^"X-Reviewed: yes\\n"$', re.MULTILINE)
"""In the head of a catalogue that somebody has read whose language it is."""

CAUTIONS: Final = frozenset(
    {
        "Broken: not strung, not played",
        "Cracked? Stop playing and bring it in.",
        "Keep it covered, away from small children and from mouths, wash your hands after touching it, do not sand, heat "
        "or burn it, and dispose of it by your local rules.",
        "Keep the racquet out of a hot car: heat ages strings and can soften a frame.",
        "Lead tape is fitted.",
        "Leave cutting strings to the bench: they are under tension. Where it cannot wait, wear eye protection and never "
        "cut at one place only.",
        "The frame broke and was replaced by one built to the same setup. A cracked frame must not be strung or played.",
        "The frame maker’s limits stand above all that is printed here. A cracked frame is not strung.",
        "The maker of this frame allows at most %(most)s (%(other)s). That limit stands above any setup.",
        "This frame is broken. Its setup is kept here so that a replacement can be built to match. A cracked frame must "
        "not be strung or played.",
        "Lead: cover the tape fully, wash your hands after it, keep it from small children; never sand, heat or burn "
        "it; dispose of it by local rules.",
        "Silicone gives off acetic acid as it cures: ventilate, keep it off skin and eyes, let it cure before "
        "closing and before play.",
        "Heat on a sleeve: burns, fire and fumes. Keep it moving and off the graphite, never near lead, solvent or "
        "wet silicone.",
        "Glue and solvent: no flame, heat gun or spark near them; ventilate, and let the place dry before tape goes "
        "on.",
        "Butt cap: tacks are sharp and split a pallet that was thinned; keep to its maker’s way, and leave no point "
        "standing out.",
        "Never take the frame off with the mains alone in it: without crosses they pull the hoop out of shape.",
        "Strings under tension: wear eye protection (EN 166 or ANSI Z87.1); cut old ones in turn and evenly, never "
        "all at one place.",
        "The old frame is broken: it is neither strung nor played. A crack in the new one ends the work.",
        "A cracked frame is not strung. Eye protection when cutting strings, evenly from the middle outwards. The "
        "maker’s limits, local rules and licensed practice stand above this page.",
        "A cracked frame is not strung. Eye protection when cutting strings, evenly from the middle outwards; never "
        "dismount a frame with the mains alone. The maker’s limits, local rules and licensed practice stand above "
        "this page.",
        "Marked broken: do not string.",
    }
)
"""The texts that warn, in English as they stand in the templates."""


class Words:
    """The words of one language, from catalogues in the order of their weight: the last one wins.

    A caution that is in doubt may hurt somebody. So a shipped catalogue that no native reader has read says none: that is
    said in the next of the reader's languages, whole (``then``), and in English at last.
    """

    def __init__(self, language: str, catalogues: Sequence[Path] = (), then: "Words | None" = None) -> None:
        """``catalogues`` are .po files; those that do not exist are passed over."""
        self.language = language
        self.written: dict[str, Markup] = {}
        """What templates have written already, by its English."""
        self._then = then
        self._cautions: set[str] = set(CAUTIONS) if language == SOURCE else set()
        self._translations: NullTranslations = NullTranslations()
        for path in catalogues:
            if path.is_file():
                data = assets.data(path)
                fresh = copy(read_catalogue(data, language))  # others have the same one
                fresh.add_fallback(self._translations)
                self._translations = fresh
                if assets.is_own(path) or reviewed(data):
                    self._cautions |= {text for text in CAUTIONS if fresh.gettext(text) != text}

    def gettext(self, text: str) -> str:
        """The words for an English text; the English where there are none."""
        return self.caution(text)[0] if text in CAUTIONS else self._translations.gettext(text)

    def caution(self, text: str) -> tuple[str, str]:
        """The words of a caution, and the language that they are in."""
        if text in self._cautions:
            return self._translations.gettext(text), self.language
        return self._then.caution(text) if self._then else (text, SOURCE)

    def ngettext(self, one: str, many: str, count: float) -> str:
        """The words for a count; for one that is not whole those of a whole one in the same form (CLDR's rules)."""
        whole = int(count) if math.floor(count) == count else _alike(count, self.language)
        return self._translations.ngettext(one, many, whole)

    @property
    def functions(self) -> tuple[Callable[[str], str], Callable[[str, str, float], str]]:
        """What a template environment takes."""
        return self.gettext, self.ngettext


@lru_cache(maxsize=256)
def _alike(count: float, language: str) -> int:
    """A whole number that takes the plural form of one that is not whole: 2 in English, 1 in French for 1.5."""
    from babel.core import Locale, UnknownLocaleError

    try:
        form = Locale.parse(language, sep="-").plural_form
    except (UnknownLocaleError, ValueError):
        return 2
    return next((whole for whole in (2, 1, 0, *range(3, 200)) if form(whole) == form(count)), 2)


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
    # Babel would write the English for one thing where a count has no words, whatever the count is.
    for message in [one for one in catalogue if one.pluralizable and not any(one.string or ())]:
        catalogue.delete(message.id, message.context)
    out = io.BytesIO()
    write_mo(out, catalogue)
    return GNUTranslations(io.BytesIO(out.getvalue()))


def reviewed(data: bytes) -> bool:
    """Whether a catalogue says that somebody has read it whose language it is."""
    return _READ.search(data) is not None


def languages() -> tuple[str, ...]:
    """The languages that there are words for: English and one for each catalogue, shipped or the shop's own."""
    return _languages(assets.own())


def read_languages() -> tuple[str, ...]:
    """Of the shipped languages those whose words somebody has read whose language it is."""
    paths = walking.listed(assets.templates() / "messages")
    return (SOURCE, *(path.stem for path in paths if path.suffix == ".po" and reviewed(assets.data(path))))


def shown_language(wanted: str) -> str:
    """The language that a page is shown in to a reader who wants ``wanted``: that one, else its parent (``de`` for
    ``de-AT``), else the next that is wanted, else English."""
    return _noted(wanted)[0]


def regional(wanted: str) -> str:
    """The tag of what is shown as the reader wants it, with its region, ``de-AT``."""
    shown = shown_language(wanted).partition("-")[0].lower()
    return next((tag for tag in map(_tag, wanted.split(":")) if tag.partition("-")[0].lower() == shown), "")


def words_of(language: str) -> Words:
    """The words of the language that a reader is shown who wants ``language``."""
    shown = _noted(language)
    for name in shown:
        assets.note(f"messages/{name}.po")
    return _words(shown, assets.own())


def bench_words_of(language: str) -> Words:
    """The words of what only the bench reads, and of pages, in the language that a reader is shown."""
    shown = _noted(language)
    for folder in ("messages", BENCH):
        assets.note(f"{folder}/{shown[0]}.po")
    return _bench_words(shown, assets.own())


def _noted(wanted: str) -> tuple[str, ...]:
    own = assets.own()
    shown, names = _shown(wanted, own, _languages(own))
    for name in names:
        assets.note(name)  # also where there is none: one that is added changes what is shown
    return shown


@lru_cache(maxsize=64)
def direction(language: str) -> str:
    """``rtl`` where a language is written from right to left, else ``ltr`` (CLDR)."""
    if language.partition("-")[0] == SOURCE:
        return "ltr"
    from babel.core import Locale, UnknownLocaleError

    try:
        return Locale.parse(language, sep="-").text_direction
    except (UnknownLocaleError, ValueError):
        return "ltr"


def attributes(own: str, shown: str) -> Markup:
    """The attributes of an element whose words are in the language ``own``, on a page in the language ``shown``."""
    if own.partition("-")[0].lower() == shown.partition("-")[0].lower():
        return Markup("")
    way = "" if direction(own) == direction(shown) else f' dir="{direction(own)}"'
    return Markup(' lang="{}"').format(own) + Markup(way)


def _tag(text: str) -> str:
    return text.strip().replace("_", "-")


@lru_cache(maxsize=256)
def _shown(wanted: str, _: assets.Own, languages: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The languages that are shown, one after the other, and the catalogues that were looked for."""
    known = {name.lower(): name for name in languages}
    found, tried = list[str](), list[str]()
    for tag in map(_tag, wanted.lower().split(":")):
        names = dict.fromkeys((tag, *([] if _APART.match(tag) else [tag.partition("-")[0]])))
        tried += [f"messages/{name}.po" for name in names]
        found += [known[name] for name in names if name in known][:1]
    return tuple(dict.fromkeys([*found, SOURCE] if SOURCE not in found else found[: found.index(SOURCE) + 1])), tuple(
        tried
    )


@lru_cache(maxsize=64)
def _words(shown: tuple[str, ...], own: assets.Own) -> Words:
    then = _words(shown[1:], own) if len(shown) > 1 else None
    return Words(shown[0], assets.sources(f"messages/{shown[0]}.po")[::-1], then)


@lru_cache(maxsize=8)
def _bench_words(shown: tuple[str, ...], own: assets.Own) -> Words:
    then = _bench_words(shown[1:], own) if len(shown) > 1 else None
    paths = [path for folder in ("messages", BENCH) for path in assets.sources(f"{folder}/{shown[0]}.po")[::-1]]
    return Words(shown[0], paths, then)


@lru_cache(maxsize=8)
def _languages(own: assets.Own) -> tuple[str, ...]:
    folders = [folder / "messages" for folder in (assets.templates(), *([own.content] if own.content else []))]
    found = {path.stem for folder in folders for path in walking.listed(folder) if path.suffix == ".po"}
    return (SOURCE, *sorted(found - {SOURCE}))


THIN: Final = "\N{NARROW NO-BREAK SPACE}"
_SEPARATORS: Final = {"ja": ("、", "；"), "zh": ("、", "；"), "ar": ("، ", "؛ "), "fr": (", ", f"{THIN}; ")}
"""Commas and semicolons of lists (the signs as CLDR's list patterns have them; semicolons from memory)."""


def separators(language: str) -> tuple[str, str]:
    """What stands between the parts of a list in a language, each with its space: its comma, and its semicolon."""
    return _SEPARATORS.get(language.partition("-")[0], (", ", "; "))


def signs_of(language: str) -> str:
    """Every sign that the words and dates of a language as it is shown may show; nothing for English, which has no others
    than the house's typefaces."""
    shown = shown_language(language)
    return _signs_of(shown, assets.own()) if shown != SOURCE else ""


@lru_cache(maxsize=32)
def _signs_of(language: str, _: assets.Own) -> str:
    from babel.core import Locale, UnknownLocaleError
    from babel.dates import format_date, format_skeleton
    from babel.messages.pofile import read_po

    said = {*"".join(separators(language))}
    for path in assets.sources(f"messages/{language}.po"):
        for message in read_po(io.BytesIO(assets.data(path)), locale=language.replace("-", "_")):
            said.update(*([message.string] if isinstance(message.string, str) else message.string or ()))
    try:
        locale = Locale.parse(language, sep="-")
    except (UnknownLocaleError, ValueError):  # a check says so; its dates are English
        return "".join(sorted(said))
    for month in range(1, 13):
        day = date(2026, month, 28)
        said.update(*(format_date(day, form, locale=locale) for form in ("long", "medium", "LLL")))
        said.update(*(format_skeleton(form, day, locale=locale) for form in ("yMMM", "MMMd")))
    return "".join(sorted(said))


_APART = re.compile(r"zh-(hant|tw|hk|mo)\b")
"""Languages that are not written as their parent is: the signs of traditional Chinese are others than those of ``zh``."""
_PLACES = re.compile(r"%\((\w+)\)[#0 +-]*[0-9.]*[a-zA-Z]|%%|\{(\w*)(?:![rsa])?(?::[^{}]*)?\}")


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
