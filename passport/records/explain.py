"""A type's complaint about a record, turned into faults for a person."""

import difflib
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from passport.records import yamltext
from passport.records.faults import Fault


def faults_of(
    error: ValidationError, kind: type[BaseModel], source: yamltext.Source, prefix: yamltext.Path
) -> list[Fault]:
    """One fault for each complaint, at its place in the file."""
    return [_fault(detail, kind, source, prefix) for detail in error.errors(include_url=False)]


def closest(word: str, known: list[str]) -> str:
    """``Did you mean 'x'?`` for the nearest known word, or an empty text."""
    near = difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return f"Did you mean '{near[0]}'?" if near else ""


def _fault(detail: Mapping[str, Any], kind: type[BaseModel], source: yamltext.Source, prefix: yamltext.Path) -> Fault:
    path = (*prefix, *_real_path(detail["loc"], prefix, source))
    ctx = detail.get("ctx") or {}
    name = str(path[-1]) if path else ""
    match detail["type"]:
        case "extra_forbidden":
            known = sorted(_fields_at(kind, detail["loc"][:-1]))
            do = closest(name, known) or f"Use one of: {', '.join(known)}."
            return Fault(source.at(path, key=True), "unknown-key", f"The key '{name}' is not known here.", do)
        case "missing":
            missing = str(detail["loc"][-1])
            what = f"The key '{missing}' is missing."
            return Fault(
                source.at(path[:-1] or prefix, key=True), "missing-key", what, f"Add a line '{missing}: …' here."
            )
        case "literal_error":
            return _choice_fault(str(detail["input"]), str(ctx["expected"]), path, source)
        case "quantity" | "place" | "value":
            return Fault(source.at(path), ctx["rule"], ctx["what"], ctx["do"])
        case _:
            return _plain_fault(detail, path, source)


def _choice_fault(given: str, expected: str, path: yamltext.Path, source: yamltext.Source) -> Fault:
    known = expected.replace("'", "").replace(" or ", ", ").split(", ")
    do = " ".join(filter(None, [closest(given, known), f"Use one of: {', '.join(known)}."]))
    return Fault(source.at(path), "unknown-word", f"'{given[:60]}' is not a word that is known here.", do)


_PLAIN = {
    "int_parsing": ("'{input}' is not a whole number.", "Write digits only."),
    "float_parsing": ("'{input}' is not a number.", "Write digits, with a point for decimals."),
    "bool_parsing": ("'{input}' is neither yes nor no.", "Write yes or no."),
    "greater_than_equal": ("{input} is too small here.", "Use at least {ge}."),
    "less_than_equal": ("{input} is too large here.", "Use at most {le}."),
    "greater_than": ("{input} is too small here.", "Use more than {gt}."),
    "string_type": ("A single text is needed here.", "Write it after the colon, in quotes if it holds ': '."),
    "tuple_type": ("A list is needed here.", "Begin each entry with '- ' on a line of its own."),
    "model_type": ("A block of 'key: value' lines is needed here.", "Indent its keys below this one."),
}


def _plain_fault(detail: Mapping[str, Any], path: yamltext.Path, source: yamltext.Source) -> Fault:
    values = {"input": str(detail["input"])[:60], **(detail.get("ctx") or {})}
    if detail["input"] is None:
        what, do = "This key has no value.", "Write its value after the colon, or remove the line."
        return Fault(source.at(path, key=True), "no-value", what, do)
    what, do = _PLAIN.get(detail["type"], (str(detail["msg"]) + ".", "Compare it with the examples in the README."))
    return Fault(source.at(path), "bad-value", what.format(**values), do.format(**values))


def _real_path(loc: tuple[str | int, ...], prefix: yamltext.Path, source: yamltext.Source) -> yamltext.Path:
    """The part of an error's location that stands in the file: names of union branches do not."""
    path: yamltext.Path = ()
    for i, step in enumerate(loc):
        if (*prefix, *path, step) in source.values or i == len(loc) - 1:
            path = (*path, step)
        elif step == 0 and (*prefix, *path) in source.values:
            continue  # one value written where a list is meant
    return path


def _fields_at(kind: type[BaseModel], loc: tuple[str | int, ...]) -> Iterator[str]:
    """The field names of the record type that ``loc`` leads to."""
    model = kind
    for step in loc:
        info = model.model_fields.get(str(step))
        if info is not None:
            model = next(_models_in(info.annotation), model)
    return iter(model.model_fields)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for argument in get_args(annotation):
        yield from _models_in(argument)
