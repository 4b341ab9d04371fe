"""The words on the charts, so that a page can be in any language."""

from dataclasses import dataclass, fields
from functools import lru_cache

from passport.render.theme.formats import Formats
from passport.render.theme.words import Words


def N_(text: str) -> str:
    """A text for the catalogues; its words are looked up later."""
    return text


@dataclass(frozen=True, slots=True)
class ChartWords:
    """Every word that a chart shows or says; the defaults are English.

    Names in braces are filled in by the charts. ``decimal`` is the decimal mark of numbers on axes.
    """

    decimal: str = "."

    inside: str = N_("inside")
    outside: str = N_("outside")
    undecided: str = N_("undecided")
    not_measured: str = N_("not measured")
    target: str = N_("target")

    target_title: str = N_("Measured against target")
    target_desc: str = N_("{name}: {measured}, target {target}, {verdict}.")
    target_desc_missing: str = N_("{name}: not measured, target {target}.")

    history_title: str = N_("Tension and swingweight over the jobs")
    history_tension: str = N_("Pull tension, as set")
    history_swingweight: str = N_("Swingweight, kg·cm²")
    history_desc_tension: str = N_("{date}: mains {mains} lb, crosses {crosses} lb.")
    history_desc_swingweight: str = N_("{date}: swingweight {swingweight} kg·cm².")
    mains: str = N_("mains")
    crosses: str = N_("crosses")
    both: str = N_("mains and crosses")
    lb: str = N_("lb")
    kg: str = N_("kg")

    equality_title: str = N_("How equal the frames are")
    equality_desc: str = N_("{name}: {values}; {spread}.")

    life_title: str = N_("The life of this string bed")
    life_left: str = N_("Tension remaining")
    life_due: str = N_("restring by {date}")
    life_limit: str = N_("the workshop's limit")
    life_desc_point: str = N_("{reading}: {left} of the fresh tension left.")
    life_desc_due: str = N_("Expected by {date}: {left}, between {low} and {high}.")
    today: str = N_("today")
    now: str = N_("now")

    scale_from: str = N_("The scale begins at {low}.")

    beds_title: str = N_("All string beds of this racquet")
    beds_left: str = N_("Tension remaining, bed by bed")
    beds_days: str = N_("days after stringing")
    beds_one: str = N_("{string}, one bed")
    beds_many: str = N_("{string}, {count} beds")
    beds_desc: str = N_("{beds}: {left} left when last read, {days} days after stringing.")


def chart_words(f: Formats) -> ChartWords:
    """The words in the reader's language."""
    return _chart_words(f.words, f.decimal)


@lru_cache(maxsize=64)
def _chart_words(words: Words, decimal: str) -> ChartWords:
    english = ChartWords()
    said = {each.name: words.gettext(getattr(english, each.name)) for each in fields(ChartWords)}
    return ChartWords(**{**said, "decimal": decimal})
