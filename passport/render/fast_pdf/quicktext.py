"""WeasyPrint's lines of text, broken, placed and shaped once a process where the same text stands in the same style.

What a line needs is remembered in its style (`passport.render.fast_pdf.quickstyle` keeps those from document to document), so
it goes when the style goes. The words are drawn anew each time: which fonts a document has, and which glyphs of them,
is its own affair.
"""

import copy
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from passport.render.fast_pdf.quickstyle import Memory

_UNITS = 1000


@dataclass(frozen=True, slots=True)
class _Face:
    """A font at a size as Pango knows it: the key of its file, what WeasyPrint knows of it while no document uses it; a
    layout that keeps it alive."""

    key: int
    size: float
    font: Any
    pristine: Any
    layout: Any


@dataclass(frozen=True, slots=True)
class _Glyph:
    """A glyph, the characters it stands for, its own width in thousandths of the size, its advance and offset in Pango's
    units."""

    number: int
    text: str
    width: int
    advance: int
    offset: int


_Shaped = list[tuple[_Face, list[_Glyph]]]


def install(memory: Memory) -> Callable[[], None]:
    """Remember lines from now on, as far as the ``memory`` goes; returns what undoes it."""
    undo = [_break_once(memory), _place_once(memory), _shape_once(memory)]

    def remove() -> None:
        for each in undo:
            each()

    return remove


# --- breaking --------------------------------------------------------------------------------------------------


def _break_once(memory: Memory) -> Callable[[], None]:
    """The first line of a text in a style and a width is the same each time."""
    from weasyprint.layout import inline, preferred

    usual = inline.split_first_line

    def split_first_line(text: str, style: Any, context: Any, width: Any, *more: Any, **named: Any) -> Any:
        known = memory.of(style, "_first_lines")
        if known is None:
            return usual(text, style, context, width, *more, **named)
        key = (text, width, more, *named.items())
        entry = known.get(key)
        if entry:
            entry.used = True
            layout, *rest = entry.value
        else:
            layout, *rest = memory.keep(known, key, usual(text, style, context, width, *more, **named))
        return (copy.copy(layout), *rest)

    inline.split_first_line = preferred.split_first_line = split_first_line

    def remove() -> None:
        inline.split_first_line = preferred.split_first_line = usual

    return remove


# --- placing ---------------------------------------------------------------------------------------------------


def _place_once(memory: Memory) -> Callable[[], None]:
    """Words in a place of their own have the same boxes each time."""
    from weasyprint.layout import absolute

    usual = absolute.absolute_box_layout

    def absolute_box_layout(context: Any, box: Any, around: Any, fixed: Any, space: Any, skip: Any) -> Any:
        known = memory.of(box.style, "_placed") if skip is None else None
        elements: list[Any] = []
        content = None if known is None else _content(box, elements)
        if known is None or content is None:
            return usual(context, box, around, fixed, space, skip)
        key = (
            *(around.padding_box_x(), around.padding_box_y(), around.padding_width(), around.padding_height()),
            *(box.position_x, box.position_y, space, context.page_bottom, content),
        )
        if entry := known.get(key):
            entry.used = True
            return _handed_out(entry.value.deepcopy(), elements), None
        placed, rest = usual(context, box, around, fixed, space, skip)
        kept = placed.deepcopy() if rest is None else None
        if kept and _put_away(kept, {id(element): n for n, element in enumerate(elements)}):
            memory.keep(known, key, kept)
        return placed, rest

    absolute.absolute_box_layout = absolute_box_layout

    def remove() -> None:
        absolute.absolute_box_layout = usual

    return remove


def _content(box: Any, elements: list[Any]) -> tuple[Any, ...] | None:
    """What a box holds, where that is nothing but words in lines and blocks; else None. The elements of the boxes are
    added to ``elements`` in their order."""
    from weasyprint.formatting_structure.boxes import BlockBox, InlineBox, LineBox, TextBox

    if type(box) not in (BlockBox, InlineBox, LineBox) or box.is_table_wrapper:
        return None
    if box.first_line_style or box.first_letter_style:
        return None
    elements.append(box.element)
    found: list[Any] = [id(box.style)]
    for child in box.children:
        if type(child) is TextBox:
            elements.append(child.element)
            found += [child.text, id(child.style)]
        elif child.is_in_normal_flow() and (inside := _content(child, elements)) is not None:
            found.append(inside)
        else:
            return None
    return tuple(found)


def _put_away(box: Any, numbers: dict[int, int]) -> bool:
    """Let boxes name their elements by number; whether all of them have one."""
    box.element = numbers.get(id(box.element))
    return box.element is not None and all(_put_away(child, numbers) for child in getattr(box, "children", ()))


def _handed_out(box: Any, elements: list[Any]) -> Any:
    """Let boxes that were put away have elements again, those of another document."""
    box.element = elements[box.element]
    for child in getattr(box, "children", ()):
        _handed_out(child, elements)
    return box


# --- drawing ---------------------------------------------------------------------------------------------------


