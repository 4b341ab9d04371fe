"""The styles of WeasyPrint's elements, worked out once a process instead of once a document.

Cards of one kind are built alike: most of their elements have tag, attributes and ancestors that an element of an
earlier card had, so that the same rules hold for them and the same values come out.
"""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any
from xml.etree.ElementTree import Element

_MOST = 10_000
"""Places that are remembered, and things beside them, so that no process grows without an end."""
_SVG = "{http://www.w3.org/2000/svg}svg"
_MEANINGLESS = frozenset({"aria-label", "aria-labelledby", "content", "font-family", "role", "viewBox"})
"""Attributes that no rule looks at."""
_Styles = dict[str | None, Any]


class _ElementPlace:
    """Where an element can stand, by all that its styles depend on: its styles, and the places below it."""

    __slots__ = ("below", "styles")

    def __init__(self) -> None:
        self.styles: _Styles = {}
        self.below: dict[tuple[Any, ...], _ElementPlace] = {}


class Kept:
    """Something that is remembered, and whether it was of use since somebody last tidied up."""

    __slots__ = ("used", "value")

    def __init__(self, value: Any) -> None:
        self.value, self.used = value, False


class Memory:
    """What is remembered with styles."""

    def __init__(self, trusted: Callable[[], bool]) -> None:
        """``trusted`` tells whether the document at hand may be worked on by what is remembered."""
        self._trusted = trusted
        self._kept: list[tuple[dict[Any, Kept], Any]] = []

    def of(self, style: Any, name: str) -> dict[Any, Kept] | None:
        """What is remembered of a style under a name; None where nothing may be."""
        if not self._trusted():
            return None
        own = style.__dict__
        if name not in own:
            own[name] = {}
        found: dict[Any, Kept] = own[name]
        return found

    def keep(self, known: dict[Any, Kept], key: Any, value: Any) -> Any:
        """Remember something; returns it. Where there is much, what was of no use for long is forgotten."""
        if len(self._kept) >= _MOST:
            self._tidy_up()
        known[key] = Kept(value)
        self._kept.append((known, key))
        return value

    def _tidy_up(self) -> None:
        """Forget what was not used since the last time: the words of one card alone. Where nearly all was, all of it."""
        lasting = sum(known[key].used for known, key in self._kept) < _MOST * 3 // 4
        kept = []
        for known, key in self._kept:
            if lasting and known[key].used:
                known[key].used = False
                kept.append((known, key))
            else:
                del known[key]
        self._kept = kept


class _Shelf:
    """The places of all documents with the same style sheets."""

    def __init__(self, sheets: list[Any], font_config: Any) -> None:
        self.kept = sheets, font_config  # as long as they are kept, nobody else has their identity
        self.root = _ElementPlace()
        self.size = 0
        self.page_sizes = {"box": None, "area": None}

    def below(self, place: _ElementPlace, element: Element, first: bool, last: bool) -> _ElementPlace:
        """The place of an element below that of its parent; one with a picture of its own is not kept."""
        ruling = [item for item in element.attrib.items() if item[0] not in _MEANINGLESS]
        key = (element.tag, first, last, *ruling)
        found = place.below.get(key)
        if found is None:
            found = _ElementPlace()
            if "url(" not in element.get("style", ""):
                place.below[key] = found
                self.size += 1
        return found


