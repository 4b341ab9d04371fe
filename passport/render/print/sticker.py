"""The sticker: a code and a number that stay on the racquet itself."""

from passport.render.drawing.qr import clear_code
from passport.render.print import card_art
from passport.render.print.imposition import single
from passport.render.print.piece_kit import Format, PrintItem, code_svg, render
from passport.render.theme.address import public_address
from passport.workshop.facts.facts import FrameFacts, ShopFacts

SQUARE = Format("sticker", 34.0, 40.0, "card/sticker.css")
ROUND = Format("round sticker", 48.0, 48.0, "card/sticker.css", circular=True)
CODE_MM = 32.0
"""Side of the square in which the QR code stands, quiet zone included, mm: that of a sealed passport is read in low light."""


def sticker_pdf(frame: FrameFacts, shop: ShopFacts, *, circular: bool = False, bleed: bool = False) -> bytes:
    """The sticker of one frame as a PDF of one page: 34 × 40 mm, or a disc 48 mm across.

    ``bleed`` adds 3 mm of bleed and crop marks, for a print shop.

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.print.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a sticker.
    """
    return single([sticker_piece(frame, shop, circular=circular)], bleed=bleed)


def sticker_piece(frame: FrameFacts, shop: ShopFacts, *, circular: bool = False) -> PrintItem:
    """The one side of a sticker.

    Raises:
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a sticker.
    """
    look, form = card_art.card_palette(shop), ROUND if circular else SQUARE
    address = public_address(shop, frame.key, frame.secret)
    symbol = code_svg(clear_code(address, CODE_MM), address, f"code-{frame.number}")
    sides = render("sticker", frame.language, look, shop, frame=frame, qr=symbol, circular=circular)
    pictures = ((f"ground-{frame.number}", card_art.ground(frame.number, look, form.width, form.height)),)
    return PrintItem(
        form, frame.number, f"{frame.number} {frame.label}", frame.language, frame.updated, sides, pictures
    )
