"""The shop's logo: only what draws is left of it."""

import io

import pytest
from htmlread import Page
from pictures import SECRET, camera, claiming
from PIL import Image

from passport.render.theme.logo import MOST_BYTES, TALLEST, NotALogo, logo

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 40 20">'


def svg(inside: str) -> str:
    """What is left of a drawing."""
    return logo(f"{HEAD}{inside}</svg>".encode()).data.decode()


def test_a_drawing_stays_as_it_was():
    """Shapes, gradients, groups and what they refer to inside the drawing are kept."""
    inside = (
        '<defs><linearGradient id="g"><stop offset="0" stop-color="#123456"/></linearGradient></defs>'
        '<g fill="url(#g)"><path d="M0 0h9" stroke="red"/><use href="#g"/><text x="1">Abc &amp; d</text></g>'
    )
    left = svg(inside)
    for kept in (
        'fill="url(#g)"',
        'd="M0 0h9"',
        'href="#g"',
        "Abc &amp; d",
        'viewBox="0 0 40 20"',
        'stop-color="#123456"',
    ):
        assert kept in left
    assert logo(f"{HEAD}{inside}</svg>".encode()).ratio == 2


@pytest.mark.parametrize(
    "inside",
    [
        "<script>alert(1)</script>",
        '<g onload="alert(1)" onclick="alert(1)"/>',
        "<foreignObject><body xmlns='http://www.w3.org/1999/xhtml'><script>alert(1)</script></body></foreignObject>",
        '<a href="https://evil.example"><path d="M0 0"/></a>',
        '<image href="https://evil.example/x.png"/>',
        '<use href="https://evil.example/x.svg#a"/>',
        '<use xlink:href="data:image/svg+xml,evil"/>',
        '<path fill="url(https://evil.example/#a)" d="M0 0"/>',
        "<style>@import 'https://evil.example'; path { background: url(//evil.example) }</style>",
        '<path style="fill:url(javascript:alert(1));background:url(//evil.example)" d="M0 0"/>',
        '<animate attributeName="href" to="javascript:alert(1)"/><set attributeName="onload" to="alert(1)"/>',
        "<!-- evil --><?xml-stylesheet href='https://evil.example'?><metadata>evil</metadata>",
        '<path data-x="evil" d="M0 0" font-family="x, url(https://evil.example)"/>',
        "<iframe src='https://evil.example'/><evil/>",
    ],
)
def test_nothing_that_acts_or_leads_elsewhere_is_left(inside):
    """Scripts, handlers, foreign content, addresses and styles are gone, and the rest is still a drawing."""
    left = svg(f'<rect width="4" height="4"/>{inside}')
    for sign in ("script", "alert", "evil", "http://", "https://", "onload", "onclick", "style", "data:"):
        assert sign not in left.replace("http://www.w3.org/2000/svg", ""), sign
    assert "rect" in left
    assert not [n for _, a in Page(left).elements for n in a if n.startswith("on")]


def test_a_style_attribute_becomes_attributes():
    """Drawing programs write colours as styles, which a strict policy blocks: they become attributes."""
    left = svg('<path style="fill:#ff0000; stroke-width: 2; -inkscape-x: 1" d="M0 0"/>')
    assert 'fill="#ff0000"' in left
    assert 'stroke-width="2"' in left
    assert "inkscape" not in left


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "neither an SVG nor a PNG"),
        (b"<html></html>", "not an SVG"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "viewBox"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 0 10'/>", "viewBox"),
        (b"<svg><g></svg>", "neither an SVG nor a PNG"),
        (b"\x89PNG\r\n\x1a\nrest", "damaged"),
        (claiming(60_000, 60_000), "pixels|damaged"),
        (camera(), "neither an SVG nor a PNG"),
        (f'{HEAD}<path d="{"M0 0" * 40_000}"/></svg>'.encode(), "kB"),
    ],
)
def test_what_cannot_be_a_logo_is_refused(data, told):
    """Other files, drawings without a size, damaged, huge and heavy ones are refused with a reason."""
    with pytest.raises(NotALogo, match=told):
        logo(data)


def test_entities_are_refused():
    """A drawing that defines entities, which could unfold without end, is not read at all."""
    bomb = '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>' + HEAD + "<text>&b;</text></svg>"
    with pytest.raises(NotALogo, match="entities"):
        logo(bomb.encode())
    harmless = '<?xml version="1.0"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "svg11.dtd">' + HEAD + "</svg>"
    assert "DOCTYPE" not in logo(harmless.encode()).data.decode()


def test_a_png_is_written_anew():
    """A PNG is made small and keeps neither texts nor anything else but its pixels."""
    data = camera(800, 400, kind="PNG")
    assert SECRET.encode() in data
    made = logo(data)
    assert SECRET.encode() not in made.data
    picture = Image.open(io.BytesIO(made.data))
    assert picture.size == (2 * TALLEST, TALLEST)
    assert made.ratio == 2
    assert len(made.data) < MOST_BYTES


def test_a_size_without_a_view_box_is_enough():
    """Width and height stand in for a view box, which is added so that the logo can be made smaller."""
    made = logo(b'<svg xmlns="http://www.w3.org/2000/svg" width="30px" height="20px"/>')
    assert made.ratio == 1.5
    assert b'viewBox="0 0 30 20"' in made.data
