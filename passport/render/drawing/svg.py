"""What all the drawings share: the outer element with its accessible names, short numbers, markup-safe text."""

import re
from html import escape

from passport.render.theme.palette import Paint

TEXT_FAMILY = "House Text"
DISPLAY_FAMILY = "House Display"
USUAL_SIZE = 12
"""The size of text in a drawing on a page that names none (templates/style/drawing.css)."""


def num(value: float, places: int = 1) -> str:
    """A number in SVG's short form: rounded, without trailing zeros, and never a minus zero."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def nums(*values: float) -> str:
    """Several numbers, a space between them only where it is needed."""
    return " ".join(num(v) for v in values).replace(" -", "-")


def safe_id(key: str) -> str:
    """A key as the start of an element id: letters, digits and hyphens only, never empty, starting with a letter."""
    return "d-" + (re.sub(r"[^a-z0-9]+", "-", key.lower()).strip("-") or "x")


def plain(content: str) -> str:
    """One line of text that XML can hold: control characters, line breaks and broken pairs become spaces."""
    return re.sub("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff]", " ", content)


def document(
    body: str, *, key: str, title: str, desc: str, box: tuple[float, float, float, float], paint: Paint, extra: str = ""
) -> str:
    """An SVG picture that a screen reader announces by its title and explains by its description.

    ``key`` must be unique among the drawings of one page; ``box`` is x, y, width and height of the view; ``extra`` are
    further attributes of the ``svg`` element, with which print gives its size. A drawing for a page carries the class
    ``drawing`` and no size, so that it fills its column.
    """
    name = safe_id(key)
    described = f'<desc id="{name}-d">{escape(plain(desc))}</desc>' if desc else ""
    labelled = f"{name}-t {name}-d" if desc else f"{name}-t"
    look = ' class="drawing"' if paint.palette is None else f' font-family="{TEXT_FAMILY}"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{nums(*box)}" role="img" aria-labelledby="{labelled}"'
        f'{look}{" " + extra if extra else ""}><title id="{name}-t">{escape(plain(title))}</title>{described}{body}</svg>'
    )


def text(
    x: float,
    y: float,
    content: str,
    *,
    size: float,
    paint: str,
    anchor: str = "start",
    strong: bool = False,
    extra: str = "",
) -> str:
    """One line of text; ``paint`` is what a `Paint` gave for its fill, ``anchor`` SVG's start, middle or end."""
    # Most texts on a page have one size, which they have from their drawing's class.
    given = "" if size == USUAL_SIZE and " class=" in paint else f' font-size="{num(size, 2)}"'
    side = f' text-anchor="{anchor}"' if anchor != "start" else ""
    weight = ' font-weight="600"' if strong else ""
    more = f" {extra}" if extra else ""
    return f'<text x="{num(x)}" y="{num(y)}"{given}{side}{weight}{paint}{more}>{escape(plain(content))}</text>'
