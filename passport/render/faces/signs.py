"""A check: every sign of what the records show has a glyph in a typeface at hand, so that none is printed as a box."""

import unicodedata
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.yaml.yamltext import Source
from passport.render.faces import known
from passport.render.faces.shelf import STYLES, Face, Shelf, shelf
from passport.workshop.facts.spoken_names import all_of

_UNSHOWN = frozenset(("reading", "photo", "photos"))
"""Fields whose text is looked for, or names a file, and is never printed."""
_MOST_NAMED = 6
Spoken = Callable[[str], str]
"""Every sign that the words shown to a reader of a language may show."""


@dataclass(frozen=True, slots=True)
class Lacking:
    """A text of the records that holds signs which no typeface at hand has, or a ``language`` whose words do."""

    place: Place
    signs: tuple[str, ...]
    language: str = ""

    @property
    def fault(self) -> Fault:
        """It as a fault, at the first such sign."""
        scripts = sorted({script for sign in self.signs if (script := known.script_of(sign))})
        if self.language:
            what = worded(
                "The words of '{language}' have {signs} signs that no typeface at hand has: cards and sheets "
                "would print boxes.",
                language=self.language,
                signs=len(self.signs),
            )
            return Fault(self.place, "no-glyph", what, _get(scripts))
        at = self.place.excerpt.find(self.signs[0])
        place = self.place if at < 0 else replace(self.place, col=at + 1, width=1)
        named = ", ".join(f"{sign} (U+{ord(sign):04X})" for sign in self.signs[:_MOST_NAMED])
        more = worded(" and {signs} more", signs=len(self.signs) - _MOST_NAMED) if len(self.signs) > _MOST_NAMED else ""
        what = worded("No typeface at hand has {named}{more}: it would be printed as a box.", named=named, more=more)
        if scripts:
            do = _get(scripts)
        elif any(unicodedata.category(sign) == "So" for sign in self.signs):
            do = worded("Take it out, or write it in words: emoji and other pictures are not printed.")
        else:
            do = worded("Write it in another script: no typeface for this one is known.")
        return Fault(place, "no-glyph", what, do)


def run(content: Content, shipped: Path, spoken: Spoken, look: Path | None = None) -> list[Fault]:
    """Every text that holds a sign which no typeface at hand has, as faults; ``shipped`` is the folder of the shipped ones,
    ``look`` that of a ready look."""
    return [found.fault for found in lacking(content, shelf(shipped, content.root, look), spoken)]


def lacking(content: Content, at_hand: Shelf, spoken: Spoken) -> Iterator[Lacking]:
    """Every text of the records that holds a sign which no typeface ``at_hand`` has, and every language whose words do."""
    usual = frozenset.intersection(*(at_hand.house(style) for style in STYLES))
    entries: list[Entry[Any]] = [content.workshop] if content.workshop else []
    for table in (
        content.strings, content.models, content.parts, content.lots, content.players, content.frames, content.blanks,
    ):  # fmt: skip
        entries += table.values()
    doubtful: dict[int, bool] = {}
    for entry in entries:
        source = entry.source
        if id(source) not in doubtful:
            doubtful[id(source)] = _doubtful(source, usual, at_hand)
        if doubtful[id(source)]:
            for path, text in _texts(entry.record, ()):
                if signs := _lacking(text, usual, at_hand):
                    yield Lacking(entry.at(*path), signs)
    for page in content.pages.values():
        if not page.text.isascii():
            yield from _of_page(page.file, page.text, usual, at_hand)
    yield from _of_languages(content, at_hand, spoken)


def _of_languages(content: Content, at_hand: Shelf, spoken: Spoken) -> Iterator[Lacking]:
    """Each language of the workshop and its players once, where it first stands, whose words no typeface has."""
    entries: list[Entry[Any]] = [*([content.workshop] if content.workshop else []), *content.players.values()]
    for entry in {entry.record.language: entry for entry in reversed(entries)}.values():
        language = entry.record.language
        text = spoken(language) if language else ""
        if text and (signs := _lacking_words(text, at_hand.shipped, tuple(at_hand.added.items()))):
            yield Lacking(entry.at("language"), signs, language[:20])


def _doubtful(source: Source, usual: Collection[int], at_hand: Shelf) -> bool:
    """Whether a file of records has such a sign anywhere, be it in a remark, or may have it as an escape."""
    text = "".join(source.lines)
    return "\\" in text or bool(not text.isascii() and _lacking(text, usual, at_hand))


def _lacking(text: str, usual: Collection[int], at_hand: Shelf) -> tuple[str, ...]:
    unusual = {sign for sign in set(text) if ord(sign) not in usual}
    return tuple(sorted(at_hand.lent("".join(unusual)).missing, key=text.index)) if unusual else ()


@lru_cache(maxsize=32)
def _lacking_words(text: str, shipped: Path, added: tuple[tuple[str, Face], ...]) -> tuple[str, ...]:
    """The same of a language's words, which many players read."""
    at_hand = Shelf(shipped, dict(added))
    return _lacking(text, frozenset.intersection(*map(at_hand.house, STYLES)), at_hand)


def _texts(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """The texts in a record that may be shown, each with where it stands."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            if name not in _UNSHOWN:
                yield from _texts(getattr(value, name), (*path, field.alias or name))
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, (*path, key))
    elif isinstance(value, tuple | list):
        for i, inner in enumerate(value):
            yield from _texts(inner, (*path, i))


def _of_page(file: str, text: str, usual: Collection[int], at_hand: Shelf) -> Iterator[Lacking]:
    """A page of text once, where the first of its signs stands that no typeface has."""
    signs = _lacking(text, usual, at_hand)
    for number, line in enumerate(text.splitlines(), 1):
        if signs and not line.isascii() and not set(line).isdisjoint(signs):
            yield Lacking(Place(file, number, 1, line), signs)
            return


def _get(scripts: list[str]) -> str:
    if not scripts:
        return worded("Run 'passport fonts', which says where to get a typeface for them and takes it over.")
    return worded(
        "Run 'passport fonts', which says where to get a typeface for {scripts} and takes it over.",
        scripts=all_of(scripts),
    )