def _shape_once(memory: Memory) -> Callable[[], None]:
    """The glyphs of a text in a style are the same each time."""
    from weasyprint import draw
    from weasyprint.draw.text import draw_text as usual

    def draw_text(stream: Any, textbox: Any, offset_x: float, text_overflow: str, ellipsis: Any) -> None:
        known = memory.of(textbox.style, "_shaped")
        plain = text_overflow == "clip" and ellipsis == "none" and textbox.style["visibility"] == "visible"
        if known is None or not plain or textbox.style["text_decoration_line"] != "none" or not textbox.text.strip():
            usual(stream, textbox, offset_x, text_overflow, ellipsis)
            return
        key = (textbox.pango_layout.text, textbox.pango_layout.justification_spacing)
        if entry := known.get(key):
            entry.used, shaped = True, entry.value
        else:
            shaped = memory.keep(known, key, _shaped(stream, textbox))
        if shaped is None:
            usual(stream, textbox, offset_x, text_overflow, ellipsis)
            return
        stream.set_color(textbox.style["color"])
        stream.begin_text()
        stream.set_text_matrix(1, 0, 0, -1, textbox.position_x, textbox.position_y + textbox.baseline)
        _show(stream, shaped)
        stream.end_text()

    draw.draw_text = draw_text

    def remove() -> None:
        draw.draw_text = usual

    return remove


def _shaped(stream: Any, textbox: Any) -> _Shaped | None:
    """The glyphs of a text box, in runs of one font; None where there are pictures, raised or missing glyphs."""
    from weasyprint.text.ffi import pango

    layout, style = textbox.pango_layout, textbox.style
    if style["font_size"] < 1e-6 or pango.pango_version() < 14802:
        return None
    layout.reactivate(style)
    pango.pango_layout_set_single_paragraph_mode(layout.layout, True)
    first_line, _ = layout.get_first_line()
    faces: dict[Any, _Face] = style.font_config.__dict__.setdefault("_faces", {})
    runs = [_glyphs(stream, item, layout, faces) for item in _runs(first_line.runs[0])]
    layout.deactivate()
    found = [run for run in runs if run is not None]
    return found if len(found) == len(runs) else None


def _runs(run: Any) -> Iterator[Any]:
    from weasyprint.text.ffi import ffi

    while run != ffi.NULL:
        yield run.data
        run = run.next


def _glyphs(stream: Any, item: Any, layout: Any, faces: dict[Any, _Face]) -> tuple[_Face, list[_Glyph]] | None:
    """The glyphs of one run."""
    from weasyprint.text.ffi import FROM_UNITS, pango

    face = _face(item.item.analysis.font, layout.layout, faces)
    if face.pristine.bitmap or face.pristine.png or face.pristine.svg or face.pristine.colr:
        return None
    text, offset, count = layout.text.encode(), item.item.offset, item.glyphs.num_glyphs
    clusters, found = item.glyphs.log_clusters, list[_Glyph]()
    for i, info in enumerate(item.glyphs.glyphs[0:count]):
        special = info.glyph == pango.PANGO_GLYPH_EMPTY or info.glyph & pango.PANGO_GLYPH_UNKNOWN_FLAG
        if special or info.geometry.y_offset:
            return None
        start = clusters[i]
        if item.item.analysis.level % 2:
            end = item.item.length if i == 0 else clusters[i - 1]
        else:
            end = item.item.length if i == count - 1 else clusters[i + 1]
        pango.pango_font_get_glyph_extents(face.font, info.glyph, stream.ink_rect, stream.logical_rect)
        width = round(stream.logical_rect.width * _UNITS * FROM_UNITS / face.size)
        written = text[offset + start : offset + end].decode()
        found.append(_Glyph(info.glyph, written, width, info.geometry.width, info.geometry.x_offset))
    return face, found


def _face(font: Any, layout: Any, faces: dict[Any, _Face]) -> _Face:
    from weasyprint.pdf.fonts import Font
    from weasyprint.text.fonts import get_pango_font_key

    known = faces.get(font)
    if known is None:
        key, description, size = get_pango_font_key(font)
        known = faces[font] = _Face(key, size, font, Font(font, description, size), layout)
    return known


def _font(stream: Any, face: _Face) -> Any:
    """The font of a document; what is the same in all documents is asked of it once."""
    if face.key not in stream._fonts:
        fresh = stream._fonts[face.key] = copy.copy(face.pristine)
        fresh.variations, fresh.widths, fresh.to_unicode, fresh.missing = dict(fresh.variations), {}, {}, {}
    return stream._fonts[face.key]


def _show(stream: Any, shaped: _Shaped) -> None:
    """Write glyphs as WeasyPrint writes them."""
    from weasyprint.text.ffi import FROM_UNITS

    string, before = "", None
    for face, glyphs in shaped:
        if face is not before:
            before, font = face, _font(stream, face)
            if string:
                stream.show_text(string)
            string = ""
            stream.set_font_size(font.hash, face.size)
        widths, to_unicode, size = font.widths, font.to_unicode, face.size
        string += "<"
        for glyph in glyphs:
            number = glyph.number
            if number not in to_unicode:
                to_unicode[number] = glyph.text
            offset = glyph.offset / size
            string += f">{-offset}<{number:04x}" if offset else f"{number:04x}"
            width = widths.get(number)
            if width is None:
                width = widths[number] = glyph.width
            kerning = width + offset - glyph.advance * _UNITS * FROM_UNITS / size
            if kerning:
                string += f">{int(kerning)}<"
        string = string[:-1] if string[-1] == "<" else string + ">"
    stream.show_text(string)
