"""Whole records made up by their types: each field has a value that it may have, now and then one that it may not."""

import datetime
import types
import typing
from collections.abc import Mapping
from functools import cache
from typing import Any, Literal, get_args, get_origin

import smallshop
import yaml
from hypothesis import strategies as st
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from passport.records.schema import quantities
from passport.records.schema.as_printed import PrintedMass, WidthAt
from passport.records.schema.balance import BalanceValue
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame
from passport.records.schema.numbers import with_check
from passport.records.schema.places import NAMED, FittedPlace
from passport.records.schema.player import Player
from passport.records.schema.stringpattern import PathText, ZonedPulls
from passport.records.schema.workshop import Workshop
from passport.records.stockroom.amount import StockAmount
from passport.records.stockroom.lot import StockLot

ODD = (
    "", " ", "~", "0", "-1", "1e999", "nan", "inf", "½", "０", "9" * 40, "0/0 in", "1/3 in", "= 1", "a\u202eb", "\x1b[31m",
    "<b>", "{{ 1 }}", "{what}", "%s", "\ud7ff", "é" * 70, "2026-02-30", "0001-01-01", "9999-12-31", "../x", "null", "# no",
)  # fmt: skip
NAMES: Mapping[str, tuple[str, ...]] = {
    "string": ("reed-125", "flint-120"),
    "part": ("lead-tape", "thin-overgrip", "silicone"),
    "model": ("larch-98",),
    "language": ("en", "de", "fr", "es", "xx"),
    "set": ("pair", "other"),
    "key": ("Q" * 26, "R" * 26),
    "secret": ("7" * 32,),
    "number": (with_check(3001), with_check(3002)),
    "replaced_by": (smallshop.NUMBERS["twin"], with_check(3002)),
    "rebuilds": (smallshop.NUMBERS["only"],),
    "photo": ("none.jpg",),
    "accent": ("#0d5566", "#eeeeee"),
    "second": ("#7b2259",),
    "colour": ("#123456", "red"),
    "lot": ("reel", "grips"),
    "of": ("reed-125", "flint-120", "lead-tape", "thin-overgrip"),
    "address": ("https://cards.bench-nine.example/p", "http://a.example"),
}
"""What a field of this name may hold, beside its type: names that the small workshop's catalogue knows."""
SELDOM = 40
"""One value in so many is odd."""
_LIKE: Mapping[Any, tuple[str, ...]] = {
    BalanceValue: (
        "310 mm",
        "32.1 cm",
        "4 pt HL",
        "6 pts HH",
        "even",
        "0.1 mm",
        "12 in ± 1/16 in",
        "1000 mm",
        "60 pt HL",
    ),
    quantities.Band: ("330 g ± 1 g", "318 kgcm2 ± 1.5 kgcm2", "0.1 g", "999 g", "11.5 oz", "700 kgcm2 ± 700 kgcm2"),
    ZonedPulls: ("mains last 2 at 49 lb", "crosses 1-6 24 lb to 26 lb"),
    StockAmount: ("200 m", "12 pieces", "0.5 sets", "300 g", "0 m", "40 ft"),
    PrintedMass: ("300 g", "4U", "11.1 oz"),
    WidthAt: ("62 mm at 40 mm", "200 mm at 250 mm", "0 mm at 0 mm", "2 in at 1 in"),
    PathText: (
        "one piece",
        "two pieces, mains from the throat, crosses from the head",
        "around the world, short side left",
        "crosses from the throat",
        "my variant, short side right",
    ),
    FittedPlace: (*NAMED, "12", "6", "3 and 9", "9 only", "10:30 and 1:30", "20 mm to 60 mm", "0.1 mm", "999 mm"),
}
"""What is written for values that are no plain quantity."""


def text_for(kind: type[BaseModel], *, odd: bool) -> st.SearchStrategy[str]:
    """The YAML of a record of some type, with ``odd`` values among the others or without."""
    return _record(kind, odd).map(written)


def written(tree: object) -> str:
    """A tree as YAML in which each scalar is text."""
    return yaml.safe_dump(tree, allow_unicode=True, sort_keys=False, width=1000)


