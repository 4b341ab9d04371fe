"""What is drawn on the printed card: the dark panel with its ornament, the racquet, the small gauges."""

from collections.abc import Sequence
from dataclasses import replace

from passport.render.charts.figures import drawn_piece
from passport.render.charts.target import VERDICT_INK
from passport.render.drawing.ornament import band, rosette_paths
from passport.render.drawing.racquet import CARD, Caption, draw
from passport.render.drawing.svg import document, num
from passport.render.theme import assets
from passport.render.theme.palette import LIGHT, TEXT_MINIMUM, Paint, Palette, Token, contrast
from passport.workshop.facts.facts import FrameFacts, ShopFacts, SpecFacts
from passport.workshop.facts.facts import Verdict as FactsVerdict
from passport.workshop.facts.standing import standing

_WHITE = "#ffffff"
_ORNAMENT = 0.14
"""How much white is in the ornament on the dark panel."""
_HAIR = 0.1
"""The thinnest line that a printer draws whole, mm (common practice, no source)."""
_PANEL = 600
"""Height of the panel with its bleed, tenths of a mm."""
_PITCH, _HOLE = 20, 5
"""Distance and radius of the perforation's holes, tenths of a mm."""
_ON_PAPER = "almanac"
_TOOTH = 20
"""How deep the teeth of a zigzag edge are, and half of how wide, tenths of a mm."""
_HEAD = 184
"""How far down the ornament has its centre: behind the racquet's head on the front, behind the code on the back."""


def card_palette(shop: ShopFacts) -> Palette:
    """The light palette on white, with the shop's own colours where they can be read (WCAG 2.2, 4.5:1).

    The accent must carry white text even where the panel's ornament crosses it, the second colour must be readable on
    the light field; one that is not gives way to the house's own.
    """
    look = replace(LIGHT, sheet=_WHITE)
    if shop.accent and contrast(_WHITE, mixed(shop.accent, _WHITE, _ORNAMENT)) >= TEXT_MINIMUM:
        look = replace(look, petrol=shop.accent)
    if shop.second and contrast(shop.second, look.ground) >= TEXT_MINIMUM:
        look = replace(look, plum=shop.second)
    return look


def on_panel(look: Palette) -> Palette:
    """The colours of what stands on the panel: on a dark one a light frame and strings, and an ornament that text may cross.

    One of the ready looks has no dark panel but rules on paper: there all is drawn as on paper, its ornament faintly.
    """
    if assets.own().ready == _ON_PAPER:
        return replace(look, ground=_WHITE, weave=mixed(look.petrol, _WHITE, 0.8))
    return replace(
        look,
        ground=look.petrol,
        frame="#f3f9f9",
        petrol=mixed(look.petrol, _WHITE, 0.6),
        plum=mixed(look.plum, _WHITE, 0.6),
        weave=mixed(look.petrol, _WHITE, _ORNAMENT),
    )


def mixed(colour: str, other: str, share: float) -> str:
    """A colour with a ``share`` (0 to 1) of another in it, both ``#rrggbb``."""
    pairs = [(int(colour[i : i + 2], 16), int(other[i : i + 2], 16)) for i in (1, 3, 5)]
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def panel(number: str, look: Palette, across: float, *, back: bool = False) -> str:
    """The panel, ``across`` mm and its bleed, with the passport's own ornament, mirrored for the back of the card; its edge is
    that of the look: perforated, notched like a pennant, ticked like a scale, or two rules on paper.
    """
    width, height, ready = round(10 * across) + 30, _PANEL, assets.own().ready
    dark = on_panel(look)
    # One of the ready looks has its panel on the left of the front.
    flip = f' transform="matrix(-1 0 0 1 {width} 0)"' if back != (ready == "gauge") else ""
    outline = f"M{width} 0H0{_down(height, ready)}H{width}z"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">'
        f'<clipPath id="edge"><path d="{outline}"/></clipPath><g{flip}><path d="{outline}" fill="{dark.ground}"/>'
        f'<g clip-path="url(#edge)"><g transform="translate({(width - 30) // 2} {_HEAD}) scale(.42)" fill="none"'
        f' stroke="{dark.weave}" stroke-width="2">{_engraved(number)}</g></g>{_marks_down(height, dark, ready)}</g></svg>'
    )


