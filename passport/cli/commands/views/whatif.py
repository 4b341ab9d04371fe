"""``passport what-if``: what another string, gauge, tension or pattern would do to a frame."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
from pydantic_core import PydanticCustomError
from rich.console import Console
from rich.table import Table

from passport.acts.picking import pick
from passport.cli.shared.common import FOLDER, sound_part
from passport.physics.uncertainty import Estimate
from passport.physics.units import kg_from_newtons, lb_from_newtons
from passport.records.language.worded import unsaid, worded
from passport.records.schema.quantities import GAUGE, TENSION, Dimension, Quantity, lend_unit, parse
from passport.records.yaml.validation_messages import closest
from passport.workshop.gathering.whatif import NotPossible, Recipe, RecipeChange, WhatIf, what_if

LEAVES_OUT = unsaid(
    "The frequency takes the strings as a smooth membrane: read the new bed, and believe the reading. What follows ±\n"
    "is two standard uncertainties. The frame maker's tension limit stands above any recipe."
)


@dataclass(frozen=True, slots=True)
class _ComparisonRow:
    """One line of the comparison."""

    name: str
    now: str
    then: str
    change: str = ""


@click.command(
    name="what-if", epilog="Example: passport what-if content_demo 1042-9 --mains softmere-130 --tension '52/50 lb'"
)
@click.argument("content", type=FOLDER, metavar="[CONTENT]")
@click.argument("frame", metavar="NUMBER-OR-NAME")
@click.option("--mains", default="", metavar="STRING", help="The mains' string, by its name in the catalogue.")
@click.option("--crosses", default="", metavar="STRING", help="The crosses' string.")
@click.option("--gauge", default="", metavar="GAUGE", help="Another gauge of mains and crosses, as in '1.20 mm'.")
@click.option("--tension", default="", metavar="TENSION", help="'50 lb', or mains and crosses as in '50/48 lb'.")
@click.option("--pattern", default="", metavar="PATTERN", help="Mains by crosses, as in 18x20.")
@click.option("--json", "as_json", is_flag=True, help="Print the comparison as data.")
def command(
    content: Path, frame: str, mains: str, crosses: str, gauge: str, tension: str, pattern: str, as_json: bool
) -> None:
    """Compare the recipe of a frame with another one: frequency, mass, balance and swingweight to expect.

    What is not named stays as it is. With one tension the crosses keep their distance from the mains. Nothing is
    written.
    """
    change = _change(mains, crosses, gauge, tension, pattern)
    if change == RecipeChange():
        raise click.UsageError(worded("Name what is to change: --mains, --crosses, --gauge, --tension or --pattern."))
    part = sound_part(content, (frame,))
    records = part.records
    try:
        found = what_if(records, pick(records, frame).name, change, part.priors)
    except NotPossible as error:
        raise click.ClickException(f"{error}\n  {closest(error.asked, error.names)}".rstrip()) from None
    if as_json:
        click.echo(json.dumps(_data(found), ensure_ascii=False, indent=2))
    else:
        _print(found)


def _change(mains: str, crosses: str, gauge: str, tension: str, pattern: str) -> RecipeChange:
    first, _, second = tension.partition("/")
    if second:
        first, second = lend_unit(first, second)
    return RecipeChange(
        mains=mains,
        crosses=crosses,
        gauge=_quantity("--gauge", gauge, GAUGE),
        mains_pull=_quantity("--tension", first, TENSION),
        crosses_pull=_quantity("--tension", second, TENSION),
        pattern=_pattern(pattern),
    )


def _quantity(option: str, text: str, dimension: Dimension) -> Quantity | None:
    try:
        return parse(text, dimension) if text.strip() else None
    except PydanticCustomError as error:
        context = error.context or {}
        raise click.BadParameter(f"{context.get('what')} {context.get('do')}", param_hint=option) from None


def _pattern(text: str) -> tuple[int, int] | None:
    if not text:
        return None
    match = re.fullmatch(r"\s*(\d{1,2})\s*[x×/]\s*(\d{1,2})\s*", text)
    if not match or not (8 <= int(match[1]) <= 30 and 8 <= int(match[2]) <= 34):
        raise click.BadParameter(worded("Write mains by crosses, as in 18x20."), param_hint="--pattern")
    return int(match[1]), int(match[2])


def _print(found: WhatIf) -> None:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for name, side in (("", "left"), (worded("Now"), "right"), (worded("Then"), "right"), (worded("Change"), "right")):
        table.add_column(name, justify="left" if side == "left" else "right")
    for row in _rows(found):
        table.add_row(row.name, row.now, row.then, row.change)
    Console().print(table)
    if found.source == "reading":
        click.echo(worded("\nThe forecast starts from this frame's own fresh reading, {read:.0f} Hz.", read=found.read))
    else:
        click.echo(
            worded("\nThis frame has no reading in Hz, so the forecast starts from the usual 70 % of the pull tension.")
        )
    if found.then.zones:
        click.echo(worded("Strings that are pulled by zone keep their distance from the pull of their side."))
    click.echo(worded(LEAVES_OUT))
    if found.over_limit and found.limit:
        click.secho(
            worded("This is over the frame maker's limit of {tension}.", tension=_tension(found.limit)),
            fg="red",
            bold=True,
        )


def _rows(found: WhatIf) -> Iterator[_ComparisonRow]:
    now, then = found.now, found.then
    for i, part in enumerate((worded("Mains"), worded("Crosses"))):
        yield _ComparisonRow(part, _string(now, i), _string(then, i))
        gap = then.pulls[i] - now.pulls[i]
        yield _ComparisonRow(
            worded("{part}, pull tension", part=part), _tension(now.pulls[i]), _tension(then.pulls[i]), _gap(gap)
        )
    yield _ComparisonRow(worded("Pattern"), _pattern_text(now), _pattern_text(then))
    yield _ComparisonRow(worded("Reading to expect, fresh"), _hz(now), _hz(then), _hz_gap(found))
    yield _ComparisonRow(
        worded("Strings, with what is outside the head"), _sure(now.strings, "g"), _sure(then.strings, "g")
    )
    for name, field, change, unit in (
        (worded("Mass"), "mass", found.mass_change, "g"),
        (worded("Balance"), "balance", found.balance_change, "mm"),
        (worded("Swingweight"), "swingweight", found.swingweight_change, "kg·cm²"),
    ):
        old, new = ("–" if (v := getattr(r, field)) is None else f"{v:.1f} {unit}" for r in (now, then))
        yield _ComparisonRow(name, old, new, _sure(change, unit, sign=True))


def _sure(found: Estimate | None, unit: str, *, sign: bool = False) -> str:
    """A figure with two standard uncertainties, to the digit that they leave sure."""
    if found is None:
        return "–"
    places = 1 if found.expanded() >= 0.05 else 2
    if not found.u:  # the same strings: that two jobs are never quite alike is no part of the comparison
        return f"{found.value:.1f} {unit}"
    value = _signed(found.value, places) if sign else f"{found.value:.{places}f}"
    return f"{value} ± {found.expanded():.{places}f} {unit}"


def _string(recipe: Recipe, part: int) -> str:
    return f"{recipe.names[part]}, {recipe.gauges[part]:.2f} mm"


def _pattern_text(recipe: Recipe) -> str:
    return f"{recipe.pattern[0]} × {recipe.pattern[1]}"


def _hz(recipe: Recipe) -> str:
    return f"{recipe.hz.value:.0f} ± {recipe.hz.expanded():.0f} Hz" if recipe.hz else "–"


def _hz_gap(found: WhatIf) -> str:
    now, then = found.now.hz, found.then.hz
    return f"{_signed(then.value - now.value, 0)} Hz" if now and then else "–"


def _tension(newtons: float) -> str:
    return f"{lb_from_newtons(newtons):.1f} lb ({kg_from_newtons(newtons):.1f} kg)"


def _gap(newtons: float) -> str:
    return f"{_signed(lb_from_newtons(newtons), 1)} lb ({_signed(kg_from_newtons(newtons), 1)} kg)"


def _signed(value: float, places: int) -> str:
    text = f"{abs(value):.{places}f}"
    return text if not float(text) else ("+" if value > 0 else "−") + text


def _data(found: WhatIf) -> dict[str, Any]:
    def recipe(r: Recipe) -> dict[str, Any]:
        return {
            "mains": {"string": r.names[0], "gauge_mm": r.gauges[0], **_pull(r.pulls[0])},
            "crosses": {"string": r.names[1], "gauge_mm": r.gauges[1], **_pull(r.pulls[1])},
            "pattern": list(r.pattern),
            "reading_hz": _round(r.hz.value if r.hz else None),
            "reading_hz_uncertainty": _round(r.hz.expanded() if r.hz else None),
            "strings_g": _round(r.strings.value if r.strings else None),
            "strings_g_uncertainty": _round(r.strings.expanded() if r.strings else None),
            "mass_g": _round(r.mass),
            "balance_mm": _round(r.balance),
            "swingweight_kgcm2": _round(r.swingweight),
        }

    return {
        "now": recipe(found.now),
        "then": recipe(found.then),
        **_change_data("mass_change_g", found.mass_change),
        **_change_data("balance_change_mm", found.balance_change),
        **_change_data("swingweight_change_kgcm2", found.swingweight_change),
        "from": found.source,
        "over_limit": found.over_limit,
    }


def _change_data(name: str, found: Estimate | None) -> dict[str, float | None]:
    return {
        name: _round(found.value if found else None),
        f"{name}_uncertainty": _round(found.expanded() if found else None),
    }


def _pull(newtons: float) -> dict[str, float]:
    return {"pull_lb": round(lb_from_newtons(newtons), 2), "pull_kg": round(kg_from_newtons(newtons), 2)}


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 2)
