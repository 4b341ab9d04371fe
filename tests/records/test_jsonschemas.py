"""JSON Schemas for editors: sound in themselves, and never stricter than the reader."""

import io
import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from places import DEMO
from places import TESTS as ROOT
from pydantic import BaseModel, ValidationError

from passport.records.jsonschemas import CATALOGUE, FILES, schemas
from passport.records.yaml import yamltext

BASE = ROOT / "faults" / "_base"
SCHEMAS = schemas()


def _kind_of(path: Path) -> str:
    """Which schema a file of a content folder belongs to."""
    if path.parent.name == "catalogue" or path.stem in ("workshop", "player"):
        return path.stem
    return "blank" if path.parent.name == "blanks" else "frame"


def _native(text: str) -> Any:
    """A record as an editor sees it: numbers, truth values and dates as such."""
    return yaml.safe_load(io.StringIO(text))


def _complaints(kind: str, text: str) -> list[str]:
    return [error.message for error in Draft202012Validator(SCHEMAS[kind]).iter_errors(_native(text))]


def _read(kind: str, text: str) -> bool:
    """Whether the reader takes a text as a record, or as a file of records."""
    data, _, faults = yamltext.read(text, "record.yaml")
    model: type[BaseModel] | None = FILES.get(kind)
    try:
        for value in [data] if model else data.values():
            (model or CATALOGUE[kind]).model_validate(value)
    except ValidationError:
        return False
    return not faults


FRAME = "model: larch-98\nlabel: Third\n"
STRUNG = FRAME + "jobs: [{date: 2026-03-04, strings: {mains: {string: reed-125, tension: 24 kg}}}]\n"
MODEL = "larch-98: {maker: Tarn, name: Larch, sport: tennis, length: 685 mm, head: {length: 330 mm, width: 248 mm}, rim: 11 mm, handle: {length: 200 mm, width: 31 mm}, pattern: {mains: 16, crosses: 19}}\n"  # fmt: skip

TAKEN = [
    ("frame", FRAME),
    ("frame", STRUNG),
    ("frame", "model: 98\nlabel: 3\n"),
    ("frame", "model: 98.5\nlabel: yes\n"),
    ("frame", "model: larch-98\nlabel: 2026-03-04\n"),
    ("frame", FRAME + "since: 2026-03-04\n"),
    ("frame", FRAME + "since: '2026-03-04'\n"),
    ("frame", FRAME + "build: {part: lead-tape, place: 12}\n"),
    ("frame", FRAME + "build: [{part: lead-tape, place: 10.5, mass: 2 g}]\n"),
    ("frame", FRAME + "build: [{part: 12, place: 3 and 9, mass: 2 g}]\n"),
    ("frame", FRAME + "setup: {mass: 330 g ± 2, balance: even, swingweight: 318 ± 1 kgcm2}\n"),
    ("frame", FRAME + "setup: {balance: 4 pt HH ± 0.5 pt}\n"),
    ("frame", FRAME + "jobs: [{date: 2026-03-04, readings: {mass: 330 g, without: overgrip}}]\n"),
    ("frame", FRAME + "jobs: [{date: 2026-03-04, readings: [{without: [overgrip, base grip]}]}]\n"),
    ("frame", STRUNG.replace("24 kg}}", "24 kg}, pieces: '2', knots: 4}")),
    ("frame", "number: 1001-5\nkey: 0A1B2C3D4E5F6G7H8J9K0M1N2P\n" + FRAME),
    ("frame", "key: '01234567890123456789012345'\n" + FRAME),
    ("frame", "key: 11234567890123456789012345\n" + FRAME),
    ("player", "name: Ada\nplays_a_week: 2.5\nshows: {history: no, photos: 'yes', serial: true}\n"),
    ("player", "name: Ada\nplays_a_week: '2'\nshows: {history: 'Off', photos: 0}\n"),
    ("player", "name: 007\ncontact: {phone: 01632960001}\n"),
    ("workshop", "name: A\naddress: https://a.example\nsince: 1998\n"),
    ("workshop", "name: A\naddress: https://a.example\nlook: {accent: '#0B5560'}\n"),
    ("workshop", "name: A\naddress: https://a.example\ntolerances: {batch: 0.2 lb}\n"),
    ("workshop", "name: A\naddress: https://a.example\nunits: metric\n"),
    ("workshop", "name: A\naddress: https://a.example\nunits: {tension: lb, balance: points}\n"),
    ("frames", "rowan: {maker: Tarn, name: Rowan, sport: tennis, head: 100 sq in}\n"),
    ("frames", "rowan: {maker: T, name: R, sport: tennis, head: 98 sq in, pattern: 16x19, tension: 50-60 lb}\n"),
    ("strings", "reed-125: {maker: Oxbow, name: Reed, material: nylon, gauge: 1.25 mm}\n"),
    ("strings", "reed-125: {maker: 3, name: 1.25, material: gut, gauge: 1.25mm, weighed: 1.42 g/m}\n"),
    ("frames", MODEL),
    ("frames", MODEL.replace("mains: 16", "mains: '16'")),
    ("parts", "tape: {kind: tape, name: Tape, removable: yes, per_length: 20 g/m}\n"),
    ("blank", "model: larch-98\nreadings: [{state: bare, mass: 295 g}]\n"),
    ("stock", "reel: {of: reed-125, batch: B1, bought: {date: 2026-10-01, amount: 200 m}}\n"),
    ("stock", "grips: {of: overgrip, counted: [{date: 2026-10-01, amount: 12 pieces, note: x}]}\n"),
]

