"""A type's complaint about a record, turned into faults for a person."""

import difflib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from passport.records.faults import Fault, Place
from passport.records.language.worded import unsaid, worded
from passport.records.schema.quantities import TextValue
from passport.records.yaml import yamltext

_Loc = tuple[str | int, ...]
MOST = 100
"""The most faults of one record that are explained one by one; a record with more is another kind of file."""


def faults_of(
    error: ValidationError, kind: type[BaseModel], source: yamltext.Source, prefix: yamltext.Path
) -> list[Fault]:
    """One fault for each cause, at its place in the file.

    A key that is missing because it stands there misspelt is one fault, not two; a key without a value is left to
    `empties`, which finds those too that no type complains about.
    """
    details: list[Any] = list(error.errors(include_url=False))
    more = len(details) - MOST
    details = details[:MOST]
    misspelt = set(_misspelt(details, kind))
    found = [
        _fault(detail, kind, source, prefix)
        for detail in details
        if detail["loc"] not in misspelt and (detail["input"] is not None or detail["type"] == "extra_forbidden")
    ]
    if more > 0 and found:
        rest = worded("is one more fault") if more == 1 else worded("are {more:,} more faults", more=more)
        found[-1] = replace(
            found[-1], what=worded("{what} There {rest} in this record.", what=found[-1].what, rest=rest)
        )
    split = [fault for fault in found if fault.rule == "decimal-comma"]
    return [fault for fault in found if fault in split or not any(s.place.covers(fault.place) for s in split)]


