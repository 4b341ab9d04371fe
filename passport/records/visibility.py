"""Public and private: each field of each record type says which it is, once, in the type.

``Public[str]`` may reach a page, ``Private[str]`` never does: `redacted` puts every private field back to its empty
default before anything is turned into facts. A private field must therefore have a default, which a test asserts.
"""

from enum import Enum
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel

T = TypeVar("T")
M = TypeVar("M", bound=BaseModel)


class Shown(Enum):
    """Who may see a field."""

    PUBLIC = "public"
    PRIVATE = "private"


Public = Annotated[T, Shown.PUBLIC]
Private = Annotated[T, Shown.PRIVATE]


def marks(model: type[BaseModel], name: str) -> list[Shown]:
    """The visibility marks on a field of a record type; sound types have exactly one on each field."""
    return [m for m in model.model_fields[name].metadata if isinstance(m, Shown)]


def redacted(record: M) -> M:
    """The record with every private field, at any depth, put back to its empty default."""
    update: dict[str, Any] = {}
    for name, info in type(record).model_fields.items():
        if Shown.PRIVATE in marks(type(record), name):
            update[name] = info.get_default(call_default_factory=True)
        else:
            update[name] = _redacted_value(getattr(record, name))
    return record.model_copy(update=update)


def _redacted_value(value: Any) -> Any:
    if isinstance(value, BaseModel):
        return redacted(value)
    if isinstance(value, tuple):
        return tuple(_redacted_value(v) for v in value)
    if isinstance(value, dict):
        return {k: _redacted_value(v) for k, v in value.items()}
    return value
