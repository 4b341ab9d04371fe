"""A small bar on a bench sheet: how the uncertainty behind a probability is made up, in greys for any printer."""

from collections.abc import Iterable, Sequence
from typing import Final

from markupsafe import Markup

from passport.workshop.measuring.causes import CAUSES, Cause, CauseShare

WIDTH_MM: Final = 11.0
HEIGHT_MM: Final = 1.9
GREYS: Final[dict[Cause, str]] = {
    "readings": "#0b1c22",
    "checks": "#52646b",
    "dimensions": "#34464d",
    "parts": "#8a999e",
    "places": "#b9c5c8",
    "string": "#dfe6e7",
    "target": "#ffffff",
}
"""Dark for what is measured, light for what is taken; each is drawn with an outline, so that the lightest shows."""

_OUTLINE: Final = 'stroke="#0b1c22" stroke-width="0.15"'


def bar(parts: Sequence[CauseShare], title: str) -> Markup:
    """The bar of one figure, ``WIDTH_MM`` long, with a title for screen readers; empty where nothing is uncertain."""
    at, drawn = 0.0, list[Markup]()
    for part in parts:
        width = part.share * WIDTH_MM
        drawn.append(_box(at, width, HEIGHT_MM, part.cause))
        at += width
    if not drawn:
        return Markup("")
    frame = Markup(
        '<svg class="doubt" width="{w}mm" height="{h}mm" viewBox="-0.1 -0.1 {x:.2f} {y:.2f}" role="img"><title>{t}</title>{b}</svg>'
    )
    return frame.format(w=WIDTH_MM, h=HEIGHT_MM, x=WIDTH_MM + 0.2, y=HEIGHT_MM + 0.2, t=title, b=Markup("").join(drawn))


def swatch(cause: Cause) -> Markup:
    """A cause's grey for the legend, beside its word: a box, not a picture, since the word says it all."""
    return Markup('<span class="swatch" style="background:{}"></span>').format(GREYS[cause])


def causes_of(bars: Iterable[Sequence[CauseShare]]) -> tuple[Cause, ...]:
    """The causes that appear in some bar, in their order, for the legend."""
    there = {part.cause for parts in bars for part in parts}
    return tuple(cause for cause in CAUSES if cause in there)


def _box(at: float, width: float, height: float, cause: Cause) -> Markup:
    return Markup('<rect x="{:.3f}" y="0" width="{:.3f}" height="{}" fill="{}" {}/>').format(
        at, width, height, GREYS[cause], Markup(_OUTLINE)
    )
