"""Public and private: each field of each record type says which it is, once, in the type.

``Public[str]`` may reach a page, ``Private[str]`` never does: `redacted` puts every private field back to its empty
default before anything is turned into facts. A private field must therefore have a default, which a test asserts.
"""

from enum import Enum
from functools import cache
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel

T = TypeVar("T")
M = TypeVar("M", bound=BaseModel)


class Audience(Enum):
    """Who may see a field."""

    PUBLIC = "public"
    PRIVATE = "private"


Public = Annotated[T, Audience.PUBLIC]
Private = Annotated[T, Audience.PRIVATE]


def marks(model: type[BaseModel], name: str) -> list[Audience]:
    """The visibility marks on a field of a record type; sound types have exactly one on each field."""
    return [m for m in model.model_fields[name].metadata if isinstance(m, Audience)]


@cache
def _plan(model: type[BaseModel]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """The empty defaults of a record type's private fields, all immutable, and the names of its public ones."""
    fields = model.model_fields
    private = {name: fields[name] for name in fields if Audience.PRIVATE in marks(model, name)}
    empty = {name: info.get_default(call_default_factory=True) for name, info in private.items()}
    return empty, tuple(name for name in fields if name not in private)


def redacted(record: M) -> M:
    """The record with every private field, at any depth, put back to its empty default."""
    empty, public = _plan(type(record))
    held = record.__dict__
    update = dict(empty)
    for name in public:
        value = held[name]
        cut = _redacted_value(value)
        if cut is not value:
            update[name] = cut
    return record.model_copy(update=update) if update else record


def _redacted_value(value: Any) -> Any:
    if isinstance(value, BaseModel):
        return redacted(value)
    if isinstance(value, tuple):
        cut = tuple(map(_redacted_value, value))
        return cut if any(new is not old for new, old in zip(cut, value, strict=True)) else value
    if isinstance(value, dict):
        return {k: _redacted_value(v) for k, v in value.items()}
    return value