@cache
def _record(kind: type[BaseModel], odd: bool) -> st.SearchStrategy[dict[str, Any]]:
    fields = {name: _field(name, info, odd) for name, info in kind.model_fields.items()}
    must = {name: field for name, field in fields.items() if kind.model_fields[name].is_required()}
    return st.fixed_dictionaries(must, optional={name: field for name, field in fields.items() if name not in must})


def _field(name: str, info: FieldInfo, odd: bool) -> st.SearchStrategy[Any]:
    named = name in NAMES and (name != "of" or info.annotation is str)
    usual = st.sampled_from(NAMES[name]) if named else _value(info.annotation, info.metadata, odd)
    return st.integers(1, SELDOM).flatmap(lambda n: st.sampled_from(ODD) if n == SELDOM else usual) if odd else usual


def _value(annotation: Any, metadata: list[Any], odd: bool) -> st.SearchStrategy[Any]:
    """What a field of this type may hold, as text."""
    origin, inside = get_origin(annotation), get_args(annotation)
    if origin is typing.Annotated:
        return _value(inside[0], [*inside[1:], *metadata], odd)
    if origin in (typing.Union, types.UnionType):
        (one,) = (part for part in inside if part is not type(None))
        return _value(one, metadata, odd)
    if origin is Literal:
        return st.sampled_from([str(word) for word in inside])
    if origin is tuple:
        return st.lists(_value(inside[0], [], odd), max_size=3)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return st.deferred(lambda: _record(annotation, odd))
    return _scalar(annotation, [part for one in metadata for part in (getattr(one, "metadata", None) or [one])])


def _scalar(annotation: Any, metadata: list[Any]) -> st.SearchStrategy[str]:
    example = next((m.example for m in metadata if isinstance(m, quantities.TextValue)), "")
    low = next((getattr(m, name) for m in metadata for name in ("ge", "gt") if hasattr(m, name)), 0)
    high = next((m.le for m in metadata if hasattr(m, "le")), 30)
    if example:
        return _quantity(example) if annotation is quantities.Quantity else st.sampled_from(_LIKE[annotation])
    by_type: Mapping[Any, st.SearchStrategy[str]] = {
        bool: st.sampled_from(("yes", "no")),
        int: st.integers(low, high).map(str),
        float: st.floats(low + 0.001, high).map(lambda x: f"{x:.3f}"),
        datetime.date: st.dates(datetime.date(2025, 1, 1), datetime.date(2026, 11, 25)).map(str),
        str: st.text(st.characters(exclude_categories=("C", "Zl", "Zp")), max_size=30),
    }
    return by_type[annotation]


def _quantity(example: str) -> st.SearchStrategy[str]:
    """Amounts about the example's, in its unit, and the ends of what is possible."""
    amount, _, unit = example.rpartition(" ")
    near = st.floats(0.01, 3).map(lambda x: f"{max(0.001, float(amount or 1) * x):.3f} {unit}")
    return st.just(example) | near | st.sampled_from(("0", "0.001", "999", "3000", "1/16")).map(lambda n: f"{n} {unit}")


def _files(*, odd: bool) -> dict[str, st.SearchStrategy[str]]:
    """Made-up texts for the files of the small workshop."""
    tables = {"strings": ("string", StringType), "frames": ("model", FrameModel), "parts": ("part", Part)}
    tables |= {"stock": ("lot", StockLot)}
    return {
        "players/ada/main.yaml": text_for(Frame, odd=odd),
        "players/ada/player.yaml": text_for(Player, odd=odd),
        "workshop.yaml": text_for(Workshop, odd=odd),
        "blanks/larch-a.yaml": text_for(Blank, odd=odd),
    } | {
        f"catalogue/{file}.yaml": st.fixed_dictionaries({name: _record(kind, odd) for name in NAMES[word]}).map(written)
        for file, (word, kind) in tables.items()
    }


def _folders(*, odd: bool) -> st.SearchStrategy[dict[str, str]]:
    files = _files(odd=odd)
    own = {name: text for name, text in files.items() if name.startswith("players/")}
    one = [text.map(lambda said, name=name: {name: said}) for name, text in files.items()]
    return st.one_of(*one, st.fixed_dictionaries(own), st.fixed_dictionaries(files))


FOLDERS: st.SearchStrategy[dict[str, str]] = _folders(odd=False) | _folders(odd=True)
"""One of the files made up, or a frame and its player, or all of them."""