REFUSED = [
    ("frame", "label: Third\n"),
    ("frame", FRAME + "lable: x\n"),
    ("frame", FRAME + "status: borken\n"),
    ("frame", FRAME + "setup: {mass: 330}\n"),
    ("frame", FRAME + "setup: {mass: '330'}\n"),
    ("frame", FRAME + "setup: [mass]\n"),
    ("frame", FRAME + "setup:\n"),
    ("frame", FRAME + "serial:\n"),
    ("frame", FRAME + "serial: [a]\n"),
    ("frame", FRAME + "since: 4.3.2026\n"),
    ("frame", FRAME + "since: 20260304\n"),
    ("frame", FRAME + "build: [{part: lead-tape}]\n"),
    ("frame", FRAME + "number: 17\n"),
    ("frame", STRUNG.replace("24 kg", "24")),
    ("frame", STRUNG.replace("24 kg}}", "24 kg}, pieces: 3}")),
    ("player", "name: Ada\nplays_a_week: 22\n"),
    ("player", "name: Ada\nshows: {history: maybe}\n"),
    ("player", "name: {first: Ada}\n"),
    ("workshop", "name: A\naddress: a.example\n"),
    ("workshop", "name: A\naddress: https://a.example\nlook: {accent: petrol}\n"),
    ("frames", MODEL.replace("mains: 16", "mains: 7")),
    ("frames", MODEL.replace("mains: 16", "mains: sixteen")),
    ("frames", MODEL.replace("larch-98:", "Larch 98:")),
    ("strings", "reed-125: nylon\n"),
]


def test_there_is_a_schema_for_each_kind_of_file() -> None:
    """Workshop, player, frame, blank and the four catalogue files have a schema each."""
    assert set(SCHEMAS) == {"workshop", "player", "frame", "blank", "strings", "frames", "parts", "stock"}


@pytest.mark.parametrize("kind", SCHEMAS)
def test_each_schema_is_a_valid_one(kind: str) -> None:
    """The JSON Schema 2020-12 metaschema, as the jsonschema package holds it, finds no fault, and JSON can hold it."""
    Draft202012Validator.check_schema(SCHEMAS[kind])
    assert json.loads(json.dumps(SCHEMAS[kind])) == SCHEMAS[kind]


@pytest.mark.parametrize(
    "path", sorted([*BASE.rglob("*.yaml"), *DEMO.rglob("*.yaml")]), ids=lambda p: str(p.relative_to(ROOT.parent))
)
def test_sound_records_are_sound_in_an_editor(path: Path) -> None:
    """Every record of the demo and of the test workshop passes its schema, read as editors read YAML."""
    assert _complaints(_kind_of(path), path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(("kind", "text"), TAKEN)
def test_what_the_reader_takes_an_editor_takes(kind: str, text: str) -> None:
    """Numbers, truth values and dates where the reader wants text, and single values for lists, are no error."""
    assert _read(kind, text)
    assert _complaints(kind, text) == []


@pytest.mark.parametrize(("kind", "text"), REFUSED)
def test_what_an_editor_can_know_it_marks(kind: str, text: str) -> None:
    """Unknown keys, missing keys, missing units, unknown words, bad dates and empty values are marked while typing."""
    assert _complaints(kind, text) != []


@pytest.mark.parametrize(
    ("kind", "text"), [case for case in REFUSED if "Larch 98:" not in case[1] and ":\n" not in case[1]]
)
def test_what_an_editor_marks_the_reader_refuses(kind: str, text: str) -> None:
    """An editor is never stricter than the reader. (Names and empty values are refused outside the types.)"""
    assert not _read(kind, text)


@pytest.mark.parametrize("kind", SCHEMAS)
def test_examples_pass_their_own_pattern(kind: str) -> None:
    """Every example that an editor shows would pass."""
    for owner in [SCHEMAS[kind], *SCHEMAS[kind].get("$defs", {}).values()]:
        for name, value in owner.get("properties", {}).items():
            for example in value.get("examples", ()):
                defs = {"$defs": SCHEMAS[kind].get("$defs", {})}
                assert Draft202012Validator({**value, **defs}).is_valid(example), name


def test_private_fields_say_so() -> None:
    """An editor shows that a field never reaches a page."""
    player = SCHEMAS["player"]
    assert player["properties"]["full_name"]["description"].startswith("Private")
    assert player["$defs"]["PlayerContact"]["properties"]["email"]["description"].startswith("Private")
    assert "description" not in player["properties"]["name"]


def test_no_schema_names_where_code_lives() -> None:
    """Descriptions are sentences for people: no paths of modules."""
    assert "passport.records" not in json.dumps(SCHEMAS)
