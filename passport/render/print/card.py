"""The printed card: an ID-1 ticket, front and back, that holds enough to build the same racquet again."""

from markupsafe import Markup

from passport.render.charts.figures import numbered
from passport.render.drawing.qr import clear_code
from passport.render.print import card_art, piece_kit
from passport.render.print.imposition import single
from passport.render.print.piece_kit import SHEETS, Format, PrintItem, code_svg, render
from passport.render.theme.address import public_address
from passport.render.theme.assets import own
from passport.render.theme.formats import formats_of
from passport.render.theme.wording import part_text
from passport.workshop.facts.facts import FrameFacts, ShopFacts, whole_mass
from passport.workshop.facts.standing import standing

CARD = Format("card", 85.60, 53.98, "card/card.css", corner=3.18)
"""ISO/IEC 7810, ID-1, with its rounded corners."""
CODE_MM, SEALED_MM = 27.0, 32.0
"""Side of the square in which the QR code stands, quiet zone included, mm; that of a sealed passport holds more."""
LEAST_PT = 7.0
"""The smallest print on a card, pt."""
_PANEL_MM = 25.0
_FLAG_MM = (66.0, 25.4)
"""What stands behind the head of the front in the look that has it dark, with its bleed."""
_BESIDE_CODE = 2.4
"""What the panel on the back has beside the code, mm."""
__all__ = ["CARD", "SHEETS", "card_pdf", "card_piece"]


def card_pdf(frame: FrameFacts, shop: ShopFacts, *, bleed: bool = False) -> bytes:
    """The card of one frame as a PDF of two pages, front and back, 85.60 × 53.98 mm each (ISO/IEC 7810, ID-1).

    ``bleed`` adds 3 mm of bleed and crop marks round each, for a print shop.

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.print.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a card.
    """
    return single([card_piece(frame, shop)], bleed=bleed)


def get_ready() -> None:
    """Have the template, the style sheets and the typefaces of cards at hand before the first card.

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
    """
    piece_kit.get_ready("card")
    words = ("", "strong", "display")
    lines = Markup().join(Markup('<p class="line {}">a</p>').format(face) for face in words)
    side = Markup('<section class="side card front">{}</section>').format(lines)
    single([PrintItem(CARD, "", "", "en", None, (side,), ())])


def card_piece(frame: FrameFacts, shop: ShopFacts) -> PrintItem:
    """The two sides of a card.

    Raises:
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a card.
    """
    look, f = card_art.card_palette(shop), formats_of(frame)
    parts = tuple(part for _, part in numbered(frame))
    address = public_address(shop, frame.key, frame.secret)
    side = SEALED_MM if frame.secret else CODE_MM
    panel = side + _BESIDE_CODE
    sides = render(
        "card",
        f,
        look,
        shop,
        frame=frame,
        standing=standing(frame),
        qr=code_svg(clear_code(address, side), address, f"code-{frame.number}"),
        code_mm=side,
        panel_mm=panel,
        least=LEAST_PT,
        specs=tuple(s for s in frame.specs if s.value is not None or s.target is not None),
        parts=tuple(part_text(part, f, grips_placed=False) for part in parts),
        total=whole_mass(parts),
    )
    pictures: tuple[tuple[str, str], ...] = (
        (f"panel-{frame.number}", card_art.panel(frame.number, look, _PANEL_MM)),
        (f"panel-back-{frame.number}", card_art.panel(frame.number, look, panel, back=True)),
        (f"ribbon-{frame.number}", card_art.ribbon(frame.number, look)),
    )
    if own().ready == "pennant":
        pictures = (*pictures, (f"flag-{frame.number}", card_art.flag(look, *_FLAG_MM)))
    return PrintItem(
        CARD, frame.number, f"{frame.number} {frame.label}", frame.language, frame.updated, sides, pictures
    )
