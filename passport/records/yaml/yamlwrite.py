"""Plain data to YAML text in the style of the records: compact flow maps, quotes only where needed. Pure.

What is written here is read back by `passport.records.yaml.yamltext.read` as the same data; every text is tried before it is
left without quotes.
"""

import re
import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import yaml

Tree = Any  # str | int | bool | list[Tree] | dict[str, Tree]
WIDTH = 128
"""The longest line that a flow map may make; a longer one is written as a block."""
_FOLDED = 112
_LOADER: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_PLAIN = re.compile(r"[^\s\-?:,\[\]{}#&*!|>'\"%@`~][^\n\r\t]*|-[^\s][^\n\r\t]*")
_NOT_IN_FLOW = re.compile(r"[,\[\]{}?|]")
"""The two last are read as text by one YAML reader and refused inside a flow map by another."""


@dataclass(frozen=True, slots=True)
class Style:
    """How a file is written: its line ends, the steps of its indentation, and whether jobs stand apart.

    ``step`` are the columns by which the keys of a block stand deeper, ``dash`` those by which the dashes of a list do;
    ``gap`` says whether an empty line stands between the entries of the list of jobs.
    """

    newline: str = "\n"
    step: int = 2
    dash: int = 2
    after_dash: int = 2
    gap: bool = True


def scalar(value: str | int | bool, *, flow: bool = False) -> str:
    """One value on one line, without quotes where it is read back as it is; ``flow`` for inside a flow map."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    text = str(value)
    plain = text.isprintable() and _PLAIN.fullmatch(text) and not (flow and _NOT_IN_FLOW.search(text))
    # Asked of the parser itself rather than by rules: YAML has too many of them to be sure of one's own.
    if plain and _reads(text, text, flow):
        return text
    # Single quotes only where double ones would need escapes, which people misread.
    if text.isprintable() and ("\\" in text or '"' in text):
        single = "'" + text.replace("'", "''") + "'"
        if _reads(single, text, flow):
            return single
    return '"' + "".join(map(_escaped, text)) + '"'


def flow_map(tree: Mapping[str, Tree]) -> str:
    """A map on one line, ``{string: deep-petrol-125, tension: 51 lb}``."""
    return "{" + ", ".join(f"{scalar(key, flow=True)}: {_flow(value)}" for key, value in tree.items()) + "}"


def block(tree: Mapping[str, Tree], style: Style, indent: int = 0) -> list[str]:
    """The lines of a block map that begins ``indent`` columns in, without line ends."""
    return [line for key, value in tree.items() for line in _entry(scalar(key), value, style, indent)]


def item(tree: Tree, style: Style, indent: int, *, compact: bool = True) -> list[str]:
    """The lines of one list entry whose dash stands ``indent`` columns in; a flat map on one line if ``compact``."""
    lead = " " * indent + "-" + " " * (style.after_dash - 1)
    if not isinstance(tree, dict) or (compact and _flat(tree)):
        one = lead + _flow(tree)
        if not isinstance(tree, dict) or len(one) <= WIDTH:
            return [one]
    lines = block(tree, style, indent + style.after_dash)
    return [lead + lines[0].lstrip(" "), *lines[1:]] if lines else [lead + "{}"]


def _entry(key: str, value: Tree, style: Style, indent: int) -> Iterator[str]:
    pad = " " * indent
    if isinstance(value, dict):
        one = f"{pad}{key}: {flow_map(value)}" if _flat(value) else ""
        if one and len(one) <= WIDTH:
            yield one
        else:
            yield f"{pad}{key}:"
            yield from block(value, style, indent + style.step)
    elif isinstance(value, list) and value:
        yield f"{pad}{key}:"
        for entry in value:
            yield from item(entry, style, indent + style.dash)
    elif isinstance(value, str) and (long := _long(value, style, indent)):
        yield f"{pad}{key}: {long[0]}"
        yield from long[1:]
    else:
        yield f"{pad}{key}: {_flow(value)}"


def _flat(tree: Mapping[str, Tree]) -> bool:
    """Whether a map holds single values, or lists of them, and no further map."""
    values = [v for value in tree.values() for v in (value if isinstance(value, list) else [value])]
    return bool(values) and not any(isinstance(value, dict | list) for value in values)


def _flow(value: Tree) -> str:
    if isinstance(value, dict):
        return flow_map(value)
    if isinstance(value, list):
        return "[" + ", ".join(_flow(entry) for entry in value) + "]"
    return scalar(value, flow=True)


def _long(text: str, style: Style, indent: int) -> list[str]:
    """A long text or one of several lines as a block of text, or nothing where one line serves."""
    pad = " " * (indent + style.step)
    if "\n" in text:
        lines = ["|-", *(pad + line if line else "" for line in text.split("\n"))]
    elif len(text) > _FOLDED - indent:
        wrapped = textwrap.wrap(text, _FOLDED - indent, break_long_words=False, break_on_hyphens=False)
        lines = [">-", *(pad + line for line in wrapped)]
    else:
        return []
    return lines if len(lines) > 2 and _reads("\n".join(lines), text, False) else []


def _reads(written: str, text: str, flow: bool) -> bool:
    """Whether YAML reads ``written`` as ``text`` where a value stands."""
    try:
        node = yaml.compose(f"{{a: {written}, b: c}}" if flow else f"a: {written}\nb: c\n", Loader=_LOADER)
        if not isinstance(node, yaml.MappingNode) or len(node.value) != 2:
            return False
        value = node.value[0][1]
    except yaml.YAMLError:
        return False
    empty = not value.style and text in ("", "~", "null")
    return isinstance(value, yaml.ScalarNode) and value.value == text and not empty


def _escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    if character.isprintable():
        return character
    known = {"\n": "\\n", "\t": "\\t", "\r": "\\r"}
    if character in known:
        return known[character]
    code = ord(character)
    if code <= 0xFF:
        return f"\\x{code:02X}"
    return f"\\u{code:04X}" if code <= 0xFFFF else f"\\U{code:08X}"