def _down(length: int, ready: str) -> str:
    """Path data of a panel's edge, from top to bottom."""
    if ready == "pennant":
        return f"l{_TOOTH} {_TOOTH}l-{_TOOTH} {_TOOTH}" * (length // (2 * _TOOTH))
    if ready:
        return f"v{length}"
    straight = (_PITCH - 2 * _HOLE) / 2
    return f"v{straight:g}{_half_circle(_HOLE)}v{straight:g}" * (length // _PITCH)


def _marks_down(length: int, dark: Palette, ready: str) -> str:
    """What stands along that edge: the marks of a scale, or two rules."""
    if ready == "gauge":
        marks = "".join(f"M0 {y}h{18 if y % 100 == 0 else 12 if y % 50 == 0 else 7}" for y in range(0, length, 10))
        return f'<path d="{marks}" fill="none" stroke="{dark.petrol}" stroke-width="1.6"/>'
    if ready == _ON_PAPER:
        return (
            f'<path d="M4 0v{length}" fill="none" stroke="{dark.petrol}" stroke-width="4"/>'
            f'<path d="M12 0v{length}" fill="none" stroke="{dark.petrol}" stroke-width="1.4"/>'
        )
    return ""


def _along(wide: float, ready: str) -> str:
    """Path data of the lower edge of a panel, from right to left."""
    if ready == "pennant":
        count = int(wide // (2 * _TOOTH))
        rest = num((wide - 2 * _TOOTH * count) / 2)
        return f"h-{rest}" + f"l-{_TOOTH}-{_TOOTH}l-{_TOOTH} {_TOOTH}" * count + "H0"
    if ready:
        return "H0"
    count = int(wide // _PITCH)
    edge = (wide - count * _PITCH) / 2 + (_PITCH - 2 * _HOLE) / 2
    return f"h-{num(edge)}" + f"a{_HOLE} {_HOLE} 0 0 0 {-2 * _HOLE} 0h-{_PITCH - 2 * _HOLE}" * count + "H0"


def _marks_along(wide: float, low: float, dark: Palette, ready: str) -> str:
    """What stands along that edge."""
    if ready == "gauge":
        marks = "".join(
            f"M{x} {num(low)}v-{18 if i % 10 == 0 else 12 if i % 5 == 0 else 7}"
            for i, x in enumerate(range(0, int(wide), 10))
        )
        return f'<path d="{marks}" fill="none" stroke="{dark.petrol}" stroke-width="1.6"/>'
    if ready == _ON_PAPER:
        return (
            f'<path d="M0 {num(low - 4)}H{num(wide)}" fill="none" stroke="{dark.petrol}" stroke-width="4"/>'
            f'<path d="M0 {num(low - 12)}H{num(wide)}" fill="none" stroke="{dark.petrol}" stroke-width="1.4"/>'
        )
    return ""


def flag(look: Palette, width: float, height: float) -> str:
    """A dark ground with a notched lower edge behind the head of a card, mm, its bleed within."""
    wide, tall = 10 * width, 10 * height
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(wide)} {num(tall)}">'
        f'<path fill="{look.petrol}" d="M0 0H{num(wide)}V{num(tall)}{_along(wide, "pennant")}z"/></svg>'
    )


def _half_circle(radius: float) -> str:
    """Half a circle, from top to bottom round the right, as two cubic curves, off a circle by 0.03 % of its radius.

    0.5523 is 4/3·(√2 − 1). A curve of its own is drawn in a fraction of the time that WeasyPrint takes for an arc.
    """
    near, far, r = num(0.5523 * radius, 2), num(radius - 0.5523 * radius, 2), num(radius)
    return f"c{near} 0 {r} {far} {r} {r}c0 {near}-{far} {r}-{r} {r}"


def ribbon(number: str, look: Palette, width: float = 65.0) -> str:
    """The woven band across the front, ``width`` mm long, in faint house colours."""
    faint = replace(look, plum=mixed(look.plum, _WHITE, 0.62))
    return band(number, paint=Paint(faint), second="plum", line=0.42, width=5 * width, height=18)


def small_racquet(frame: FrameFacts, look: Palette, title: str) -> str:
    """The racquet with its fitted pieces for the dark panel; ``title`` is what a screen reader says."""
    pieces = [drawn_piece(part) for part in frame.parts]
    hybrid = bool(frame.stringing and frame.stringing.hybrid)
    caption = Caption(f"card-{frame.number}", title, attributes='class="racquet"')
    return draw(
        frame.shape,
        pieces,
        CARD,
        caption,
        paint=Paint(on_panel(look)),
        hybrid=hybrid,
        strung=standing(frame).strings_drawn,
    )


def gauge(spec: SpecFacts, look: Palette, title: str, key: str = "", width: float = 10.5) -> str:
    """A reading on its tolerance band: the long line is the target; a disc is a reading inside, a diamond one outside, a
    ring one that is too near the limit to say.

    A reading far outside becomes an arrow at that end. Shapes tell it all, so nothing is lost in black and white.
    ``width`` is that of the drawing, mm, so that its lines are as thick whatever it is.
    """
    paint, middle, y, unit, end = Paint(look), 52.5, 11.25, 26.0, 49.0
    low, high, mm = middle - unit, middle + unit, 105 / width
    parts = [
        f'<path d="M{num(middle - end)} {y}H{num(middle + end)}"{paint("none", "rule")} stroke-width="{num(_HAIR * mm, 2)}"/>',
        f'<path d="M{low} {y - 7}H{high}V{y + 7}H{low}z"{paint("band")}/>',
        f'<path d="M{low} {y - 7}v14M{high} {y - 7}v14"{paint("none", "soft")} stroke-width="{num(0.14 * mm, 2)}"/>',
        f'<path d="M{middle} {y - 9}v18"{paint("none", "plum")} stroke-width="{num(0.21 * mm, 2)}"/>',
    ]
    if spec.off is not None and spec.tolerance:
        parts.append(_reading(middle, y, spec.off / spec.tolerance * unit, end, spec.verdict, paint))
    return document(
        "".join(parts),
        key=f"{spec.quantity}-{key}" if key else spec.quantity,
        title=title,
        desc="",
        box=(0, 0, 105, 22.5),
        paint=paint,
        extra='class="gauge"',
    )


def _reading(
    middle: float, y: float, off: float, end: float, verdict: FactsVerdict, paint: Paint, size: float = 4.4
) -> str:
    """The mark of a reading ``off`` units from the middle, of the same shape and colour as on the page."""
    ink: Token = VERDICT_INK[verdict] if verdict == "outside" or verdict == "undecided" else "petrol"  # noqa: PLR1714 - mypy narrows no set
    edge = f'{paint(ink, "sheet")} stroke-width="1.2"'
    if abs(off) > end - 4:
        way = 1 if off > 0 else -1
        return f'<path d="M{num(middle + way * (end + 2))} {num(y, 2)}l{-9 * way} -6v12z"{edge}/>'
    if verdict == "undecided":
        return (
            f'<circle cx="{num(middle + off)}" cy="{num(y, 2)}" r="{num(size - 0.6)}"{paint("sheet", ink)}'
            ' stroke-width="2.2"/>'
        )
    if verdict != "outside":
        return f'<circle cx="{num(middle + off)}" cy="{num(y, 2)}" r="{num(size)}"{edge}/>'
    return f'<path d="M{num(middle + off)} {num(y - 6, 2)}l6 6-6 6-6-6z"{edge}/>'


def head(
    seed: str,
    look: Palette,
    width: float,
    height: float,
    *,
    centre: tuple[float, float],
    scale: float,
    hole: bool = False,
) -> str:
    """A panel ``width`` × ``height`` mm along the top of a piece, its lower edge that of the look, with 3 mm of bleed.

    The ornament stands round ``centre``, mm, 100 mm wide times ``scale``. With a ``hole`` there is a disc of 5 mm in
    its middle, to punch out for a cord, and round it a ring without ornament, an eyelet's width.
    """
    wide, tall = 10 * width + 60, 10 * height + 30
    ready = assets.own().ready
    outline = f"M0 0H{num(wide)}V{num(tall)}{_along(wide, ready)}z"
    dark = on_panel(look)
    at = f'transform="translate({num(10 * centre[0] + 30)} {num(10 * centre[1] + 30)})'
    eyelet = (
        f'<g {at}"><circle r="58" fill="{dark.ground}"/>'
        f'<circle r="44" fill="none" stroke="{dark.petrol}" stroke-width="4"/><circle r="25" fill="{_WHITE}"/></g>'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(wide)} {num(tall)}"><clipPath id="edge">'
        f'<path d="{outline}"/></clipPath><path d="{outline}" fill="{dark.ground}"/>'
        f'<g clip-path="url(#edge)"><g {at} scale({num(scale, 3)})" fill="none" stroke="{dark.weave}"'
        f' stroke-width="{num(0.84 / scale)}">{_engraved(seed)}</g>{eyelet if hole else ""}</g>{_marks_along(wide, tall, dark, ready)}</svg>'
    )


def ground(seed: str, look: Palette, width: float, height: float) -> str:
    """The dark ground of a sticker, mm, with 3 mm of bleed, and its ornament."""
    wide, tall, dark = 10 * width + 60, 10 * height + 60, on_panel(look)
    scale = tall / 1000
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(wide)} {num(tall)}">'
        f'<path fill="{dark.ground}" d="M0 0h{num(wide)}v{num(tall)}H0z"/>'
        f'<g transform="translate({num(wide / 2)} {num(tall / 2)}) scale({num(scale, 3)})" fill="none"'
        f' stroke="{dark.weave}" stroke-width="{num(0.84 / scale)}">{_engraved(seed)}</g></svg>'
    )


