"""What is wrong with text that is not YAML, in words for somebody who has never heard of YAML.

The parser's own problem texts differ between its C and its Python form; both lead to the same sentence here.
"""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import yaml

from passport.records.faults import Fault, Place
from passport.records.language.worded import unsaid, worded

Locate = Callable[[int, int], Place]
_Advice = tuple[str, str]


def syntax_fault(error: yaml.YAMLError, locate: Locate, file: str) -> Fault:
    """The fault of a text that the parser refused; ``locate`` turns a 0-based line and column into a place."""
    mark: Any = getattr(error, "problem_mark", None)
    opened: Any = getattr(error, "context_mark", None)
    problem = str(getattr(error, "problem", None) or getattr(error, "reason", None) or worded("unreadable text"))
    if mark is None:
        return Fault(Place(file), "yaml-syntax", *_unknown(problem))
    here = _visible(locate, mark.line, mark.column)
    start = locate(opened.line, opened.column) if opened is not None else here
    if "alphabetic or numeric" in problem:
        return Fault(start, "yaml-feature", worded(_ALIAS[0]), worded(_ALIAS[1]))
    if opened is not None and _points_back(problem):
        return _from_the_start(problem, start, here)
    what, do = _advice(problem, here)
    return Fault(_first_sign(here) if what == worded(_TOO_DEEP[0]) else here, "yaml-syntax", what, do)


def _first_sign(place: Place) -> Place:
    """Where the text of a line begins."""
    indent = len(place.excerpt) - len(place.excerpt.lstrip())
    return replace(place, col=indent + 1, width=place.col - indent - 1)


def _visible(locate: Locate, line: int, col: int) -> Place:
    """The place itself, or the end of the last text above it: an empty line at the end of a file shows nothing."""
    place = locate(line, col)
    while line > 0 and not place.excerpt.strip():
        line -= 1
        place = locate(line, len(locate(line, 0).excerpt.rstrip()))
    return place


def _points_back(problem: str) -> bool:
    """Whether the cause stands where the parser began, not where it gave up: an open quote or bracket, a lost colon."""
    return (
        any(word in problem for word in ("end of stream", "could not find expected ':'")) or "expected ','" in problem
    )


def _from_the_start(problem: str, start: Place, here: Place) -> Fault:
    if "could not find expected ':'" in problem and "\u00a0" in start.excerpt:
        place = replace(start, col=start.excerpt.index("\u00a0") + 1)
        what = worded("A no-break space stands here, as pasted text often holds it.")
        return Fault(place, "yaml-syntax", what, worded("Delete it and type a plain space."))
    if "could not find expected ':'" in problem:
        what, do = (
            worded("This line is not a 'key: value' line."),
            worded("Add the colon and a space after the key, as in 'name: value'."),
        )
    elif "expected ','" in problem:
        end = "]" if "or ']'" in problem else "}"
        what = worded("The bracket that opens here is not closed where line {line} goes on.", line=here.line)
        do = worded("Close it with '{end}', and put a comma between its entries.", end=end)
    else:
        what, do = (
            worded("The quote that opens here is never closed."),
            worded("Add the closing quote at the end of the text."),
        )
    return Fault(start, "yaml-syntax", what, do)


_ALIAS = (
    unsaid("A value that begins with * or & stands for another place in the file, which is not used here."),
    unsaid("Put the text in 'quotes'."),
)
_TOO_DEEP = (
    unsaid("This line is indented deeper than the one above it, which has its value already."),
    unsaid("Begin it in the same column as the line above."),
)
_NOT_IN_LIST = (
    unsaid("This line stands among list entries, but is none."),
    unsaid("Begin it with '- ', or move it left, out of the list."),
)
_BY_WORD: dict[str, _Advice] = {
    "escape": (
        unsaid("Inside double quotes a backslash has a special meaning."),
        unsaid("Use single quotes around the text, or write the backslash twice."),
    ),
    "another document": (
        unsaid("A second record begins here."),
        unsaid("Remove the line '---': one file holds one record."),
    ),
    "node content": (
        unsaid("An entry or a closing bracket is missing here."),
        unsaid("Close each '[' with ']' and each '{' with '}'."),
    ),
    "'-' indicator": _NOT_IN_LIST,
}


def _advice(problem: str, here: Place) -> _Advice:
    before, sign = here.excerpt[: here.col - 1], here.excerpt[here.col - 1 : here.col]
    if sign == "\t" or "tab character" in problem or "\\t" in problem:
        return worded("This line is indented with a tab."), worded(
            "Replace the tab by spaces: records are indented with spaces only."
        )
    if "cannot start" in problem:
        return worded("A text cannot begin with '{sign}'.", sign=sign), worded("Put the whole text in 'quotes'.")
    if "mapping values" in problem:
        return _second_colon(before)
    if "expected key" in problem or "block end" in problem:
        return _stray(before, sign, problem)
    known = next((advice for word, advice in _BY_WORD.items() if word in problem), None)
    return (worded(known[0]), worded(known[1])) if known else _unknown(problem)


def _second_colon(before: str) -> _Advice:
    if ": " in before:
        return worded("A second colon on one line cannot be understood."), worded(
            "Put the text after the first colon in 'quotes'."
        )
    return worded(_TOO_DEEP[0]), worded(_TOO_DEEP[1])


def _stray(before: str, sign: str, problem: str) -> _Advice:
    if before.strip():
        what = worded("Something follows where the quoted text has ended.")
        return what, worded(
            "Write an apostrophe inside single quotes twice ('it''s'), or use double quotes around the text."
        )
    if sign == "-":
        what = worded("This list entry stands where a 'key: value' line is expected.")
        return what, worded("Indent it below the key of its list.")
    if "'?'" in problem:
        return worded(_NOT_IN_LIST[0]), worded(_NOT_IN_LIST[1])
    what = worded("The indentation of this line fits none of the lines above it.")
    return what, worded("Begin it in the same column as the other keys of its block.")


def _unknown(problem: str) -> _Advice:
    do = worded("Check the indentation, the colon after each key, and quotes around text that holds ': ' or ' #'.")
    return worded("This is not valid YAML: {problem}.", problem=problem), do
