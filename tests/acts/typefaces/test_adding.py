"""What the names at hand lack, and taking it."""

import shutil

import pytest
from click.testing import CliRunner
from manynames import FACES, add
from places import DEMO

from passport.acts.refused import Misused, Refused
from passport.acts.typefaces.adding import needs, packages, take
from passport.cli.main import main
from passport.render.faces import known


@pytest.fixture
def content(tmp_path, monkeypatch):
    """The demo with a Thai and a Japanese name, and the typefaces of the tests known, but not added."""
    root = tmp_path / "content"
    shutil.copytree(DEMO, root, ignore=shutil.ignore_patterns(".passport"))
    add(root, monkeypatch)
    shutil.rmtree(root / "fonts")
    for name, said in (("askwell", "นภา ศรีสุข"), ("dunmarrow", "山田 花子")):
        path = root / "players" / name / "player.yaml"
        lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
        lines = [f"name: {said}\n" if line.startswith("name:") else line for line in lines]
        path.write_text("".join(lines), encoding="utf-8")
    return root


def test_needs_are_told_by_script_with_the_files_that_have_them(content) -> None:
    """Each script once, with its signs, an example and the packages to install."""
    found = needs(content)
    assert [need.script for need in found.scripts] == ["Thai", "CJK"] and not found.foreign and not found.added
    assert set("นภาศรีสุข") - {" "} == set(found.scripts[0].signs) and "山" in found.scripts[1].signs
    assert "นภา" in found.scripts[0].example
    assert packages(one for need in found.scripts for one in need.files) == ["fonts-noto-cjk", "fonts-noto-core"]


def test_what_is_missing_is_taken_from_a_folder_and_nothing_else(content) -> None:
    """Of sixty files in a folder only those that are missing are copied, byte for byte."""
    wanted = [one for need in needs(content).scripts for one in need.files]
    taken = take(content, wanted, [FACES])
    assert {one.name for one in taken} == {path.name for path in (content / "fonts").iterdir()}
    assert {one.script for one in taken} == {"Thai", "CJK"} and len(taken) == 6
    assert all((content / "fonts" / one.name).read_bytes() == (FACES / one.name).read_bytes() for one in taken)
    assert not needs(content).scripts and len(needs(content).added) == 6
    assert take(content, wanted, [FACES]) == []


def test_a_file_may_have_any_name(content, tmp_path) -> None:
    """Bytes decide, not what the file is called; in the content it has its own name."""
    shutil.copy2(FACES / "NotoSansThai-Regular.ttf", tmp_path / "mine.ttf")
    (taken,) = take(content, known.KNOWN, [tmp_path / "mine.ttf"])
    assert taken.name == "NotoSansThai-Regular.ttf" and (content / "fonts" / taken.name).is_file()


def test_other_bytes_are_refused(content, tmp_path) -> None:
    """A file that is not known is not taken, and it is said why; one that is not there is said, too."""
    (tmp_path / "NotoSansThai-Regular.ttf").write_bytes((FACES / "NotoSansThai-Regular.ttf").read_bytes() + b"\0")
    with pytest.raises(Refused, match="knows by its bytes"):
        take(content, known.KNOWN, [tmp_path / "NotoSansThai-Regular.ttf"])
    with pytest.raises(Misused, match="There is no"):
        take(content, known.KNOWN, [tmp_path / "nowhere"])
    assert not (content / "fonts").exists()


def test_a_folder_with_other_bytes_under_a_known_name_is_passed_over(content, tmp_path) -> None:
    """Of a folder just what is known is taken."""
    (tmp_path / "some").mkdir()
    (tmp_path / "some/NotoSansThai-Bold.ttf").write_bytes(b"no typeface")
    assert take(content, known.KNOWN, [tmp_path / "some"]) == []


def test_the_command_says_what_to_do_until_all_is_there(content) -> None:
    """Exit code 1 with what is missing and where to get it, then 0; check agrees each time."""
    run = CliRunner().invoke
    first = run(main, ["fonts", str(content)])
    assert first.exit_code == 1 and "sudo apt install fonts-noto-cjk fonts-noto-core" in first.output
    assert "NotoSansThai-Regular.ttf" in first.output and "--take" in first.output
    assert "no-glyph" in run(main, ["check", str(content)]).output
    second = run(main, ["fonts", str(content), "--from", str(FACES)])
    assert second.exit_code == 0, second.output
    assert "Every sign of the names at hand has a typeface (6 files added in 'fonts')." in second.output
    assert run(main, ["check", str(content)]).exit_code == 0


def test_a_script_without_a_file_is_said(content) -> None:
    """Nothing is promised for signs that no known file has."""
    path = content / "players/askwell/player.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("นภา ศรีสุข", "ᚠᚢ", 1), encoding="utf-8")
    said = CliRunner().invoke(main, ["fonts", str(content), "--from", str(FACES)])
    assert said.exit_code == 1 and "No typeface is known for: ᚠ ᚢ" in said.output
