"""The published format of a setup, judged by `jsonschema`."""

import copy
import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from places import ROOT

from passport.records.exchange.setup import FORMAT, SCHEMA_FILE, SetupData, schema
from passport.render.pages.data import setup_json

PUBLISHED = ROOT / "templates" / SCHEMA_FILE


@pytest.fixture(scope="module")
def setups(demo_facts):
    """The setup of every frame of the demo as data."""
    return [json.loads(setup_json(frame, demo_facts.shop.name)) for frame in demo_facts.frames]


@pytest.fixture(scope="module")
def judge():
    """A validator of the published schema."""
    return Draft202012Validator(json.loads(PUBLISHED.read_text(encoding="utf-8")))


def test_the_published_schema_is_that_of_the_program():
    """The file on the site says what the reader asks for; write it anew with ``passport schema`` after a change."""
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == schema()


def test_the_schema_is_a_schema(judge):
    """It is valid by the metaschema that it names, and it names its own version."""
    found = judge.schema
    Draft202012Validator.check_schema(found)
    assert found["$id"].endswith(f":{FORMAT}") and f"-{FORMAT}." in SCHEMA_FILE


def test_every_key_is_described(judge):
    """Each key of each object has words for a person, its own or those of what it holds."""
    tables = {"setup": judge.schema, **judge.schema["$defs"]}
    for name, table in tables.items():
        assert table.get("description"), name
        for key, value in table["properties"].items():
            refs = [each.get("$ref", "") for each in (value, *value.get("anyOf", ()), value.get("items", {}))]
            said = value.get("description") or any("#/$defs/" in ref for ref in refs)
            plain = key in ("format", "sport", "source", "zones", "date", "taken", "updated", "build", "mass_g")
            assert said or plain, f"{name}.{key}"


def test_every_setup_of_the_demo_is_valid(setups, judge):
    """Each file is right by the schema and by the program's own reader, and names the schema where it stands."""
    assert len(setups) > 12
    for found in setups:
        assert not list(judge.iter_errors(found)), found["number"]
        assert SetupData.model_validate(found).number == found["number"]
        assert found["$schema"] == f"../{SCHEMA_FILE}"


def test_every_mass_and_figure_has_its_uncertainty(setups):
    """Of each part with a mass, each string and each best estimate it says how sure that is, and of a target how far off it
    may be."""
    for found in setups:
        for part in found["build"] or ():
            assert ("mass_g" in part) == ("mass_uncertainty_g" in part)
        for side in ("mains", "crosses"):
            strung = (found["strings"] or {}).get(side)
            assert not strung or not strung["mass_per_length_g_m"] or strung["mass_per_length_uncertainty_g_m"] > 0
        for figure in found["finished"].values():
            for unit in ("g", "mm", "kgcm2"):
                assert figure.get(f"best_estimate_{unit}") is None or figure[f"uncertainty_{unit}"] > 0
                assert figure.get(f"target_{unit}") is None or figure[f"tolerance_{unit}"] > 0
            assert figure["source"]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("finished", "mass", "target_g"), 5000),
        (("finished", "mass", "target_kg"), 0.3),
        (("format",), 2),
        (("strings", "mains", "material"), "iron"),
        (("build",), [{"part": "x", "kind": "tape", "place": "12", "mass_g": "1.5 g"}]),
        (("number",), None),
    ],
)
def test_both_judges_refuse_the_same(setups, judge, path, value):
    """What cannot be, is of another type or has no place is refused by the schema and by the program alike."""
    found = copy.deepcopy(setups[0])
    holder = found
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    assert list(judge.iter_errors(found))
    with pytest.raises(ValueError, match="validation error"):
        SetupData.model_validate(found)


def test_the_schema_is_among_the_files_of_the_site():
    """It stands where the files say that it does: one folder up from a passport, among the assets."""
    assert Path(SCHEMA_FILE).parent.name == "assets" and PUBLISHED.is_file()
