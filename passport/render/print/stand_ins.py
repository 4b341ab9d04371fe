"""Drawings of a document that the layout engine never reads: small images stand in for them until the PDF is made.

The layout needs their sizes and descriptions alone. When the PDF stands, each image in it that is one of the stand-ins
becomes the drawing itself, as a Form XObject (ISO 32000-1, 8.10): both fill the unit square.
"""

import io
from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any
from xml.etree.ElementTree import Element, fromstring

from passport.render.print.operators import Form, NotDrawn, form

SCHEME = "picture:"
"""Scheme of the pictures that are handed over with a document, as in ``url(picture:weave)``."""
_SVG = "{http://www.w3.org/2000/svg}svg"
_TITLE = "{http://www.w3.org/2000/svg}title"
_FINEST = 500
"""Most pixels on a side of a stand-in: on a card its shape is off by less than a hundredth of a millimetre."""


class StandIns:
    """The drawings of one document, those in its text and the ``pictures``, SVG texts, that its styles name."""

    def __init__(self, pictures: Mapping[str, str]) -> None:
        self._pictures = pictures
        self._forms: dict[bytes, Form] = {}
        self._named: dict[str, str] = {}

    def put_into(self, parent: Element, class_of: Callable[[str], str]) -> None:
        """Give the elements below one images for their drawings, and for their styles the classes that ``class_of`` names."""
        for n, child in enumerate(parent):
            element = child
            if child.tag == _SVG:
                image = self._image(child)
                if image is None:
                    continue
                parent[n] = element = image
            if style := element.attrib.pop("style", ""):
                element.set("class", f"{element.get('class', '')} {class_of(self._styled(style))}".strip())
            self.put_into(element, class_of)

    def finish(self, pdf: Any) -> int:
        """Put each drawing where its image is; how many images of theirs are still in the PDF, which must be none."""
        waiting, others = dict(self._forms), list[tuple[int, int]]()
        for thing in pdf.objects:
            extra = getattr(thing, "extra", {})
            if extra.get("Subtype") != "/Image":
                continue
            drawing = waiting.pop(getattr(thing.stream[0], "data", b""), None)
            if drawing:
                thing.stream, thing.extra, thing.compress = [drawing.operators], drawing.entries, True
            elif extra.get("ColorSpace") == "/DeviceGray":
                others.append((extra["Width"], extra["Height"]))
        # A drawing that a style hides is nowhere; one that stands there as something else is lost.
        return sum(_sides(drawing) in others for drawing in waiting.values())

    def _image(self, svg: Element) -> Element | None:
        """An ``<img>`` for an ``<svg>`` in the text; None where it is not one of our own drawings."""
        try:
            source = self._address(form(svg))
        except NotDrawn:
            return None
        image = Element("img", {"src": source, "alt": svg.findtext(_TITLE, "")})
        image.attrib.update((name, svg.attrib[name]) for name in ("class", "style") if name in svg.attrib)
        image.tail = svg.tail
        return image

    def _styled(self, style: str) -> str:
        """A style with the addresses of stand-ins in the place of its pictures' names."""
        before, *others = style.split(f"url({SCHEME}")
        named = (other.partition(")") for other in others)
        return before + "".join(f"url({self._of_name(name)}){rest}" for name, _, rest in named)

    def _of_name(self, name: str) -> str:
        if name not in self._named:
            try:
                self._named[name] = self._address(form(fromstring(self._pictures[name])))
            except (NotDrawn, KeyError):
                self._named[name] = SCHEME + name
        return self._named[name]

    def _address(self, drawing: Form) -> str:
        width, height = _sides(drawing)
        address = f"{SCHEME}{len(self._forms)}/{width}x{height}"
        self._forms[_stand_in(address)] = drawing
        return address


def fetched(url: str) -> Any:
    """WeasyPrint's answer to the address of a stand-in; None for any other."""
    from weasyprint.urls import URLFetcherResponse

    if not url.startswith(SCHEME) or "/" not in url:
        return None
    return URLFetcherResponse(url, _stand_in(url), {"Content-Type": "image/jpeg"})


def _sides(drawing: Form) -> tuple[int, int]:
    """The width and height in pixels of an image of a drawing's shape."""
    _, _, width, height = drawing.box
    shape = Fraction(min(width, height) / max(width, height)).limit_denominator(_FINEST)
    short, long = max(1, shape.numerator), shape.denominator
    return (short, long) if width < height else (long, short)


@lru_cache(maxsize=512)
def _stand_in(address: str) -> bytes:
    """The image that an address names by its number and size; no two addresses have the same."""
    from PIL import Image

    width, height = (int(side) for side in address.rpartition("/")[2].split("x"))
    out = io.BytesIO()
    Image.new("L", (width, height)).save(out, "JPEG", comment=address.encode())
    return out.getvalue()
