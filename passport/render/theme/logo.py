"""The shop's logo for the head of its pages: an SVG with everything left out that could act, or a PNG written anew."""

import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

MOST_BYTES = 60_000
"""A logo's bytes: it is loaded with every page."""
MOST_PIXELS = 4_000_000
TALLEST = 128
"""Height in px that a PNG is made smaller to: twice and more what it is shown at."""
_SVG = "http://www.w3.org/2000/svg"
_WORD = re.compile(r"[\w-]+")
_TAGS = frozenset(
    _WORD.findall(
        "svg g defs title desc path rect circle ellipse line polyline polygon text tspan linearGradient radialGradient "
        "stop clipPath mask symbol use"
    )
)
_ATTRIBUTES = frozenset(
    _WORD.findall(
        "viewBox width height x y x1 x2 y1 y2 cx cy r rx ry fx fy d points transform id fill fill-rule fill-opacity "
        "clip-rule clip-path mask stroke stroke-width stroke-linecap stroke-linejoin stroke-miterlimit stroke-dasharray "
        "stroke-dashoffset stroke-opacity opacity offset stop-color stop-opacity gradientUnits gradientTransform "
        "spreadMethod preserveAspectRatio font-family font-size font-weight text-anchor letter-spacing clipPathUnits "
        "maskUnits"
    )
)
_HREF = ("href", "{http://www.w3.org/1999/xlink}href")
_LOCAL = re.compile(r"url\(\s*['\"]?#[\w.-]+['\"]?\s*\)")


class NotALogo(ValueError):
    """The file cannot be used as a logo; the message says why."""


@dataclass(frozen=True, slots=True)
class Logo:
    """A logo fit for a page: its name on the site, its bytes, and its width for a height of 1."""

    name: str
    data: bytes
    ratio: float


@lru_cache(maxsize=4)
def logo(data: bytes) -> Logo:
    """The logo in the bytes of an SVG or PNG file.

    Raises NotALogo.
    """
    made = _png(data) if data.startswith(b"\x89PNG") else _svg(data)
    if len(made.data) > MOST_BYTES:
        raise NotALogo(f"it has {len(made.data) // 1000} kB, and every page loads it; at most {MOST_BYTES // 1000} kB")
    return made


def _png(data: bytes) -> Logo:
    from PIL import Image

    try:
        with Image.open(io.BytesIO(data), formats=("PNG",)) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise NotALogo(f"it unpacks to {opened.width} × {opened.height} pixels")
            picture = opened.convert("RGBA")
    except NotALogo:
        raise
    except Exception as error:  # decoders raise all sorts of things at bytes made to trip them
        raise NotALogo(f"it is damaged ({error})") from None
    share = min(1.0, TALLEST / picture.height)
    picture = picture.resize((max(1, round(picture.width * share)), max(1, round(picture.height * share))))
    out = io.BytesIO()
    picture.save(out, "PNG", optimize=True)
    return Logo("logo.png", out.getvalue(), picture.width / picture.height)


def _svg(data: bytes) -> Logo:
    if re.search(rb"<!(DOCTYPE|ENTITY)", data, re.I) and b"<!ENTITY" in data.upper():
        raise NotALogo("it defines entities, which could make it act or grow")
    if len(data) > 20 * MOST_BYTES:
        raise NotALogo(f"it has {len(data) // 1000} kB")
    try:
        root = ET.fromstring(data)
    except (ET.ParseError, ValueError, LookupError) as error:
        raise NotALogo(f"it is neither an SVG nor a PNG file ({error})") from None
    if root.tag not in (f"{{{_SVG}}}svg", "svg"):
        raise NotALogo("it is not an SVG file")
    ratio = _ratio(root)
    ET.register_namespace("", _SVG)
    clean = _cleaned(root)
    return Logo("logo.svg", ET.tostring(clean, encoding="utf-8"), ratio)


def _ratio(root: ET.Element) -> float:
    """Width by height, from the view box or else the size."""
    box = [float(n) for n in re.findall(r"-?[0-9.]+", root.get("viewBox", ""))]
    if len(box) != 4:
        sides = [re.match(r"[0-9.]+", root.get(side, "")) for side in ("width", "height")]
        box = [0, 0, *(float(side[0]) for side in sides if side)]
        if len(box) == 4:
            root.set("viewBox", f"0 0 {box[2]:g} {box[3]:g}")
    if len(box) != 4 or box[2] <= 0 or box[3] <= 0:
        raise NotALogo("it says neither its viewBox nor its width and height")
    return box[2] / box[3]


def _cleaned(element: ET.Element) -> ET.Element:
    """The element with what is known to only draw."""
    tag = element.tag.removeprefix(f"{{{_SVG}}}")
    made = ET.Element(f"{{{_SVG}}}{tag}", dict(_attributes(element)))
    made.text, made.tail = element.text, element.tail
    for child in element:
        name = child.tag.removeprefix(f"{{{_SVG}}}") if isinstance(child.tag, str) else ""
        if name in _TAGS:
            made.append(_cleaned(child))
    return made


def _attributes(element: ET.Element) -> Iterator[tuple[str, str]]:
    for name, value in element.attrib.items():
        if name in _HREF:
            if value.startswith("#"):
                yield "href", value
        elif name == "style":
            yield from _declared(value)
        elif name in _ATTRIBUTES and _harmless(value):
            yield name, value


def _declared(style: str) -> Iterator[tuple[str, str]]:
    """A style attribute's declarations as attributes of their own."""
    for declaration in style.split(";"):
        name, _, value = declaration.partition(":")
        if name.strip() in _ATTRIBUTES and _harmless(value):
            yield name.strip(), value.strip()


def _harmless(value: str) -> bool:
    """Whether a value leads nowhere but into the drawing itself."""
    rest = _LOCAL.sub("", value).lower()
    return not any(sign in rest for sign in ("url(", "javascript:", "data:", "//", "\\", "expression"))
