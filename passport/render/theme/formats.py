"""Numbers, units and dates as a reader sees them, in the reader's language (CLDR forms, through Babel)."""

import math
import re
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING, Final, Protocol

from passport.physics import units
from passport.render.faces.direction import left_to_right
from passport.render.theme.assets import Own, own
from passport.render.theme.words import (
    SOURCE,
    THIN,
    Words,
    bench_words_of,
    direction,
    languages,
    regional,
    separators,
    shown_language,
    words_of,
)

if TYPE_CHECKING:  # the forms of all languages are brought when a date or another language than English asks for them
    from babel.core import Locale

KEEP = "\N{NO-BREAK SPACE}"
"""Between words that stay on one line."""
NONE = "–"
LANGUAGES = languages()
"""The languages that the shipped words exist in."""
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November"),
    "December",
)
RAISED_FIRST = "1ᵉʳ"
_NO_MARKUP = re.compile(rf"(<(svg|title|option|textarea)\b.*?</\2>|<[^>]*>)|{RAISED_FIRST}", re.DOTALL)
_FIRST = {"fr": RAISED_FIRST, "it": "1º", "pt": "1º", "pt_PT": "1"}
"""The first of a month in words of the language or of a region (usage, from memory: Portugal writes a plain 1)."""
_BY_KG: Final = frozenset(
    [
        "AT",
        "BE",
        "BG",
        "CH",
        "CZ",
        "DE",
        "DK",
        "EE",
        "ES",
        "FI",
        "FR",
        "GR",
        "HR",
        "HU",
        "IT",
        "LT",
        "LU",
        "LV",
        "NL",
        "NO",
        "PL",
        "PT",
        "RO",
        "SE",
        "SI",
        "SK",
    ]
)
"""Where strings are spoken of in kg (common practice, no source). CLDR's systems of measures do not tell: in many places
that weigh in kg, strings are pulled by the pound. Elsewhere the unit that was recorded stands first."""
__all__ = ["KEEP", "LANGUAGES", "NONE", "THIN", "BenchFormats", "Formats", "formats_of", "shown_language"]


def raised(markup: str) -> str:
    """A page or screen with the raised letters of a French 1ᵉʳ by markup, as the typefaces of pages do not have them; plain
    letters in drawings, whose texts are measured, and where there is no markup."""

    def plain(found: re.Match[str]) -> str:
        return found[0].replace(RAISED_FIRST, "1er" if found[1] else "1<sup>er</sup>")

    return _NO_MARKUP.sub(plain, markup) if RAISED_FIRST in markup else markup


@lru_cache(maxsize=64)
def _locale_of(language: str, _: Own) -> "Locale":
    """The forms of a language with the shop's own catalogues as they are; whose words are used is noted with the words."""
    return _locale(language, shown_language(language))


@lru_cache(maxsize=64)
def _locale(wanted: str, shown: str) -> "Locale":
    """The forms of a language; those of a region where one is asked for, of Great Britain for English."""
    from babel.core import Locale, UnknownLocaleError

    tag = regional(wanted)
    for name in (*([tag] if "-" in tag else []), shown, SOURCE):
        try:
            return Locale.parse("en-GB" if name == SOURCE else name, sep="-")
        except (UnknownLocaleError, ValueError):
            continue
    raise AssertionError("English is known")


@lru_cache(maxsize=16384)
def _decimal(value: float, places: int, locale: "Locale") -> str:
    """A number in the form of a place; the same few thousand come again and again."""
    from babel.numbers import format_decimal

    text = format_decimal(value, f"0.{'0' * places}" if places else "0", locale=locale)
    return text.replace("-", "−")


@lru_cache(maxsize=64)
def customary(language: str) -> str:
    """``kg`` where strings are spoken of in kg where a language is, ``de-CH``, or else most of its readers are (CLDR's
    likely subtags); else nothing."""
    if language == SOURCE:
        return ""
    from babel.core import get_global

    first, *more = language.partition(":")[0].replace("_", "-").split("-")
    likely = str(get_global("likely_subtags").get(first.lower(), "")).rpartition("_")[2]
    told = next((part.upper() for part in more if len(part) == 2), likely)
    return "kg" if told in _BY_KG else ""


class ToldTo(Protocol):
    """Whoever a page, a piece or a message is for: the language, and the unit that was chosen."""

    @property
    def language(self) -> str:
        """The languages in the order of their wish."""

    @property
    def units(self) -> str:
        """The unit of tensions, ``lb`` or ``kg``; empty where nobody chose."""


def formats_of(reader: ToldTo) -> "Formats":
    """The formats for whoever something is for: in their own unit, else the shop's, else the custom where they are."""
    return Formats(reader.language, reader.units or customary(reader.language))


