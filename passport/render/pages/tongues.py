"""The languages that pages stand in, and the plain links by which a visitor goes from one to the other.

A player's pages stand in the player's language at the address that was given out, and in the workshop's, where that is
another, in a folder below it: whatever closes, moves or takes away an address takes both.
"""

import re
from dataclasses import dataclass

from passport.render.theme.words import SOURCE, shown_language
from passport.workshop.facts.facts import ShopFacts

_TAG = re.compile(r"[a-z]{2,3}(?:-[A-Za-z0-9]{2,8})*")
_NAMES = {SOURCE: "English", "id": "Bahasa Indonesia"}
"""Names of languages in themselves that are not CLDR's, or need not be looked up there (usage, from memory)."""


@dataclass(frozen=True, slots=True)
class Tongue:
    """A page in another language: where it stands, seen from the one that links to it."""

    href: str
    language: str

    @property
    def name(self) -> str:
        """The language's own name for itself, as it stands in a list (CLDR)."""
        return name_of(self.language)


@dataclass(frozen=True, slots=True)
class PageSpot:
    """Where a page below a key stands: the way to the site's top and to the key's own files, and the folder that the same
    language has below other keys."""

    root: str
    up: str = ""
    there: str = ""
    tongues: tuple[Tongue, ...] = ()


def second_language(reader: str, shop: ShopFacts) -> str:
    """The language that a reader's pages stand in besides: the workshop's, where another is shown; else nothing."""
    own = shown_language(shop.language)
    return own if shop.two_languages and shown_language(reader) != own else ""


def spot(reader: str, shop: ShopFacts, *, too: bool, alone: bool = False) -> PageSpot:
    """Where the page of a reader stands; ``too``: the second one; ``alone``: there is no second one, as with sealed ones."""
    other = "" if alone else second_language(reader, shop)
    if too and other:
        return PageSpot("../../", "../", f"{other}/", (Tongue("../", shown_language(reader)),))
    return PageSpot("../", tongues=(Tongue(f"{other}/", other),) if other else ())


def told_in(slug: str, own: str) -> tuple[str, str]:
    """A text page's name and language: ``cracked-frame.de`` is German, without an ending it is the workshop's own."""
    name, _, language = slug.partition(".")
    return (name, language) if _TAG.fullmatch(language) else (slug, own)


def name_of(language: str) -> str:
    """A language's name for itself."""
    if language in _NAMES:
        return _NAMES[language]
    from babel.core import Locale, UnknownLocaleError

    try:
        name = Locale.parse(language, sep="-").display_name or language
    except (UnknownLocaleError, ValueError):
        return language
    return name[:1].upper() + name[1:]
