"""Edits of a record's text, read back before they are kept: the text must say what was meant, and nothing else. Pure."""

from collections.abc import Iterable, Mapping, Sequence

from passport.records.language.worded import worded
from passport.records.yaml import yamltext
from passport.records.yaml.yamlplace import CannotEdit
from passport.records.yaml.yamlwrite import Tree

BOM = "\ufeff"
Edit = tuple[int, int, str]
"""From, to (in characters) and what stands there instead."""


def bom(text: str) -> tuple[str, str]:
    """A text's byte order mark, where it has one, and the rest."""
    return (BOM, text[1:]) if text.startswith(BOM) else ("", text)


def read(text: str) -> dict[str, Tree]:
    """The data of a record's text. Raises `CannotEdit` where it cannot be read."""
    data, _, faults = yamltext.read(text, "record")
    if faults or not isinstance(data, dict):
        raise CannotEdit(worded("The record cannot be read, so nothing is changed in it. Run 'passport check' first."))
    return data


def checked(after: str, meant: Mapping[str, Tree]) -> str:
    """A changed text, which must say what is meant. Raises `CannotEdit` where it does not."""
    try:
        same = _plain(read(after)) == _plain(meant)
    except CannotEdit:
        same = False
    if not same:
        raise CannotEdit(
            worded("The record is written in a way that cannot be added to safely. Add the lines by hand.")
        )
    return after


def _plain(tree: Tree) -> Tree:
    """Data as it is read back from a file: text without spaces around it."""
    if isinstance(tree, Mapping):
        return {key: _plain(value) for key, value in tree.items()}
    if isinstance(tree, list | tuple):
        return [_plain(value) for value in tree]
    if isinstance(tree, bool):
        return "yes" if tree else "no"
    return None if tree is None else str(tree).strip()


def inserted(text: str, place: int, lines: Sequence[str], newline: str) -> Edit:
    """The edit that puts whole lines at a place where a line begins or the text ends."""
    lead = newline if place and text[place - 1] not in "\r\n" else ""
    return place, place, lead + "".join(line + newline for line in lines)


def applied(text: str, edits: Iterable[Edit]) -> str:
    """The text with edits that do not overlap."""
    for start, end, new in sorted(edits, key=lambda edit: edit[:2], reverse=True):
        text = text[:start] + new + text[end:]
    return text