@dataclass(frozen=True, slots=True)
class Formats:
    """Formats for one language, given as a tag such as ``en`` or ``de``.

    ``units`` is the unit of a tension that stands first, ``lb`` or ``kg``; where it is empty, the one that was written.
    """

    language: str = "en"
    units: str = ""

    @property
    def locale(self) -> "Locale":
        """The Babel locale; ``en`` is read as British English, with the day before the month."""
        return _locale_of(self.language, own())

    @property
    def words(self) -> Words:
        """The words of the language."""
        return words_of(self.language)

    @property
    def direction(self) -> str:
        """``rtl`` where the words run from right to left, else ``ltr``."""
        return direction(self.words.language)

    @property
    def decimal(self) -> str:
        """The decimal mark."""
        return str(self.locale.number_symbols["latn"]["decimal"])

    @property
    def stop(self) -> str:
        """What ends a sentence that is put together of parts (Chinese and Japanese usage)."""
        return "。" if self.words.language.partition("-")[0] in ("ja", "zh") else "."

    @property
    def comma(self) -> str:
        """What stands between the parts of a list, with its space (Chinese, Japanese and Arabic usage)."""
        return separators(self.words.language)[0]

    @property
    def semicolon(self) -> str:
        """What stands between parts that may have commas inside, with its space; in French a thin one stands before it."""
        return separators(self.words.language)[1]

    def number(self, value: float | None, places: int = 1) -> str:
        """A decimal number with up to ``places`` decimals, or a dash."""
        if value is None:
            return NONE
        rounded = round(value, places) + 0.0
        if self.language == SOURCE and math.isfinite(rounded):
            return f"{rounded:.{places}f}".replace("-", "−")  # as CLDR has it for English
        return _decimal(rounded, places, self.locale)

    def short(self, value: float | None, places: int = 1) -> str:
        """Like `number`, without a decimal part of zero."""
        whole = value is not None and round(value, places) == round(value)
        return self.number(value, 0 if whole else places)

    def alike(self, *values: float) -> tuple[str, ...]:
        """Numbers of one row: all whole where all are, else all with one decimal."""
        places = 0 if all(round(value, 1) == round(value) for value in values) else 1
        return tuple(self.number(value, places) for value in values)

    def apart(self, value: float | None, places: int = 1) -> str:
        """How far apart readings are; ``< 0.1`` where they are equal as far as the decimals go."""
        if value is None or round(value, places):
            return self.number(value, places)
        return self._kept(f"<{THIN}{self.number(10.0**-places, places)}")

    def signed(self, value: float | None, places: int = 1) -> str:
        """A difference with its sign, plus as well as minus."""
        text = self.number(value, places)
        return text if value is None else self._kept(text if round(value, places) <= 0 else f"+{text}")

    def mass(self, grams: float | None) -> str:
        """``312.4 g``."""
        return self._with(self.number(grams), "g")

    def mm(self, value: float | None) -> str:
        """``322.5 mm``."""
        return self._with(self.short(value), "mm")

    def inertia(self, value: float | None) -> str:
        """``311.5 kg·cm²``."""
        return self._with(self.number(value), "kg·cm²")

    def balance(self, mm: float | None, unit: str, length: float) -> str:
        """A balance in the unit that the shop shows first: in ``points`` of a frame of that length, in inches, else mm."""
        if unit == "points":
            return self.points(mm, length)
        if unit == "in":
            return self._with(self.number(None if mm is None else mm / units.MM_PER_IN, 2), "in")
        return self._with(self.number(mm), "mm")

    def points(self, balance: float | None, length: float) -> str:
        """``6.5 pt HL``: balance points, head light or head heavy."""
        return NONE if balance is None else self.points_light(units.points_head_light(balance, length))

    def points_light(self, light: float) -> str:
        """The same from the points themselves, negative for head heavy."""
        _ = self.words.gettext
        if abs(light) < 0.05:
            return _("even")
        unit = _("pt HL") if light > 0 else _("pt HH")
        return self._with(self.number(abs(light)), unit.replace(" ", THIN))

    def points_said(self, balance: float | None, length: float) -> str:
        """``6.5 points head light``, or ``even balance``."""
        if balance is None:
            return NONE
        light, words = units.points_head_light(balance, length), self.words
        if abs(light) < 0.05:
            return words.gettext("even balance")
        text, many = self.number(abs(light)), abs(round(light, 1))
        if light > 0:
            return words.ngettext("%(n)s point head light", "%(n)s points head light", many) % {"n": text}
        return words.ngettext("%(n)s point head heavy", "%(n)s points head heavy", many) % {"n": text}

    def lb(self, newtons: float) -> str:
        """``25 lb``."""
        return self._with(self.short(units.lb_from_newtons(newtons)), "lb")

    def tension_gap(self, newtons: float) -> str:
        """A small difference of tension in both units, ``0.2 lb (0.09 kg)``; one that would be 0.0 lb is less than 0.1."""
        lb, kg = units.lb_from_newtons(newtons), units.kg_from_newtons(newtons)
        if not round(lb, 1):
            return f"<{THIN}{self.tension_gap(0.1 * newtons / lb if lb else units.newtons_from_lb(0.1))}"
        return f"{self._with(self.number(lb), 'lb')} ({self._with(self.number(kg, 2), 'kg')})"

    def kg(self, newtons: float) -> str:
        """``11.3 kg``."""
        return self._with(self.number(units.kg_from_newtons(newtons)), "kg")

    def tension(self, newtons: float, written: str = "") -> tuple[str, str]:
        """Both units of a tension, the reader's or else the one that it was written in first."""
        both = (self.lb(newtons), self.kg(newtons))
        return both[::-1] if self._in_kg(written) else both

    def _in_kg(self, written: str) -> bool:
        return (self.units or written).strip().lower().endswith(("kg", "kgf"))

    def pair(self, mains: float, crosses: float, written: str = "", *, whole: bool = False) -> tuple[str, str]:
        """Tensions of mains and crosses in both units, ``51 / 49 lb`` and ``23.1 / 22.2 kg``, as in `tension`.

        Equal ones are given once. With ``whole`` in two digits or so, for figures that are not known better.
        """
        pulls = (mains, crosses)
        pounds = [units.lb_from_newtons(v) for v in pulls]
        lb = [self.number(v, 0) for v in pounds] if whole else self.alike(*pounds)
        kg = [self.number(v, 0 if whole and v >= 10 else 1) for v in map(units.kg_from_newtons, pulls)]
        both = (self._with(" / ".join(dict.fromkeys(lb)), "lb"), self._with(" / ".join(dict.fromkeys(kg)), "kg"))
        return both[::-1] if self._in_kg(written) else both

    def gauge(self, mm: float, number: str = "") -> str:
        """``1.25 mm``; a gauge number that was recorded in its place stays one, ``17 ga``: which mm it is differs."""
        return self._with(number, "ga") if number else self._with(self.number(mm, 2), "mm")

    def ring(self, amount: float, unit: str) -> str:
        """An acoustic reading in the unit that the reader showed."""
        return self._with(self.short(amount), {"hz": "Hz"}.get(unit.lower(), unit))

    def percent(self, share: float, places: int = 0) -> str:
        """``87 %``."""
        return self._with(self.number(100 * share, places), "%")

    def band(self, low: float, high: float) -> str:
        """The two ends of a band of shares, ``83–91 %``; one figure where both are the same."""
        ends = [self.number(100 * share, 0) for share in (low, high)]
        return self._with(ends[0] if ends[0] == ends[1] else "–".join(ends), "%")

    def month(self, day: date) -> str:
        """``Oct``."""
        return self._date(day, "LLL", "{month}")

    def month_year(self, day: date) -> str:
        """``Jan 2027``."""
        return self._date(day, "yMMM", "{month} {day.year}")

    def day_month(self, day: date) -> str:
        """``12 Oct``; it stands in drawings too, whose texts are measured: a first has plain letters."""
        return self._first(self._date(day, "MMMd", "{day.day} {month}"), day).replace(RAISED_FIRST, "1er")

    def weekday(self, day: date) -> str:
        """``Fri 27 Nov``."""
        if self.language == SOURCE:
            return f"{day:%a}{KEEP}{self.day_month(day)}"
        from babel.dates import format_date

        return f"{format_date(day, 'EEE', locale=self.locale)}{KEEP}{self.day_month(day)}"

    def day(self, day: date | None) -> str:
        """``12 October 2026``."""
        return self._first(self._date(day, "long", "{day.day} {name} {day.year}"), day) if day else NONE

    def short_day(self, day: date | None) -> str:
        """``12 Oct 2026``."""
        return self._first(self._date(day, "medium", "{day.day} {month} {day.year}"), day) if day else NONE

    def _date(self, day: date, form: str, english: str) -> str:
        """A day in a form of CLDR's: one of its skeletons, or a pattern; ``english`` is what that gives in English."""
        if self.language == SOURCE:
            name = _MONTHS[day.month - 1]
            return english.format(day=day, name=name, month="Sept" if day.month == 9 else name[:3])
        from babel.dates import format_date, format_skeleton

        if form in ("yMMM", "MMMd"):
            return format_skeleton(form, day, locale=self.locale)
        return format_date(day, form, locale=self.locale)

    def _first(self, text: str, day: date) -> str:
        """A date with ``1ᵉʳ`` or ``1º`` for the first of a month where the language writes it so and CLDR's patterns do not."""
        if day.day != 1 or self.language == SOURCE or not text.startswith("1 "):
            return text
        first = _FIRST.get(str(self.locale), _FIRST.get(self.locale.language, "1"))
        return f"{first}{text[1:]}"

    def _with(self, text: str, unit: str) -> str:
        return text if text == NONE else self._kept(f"{text}{THIN}{unit}")

    def _kept(self, text: str) -> str:
        """A figure with its sign or unit: in words from right to left it keeps its own order."""
        return left_to_right(text) if self.language != SOURCE and self.direction == "rtl" else text


@dataclass(frozen=True, slots=True)
class BenchFormats(Formats):
    """The same for what only the bench reads, whose words stand apart."""

    @property
    def words(self) -> Words:
        """The words of the bench, and those of the pages."""
        return bench_words_of(self.language)
