"""Drawings as PDF operators look as another program draws the same SVG."""

import math
from xml.etree.ElementTree import fromstring

import numpy as np
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.render.print import pdf
from passport.render.print.operators import NotDrawn, arc, form, path
from passport.render.print.stand_ins import StandIns

if pdf.available():
    pytest.skip("the Pango library is missing", allow_module_level=True)

SHAPES = {
    "lines": '<path d="M10 10L90 20 80 90zm20 20h30v10H40z" fill="#aa2200"/>',
    "touching numbers": '<path d="M.5.5l60-.5-.5 60z" fill="#0000ff"/>',
    "smooth curves": '<path d="M10 50c10-60 30-60 40 0s30 60 40 0" fill="none" stroke="#000000" stroke-width="6"/>',
    "after a closing": '<path d="M50 50h30v30zv-40h-30zs5 60 40 20" fill="none" stroke="#007755" stroke-width="3"/>',
    "quadratic": '<path d="M10 90Q50-60 90 90q-40-20-80 0" fill="#00aa55" stroke="#112233"/>',
    "arcs": '<path d="M20 50a30 20 0 0 1 60 0A30 40 0 1 1 20 50zM5 5a9 9 0 0 0 9 9" fill="#cccccc" stroke="#000000"/>',
    "round things": '<circle cx="30" cy="30" r="20" fill="#ff0000"/><ellipse cx="60" cy="70" rx="30" ry="12"'
    ' fill="none" stroke="#000000" stroke-width="4"/><rect x="60" y="5" width="30" height="20" rx="6" fill="#00ff00"/>',
    "a box": '<rect x="5" y="5" width="30" height="60" stroke="#ff00ff" stroke-width="2" fill="none"/>',
    "inherited": '<g fill="none" stroke="#2244aa" stroke-width="5" transform="translate(50 50) rotate(20) scale(.5)">'
    '<path d="M-60 0H60"/><path d="M0-60V60" transform="matrix(1 0 .5 1 3 4)" stroke="#aa0000"/></g>',
    "clipped": '<clipPath id="c"><circle cx="50" cy="50" r="35"/></clipPath><g clip-path="url(#c)">'
    '<path d="M0 0h50v100H0z" fill="#334455"/></g><path d="M80 80h15v15H80z"/>',
    "mitres": '<path d="M10 80L50 10 55 80 60 70" fill="none" stroke="#000000" stroke-width="8"/>',
}


def svg(body: str) -> str:
    """A picture of 100 × 80 units whose corner is not the origin."""
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-5 0 100 80"><title>a drawing</title>{body}</svg>'


def seen(data: bytes) -> np.ndarray:
    """The first page in grey and colours, 300 dpi."""
    page = pypdfium2.PdfDocument(data)[0]
    return np.asarray(page.render(scale=300 / 72).to_pil().convert("RGB")).astype(int)


def drawn(text: str, *, stand_in: bool) -> np.ndarray:
    """A page of 50 × 40 mm filled by a picture: as a form in the place of a stand-in, or as WeasyPrint draws SVG."""
    from weasyprint import HTML
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    from passport.render.print.stand_ins import fetched

    drawings = StandIns({"it": text})
    root = fromstring('<div style="width:50mm;height:40mm;background:url(picture:it) no-repeat 0 0/50mm 40mm"></div>')
    body = fromstring("<body/>")
    body.append(root)
    styles: list[str] = []
    if stand_in:
        drawings.put_into(body, lambda style: styles.append(style) or "x")
    style = styles[0] if stand_in else root.get("style", "")

    class Pictures(URLFetcher):
        def fetch(self, url, headers=None):
            return fetched(url) or URLFetcherResponse(url, text.encode(), {"Content-Type": "image/svg+xml"})

    html = f"<style>@page{{size:50mm 40mm;margin:0}}body{{margin:0}}div{{{style}}}</style><div></div>"
    lost: list[int] = []
    finisher = (lambda _, made: lost.append(drawings.finish(made))) if stand_in else None
    data = HTML(string=html, url_fetcher=Pictures(fail_on_errors=True)).write_pdf(finisher=finisher)
    assert lost == ([0] if stand_in else [])
    assert (b"/Form" in data) or not stand_in
    return seen(data)


@pytest.mark.parametrize("name", SHAPES)
def test_shapes_look_as_weasyprint_draws_them(name):
    """The same picture but for the edges of round things, which WeasyPrint draws up to 1 % off their circle."""
    ours, theirs = (drawn(svg(SHAPES[name]), stand_in=way) for way in (True, False))
    assert ours.shape == theirs.shape
    assert (theirs < 200).any(), "nothing was drawn"
    apart = np.abs(ours - theirs).max(axis=2)
    assert (apart > 128).mean() < (0.004 if name in ("round things", "clipped", "arcs") else 0.0002)


@given(st.floats(5, 80), st.floats(5, 80), st.floats(0, 6.28), st.floats(0.1, 6), st.booleans())
def test_arcs_stay_on_their_ellipse(rx, ry, start, turn, sweep):
    """All points of an arc's curves are within 0.03 % of the ellipse that its ends were taken from."""
    way = turn if sweep else -turn
    first, last = ((rx * math.cos(t), ry * math.sin(t)) for t in (start, start + way))
    at = first
    for x1, y1, x2, y2, x3, y3 in arc(first, (rx, ry), turn > math.pi, sweep, last):
        for t in (0.25, 0.5, 0.75, 1):
            b = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            x = b[0] * at[0] + b[1] * x1 + b[2] * x2 + b[3] * x3
            y = b[0] * at[1] + b[1] * y1 + b[2] * y2 + b[3] * y3
            assert math.hypot(x / rx, y / ry) == pytest.approx(1, abs=3e-4 + 1e-4)
        at = (x3, y3)
    assert at == pytest.approx(last)


@pytest.mark.parametrize(
    "body",
    [
        "<text>words</text>", '<path d="M0 0t4 4"/>', '<path d="M0 0h1e3"/>', '<path d="M0 0h9" stroke-dasharray="1 2"/>',
        '<path d="M0 0h9" fill="red"/>', '<g opacity=".5"><path d="M0 0h9"/></g>', '<path d="M0 0a9 5 30 0 0 4 4"/>',
        '<g transform="skewX(4)"><path d="M0 0h9"/></g>', '<g clip-path="url(#none)"><path d="M0 0h9"/></g>',
        '<image href="x"/>', '<style>path { fill: red }</style>',
    ],
)  # fmt: skip
def test_what_is_not_ours_is_left_to_others(body):
    """A picture with anything that is not drawn here is refused as a whole, never drawn in part."""
    with pytest.raises(NotDrawn):
        form(fromstring(svg(body)))


def test_a_picture_needs_its_box():
    """Without a view box nobody knows how large it is."""
    with pytest.raises(NotDrawn):
        form(fromstring('<svg xmlns="http://www.w3.org/2000/svg"/>'))


def test_operators_of_a_path():
    """A line, a relative curve and a closing by hand (ISO 32000-1, table 59)."""
    assert path("M1 2h3v-.5c1 0 2 1 2 2z").split(b"\n") == [
        b"1 2 m",
        b"4 2 l",
        b"4 1.5 l",
        b"5 1.5 6 2.5 6 3.5 c",
        b"h",
    ]