def install(trusted: Callable[[], bool]) -> Callable[[], None]:
    """Remember styles from now on where documents are ``trusted``; returns what undoes it."""
    from weasyprint import css

    usual = css.StyleFor
    shelves: dict[tuple[Any, ...], _Shelf] = {}

    def shelf_of(sheets: list[Any], font_config: Any, base_url: str) -> _Shelf:
        ruling = [each for each in sheets if each[0].matcher.order]
        key = (id(font_config), base_url, *(id(sheet) for sheet, _, _ in ruling))
        if sum(shelf.size for shelf in shelves.values()) > _MOST:
            shelves.clear()
        if key not in shelves:
            shelves[key] = _Shelf(ruling, font_config)
        return shelves[key]

    class StyleFor(usual):  # type: ignore[misc,valid-type]
        """WeasyPrint's, with a memory. It holds for documents without rules that look at siblings."""

        def __init__(self, html: Any, sheets: list[Any], hints: bool, font_config: Any, collector: Any) -> None:
            if hints or not trusted():
                super().__init__(html, sheets, hints, font_config, collector)
                return
            self._sheets, self.font_config = sheets, font_config
            self._cascaded_styles: dict[tuple[Any, str | None], Any] = {}
            self._computed_styles: dict[tuple[Any, str | None], Any] = {}
            shelf = shelf_of(sheets, font_config, html.base_url)
            self.initial_page_sizes = shelf.page_sizes
            unknown = self._find(html.etree_element, shelf)
            if unknown:
                self._work_out(html, unknown, shelf.kept[0])
            for style in self._computed_styles.values():
                if collector and style["anchor"]:
                    collector.collect_anchor(style["anchor"])

        def _find(self, root: Element, shelf: _Shelf) -> dict[Element, _ElementPlace]:
            """Take up the styles of all elements that stand where one stood before; returns the others."""
            unknown = {}
            for element, place in _places(root, shelf):
                if place.styles:
                    for pseudo, style in place.styles.items():
                        self._computed_styles[element, pseudo] = style
                else:
                    unknown[element] = place
            return unknown

        def _work_out(self, html: Any, unknown: dict[Element, _ElementPlace], sheets: list[Any]) -> None:
            """Work out the styles of some elements, parents first, and remember them."""
            set_styles = partial(
                self.set_computed_styles, root=html.etree_element, base_url=html.base_url, target_collector=None
            )
            for wrapper in html.wrapper_element.iter_subtree():
                element = wrapper.etree_element
                place = unknown.get(element)
                if place is None:
                    continue
                found = _cascaded(wrapper, sheets, html.base_url)
                self._cascaded_styles.update({(element, pseudo): style for pseudo, style in found.items()})
                parent = wrapper.parent.etree_element if wrapper.parent else None
                set_styles(element, parent)
                for pseudo in found:
                    if pseudo:
                        set_styles(element, element, pseudo_type=pseudo)
                place.styles = {
                    pseudo: self._computed_styles[element, pseudo] for pseudo in (None, *filter(None, found))
                }
            self._cascaded_styles.clear()

    css.StyleFor = StyleFor
    undo = _shut_pictures(trusted)

    def remove() -> None:
        css.StyleFor = usual
        undo()

    return remove


def _places(root: Element, shelf: _Shelf) -> Iterator[tuple[Element, _ElementPlace]]:
    """All elements in tree order with their places; what is inside a picture has no styles of this kind."""
    waiting = [(root, shelf.below(shelf.root, root, True, True))]
    while waiting:
        element, place = waiting.pop()
        yield element, place
        if element.tag != _SVG:
            children = [child for child in element if isinstance(child.tag, str)]
            last = len(children) - 1
            waiting += [
                (child, shelf.below(place, child, n == 0, n == last)) for n, child in reversed([*enumerate(children)])
            ]


def _cascaded(wrapper: Any, sheets: list[Any], base_url: str) -> dict[str | None, dict[str, Any]]:
    """The declarations that hold for an element and its pseudo-elements, each with its weight: WeasyPrint's cascade."""
    from math import inf

    from weasyprint import css

    element = wrapper.etree_element
    styles: dict[str | None, dict[str, Any]] = {}

    def add(pseudo: str | None, declarations: Any, origin: str, layer_order: float, specificity: Any) -> None:
        style = styles.setdefault(pseudo, {})
        for name, values, importance in declarations:
            weight = (css.declaration_precedence(origin, importance), layer_order, specificity)
            before = style.get(name, (None, None))[1]
            if before is None or before <= weight:
                style[name] = values, weight

    alone = Element(element.tag, element.attrib)
    for specificity, _, declarations, base in css.find_style_attributes(alone, False, base_url):
        add(None, css.preprocess_declarations(base, declarations), "author", inf, specificity)
    for sheet, origin, sheet_specificity in sheets:
        for specificity, _, pseudo, (declarations, layer) in sheet.matcher.match(wrapper):
            order = inf if layer is None else sheet.layers.index(layer)
            add(pseudo, declarations, origin, order, sheet_specificity or specificity)
    return styles


def _shut_pictures(trusted: Callable[[], bool]) -> Callable[[], None]:
    """Make no boxes of what is inside an ``<svg>``, which WeasyPrint throws away again; returns what undoes it."""
    from weasyprint.formatting_structure import build
    from weasyprint.html import handle_element

    usual = build.element_to_box

    def element_to_box(
        element: Any, style_for: Any, get_image: Any, base_url: str, collector: Any, counters: Any, notes: Any,
        state: Any = None,
    ) -> Any:  # fmt: skip
        if element.tag != _SVG or not trusted():
            return usual(element, style_for, get_image, base_url, collector, counters, notes, state)
        style = style_for(element)
        if style["display"] == ("none",):
            return []
        box = build.make_box(element.tag, style, [], element)
        return handle_element(element, box, get_image, base_url)

    build.element_to_box = element_to_box

    def remove() -> None:
        build.element_to_box = usual

    return remove
