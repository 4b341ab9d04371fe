"""Reading a setup that somebody brings: its file, the text of a tag, or the page of an open passport saved to disk.

Whoever brings it may have written anything. What is read is bounded in size and in depth, followed nowhere, and becomes
typed values or a fault with its place.
"""

import html
import json
import re
from email import policy
from email.parser import BytesParser
from pathlib import Path
from typing import Any, Final, Literal

from pydantic import ValidationError

from passport.records.disk import opening
from passport.records.exchange.setup import FORMAT, SetupData
from passport.records.exchange.tagtext import GRAMMAR, HEAD, NotASetup, is_tag_text, read_tag_text
from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.schema import base
from passport.records.yaml.validation_messages import closest

MOST_BYTES: Final = 8_000_000
"""Of a saved page, which may hold its pictures."""
MOST_DATA: Final = 400_000
"""Characters of a setup as data."""
DEEPEST: Final = 20
"""Objects and lists in each other."""
ATTRIBUTE: Final = "data-setup"
"""The attribute of a passport's page that holds the setup."""
Kind = Literal["file", "page", "tag"]


class NotCarried(Exception):
    """What was brought is not a setup; ``fault`` says where and why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.text())
        self.fault = fault


def carried(path: Path) -> tuple[SetupData, Kind]:
    """The setup in a file, and what kind of file it is. Raises `NotCarried`, and OSError where it cannot be opened."""
    data = opening.read(path, most=MOST_BYTES)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        what, do = (
            worded("This file is no text."),
            worded("Bring the setup's file, the text of the code on its tag, or its saved page."),
        )
        raise NotCarried(Fault(Place(str(path)), "no-setup", what, do)) from None
    return setup_of(text, str(path))


def setup_of(text: str, name: str) -> tuple[SetupData, Kind]:
    """The setup in a text that is called ``name``. Raises `NotCarried`."""
    if text.lstrip().startswith("{"):
        return from_json(text, name), "file"
    if is_tag_text(text):
        return _from_tag(text, name), "tag"
    page = _html_of(text)
    if "<" in page:
        return _from_page(page, name), "page"
    what = worded("This is neither a setup's file, nor the text of a tag's code, nor a saved page.")
    do = worded(
        "A file begins with '{{', the text of a code with '{head} {grammar}'; a page is saved as HTML.",
        head=HEAD,
        grammar=GRAMMAR,
    )
    raise NotCarried(Fault(_first_line(text, name), "no-setup", what, do))


# --- data ----------------------------------------------------------------------------------------------------------


def from_json(text: str, name: str) -> SetupData:
    """The setup in JSON. Raises `NotCarried`."""
    if len(text) > MOST_DATA:
        what = worded(
            "This setup has {text:,} characters, more than the {most_data:,} that are read.",
            text=len(text),
            most_data=MOST_DATA,
        )
        raise NotCarried(
            Fault(Place(name), "too-large", what, worded("Ask for the file again: a setup has a few thousand."))
        )
    data = parsed(text, name)
    version = data.get("format") if isinstance(data, dict) else None
    if isinstance(version, int) and version != FORMAT:
        newer = version > FORMAT
        do = (
            worded("Use the newest release of the program.")
            if newer
            else worded("Download it again from the passport's page.")
        )
        what = worded(
            "This setup is of format {version}, and this program reads format {format}.", version=version, format=FORMAT
        )
        raise NotCarried(Fault(_place_of(text, name, ("format",)), "setup-format", what, do))
    try:
        found = SetupData.model_validate(data)
    except ValidationError as error:
        raise NotCarried(_fault_of(error, text, name)) from None
    return _clean(found, text, name)


def _depth(data: Any) -> int:
    """How many objects and lists lie in each other."""
    level, depth = [data], 0
    while level:
        level = [
            v
            for one in level
            for v in (one.values() if isinstance(one, dict) else one if isinstance(one, list) else ())
        ]
        depth += 1
    return depth


def parsed(text: str, name: str) -> Any:
    """The data in a JSON text: no key twice, no number that is none, not nested too deeply. Raises `NotCarried`."""

    def pairs(found: list[tuple[str, Any]]) -> dict[str, Any]:
        made: dict[str, Any] = {}
        for key, value in found:
            if key in made:
                raise _Twice(key)
            made[key] = value
        return made

    def constant(word: str) -> float:
        raise ValueError(worded("{word} is no number", word=word))

    try:
        data = json.loads(text, object_pairs_hook=pairs, parse_constant=constant)
        if _depth(data) > DEEPEST:
            raise RecursionError
        return data
    except _Twice as twice:
        what, do = (
            worded("The key '{twice}' stands twice in one place.", twice=twice),
            worded("Keep the one that is right."),
        )
        raise NotCarried(Fault(_place_of(text, name, (str(twice),)), "duplicate-key", what, do)) from None
    except json.JSONDecodeError as error:
        lines = text.splitlines()
        excerpt = lines[error.lineno - 1] if error.lineno <= len(lines) else ""
        place = Place(name, error.lineno, error.colno, excerpt)
        what = worded("This is no JSON: {msg}{msg2}.", msg=error.msg[0].lower(), msg2=error.msg[1:])
        raise NotCarried(Fault(place, "json-syntax", what, worded("Download the file again, unchanged."))) from None
    except (ValueError, RecursionError) as error:
        said = worded("it is nested too deeply") if isinstance(error, RecursionError) else str(error)
        do = worded("Download the file again, unchanged.")
        raise NotCarried(
            Fault(Place(name), "json-syntax", worded("This is no setup: {said}.", said=said), do)
        ) from None


class _Twice(Exception):
    """A key that stands twice in one object."""


def _fault_of(error: ValidationError, text: str, name: str) -> Fault:
    """The first thing that is wrong, in words."""
    first = error.errors(include_url=False)[0]
    path = tuple(step for step in first["loc"] if isinstance(step, str | int))
    key = str(path[-1]) if path else ""
    if first["type"] == "extra_forbidden":
        what = worded("The key '{key}' does not belong here.", key=key[:60])
        do = closest(key, list(SetupData.model_fields)) or worded(
            "Take it out, or use the newest release of the program."
        )
    elif first["type"] == "missing":
        what, do = worded("The key '{key}' is missing.", key=key), worded("Download the file again, unchanged.")
    else:
        what = worded(
            "'{map}' cannot be right: {first}{first2}.",
            map=".".join(map(str, path)),
            first=first["msg"][0].lower(),
            first2=first["msg"][1:],
        )
        do = worded("Compare it with the passport's page, or download the file again.")
    return Fault(_place_of(text, name, path), "setup-value", what, do)


def _place_of(text: str, name: str, path: tuple[str | int, ...]) -> Place:
    """About where a key stands: the keys of its path are looked for one behind the other."""
    at = width = 0
    for step in path:
        if isinstance(step, str):
            found = re.compile(rf'"{re.escape(step)}"\s*:').search(text, at)
            at, width = (found.start(), len(step) + 2) if found else (at, width)
    before = text[:at]
    line, column = before.count("\n"), at - (before.rfind("\n") + 1)
    lines = text.splitlines() or [""]
    return Place(name, line + 1, column + 1, lines[min(line, len(lines) - 1)], width or 1)


def _clean(setup: SetupData, text: str, name: str) -> SetupData:
    """The setup, if none of its texts holds what acts on a terminal or turns the writing around."""
    for path, value in _texts(setup.model_dump(exclude_none=True, by_alias=True), ()):
        if base.risky(value):
            what = worded(
                "'{map}' holds a control character or a mark that turns the writing around.",
                map=".".join(map(str, path)),
            )
            place = _place_of(text, name, path) if path else Place(name)
            raise NotCarried(Fault(place, "control-character", what, worded("Ask for the file again.")))
    return setup


def _texts(tree: Any, path: tuple[str | int, ...]) -> Any:
    """Every text in plain data, with its path."""
    if isinstance(tree, str):
        yield path, tree
    elif isinstance(tree, dict):
        for key, value in tree.items():
            yield path, str(key)
            yield from _texts(value, (*path, key))
    elif isinstance(tree, list):
        for i, value in enumerate(tree):
            yield from _texts(value, (*path, i))


# --- the text of a tag ---------------------------------------------------------------------------------------------


def _from_tag(text: str, name: str) -> SetupData:
    lines = text.lstrip("\ufeff").splitlines()
    try:
        return _clean(read_tag_text(text), "", name)
    except NotASetup as error:
        excerpt = lines[error.line - 1] if error.line <= len(lines) else ""
        place = Place(name, error.line, 1, excerpt, max(1, len(excerpt)))
        raise NotCarried(Fault(place, "tag-text", error.what, error.do)) from None
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        said = f"'{'.'.join(map(str, first['loc']))}': {first['msg'][0].lower()}{first['msg'][1:]}."
        missing = first["type"] == "missing"
        what = (
            worded("The text lacks {first}.", first=first["loc"][-1])
            if missing
            else worded("A figure of this text cannot be right: {said}", said=said)
        )
        raise NotCarried(
            Fault(Place(name), "tag-text", what, worded("Compare it with what is printed on the tag."))
        ) from None


# --- a saved page --------------------------------------------------------------------------------------------------


def _html_of(text: str) -> str:
    """The page in a text: of a browser's single file (MHTML) its first page, else the text as it is."""
    if not re.match(r"(?:[A-Za-z-]+: [^\n]*\r?\n(?:[ \t][^\n]*\r?\n)*)+\r?\n", text):
        return text
    message = BytesParser(policy=policy.default).parsebytes(text.encode("utf-8"))
    for part in (message, *message.iter_parts()):
        if part.get_content_type() == "text/html":
            payload = part.get_payload(decode=True)
            return payload.decode("utf-8", "replace") if isinstance(payload, bytes) else ""
    return text


def _from_page(page: str, name: str) -> SetupData:
    found = _IN_PAGE.search(page)
    if found is None:
        what = worded("This page holds no setup.")
        do = worded("Save the page of an open passport: open a sealed one with its code first, and save it then.")
        raise NotCarried(Fault(Place(name), "no-setup", what, do))
    try:
        said = html.unescape(found[1][1:-1])
        return _from_tag(said, name) if is_tag_text(said) else from_json(said, name)
    except NotCarried as error:
        line = page.count("\n", 0, found.start()) + 1
        place = Place(name, line, 1, error.fault.place.excerpt)
        raise NotCarried(Fault(place, error.fault.rule, error.fault.what, error.fault.do)) from None


# By a pattern and not by a parser of HTML: a page may be anybody's, and this takes time as it is long.
_IN_PAGE: Final = re.compile(rf"""\b{ATTRIBUTE}=("[^"]*"|'[^']*')""")


def _first_line(text: str, name: str) -> Place:
    return Place(name, 1, 1, text.lstrip().split("\n", 1)[0][:200])
