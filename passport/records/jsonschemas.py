"""JSON Schemas of the record files, generated from the record types, for editors that complete and check YAML.

An editor reads ``12`` as a number, ``no`` as a truth value and ``2026-03-04`` perhaps as a date, where these records
read text; a schema allows every such form, so it never refuses what ``passport check`` accepts.
"""

from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from passport.records.schema.base import SLUG, UNKNOWN, Record
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.player import Player
from passport.records.schema.visibility import Audience, marks
from passport.records.schema.workshop import Workshop
from passport.records.stockroom.lot import StockLot
from passport.records.yaml.validation_messages import models_in

FILES: dict[str, type[BaseModel]] = {"workshop": Workshop, "player": Player, "frame": Frame, "blank": Blank}
CATALOGUE: dict[str, type[BaseModel]] = {"strings": StringType, "frames": FrameModel, "parts": Part, "stock": StockLot}
DIALECT = "https://json-schema.org/draft/2020-12/schema"
ONE_VALUE: JsonSchemaValue = {"not": {"type": ["object", "array", "null"]}}
"""Text of any look: a list of types would leave out the dates that some editors make of it."""

YES_OR_NO = ("yes", "no", "true", "false", "on", "off", "y", "n", "t", "f")


def schemas() -> dict[str, dict[str, Any]]:
    """The schema of each kind of file: workshop, player, frame, blank; strings, frames, parts and stock of the catalogue."""
    made = {name: _of_record(kind) for name, kind in FILES.items()}
    return made | {name: _of_catalogue(kind) for name, kind in CATALOGUE.items()}


def _of_record(kind: type[BaseModel]) -> dict[str, Any]:
    schema = kind.model_json_schema(schema_generator=_AsWritten)
    for model in _reachable(kind):
        table = schema if model is kind else schema["$defs"][model.__name__]
        table["description"] = (model.__doc__ or "").partition("\n")[0]
        for name in model.model_fields:
            if issubclass(model, Record) and model.may_be_unknown(name):
                table["properties"][name] = {"anyOf": [table["properties"][name], {"const": UNKNOWN}]}
            if Audience.PRIVATE in marks(model, name):
                table["properties"][name]["description"] = "Private: never on a page or a card."
        if issubclass(model, Record) and model.in_short:
            short = {**ONE_VALUE, "examples": [model.in_short]}
            schema["$defs"][model.__name__] = {"description": table.pop("description"), "anyOf": [table, short]}
    return {"$schema": DIALECT, **schema}


def _of_catalogue(kind: type[BaseModel]) -> dict[str, Any]:
    """A file of named records."""
    one = _of_record(kind)
    kinds = one.pop("$defs", {})
    return {
        "$schema": one.pop("$schema"),
        "type": "object",
        "propertyNames": {"pattern": f"^{SLUG.pattern}$"},
        "additionalProperties": {"$ref": f"#/$defs/{kind.__name__}"},
        "$defs": {**kinds, kind.__name__: one},
    }


def _reachable(kind: type[BaseModel], seen: tuple[type[BaseModel], ...] = ()) -> tuple[type[BaseModel], ...]:
    """A record type and all those inside it."""
    if kind in seen:
        return seen
    seen = (*seen, kind)
    for info in kind.model_fields.values():
        for model in models_in(info.annotation):
            seen = _reachable(model, seen)
    return seen


class _AsWritten(GenerateJsonSchema):
    """Values as people write them, not as they are once read."""

    def str_schema(self, schema: core_schema.StringSchema) -> JsonSchemaValue:
        """Text, which may look like anything."""
        return dict(ONE_VALUE)

    def int_schema(self, schema: core_schema.IntSchema) -> JsonSchemaValue:
        """A whole number, with or without quotes."""
        return self._number("integer", r"^\s*[+-]?[0-9][0-9_]*(\.0*)?\s*$", super().int_schema(schema))

    def float_schema(self, schema: core_schema.FloatSchema) -> JsonSchemaValue:
        """A number, with or without quotes."""
        return self._number("number", r"^\s*[+-]?[0-9._]+([eE][+-]?[0-9]+)?\s*$", super().float_schema(schema))

    @staticmethod
    def _number(name: str, pattern: str, bounds: JsonSchemaValue) -> JsonSchemaValue:
        return {**bounds, "type": [name, "string"], "pattern": pattern}

    def bool_schema(self, schema: core_schema.BoolSchema) -> JsonSchemaValue:
        """Yes or no, in any of the usual words."""
        words = "|".join("".join(f"[{c}{c.upper()}]" for c in word) for word in YES_OR_NO)
        return {"type": ["boolean", "string", "integer"], "pattern": f"^({words}|0|1)$", "minimum": 0, "maximum": 1}

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        """What may be left out, but not left empty."""
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        """The value without the default that it has once read."""
        return self.generate_inner(schema["schema"])

    def date_schema(self, schema: core_schema.DateSchema) -> JsonSchemaValue:
        """A date, which some editors take for text and some do not."""
        return {"not": {"type": ["object", "array", "null", "boolean", "number"]}}
