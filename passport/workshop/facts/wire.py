"""Facts as bytes and back: what is compared, kept between builds, and handed to another process or computer.

The bytes are JSON. The same facts always give the same bytes, and facts that were read back give them again, so that
comparing bytes compares facts.
"""

from functools import cache
from typing import Any, TypeVar

from pydantic import ConfigDict, TypeAdapter, with_config

T = TypeVar("T")


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    with_config(ConfigDict(ser_json_inf_nan="constants"))(kind)
    return TypeAdapter(kind)


def packed(facts: Any) -> bytes:
    """Facts of any type of `passport.workshop.facts.facts` as bytes."""
    kind: Any = type(facts)
    return bytes(_adapter(kind).dump_json(facts))


def unpacked(kind: type[T], data: bytes) -> T:
    """The facts that `packed` made bytes of. Raises ValueError for anything else."""
    known: Any = kind
    facts: T = _adapter(known).validate_json(data)
    return facts
