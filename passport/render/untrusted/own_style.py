"""A shop's own rules of style, read by a parser (CSS Syntax Level 3) and written anew from what it understood.

A page loads nothing from elsewhere, since its reader's visit would be told to that place. What would load is looked for
in what the parser found, not in the text: an escape such as ``@\\69mport`` or a comment in a word hides nothing from it.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import tinycss2

_RULES = frozenset(
    [
        "media",
        "supports",
        "container",
        "layer",
        "font-face",
        "keyframes",
        "-webkit-keyframes",
        "page",
        "property",
        "counter-style",
        "font-feature-values",
        "starting-style",
        "scope",
    ]
)
"""The @-rules that load nothing by themselves."""
_LOADING = frozenset({"url", "src", "image", "image-set", "-webkit-image-set"})
"""Functions that load what a text in them names."""
_PASSED = re.compile(r"[\t\n\r]")
_AROUND = "".join(map(chr, range(33)))
_SCHEME = re.compile(r"[a-z][a-z0-9+.-]*:", re.IGNORECASE)
_HERE = re.compile(r"data:(?:image|font)/", re.IGNORECASE)
_TEXT_ELSEWHERE = re.compile(r"[/\\]{2}|^(?:https?|ftp|wss?|blob|file|javascript):", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Slip:
    """Something that rules of style may not hold: ``foreign`` where it loads from elsewhere; line and column, 1-based."""

    line: int
    column: int
    foreign: bool
    said: str = ""


class BadStyle(ValueError):
    """Rules of style that cannot be used; the message says where and why."""


def cleaned(css: str) -> str:
    """The rules without comments, as the parser understood them. Raises BadStyle."""
    rules = _parsed(css)
    for slip in slips(css):
        why = "would load from elsewhere" if slip.foreign else f"cannot be read: {slip.said}"
        raise BadStyle(f"line {slip.line}, column {slip.column} {why}")
    for rule in rules:
        for part in ("prelude", "content"):
            if getattr(rule, part, None):
                setattr(rule, part, _without_comments(getattr(rule, part)))
    return str(tinycss2.serialize(rules))


def slips(css: str) -> list[Slip]:
    """All that is wrong with rules of style, in its order."""
    try:
        return list(_slips(_parsed(css)))
    except RecursionError:
        return [Slip(1, 1, False, "nested too deep")]


def _parsed(css: str) -> list[Any]:
    return list(tinycss2.parse_stylesheet(css, skip_comments=True, skip_whitespace=False))


def _slips(rules: Sequence[Any]) -> Iterator[Slip]:
    for rule in rules:
        if rule.type == "error":
            yield Slip(rule.source_line, rule.source_column, False, rule.message)
        elif rule.type == "at-rule" and rule.lower_at_keyword not in _RULES:
            yield Slip(rule.source_line, rule.source_column, rule.lower_at_keyword == "import", "an unknown @-rule")
        elif rule.type != "whitespace":
            yield from _in_values(rule.prelude, loading=False)
            yield from _in_values(rule.content or (), loading=False)


def _in_values(values: Sequence[Any], *, loading: bool) -> Iterator[Slip]:
    for token in values:
        foreign = (
            (token.type == "url" and _elsewhere(token.value))
            or (token.type == "string" and (_elsewhere(token.value) if loading else _text_elsewhere(token.value)))
            or (token.type == "at-keyword" and token.lower_value == "import")
            or (loading and token.type == "function" and token.lower_name in ("var", "env", "attr"))
        )  # fmt: skip
        if token.type == "error":
            yield Slip(token.source_line, token.source_column, False, token.message)
        elif foreign:
            yield Slip(token.source_line, token.source_column, True)
        if token.type == "function":
            yield from _in_values(token.arguments, loading=loading or token.lower_name in _LOADING)
        elif token.type in ("() block", "[] block", "{} block"):
            yield from _in_values(token.content, loading=loading)


def _elsewhere(address: str) -> bool:
    """Whether an address leads anywhere but to the site's own files and into itself, read as browsers read it (URL
    Standard: tabs and line ends are passed over, spaces around it too, a backslash is a slash)."""
    address = _PASSED.sub("", address).strip(_AROUND).replace("\\", "/")
    return address.startswith("//") or bool(_SCHEME.match(address) and not _HERE.match(address))


def _text_elsewhere(text: str) -> bool:
    """Whether a text may be an address that leads elsewhere: a function may take it from a property of its own."""
    return bool(_TEXT_ELSEWHERE.search(_PASSED.sub("", text).strip(_AROUND)))


def _without_comments(values: Sequence[Any]) -> list[Any]:
    kept = []
    for token in values:
        if token.type == "comment":
            continue
        if token.type == "function":
            token.arguments = _without_comments(token.arguments)
        elif token.type in ("() block", "[] block", "{} block"):
            token.content = _without_comments(token.content)
        kept.append(token)
    return kept
