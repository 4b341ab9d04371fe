"""The printed card: an ID-1 ticket, front and back, that holds enough to build the same racquet again."""

from collections.abc import Sequence
from functools import cache

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from passport.bench.facts import FrameFacts, ShopFacts
from passport.render import card_art, pdf
from passport.render.address import public_address
from passport.render.assets import templates
from passport.render.figures import numbered
from passport.render.formats import Formats, shown_language
from passport.render.palette import declarations
from passport.render.qr import budget, qr_matrix, qr_svg
from passport.render.textfit import fitted_size, packed, shortened, text_width, wrapped

SHEETS = ("style/fonts-print.css", "card/card.css")
TEMPLATE = "card/card.html.j2"
CODE_MM = 21.2
"""Side of the square in which the QR code stands, quiet zone included, mm."""


def card_pdf(frame: FrameFacts, shop: ShopFacts) -> bytes:
    """The card of one frame as a PDF of two pages, front and back, 85.60 × 53.98 mm each (ISO/IEC 7810, ID-1).

    Raises:
        passport.render.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
        passport.render.qr.QrTooLarge: the shop's web address is too long for a code on a card.
    """
    parts = tuple(part for _, part in numbered(frame))
    look = card_art.card_palette(shop)
    body = _template().render(
        frame=frame,
        shop=shop,
        f=Formats(frame.language),
        colours=declarations(look, "").replace("\n", " "),
        fit=fitted_size,
        width=text_width,
        pack=packed,
        cut=shortened,
        wrap=wrapped,
        art=card_art,
        look=look,
        qr=_code(public_address(shop, frame.key)),
        specs=tuple(s for s in frame.specs if s.value is not None or s.target is not None),
        parts=parts,
        total=sum(part.mass or 0.0 for part in parts),
    )
    pictures = {
        "panel": card_art.panel(frame.number, look, back=False),
        "panel-back": card_art.panel(frame.number, look, back=True),
        "ribbon": card_art.ribbon(frame.number, look),
    }
    title = f"{frame.number} {frame.label}"
    lang = shown_language(frame.language)
    return pdf.engine().write(body, SHEETS, title=title, lang=lang, when=frame.updated, pictures=pictures)


@cache
def _template() -> Template:
    """The card's template, with texts marked for translation."""
    environment = Environment(
        loader=FileSystemLoader(templates()),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=["jinja2.ext.i18n"],
    )
    environment.install_null_translations(newstyle=True)  # type: ignore[attr-defined]
    environment.tests["at_most"] = _at_most
    return environment.get_template(TEMPLATE)


def _code(address: str) -> str:
    """The QR code of an address, as large as the white square on the card allows."""
    return qr_svg(qr_matrix(address, budget(CODE_MM)), address, key="code", light="none")


def _at_most(lines: Sequence[str], most: int) -> bool:
    """Whether there are at most ``most`` lines; a test for templates."""
    return len(lines) <= most
