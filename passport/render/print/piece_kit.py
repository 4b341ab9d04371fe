"""What all printed pieces share: their sizes, their two sides as HTML, the tools of their templates."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from markupsafe import Markup

from passport.render.drawing.qr import QrCode, qr_svg
from passport.render.faces.direction import printed
from passport.render.print import card_art
from passport.render.print.card_text import fullest, running
from passport.render.theme import bed_words
from passport.render.theme.assets import Own, folders, own
from passport.render.theme.formats import Formats
from passport.render.theme.palette import Palette, declarations
from passport.render.theme.templating import Environment, environment, speak
from passport.render.theme.textfit import fits, fitted_size, packed, shortened, text_width, wrapped
from passport.workshop.facts.facts import FrameFacts, ShopFacts

LEAST_PT = 5.5
"""The smallest print on stickers and wraps, pt."""
READ_PT = 7.0
"""The smallest print on what is read as a card is: tags and the cards of sets, pt."""
SHEETS = ("style/fonts-print.css", "card/kit.css")


@dataclass(frozen=True, slots=True)
class Format:
    """A kind of printed piece: its width and height after cutting, mm, and the style sheet of its own.

    A ``circular`` one is cut to a disc. ``hole`` is across, down and the diameter of a hole, from the upper left corner
    of the front, mm; ``corner`` is the radius of its rounded corners. ``fold`` says that it is folded in the middle of
    its width.
    """

    name: str
    width: float
    height: float
    style: str
    circular: bool = False
    hole: tuple[float, float, float] | None = None
    corner: float = 0.0
    fold: bool = False


@dataclass(frozen=True, slots=True)
class PrintItem:
    """One printed piece: one side or two as HTML, with the pictures that their styles name.

    Everything that touches the cut runs 3 mm past it, so that the piece can be printed with bleed.
    """

    format: Format
    number: str
    title: str
    language: str
    when: date | None
    sides: tuple[Markup, ...]
    pictures: tuple[tuple[str, str], ...] = field(repr=False)
    shows: tuple[FrameFacts, ...] = field(default=(), repr=False)
    """The frames that it is about, where somebody keeps their data with it."""


def render(name: str, f: Formats, look: Palette, shop: ShopFacts, /, **facts: Any) -> tuple[Markup, ...]:
    """The sides of a piece from the macros ``front`` and ``back`` of the template ``card/NAME.html.j2``."""
    shared = {
        "shop": shop,
        "f": f,
        "language": f.words.language,
        "mirrored": f.direction == "rtl",
        "colours": declarations(look, "").replace("\n", " "),
        "look": look,
        "least": LEAST_PT,
        "ready": own().ready or "weave",
    }
    # Before the template is fetched: its translated texts are looked up when its macros run.
    speak(f.words)
    template = _environment(folders(), own()).get_template(f"card/{name}.html.j2")
    module: Any = template.make_module({**shared, **facts})
    sides = (Markup(getattr(module, side)()) for side in ("front", "back") if hasattr(module, side))
    return tuple(Markup(printed(side)) if _RIGHT_TO_LEFT in side else side for side in sides)


_RIGHT_TO_LEFT = ' dir="rtl"'


def get_ready(name: str) -> None:
    """Parse the template of a kind of piece before the first one is made."""
    _environment(folders(), own()).compile_all("card/kit.html.j2", f"card/{name}.html.j2")


def code_svg(code: QrCode, title: str, key: str) -> Markup:
    """A symbol in black without a ground, to fill the white square that the template gives it."""
    return Markup(qr_svg(code, title, key=key, light="none"))


@lru_cache(maxsize=8)
def _environment(places: tuple[Path, ...], _: Own) -> Environment:
    """The templates of printed pieces, with what they need to make text fit."""
    made = environment(places)
    made.tests["at_most"] = _at_most
    made.filters["plain"] = _plain
    made.filters.update(bed_words.FILTERS)
    made.globals.update(
        fit=fitted_size, width=text_width, pack=packed, cut=shortened, wrap=wrapped, fits=fits, running=running, fullest=fullest,
        art=card_art,
    )  # fmt: skip
    return made


def _at_most(lines: Sequence[str], most: int) -> bool:
    """Whether there are at most ``most`` lines; a test for templates."""
    return len(lines) <= most


def _plain(words: str) -> str:
    """Words of a translated text, whose signs are escaped for HTML, as they are read: what widths are sums of."""
    return words.unescape() if isinstance(words, Markup) else words
