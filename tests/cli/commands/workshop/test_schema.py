"""``passport schema``: a file for each kind of record."""

import json

import smallshop
from commandline import full_disk, passport, refused, tree

from passport.render.theme.assets import templates

KINDS = {"workshop", "player", "frame", "blank", "strings", "frames", "parts", "stock"}
SETUP = "setup-3"
"""The published format of a setup, which is no record."""


def test_a_schema_for_each_kind(tmp_path):
    """Each kind of file has its schema, printed by its path, and they are what the record types give."""
    from passport.records.jsonschemas import schemas

    result = passport("schema", "--out", tmp_path / "a/schemas")
    assert (result.exit_code, result.stderr) == (0, "")
    files = tree(tmp_path / "a/schemas")
    assert set(files) == {f"{kind}.schema.json" for kind in (*KINDS, SETUP)}
    assert result.stdout.splitlines() == [
        str(tmp_path / "a/schemas" / f"{kind}.schema.json") for kind in (*schemas(), SETUP)
    ]
    assert files.pop(f"{SETUP}.schema.json") == (templates() / f"assets/{SETUP}.schema.json").read_bytes()
    assert {name.partition(".")[0]: json.loads(data) for name, data in files.items()} == schemas()


def test_twice_is_the_same(tmp_path):
    """Written again, the files are the same, and other files in the folder stay."""
    (tmp_path / "mine.txt").write_text("x")
    passport("schema", "--out", tmp_path)
    before = tree(tmp_path)
    passport("schema", "--out", tmp_path)
    assert tree(tmp_path) == before
    assert before["mine.txt"] == b"x"


def test_a_file_in_the_way_is_an_error(tmp_path):
    """Where the folder's name is taken by a file the error says so, without a traceback."""
    (tmp_path / "schemas").write_text("mine")
    refused(passport("schema", "--out", tmp_path / "schemas"), "schemas")
    assert (tmp_path / "schemas").read_text() == "mine"


def test_a_full_disk_is_an_error(tmp_path, monkeypatch):
    """When nothing can be written the error says why, without a traceback."""
    monkeypatch.setattr("pathlib.Path.write_text", full_disk)
    refused(passport("schema", "--out", tmp_path), "No space left on device")


def test_the_records_are_no_place_for_schemas(tmp_path):
    """A content folder, and a folder inside one, are refused, and nothing is written there."""
    content = smallshop.write(tmp_path / "content")
    before = tree(content)
    for folder in (content, content / "catalogue" / "new"):
        refused(passport("schema", "--out", folder), "holds the records", "outside it with --out")
    assert tree(content) == before
