"""What stays on the racquet itself: the sticker, with a code and a number, and the label that wraps round throat or handle."""

from passport.render.drawing.qr import clear_code
from passport.render.print import card_art
from passport.render.print.imposition import single
from passport.render.print.piece_kit import Format, PrintItem, code_svg, render
from passport.render.theme.address import public_address
from passport.render.theme.formats import formats_of
from passport.workshop.facts.facts import FrameFacts, ShopFacts
from passport.workshop.facts.standing import standing

SQUARE = Format("sticker", 34.0, 40.0, "card/sticker.css")
ROUND = Format("round sticker", 48.0, 48.0, "card/sticker.css", circular=True)
WRAP = Format("wrap", 84.0, 34.0, "card/sticker.css")
ROUND_MM = 22.0
"""How far round the print of a wrap goes, mm: once round a badminton shaft, 7 mm thick (π · 7 mm; common practice, no
source). What is below sticks on the other end."""
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
    sides = render("sticker", formats_of(frame), look, shop, frame=frame, qr=symbol, circular=circular)
    pictures = ((f"ground-{frame.number}", card_art.ground(frame.number, look, form.width, form.height)),)
    return PrintItem(
        form, frame.number, f"{frame.number} {frame.label}", frame.language, frame.updated, sides, pictures
    )


def wrap_pdf(frame: FrameFacts, shop: ShopFacts, *, bleed: bool = False) -> bytes:
    """The wrap of one frame as a PDF of one page: 84 mm along the throat or handle, 34 mm round it.

    ``bleed`` adds 3 mm of bleed and crop marks, for a print shop.

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.print.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a wrap.
    """
    return single([wrap_piece(frame, shop)], bleed=bleed)


def wrap_piece(frame: FrameFacts, shop: ShopFacts) -> PrintItem:
    """The one side of a wrap: on a handle its code is read, on a shaft its lines, which go once round.

    Raises:
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a wrap.
    """
    look = card_art.card_palette(shop)
    address = public_address(shop, frame.key, frame.secret)
    symbol = code_svg(clear_code(address, CODE_MM), address, f"code-{frame.number}")
    sides = render("wrap", formats_of(frame), look, shop, frame=frame, standing=standing(frame), qr=symbol, least=7.0)
    pictures = ((f"ground-{frame.number}", card_art.ground(frame.number, look, WRAP.width, WRAP.height)),)
    return PrintItem(
        WRAP, frame.number, f"{frame.number} {frame.label}", frame.language, frame.updated, sides, pictures
    )
