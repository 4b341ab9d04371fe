"""What a record may say, field by field, by the same descriptions as the JSON Schema of the record files."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal

from passport.records.jsonschemas import schemas

ShapeKind = Literal["text", "choice", "yes or no", "record", "texts", "records"]
_PRIVATE: Final = "Private:"
_YES: Final = "boolean"


@dataclass(frozen=True, slots=True)
class FieldShape:
    """One field: its key, whether it holds a text, one of some words, a record of its own, or several of either.

    ``example`` is how a value is written; ``brief`` the one text that may stand for a whole record. ``private`` fields are
    never on a page or a card.
    """

    name: str
    kind: ShapeKind
    choices: tuple[str, ...] = ()
    example: str = ""
    brief: str = ""
    private: bool = False
    required: bool = False
    inner: tuple["FieldShape", ...] = ()

    def field(self, name: str) -> "FieldShape | None":
        """A field of its record."""
        return next((one for one in self.inner if one.name == name), None)


@cache
def shape_of(kind: str) -> FieldShape:
    """A record of a kind: ``workshop``, ``player``, ``frame``, ``blank``, or an entry of ``strings``, ``frames``, ``parts``
    or ``stock``."""
    whole = _schemas()[kind]
    table, defs = whole, whole.get("$defs", {})
    if "additionalProperties" in whole and "$ref" in (whole["additionalProperties"] or {}):
        table = defs[whole["additionalProperties"]["$ref"].rpartition("/")[2]]
    return FieldShape(kind, "record", inner=_fields(table, defs))


@cache
def _schemas() -> Mapping[str, Any]:
    return schemas()


def _fields(table: Mapping[str, Any], defs: Mapping[str, Any]) -> tuple[FieldShape, ...]:
    required = table.get("required", ())
    return tuple(_field(name, one, name in required, defs) for name, one in table["properties"].items())


def _field(name: str, told: Mapping[str, Any], required: bool, defs: Mapping[str, Any]) -> FieldShape:
    private = str(told.get("description", "")).startswith(_PRIVATE)
    ways = [way for way in _ways(told, defs) if "const" not in way or len(told.get("anyOf", ())) == 0]
    lists = [way for way in ways if way.get("type") == "array"]
    if lists:
        items = _ways(lists[0]["items"], defs)
        holder = next((way for way in items if "properties" in way), None)
        if holder is None:
            choices = next((tuple(way["enum"]) for way in items if "enum" in way), ())
            return FieldShape(name, "texts", choices, _example(items), private=private, required=required)
        return FieldShape(name, "records", private=private, required=required, inner=_fields(holder, defs))
    holder = next((way for way in ways if "properties" in way), None)
    if holder is not None:
        brief = _example([way for way in ways if way is not holder])
        return FieldShape(name, "record", brief=brief, private=private, required=required, inner=_fields(holder, defs))
    choices = next((tuple(map(str, way["enum"])) for way in ways if "enum" in way), ())
    choices = choices or tuple(str(way["const"]) for way in ways if "const" in way)
    if choices:
        return FieldShape(name, "choice", choices, private=private, required=required)
    if any(_YES in (way.get("type") or ()) for way in ways):
        return FieldShape(name, "yes or no", ("yes", "no"), private=private, required=required)
    return FieldShape(name, "text", example=_example(ways), private=private, required=required)


def _ways(told: Mapping[str, Any], defs: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The forms that a value may have, references followed; that nobody knows it is none."""
    if "$ref" in told:
        return _ways(defs[told["$ref"].rpartition("/")[2]], defs)
    if "anyOf" in told:
        return [way for one in told["anyOf"] if one.get("const") != "unknown" for way in _ways(one, defs)]
    return [told]


def _example(ways: list[Mapping[str, Any]]) -> str:
    return next((str(way["examples"][0]) for way in ways if way.get("examples")), "")
