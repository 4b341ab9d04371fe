"""The words on the charts, so that a page can be in any language."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ChartWords:
    """Every word that a chart shows or says; the defaults are English.

    Names in braces are filled in by the charts. ``decimal`` is the decimal mark of numbers on axes.
    """

    decimal: str = "."

    inside: str = "inside"
    outside: str = "outside"
    undecided: str = "undecided"
    not_measured: str = "not measured"
    target: str = "target"

    target_title: str = "Measured against target"
    target_desc: str = "{name}: {measured}, target {target}, {verdict}."
    target_desc_missing: str = "{name}: not measured, target {target}."

    history_title: str = "Tension and swingweight over the jobs"
    history_tension: str = "Pull tension, as set"
    history_swingweight: str = "Swingweight, kg·cm²"
    history_desc_tension: str = "{date}: mains {mains} lb, crosses {crosses} lb."
    history_desc_swingweight: str = "{date}: swingweight {swingweight} kg·cm²."
    mains: str = "mains"
    crosses: str = "crosses"
    both: str = "mains and crosses"
    lb: str = "lb"
    kg: str = "kg"

    equality_title: str = "How equal the frames are"
    equality_desc: str = "{name}: {values}; {spread}."

    life_title: str = "The life of this string bed"
    life_left: str = "Left of the fresh tension"
    life_due: str = "restring by {date}"
    life_limit: str = "the workshop's limit"
    life_desc_point: str = "{reading}: {left} of the fresh tension left."
    life_desc_due: str = "Expected by {date}: {left}, between {low} and {high}."
    today: str = "today"
    now: str = "now"

    beds_title: str = "All string beds of this racquet"
    beds_left: str = "Left of the fresh tension, bed by bed"
    beds_days: str = "days after stringing"
    beds_one: str = "{string}, one bed"
    beds_many: str = "{string}, {count} beds"
    beds_desc: str = "{string}, {count} beds: {left} left when last read, {days} days after stringing."
