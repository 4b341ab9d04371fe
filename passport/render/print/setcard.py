"""The set card: the frames of a matched set side by side, how equal they are, and the recipe of each."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from passport.render.charts.figures import surely_off
from passport.render.drawing.ornament import rosette
from passport.render.drawing.qr import clear_code
from passport.render.print import card_art
from passport.render.print.imposition import single
from passport.render.print.piece_kit import READ_PT, Format, PrintItem, code_svg, render
from passport.render.print.recipe import printed_forms, recipe_code
from passport.render.theme.address import public_address
from passport.render.theme.formats import Formats, formats_of
from passport.render.theme.palette import Paint, Palette
from passport.workshop.facts.facts import EqualityFacts, FrameFacts, GroupFacts, PlayerFacts, ShopFacts, StrungFacts

SET = Format("set", 105.0, 148.0, "card/set.css")
"""ISO 216, A6."""
LINK_MM = 27.0
"""Side of the square of the code that leads to the player's page, quiet zone included, mm."""
RECIPE_MM = 48.5
"""Side of the square of the code that holds one recipe, quiet zone included, mm."""
MOST = 4
"""Frames on one set card; a larger set takes several."""
_HEAD_MM, _BACK_MM = 62.0, 14.0


def set_pdf(player: PlayerFacts, group: GroupFacts, shop: ShopFacts, *, bleed: bool = False) -> bytes:
    """The card of a matched set as a PDF of two pages, front and back, 105 × 148 mm each (ISO 216, A6).

    A set of more than four frames takes several cards. ``bleed`` adds 3 mm of bleed and crop marks, for a print shop.

    Raises:
        passport.render.print.pdf.NoPango: the libraries that lay out a PDF are missing.
        passport.render.print.pdf.BadEpoch: SOURCE_DATE_EPOCH is malformed.
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a card.
    """
    return single(set_pieces(player, group, shop), bleed=bleed)


def set_pieces(player: PlayerFacts, group: GroupFacts, shop: ShopFacts) -> tuple[PrintItem, ...]:
    """The set's card, or its cards where it has more than four frames.

    Raises:
        passport.render.drawing.qr.QrTooLarge: the shop's web address is too long for a code on a card.
    """
    frames = group.frames
    shares = [frames[i : i + MOST] for i in range(0, len(frames), MOST)]
    return tuple(_piece(player, group, share, shop) for share in shares)


def _piece(player: PlayerFacts, group: GroupFacts, frames: Sequence[FrameFacts], shop: ShopFacts) -> PrintItem:
    look, f = card_art.card_palette(shop), formats_of(player)
    name, address = frames[0].number, public_address(shop, player.key)
    numbers = {frame.number for frame in frames}
    # The earliest: a set is brought in together.
    days = [frame.due for frame in frames if frame.due]
    sides = render(
        "set",
        f,
        look,
        shop,
        least=READ_PT,
        player=player,
        group=group,
        frames=frames,
        name=name,
        equality=tuple(_shown(e, numbers) for e in group.equality if e.spread is not None),
        lanes=_Lanes(group, look, f),
        strung=tuple(_strung(frames, f)),
        due=min(days, default=None),
        qr=code_svg(clear_code(address, LINK_MM), address, f"set-{name}"),
        recipes=tuple(_recipe(frame, f) for frame in frames),
    )
    pictures = (
        (f"head-{name}", card_art.head(name, look, SET.width, _HEAD_MM, centre=(52.5, 27), scale=0.95)),
        (f"head-back-{name}", card_art.head(name, look, SET.width, _BACK_MM, centre=(90, 5), scale=0.42)),
        (f"mark-{name}", rosette(name, paint=Paint(look), line=2)),
        (f"ribbon-{name}", card_art.ribbon(name, look, SET.width + 6)),
    )
    title = f"{player.name}: {', '.join(frame.number for frame in frames)}"
    updated = max((frame.updated for frame in frames if frame.updated), default=None)
    return PrintItem(SET, name, title, player.language, updated, sides, pictures)


def _recipe(frame: FrameFacts, f: Formats) -> tuple[FrameFacts, str, tuple[object, ...]]:
    """A frame with its recipe as a code (empty where it is too long for one) and the forms of its rows in print."""
    _ = f.words.gettext
    _text, code = recipe_code(frame, RECIPE_MM)
    said = _("The recipe of %(number)s as text") % {"number": frame.number}
    return frame, code_svg(code, said, f"recipe-{frame.number}") if code else "", printed_forms(frame)


def _shown(e: EqualityFacts, numbers: set[str]) -> EqualityFacts:
    """The values of the frames on this card; the spread stays that of the whole set."""
    return replace(e, values=tuple(v for v in e.values if v[0] in numbers))


class _Lanes:
    """Draws one quantity of all frames on the tolerance band, for the template."""

    def __init__(self, group: GroupFacts, look: Palette, f: Formats) -> None:
        self._group, self._look, self._f = group, look, f

    def __call__(self, e: EqualityFacts, name: str, width: float) -> str:
        _ = self._f.words.gettext
        targets = {frame.spec(e.quantity).target for frame in self._group.frames}
        target = targets.pop() if len(targets) == 1 else None
        said = _("%(name)s: %(apart)s apart, tolerance %(tolerance)s") % {
            "name": name,
            "apart": self._f.number(e.spread),
            "tolerance": self._f.number(e.tolerance),
        }
        values = [value for _, value in e.values]
        specs = {frame.number: frame.spec(e.quantity) for frame in self._group.frames}
        off = [surely_off(specs[number], e, self._group) for number, _ in e.values]
        return card_art.lanes(values, target, e.tolerance, self._look, said, e.quantity, width, off)


def _strung(frames: Sequence[FrameFacts], f: Formats) -> Iterator[tuple[str, tuple[str, ...]]]:
    """How the frames are strung, as paragraphs: once where all are the same, else frame by frame."""
    said = [(frame.label, _bed(frame, f)) for frame in frames]
    if len({text for _label, text in said}) == 1:
        yield from (("", (text,)) for text in said[0][1])
    else:
        yield from (("", (f"“{label}”: {text[0]}", *text[1:])) for label, text in said)


def _bed(frame: FrameFacts, f: Formats) -> tuple[str, ...]:
    _, bed = f.words.gettext, frame.stringing
    if bed is None:
        return (_("no stringing recorded"),)
    if bed.same:
        return (f"{_('Mains and crosses')} {_string(bed.mains, f)}",)
    return (f"{_('Mains')} {_string(bed.mains, f)}", f"{_('Crosses')} {_string(bed.crosses, f)}")


def _string(s: StrungFacts, f: Formats) -> str:
    first, second = f.tension(s.tension, s.written)
    return f"{s.name} · {first} ({second})"
