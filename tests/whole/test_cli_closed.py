"""Content that may not be read: every command says what, and what to do; nothing seems to be gone instead."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
import smallshop
import unprivileged
from places import SUPPORT

CLOSED, NO_LIST, NO_ENTRY = 0o000, 0o300, 0o600
"""Rights of a folder: none; to enter but not to list it, when what is in it seems to be gone; to list but not to enter."""
FOLDERS = (
    ".",
    "catalogue",
    "players",
    "players/ada",
    "blanks",
    "pages",
    "photos",
    "templates",
    "templates/pages",
    "style",
)
FILES = ("workshop.yaml", "catalogue/parts.yaml", "players/ada/main.yaml", "players/bo/player.yaml", "pages/care.md")
READING = ("check", "build")
OTHERS = {
    "find": ["find", "CONTENT", "larch"],
    "show": ["show", "CONTENT", smallshop.NUMBERS["main"]],
    "issue": ["issue", "CONTENT", "ada/new", "--yes"],
    "log": ["log", "CONTENT", smallshop.NUMBERS["main"], "--again", "--yes"],
    "due": ["due", "CONTENT"],
    "cards": ["cards", "CONTENT", smallshop.NUMBERS["main"], "--out", "cards.pdf"],
    "preview": ["preview", "CONTENT"],
    "addresses": ["addresses", "CONTENT"],
}
"""Commands that look elsewhere first; each meets a folder that it cannot do without."""
MEETS = {
    "find": "players/ada",
    "show": ".",
    "preview": ".",
    "issue": "players",
    "log": "players",
    "cards": "players/ada",
}


@pytest.fixture(scope="module")
def ground(tmp_path_factory) -> Path:
    """A folder with the small workshop, in a place that is closed to all others, as temporary folders may be."""
    folder = tmp_path_factory.mktemp("closed")
    folder.chmod(0o700)
    own = {"templates/pages/note.txt": "", "style/extra.css": "", "photos/note.txt": ""}
    smallshop.write(folder / "content", own)
    return folder


def tried(ground: Path, cases: list[tuple[str, int, list[str]]]) -> list[dict[str, object]]:
    """What became of commands while a path of the content had other rights, tried by somebody whom rights bind."""
    content = ground / "content"
    asked = [
        (str(content / path), mode, [str(content) if word == "CONTENT" else word for word in words])
        for path, mode, words in cases
    ]
    done = subprocess.run(
        [sys.executable, unprivileged.__file__], input=json.dumps(asked), cwd=ground, capture_output=True, text=True, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def words(command: str) -> list[str]:
    """A command that reads everything, with what it needs."""
    return [command, "CONTENT", *(["--no-cards"] if command == "build" else [])]


def test_a_closed_folder_is_named_and_never_taken_for_an_empty_one(ground):
    """Whatever folder is closed, and however: check and build end with 1, its path, the system's word and advice."""
    cases = [
        (path, mode, words(command)) for path in FOLDERS for mode in (CLOSED, NO_LIST, NO_ENTRY) for command in READING
    ]
    for (path, mode, asked), found in zip(cases, tried(ground, cases), strict=True):
        what = f"{asked[0]} with {path} at {mode:o}: {found}"
        place = str((ground / "content" / path).resolve())
        assert found["code"] == 1, what
        assert f"{place}:1:1: error: closed-folder\n" in found["said"], what
        assert "This folder cannot be read: Permission denied." in found["said"], what
        assert f"'ls -ld {place}'" in found["said"], what
        assert "Traceback" not in found["said"], what
        assert found["said"].count("closed-folder") == 1, what
    assert not (ground / "site").exists()


def test_a_closed_file_is_named(ground):
    """A file that may not be read is an error at its place, and stops a build."""
    cases = [(path, CLOSED, words(command)) for path in FILES for command in READING]
    for (path, _, asked), found in zip(cases, tried(ground, cases), strict=True):
        what = f"{asked[0]} with {path}: {found}"
        assert found["code"] == 1, what
        assert f"{ground / 'content' / path}:1:1: error: unreadable\n" in found["said"], what
        assert "This file cannot be read: Permission denied." in found["said"], what
    assert not (ground / "site").exists()


def test_other_commands_say_it_too(ground):
    """Commands that look into some folders only say what is closed to them, and end with 1 without a traceback."""
    cases = [(MEETS.get(name, "."), CLOSED, asked) for name, asked in OTHERS.items()]
    before = {path: path.read_bytes() for path in (ground / "content").rglob("*.yaml")}
    for (path, _, asked), found in zip(cases, tried(ground, cases), strict=True):
        what = f"{asked[0]} with {path}: {found}"
        assert found["code"] == 1, what
        assert "Permission denied" in found["said"], what
        assert str((ground / "content" / path).resolve()) in found["said"], what
        assert "ls -ld" in found["said"], what
    assert {path: path.read_bytes() for path in (ground / "content").rglob("*.yaml")} == before


def test_a_build_that_knows_the_content_notices_too(ground):
    """What the last build remembered does not hide that a folder was closed since, and its site stays."""
    build = [*words("build"), "--out", "kept"]
    cases = [(".", 0o755, build), *((path, NO_LIST, build) for path in FOLDERS), (".", 0o755, build)]
    first, *closed, last = tried(ground, cases)
    assert first["code"] == last["code"] == 0, (first, last)
    assert "nothing changed" in last["said"]
    for path, found in zip(FOLDERS, closed, strict=True):
        assert found["code"] == 1, (path, found)
        assert "closed-folder" in found["said"], (path, found)


def test_a_folder_that_is_none_of_ours_may_be_closed(ground):
    """What a disk keeps for itself beside the records (``lost+found``) stops nothing."""
    (ground / "content/lost+found").mkdir(mode=0o700, exist_ok=True)
    cases = [("lost+found", CLOSED, [*words("build"), "--out", "beside"]), ("lost+found", CLOSED, words("check"))]
    assert [found["code"] for found in tried(ground, cases)] == [0, 0]


def test_rights_bind_whoever_gave_up_to_pass_over_them(tmp_path):
    """The means of these tests work: a folder without rights cannot be listed, by root neither."""
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o000)
    code = "import os, unprivileged; unprivileged.obey_rights(); os.listdir(os.environ['CLOSED'])"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=SUPPORT, env={"CLOSED": str(closed)}, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert "PermissionError" in done.stderr