def empties(data: yamltext.Tree, source: yamltext.Source, prefix: yamltext.Path) -> Iterator[Fault]:
    """A fault for each key and list entry in ``data``, which stands at ``prefix``, that has no value."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from empties(value, source, (*prefix, key))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            yield from empties(value, source, (*prefix, i))
    elif data is None:
        yield _empty(source, prefix)


def nothing_in(kind: type[BaseModel], source: yamltext.Source) -> Fault | None:
    """The fault of a file without a key, whose record cannot do without some; None where it can."""
    needed = sorted(name for name, info in kind.model_fields.items() if info.is_required())
    if not needed:
        return None
    what = (
        worded("There is no key in this file.") if any(map(str.strip, source.lines)) else worded("This file is empty.")
    )
    lines = " and ".join(f"'{name}: …'" for name in needed)
    return Fault(
        Place(source.file),
        "missing-key",
        what,
        worded("Write at least {lines} into it, each on a line of its own.", lines=lines),
    )


def closest(word: str, known: Iterable[str]) -> str:
    """``Did you mean 'x'?`` for the nearest known word, or an empty text."""
    near = _nearest(word, known)
    return worded("Did you mean '{near}'?", near=near) if near else ""


def _nearest(word: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return near[0] if near else ""


def _empty(source: yamltext.Source, path: yamltext.Path) -> Fault:
    place = source.at(path, key=True)
    if path and isinstance(path[-1], int):
        return Fault(
            place,
            "no-value",
            worded("This list entry is empty."),
            worded("Write it after the '-', or remove the line."),
        )
    rest = place.excerpt[place.col - 1 + place.width :].lstrip(" :")
    if rest.startswith("#"):
        do = worded("Put the value in quotes, '{split}': an unquoted # begins a comment.", split=rest.split()[0])
    else:
        do = worded("Write its value after the colon, or remove the line.")
    return Fault(place, "no-value", worded("The key '{path}' has no value.", path=path[-1] if path else ""), do)


def _misspelt(details: Iterable[Any], kind: type[BaseModel]) -> Iterator[_Loc]:
    """Where keys are missing that an unknown key beside them was most likely meant to be."""
    for detail in details:
        if detail["type"] == "extra_forbidden":
            meant = _nearest(str(detail["loc"][-1]), sorted(_model_at(kind, detail["loc"][:-1]).model_fields))
            if meant:
                yield (*detail["loc"][:-1], meant)


def _fault(detail: Mapping[str, Any], kind: type[BaseModel], source: yamltext.Source, prefix: yamltext.Path) -> Fault:
    path = (*prefix, *detail["loc"])
    ctx = detail.get("ctx") or {}
    match detail["type"]:
        case "extra_forbidden" if detail["input"] is None and (split := _decimal_comma(source.at(path, key=True))):
            return split
        case "extra_forbidden":
            do = _where_known(str(path[-1]), kind, detail["loc"][:-1])
            what = worded("The key '{path}' is not known here.", path=str(path[-1])[:60])
            return Fault(source.at(path, key=True), "unknown-key", what, do)
        case "missing":
            return _missing(str(path[-1]), _model_at(kind, detail["loc"][:-1]), path[:-1], source)
        case "literal_error" if isinstance(detail["input"], str):
            return _choice_fault(detail["input"], str(ctx["expected"]), path, source)
        case "quantity" | "place" | "value":
            return Fault(source.at(path), ctx["rule"], ctx["what"], ctx["do"])
        case _:
            return _plain_fault(detail, path, source, _model_at(kind, detail["loc"]))


def _decimal_comma(key: Place) -> Fault | None:
    """``{mass: 2,5 g}``: between braces the comma ends the value, and what follows is taken for a key."""
    before, end = key.excerpt[: key.col - 1], key.col - 1 + key.width
    number = re.search(r"[0-9]+, ?$", before)
    if not number or not key.excerpt[key.col - 1 : end][:1].isdigit():
        return None
    written = key.excerpt[number.start() : end]
    place = replace(key, col=number.start() + 1, width=len(written))
    what = worded("Between braces a comma ends a value, so '{written}' falls in two.", written=written)
    point = re.sub(", ?", ".", written)
    return Fault(
        place, "decimal-comma", what, worded("Write it with a point, '{point}', or put it in quotes.", point=point)
    )


def _missing(name: str, model: type[BaseModel], path: yamltext.Path, source: yamltext.Source) -> Fault:
    place = source.at(path, key=True, narrow=True)
    parent = next((step for step in reversed(path) if isinstance(step, str)), "")
    under = worded(" under '{parent}'", parent=parent) if parent else ""
    return Fault(
        place,
        "missing-key",
        worded("The key '{name}' is missing{under}.", name=name, under=under),
        _how_to_add(name, model.model_fields[name]),
    )


def _how_to_add(name: str, info: FieldInfo) -> str:
    block = next(models_in(info.annotation), None)
    if block is not None:
        below = [key for key, field in block.model_fields.items() if field.is_required()]
        return worded("Add a line '{name}:' here, and indented below it: {below}.", name=name, below=", ".join(below))
    example = _example(info)
    return (
        worded("Add a line here, as in '{name}: {example}'.", name=name, example=example)
        if example
        else worded("Add a line '{name}: …' here.", name=name)
    )


def _where_known(name: str, kind: type[BaseModel], loc: _Loc) -> str:
    """What was probably meant: a key spelt nearly so, or one that belongs elsewhere in the record; else what there is."""
    known = sorted(_model_at(kind, loc).model_fields)
    homes = list(dict.fromkeys(f"'{home}'" for home in _homes(name, kind) if home))
    if homes and not difflib.get_close_matches(name, known, n=1, cutoff=0.8):
        return worded("It belongs under {homes}.", homes=" or ".join(homes[:3]))
    return closest(name, known) or worded("Use one of: {known}.", known=", ".join(known))


def _homes(name: str, kind: type[BaseModel], parent: str = "", seen: tuple[type, ...] = ()) -> Iterator[str]:
    """The keys of a record under which a key of this name is known."""
    if parent and name in kind.model_fields:
        yield parent
    for field, info in kind.model_fields.items():
        for model in models_in(info.annotation):
            if model not in seen:
                yield from _homes(name, model, field, (*seen, kind))


def _example(info: FieldInfo) -> str:
    """A value as it could stand after a key, or nothing for free text."""
    for found in _parts_of(info.annotation, *info.metadata):
        if isinstance(found, TextValue):
            return found.example
        if get_origin(found) is Literal:
            return str(get_args(found)[0])
        if found is int:
            return "16"
    return str((info.examples or [""])[0])


def _parts_of(*annotations: Any) -> Iterator[Any]:
    for annotation in annotations:
        yield annotation
        if get_origin(annotation) is not Literal:
            yield from _parts_of(*get_args(annotation))


def _choice_fault(given: str, expected: str, path: yamltext.Path, source: yamltext.Source) -> Fault:
    known = expected.replace("'", "").replace(" or ", ", ").split(", ")
    do = " ".join(filter(None, [closest(given, known), worded("Use one of: {known}.", known=", ".join(known))]))
    return Fault(
        source.at(path), "unknown-word", worded("'{given}' is not a word that is known here.", given=given[:60]), do
    )


_PLAIN = {
    "int_parsing": (unsaid("'{input}' is not a whole number."), unsaid("Write digits only.")),
    "int_parsing_size": (unsaid("'{input}' is too large here."), unsaid("Check the number.")),
    "float_parsing": (unsaid("'{input}' is not a number."), unsaid("Write digits, with a point for decimals.")),
    "finite_number": (unsaid("'{input}' is not a number."), unsaid("Write digits, with a point for decimals.")),
    "bool_parsing": (unsaid("'{input}' is neither yes nor no."), unsaid("Write yes or no.")),
    "greater_than_equal": (unsaid("{input} is too small here."), unsaid("Use at least {ge}.")),
    "less_than_equal": (unsaid("{input} is too large here."), unsaid("Use at most {le}.")),
    "greater_than": (unsaid("{input} is too small here."), unsaid("Use more than {gt}.")),
    "tuple_type": (unsaid("A list is needed here."), unsaid("Begin each entry with '- ' on a line of its own.")),
}
_ONE_VALUE = (
    unsaid("One value is needed here, not a list or a block."),
    unsaid("Write it after the colon, on the same line."),
)


def _plain_fault(
    detail: Mapping[str, Any], path: yamltext.Path, source: yamltext.Source, model: type[BaseModel]
) -> Fault:
    given = detail["input"]
    if detail["type"] == "model_type":
        do = worded("Indent its keys below this one: {model_fields}.", model_fields=", ".join(model.model_fields))
        return Fault(source.at(path), "bad-value", worded("A block of 'key: value' lines is needed here."), do)
    if isinstance(given, list | dict) and detail["type"] != "tuple_type":
        return Fault(source.at(path), "bad-value", worded(_ONE_VALUE[0]), worded(_ONE_VALUE[1]))
    values = {"input": str(given)[:60], **(detail.get("ctx") or {})}
    if detail["type"] not in _PLAIN:
        return Fault(
            source.at(path), "bad-value", f"{detail['msg']}.", worded("Compare it with the examples in the README.")
        )
    what, do = _PLAIN[detail["type"]]
    return Fault(source.at(path), "bad-value", worded(what, **values), worded(do, **values))


def _model_at(kind: type[BaseModel], loc: _Loc) -> type[BaseModel]:
    """The record type that ``loc`` leads to."""
    model = kind
    for step in loc:
        info = model.model_fields.get(str(step))
        if info is not None:
            model = next(models_in(info.annotation), model)
    return model


def models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    """The record types that a field's annotation names."""
    return (part for part in _parts_of(annotation) if isinstance(part, type) and issubclass(part, BaseModel))
