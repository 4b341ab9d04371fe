"""Bench sheets: everything that a technician needs to rebuild a frame or to make a set equal, on paper."""

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Literal

from jinja2 import Template
from markupsafe import Markup

from passport.records.language.worded import worded
from passport.render.print import pdf
from passport.render.sheets.made_up import swatch
from passport.render.sheets.match_view import SetView, has_work
from passport.render.sheets.room import LaidOut
from passport.render.sheets.threading import path_view
from passport.render.sheets.view import SIZE_PT
from passport.render.theme import bed_words
from passport.render.theme.assets import folders, with_look
from passport.render.theme.formats import BenchFormats, Formats
from passport.render.theme.templating import environment as environment_of
from passport.render.theme.templating import speak
from passport.render.theme.textfit import Face, fitted_size, shortened
from passport.workshop.facts.bedfacts import BatchFacts
from passport.workshop.facts.facts import ShopFacts
from passport.workshop.rebuild.plan import Rebuild
from passport.workshop.rebuild.planset import Match

Paper = Literal["a5", "a4"]
STYLES = ("style/fonts-print.css", "bench/sheet.css")


def rebuild_pdf(found: Sequence[Rebuild], shop: ShopFacts, paper: Paper = "a5") -> bytes:
    """The sheets of rebuilds: two A5 pages each, front and back; on A4 the two side by side, to be folded.

    A plan with very many steps has two more A5 pages, or a second A4 page, for the table of grams and the chart; a frame
    whose string can be followed from hole to hole has two more for that.

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.print.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
    """
    pictures: dict[str, str] = {}
    sides = [side for i, rebuild in enumerate(found) for side in _sides(rebuild, shop, f"{i}", pictures)]
    names = ", ".join(rebuild.frame.number or rebuild.frame.name for rebuild in found)
    shown = _formats(shop)
    title = shown.words.gettext("%(names)s: bench sheet") % {"names": names}
    return _written(sides, title, found[0], paper, pictures, shown)


def match_pdf(found: Match, shop: ShopFacts, paper: Paper = "a5", batches: Sequence[BatchFacts] = ()) -> bytes:
    """The sheet of a set, two A5 pages or one A4 page, and behind it the sheet of each frame that something is done to.

    ``batches`` are the times when these frames were strung in one go, the newest first (`bench.batches.batches_of`).

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.print.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
    """
    say, layout, f = _templates("match", found.members[0], shop)
    view = SetView(found, say, f, found.to)
    sides: list[Markup] = [layout.front(view), layout.back(view, batches)]
    pictures: dict[str, str] = {}
    for i, member in enumerate(found.members):
        if has_work(member):
            sides += _sides(member, shop, f"{i}", pictures)
    title = f.words.gettext("%(names)s: bench sheet") % {"names": view.title}
    return _written(sides, title, found.members[0], paper, pictures, f)


def _written(
    sides: Sequence[Markup], title: str, first: Rebuild, paper: Paper, pictures: Mapping[str, str], shown: Formats
) -> bytes:
    """Sides on pages, one or two on each, in the language that they are ``shown`` in."""
    if paper == "a4":
        pairs = [sides[i : i + 2] for i in range(0, len(sides), 2)]
        sides = [Markup('<div class="pair">{}</div>').format(Markup("").join(pair)) for pair in pairs]
    body = f"<main>{Markup('').join(sides)}</main>"
    lang = shown.language
    css = with_look(*STYLES, f"bench/{paper}.css")
    return pdf.engine().write(body, css, title=title, lang=lang, when=first.made, pictures=pictures)


def _sides(found: Rebuild, shop: ShopFacts, key: str, pictures: dict[str, str]) -> Iterator[Markup]:
    """The pages of one rebuild, an even number, so that front and back stay on one leaf; what they show goes to the others
    of the ``pictures``."""
    say, layout, f = _templates("sheet", found, shop)
    view = LaidOut(found, say, f, key)
    pictures |= view.pictures
    yield layout.front(view)
    yield layout.back(view)
    path = path_view(found, f, key)
    # notes alone need no leaf of their own where the list of holes leaves them room
    if view.overflows and not (path and view.only_notes_overflow):
        yield layout.more(view)
        yield layout.empty(view)
    if path:
        yield layout.path(view, path)
        yield layout.holes(view, path)


def _templates(name: str, found: Rebuild, shop: ShopFacts) -> tuple[Any, Any, Formats]:
    """The words and a layout for a rebuild, and the formats that they print numbers in."""
    words = _template("bench/words.html.j2", folders())
    facts: dict[str, Any] = {"handle": found.shape.handle, "strung": found.measured_strung}
    f = _formats(shop)
    speak(f.words)
    say: Any = words.make_module({**facts, "f": f})
    more = {"f": f, "say": say, "shop": shop, "lang": f.language, "cut": _cut, "fit": _fit, "swatch": swatch}
    return say, _template(f"bench/{name}.html.j2", folders()).make_module({**facts, **more}), f


def _formats(shop: ShopFacts) -> Formats:
    """The formats of the language that the words are in: the shop's, unless its own words say otherwise."""
    f = BenchFormats(shop.language)
    speak(f.words)
    said: Any = _template("bench/words.html.j2", folders()).make_module({"f": f, "handle": 0.0, "strung": False})
    return f if said.language == f.language else BenchFormats(str(said.language))


def _cut(text: str, width: float, size: float = SIZE_PT, face: Face = "text-600") -> str:
    """Text that is cut to a width in mm."""
    return shortened(text, face, width, size)


def _fit(text: str, width: float, largest: float, face: Face) -> float:
    """The size in pt at which a text fits a width in mm, not below 8 pt."""
    return fitted_size(text, face, width, largest, 8.0)


@cache
def _template(name: str, places: tuple[Path, ...]) -> Template:
    """A template of bench sheets."""
    environment = environment_of(places)
    environment.filters.update(bed_words.FILTERS, worded=worded)
    return environment.get_template(name)