def _engraved(seed: str) -> str:
    """The ornament's lines, each three times, a little turned: the bundles of an engraved ornament."""
    weave, core = rosette_paths(seed)
    lines = "".join(f'<path d="{weave}" transform="rotate({turn})"/>' for turn in (0, 1.5, 3))
    return lines + "".join(f'<path d="{core}" transform="rotate({turn})"/>' for turn in (0, 3))


def lanes(
    values: Sequence[float | None],
    target: float | None,
    tolerance: float,
    look: Palette,
    title: str,
    key: str,
    width: float,
    off: Sequence[bool] = (),
) -> str:
    """One quantity of several frames on the tolerance band, a lane for each: the straighter the line, the more equal.

    ``width`` is that of the drawing, mm; ``off`` says of which value it is sure that it is off.

    Without a common ``target`` the band stands round the middle of the values, and no target is drawn.
    """
    known = [value for value in values if value is not None]
    centre = target if target is not None else (min(known) + max(known)) / 2
    paint, middle, unit, end = Paint(look), 110.0, 54.0, 104.0
    step, hair = 44 / (len(values) + 1), _HAIR * 220 / width
    low, high = middle - unit, middle + unit
    parts = [f'<path d="M{low} 3H{high}V41H{low}z"{paint("band")}/>']
    parts += [
        f'<path d="M{num(middle - end)} {num(step * i)}H{num(middle + end)}"{paint("none", "hair")} stroke-width="{num(hair, 2)}"/>'
        for i in range(1, len(values) + 1)
    ]
    parts.append(f'<path d="M{low} 3v38M{high} 3v38"{paint("none", "soft")} stroke-width="1.8"/>')
    if target is not None:
        parts.append(f'<path d="M{middle} 0v44"{paint("none", "plum")} stroke-width="2.2"/>')
    for i, value in enumerate(values, start=1):
        if value is not None:
            along = max(-end, min(end, (value - centre) / tolerance * unit))
            verdict: FactsVerdict = "outside" if off and off[i - 1] else "open"
            parts.append(_reading(middle, step * i, along, end, verdict, paint, 5.4))
    size = f'class="lanes" style="width:{num(width)}mm;height:{num(width / 5, 2)}mm"'
    return document(
        "".join(parts), key=f"lanes-{key}", title=title, desc="", box=(0, 0, 220, 44), paint=paint, extra=size
    )
