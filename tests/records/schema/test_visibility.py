"""Public and private: one mark on each field, and nothing private left after redaction, at any depth."""

from collections.abc import Iterator
from datetime import date
from typing import Any, get_args, get_origin

import pytest
from pydantic import BaseModel

from passport.records.schema.base import Record
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame, Job, Reading
from passport.records.schema.player import Player, PlayerContact
from passport.records.schema.visibility import Audience, Public, marks, redacted
from passport.records.schema.workshop import Workshop
from passport.records.stockroom.lot import StockLot
from passport.records.yaml.validation_messages import models_in

CANARY = "canary-7f3a"
WHOLE = (Workshop, Player, Frame, Blank, StringType, FrameModel, Part, StockLot)


def _types(kind: type[BaseModel] = Record) -> Iterator[type[BaseModel]]:
    for sub in kind.__subclasses__():
        if sub.__module__.startswith("passport."):
            yield sub
        yield from _types(sub)


TYPES = sorted(set(_types()), key=lambda kind: kind.__name__)


def _filled(kind: type[BaseModel]) -> BaseModel:
    """A record with the canary in each private field and two records wherever there may be some; made unchecked."""
    values: dict[str, Any] = {}
    for name, info in kind.model_fields.items():
        inner = next(models_in(info.annotation), None)
        if inner is not None:
            one = _filled(inner)
            values[name] = (one, one) if _is_tuple(info.annotation) else one
        elif Audience.PRIVATE in marks(kind, name):
            values[name] = CANARY
        else:
            values[name] = "public"
    return kind.model_construct(**values)


def _is_tuple(annotation: Any) -> bool:
    return get_origin(annotation) is tuple or any(_is_tuple(part) for part in get_args(annotation))


def test_the_record_types_are_all_found() -> None:
    """The tests below see every record type, the innermost included."""
    assert len(TYPES) >= 20
    assert {Workshop, Player, PlayerContact, Frame, Reading, Part} <= set(TYPES)


@pytest.mark.parametrize("kind", TYPES, ids=lambda kind: kind.__name__)
def test_every_field_has_exactly_one_mark(kind: type[BaseModel]) -> None:
    """Each field of each record type says once whether it is public or private."""
    assert {name: len(marks(kind, name)) for name in kind.model_fields} == dict.fromkeys(kind.model_fields, 1)


@pytest.mark.parametrize("kind", TYPES, ids=lambda kind: kind.__name__)
def test_every_private_field_has_an_empty_default(kind: type[BaseModel]) -> None:
    """What is private can be put back to nothing: no text, no record with a text in it, no entries."""
    for name, info in kind.model_fields.items():
        if Audience.PRIVATE in marks(kind, name):
            assert not info.is_required(), name
            default = info.get_default(call_default_factory=True)
            empty = not any(default.model_dump().values()) if isinstance(default, BaseModel) else not default
            assert empty, name


@pytest.mark.parametrize("kind", TYPES, ids=lambda kind: kind.__name__)
def test_no_canary_survives_redaction(kind: type[BaseModel]) -> None:
    """With a canary in every private field, at all depths, the redacted record holds none, and all that is public."""
    filled = _filled(kind)
    cut = redacted(filled)
    assert CANARY not in repr(cut)
    assert repr(cut).count("'public'") == repr(filled).count("'public'") - _under_private(filled)


def _under_private(record: BaseModel) -> int:
    """How many public values stand inside private records, and so go with them."""
    kind = type(record)
    return sum(
        repr(getattr(record, name)).count("'public'")
        if Audience.PRIVATE in marks(kind, name)
        else sum(map(_under_private, _records_in(getattr(record, name))))
        for name in kind.model_fields
    )


def _records_in(value: Any) -> list[BaseModel]:
    return [v for v in (value if isinstance(value, tuple) else (value,)) if isinstance(v, BaseModel)]


@pytest.mark.parametrize("kind", WHOLE, ids=lambda kind: kind.__name__)
def test_each_kind_of_file_has_something_private(kind: type[BaseModel]) -> None:
    """The canary is really in each whole record before it is cut."""
    assert CANARY in repr(_filled(kind))


def test_what_is_private_by_name() -> None:
    """Contact data, prices, private notes, instrument serials, full names and the place of the stock are private."""
    private = {
        (kind.__name__, name) for kind in TYPES for name in kind.model_fields if Audience.PRIVATE in marks(kind, name)
    }
    assert {
        ("Player", "contact"),
        ("Player", "full_name"),
        ("Player", "private_note"),
        ("PlayerContact", "email"),
        ("PlayerContact", "phone"),
        ("PlayerContact", "address"),
        ("Frame", "private_note"),
        ("Job", "felt"),
        ("Job", "private_note"),
        ("Job", "price"),
        ("StringType", "price"),
        ("Part", "price"),
        ("Part", "stock"),
        ("Blank", "price"),
        ("Blank", "location"),
        ("Instrument", "serial"),
        ("Workshop", "private_note"),
    } <= private


def test_redaction_leaves_the_record_itself_alone() -> None:
    """Records are immutable: the bench keeps what the public copy loses."""
    job = Job(date=date(2026, 3, 2), price="30", note="Restrung")
    frame = Frame(model="larch-98", label="Main", jobs=(job,), private_note="owes two")
    cut = redacted(frame)
    assert (frame.private_note, frame.jobs[0].price) == ("owes two", "30")
    assert (cut.private_note, cut.jobs[0].price, cut.jobs[0].note) == ("", "", "Restrung")


def test_records_inside_mappings_are_redacted_too() -> None:
    """A table of records is no way around."""

    class Shelf(Record):
        """A table of parts."""

        parts: Public[dict[str, Part]]

    part = Part(kind="tape", name="Tape", price=CANARY)
    assert CANARY not in repr(redacted(Shelf(parts={"tape": part})))
