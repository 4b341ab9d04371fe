"""The swing tag: it hangs on the racquet by a cord through the throat when it is handed back."""

from passport.render.drawing.qr import clear_code
from passport.render.print import card_art
from passport.render.print.imposition import single
from passport.render.print.piece_kit import READ_PT, Format, PrintItem, code_svg, render
from passport.render.print.recipe import beside_front, printed_forms, recipe_code
from passport.render.theme.address import public_address
from passport.render.theme.formats import formats_of
from passport.workshop.facts.facts import FrameFacts, ShopFacts
from passport.workshop.facts.standing import standing

HOLE = (30.0, 8.0)
"""Centre of the hole for the cord, mm from the left and top; it is 5 mm wide."""
TAG = Format("tag", 60.0, 125.0, "card/tag.css", hole=(*HOLE, 5.0))
LINK_MM, SEALED_MM = 30.0, 32.0
"""Side of the square of the code that leads to the passport's page, quiet zone included, mm; that of a sealed one holds
more."""
RECIPE_MM = 56.0
"""Side of the square of the code that holds the recipe, quiet zone included, mm."""
_HEAD_MM = 25.0


def tag_pdf(frame: FrameFacts, shop: ShopFacts, *, bleed: bool = False) -> bytes:
    """The swing tag of one frame as a PDF of two pages, front and back, 60 × 125 mm each.

    ``bleed`` adds 3 mm of bleed and crop marks round each, for a print shop.

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.print.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a tag.
    """
    return single([tag_piece(frame, shop)], bleed=bleed)


def tag_piece(frame: FrameFacts, shop: ShopFacts) -> PrintItem:
    """The two sides of a tag.

    Raises:
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a tag.
    """
    look = card_art.card_palette(shop)
    address = public_address(shop, frame.key, frame.secret)
    side = SEALED_MM if frame.secret else LINK_MM
    _text, code = recipe_code(frame, RECIPE_MM)
    f = formats_of(frame)
    said = f.words.gettext("The recipe of %(number)s as text") % {"number": frame.number}
    sides = render(
        "tag",
        f,
        look,
        shop,
        frame=frame,
        standing=standing(frame),
        qr=code_svg(clear_code(address, side), address, f"code-{frame.number}"),
        code=code_svg(code, said, f"recipe-{frame.number}") if code else "",
        code_mm=side,
        least=READ_PT,
        forms=(*printed_forms(frame), beside_front(frame)),
    )
    pictures = (
        (
            f"head-{frame.number}",
            card_art.head(frame.number, look, TAG.width, _HEAD_MM, centre=HOLE, scale=0.42, hole=True),
        ),
        (f"ribbon-{frame.number}", card_art.ribbon(frame.number, look, TAG.width + 6)),
    )
    return PrintItem(TAG, frame.number, f"{frame.number} {frame.label}", frame.language, frame.updated, sides, pictures)
