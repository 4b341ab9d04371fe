"""A document handed to WeasyPrint as a tree of elements instead of a text that it would have to parse.

All that is not public of WeasyPrint stands here: the two attributes of an ``HTML`` that hold its tree, the method that
names its own style sheets, and what ``CSS`` adds rules to. A release where they are not what they were is told apart by
what becomes of a small document. It is then given texts, as its manual says, and takes longer.
"""

import warnings
from functools import cache
from typing import Any
from xml.etree.ElementTree import Element, fromstring

from passport.render.faces.alone import alone
from passport.render.print.stand_ins import StandIns, fetched
from passport.render.theme.assets import fonts as fonts_folder

_OWN = """
head, title, meta { display: none }
html, body, main, div, section, p, h1, h2 { display: block }
[dir=rtl] { direction: rtl }
[dir=ltr] { direction: ltr }
table { display: table; box-sizing: border-box; text-indent: initial }
colgroup { display: table-column-group }
col { display: table-column }
tbody { display: table-row-group; vertical-align: middle }
tr { display: table-row; vertical-align: inherit }
td, th { display: table-cell; vertical-align: inherit }
img { overflow: hidden }
h1 { bookmark-level: 1 }
h2 { bookmark-level: 2 }
h1, h2 { bookmark-label: content(text); break-after: avoid; break-inside: avoid }
"""
"""What the elements of printed pieces are before any of our style sheets: all that is needed of WeasyPrint's own."""
_MOST = 4000
"""Classes after which all are forgotten."""
_PROBE = """
<html lang="en"><head><title>tree</title></head><body><p>one</p><p style="break-before:auto">two</p>
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 3 2" style="width:3px"><title>three</title><path d="M0 0h3v2"/></svg>
</body></html>
"""


class ElementStyles:
    """``style`` attributes as classes, for one font configuration: what stood on a piece before is not read again.

    The rules are important ones, since that alone stands above all other rules as an attribute does.
    """

    def __init__(self, fonts: Any) -> None:
        self._fonts = fonts
        self._sheet: Any = None
        self._names: dict[str, str] = {}
        self._new: list[str] = []

    def name(self, style: str) -> str:
        """The class for what an attribute says, declarations without a semicolon in their values."""
        known = self._names.get(style)
        if known is None:
            known = self._names[style] = f"s-{len(self._names)}"
            said = "".join(f"{each}!important;" for each in style.split(";") if each.strip())
            self._new.append(f".{known}{{{said}}}")
        return known

    def sheet(self) -> Any:
        """The style sheet of all classes that were named; older ones may be gone once it was asked for."""
        from weasyprint import CSS

        if self._new or self._sheet is None:
            rules = self._sheet.matcher if self._sheet else None
            self._sheet = CSS(string="".join(self._new), font_config=self._fonts, matcher=rules)
            self._new.clear()
        sheet = self._sheet
        if len(self._names) > _MOST:
            self._names, self._sheet = {}, None
        return sheet


def document(root: Element, **more: Any) -> Any:
    """An ``HTML`` of a tree, with a small style sheet in the place of WeasyPrint's own; only where `fits` says so.

    ``more`` are ``base_url`` and ``url_fetcher``, as WeasyPrint has them.
    """
    return _tree()(root, **more)


@cache
def fits() -> bool:
    """Whether this release of WeasyPrint takes a tree, styles as classes and stand-ins; if not, a warning says so, once."""
    from weasyprint import VERSION

    try:
        problem = _tried()
    except Exception as error:
        problem = repr(error)
    if problem:
        warnings.warn(
            f"WeasyPrint {VERSION} works in a way that is not known here ({problem}): cards are made as its manual"
            " says, which takes longer.",
            RuntimeWarning,
            stacklevel=2,
        )
    return not problem


def _tried() -> str:
    """What is wrong with a small document that was made of a tree; empty where all is as it should be."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher

    class Pictures(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: object = None) -> Any:
            return fetched(url)

    with alone(fonts_folder()):
        root, fonts, drawings = fromstring(_PROBE), FontConfiguration(), StandIns({})
    styles = ElementStyles(fonts)
    drawings.put_into(root, styles.name)
    face = f'@font-face{{font-family:"House Display";src:url("{(fonts_folder() / "display-600.ttf").as_uri()}")}}'
    page = CSS(string=f"{face}@page{{size:40px 90px;margin:0}} p+p{{break-before:page}}", font_config=fonts)
    made = document(root, url_fetcher=Pictures()).render(fonts, stylesheets=[page, styles.sheet()])
    if made.metadata.title != "tree":
        return "the tree was not read"
    if len(made.pages) != 1:
        return "the styles were not taken"
    missing: list[int] = []
    made.write_pdf(finisher=lambda _, pdf: missing.append(drawings.finish(pdf)))
    return "the drawing was not put in its place" if missing != [0] else ""


@cache
def _own_sheet() -> Any:
    from weasyprint import CSS

    return CSS(string=_OWN)


@cache
def _tree() -> Any:
    from weasyprint import HTML

    class Tree(HTML):  # type: ignore[misc]
        """A document that was never a text."""

        wrapper_element: Any

        def __init__(self, root: Element, **more: Any) -> None:
            super().__init__(string="<p>", **more)
            self.wrapper_element = type(self.wrapper_element).from_html_root(root, content_language=None)
            self.etree_element = root

        def _ua_stylesheets(self, forms: bool = False) -> list[Any]:
            return [_own_sheet()]

    return Tree
