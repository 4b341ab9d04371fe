"""The bench sheet that ``passport rebuild`` and ``passport match`` write: where, how large, and never into the site."""

import io
import json

import pypdf
import pytest
from commandline import full_disk, passport, refused, tree
from rebuildshop import NEAR, shop
from sheetfacts import TWO_FRAMES

from passport.publish.folder.foreign import MARK
from passport.records.transaction import atomic
from passport.render.print import pdf

BLANKS = {"near": NEAR, "other": NEAR.replace("303", "302")}


@pytest.fixture(name="folder")
def _folder(tmp_path, monkeypatch):
    """A workshop in a folder of its own, which the command is called beside."""
    folder = tmp_path / "shop"
    shop(folder, BLANKS, frames=TWO_FRAMES)
    monkeypatch.chdir(tmp_path)
    return folder


def size(path) -> list[tuple[float, float]]:
    """The pages of a PDF, mm."""
    boxes = [page.mediabox for page in pypdf.PdfReader(io.BytesIO(path.read_bytes())).pages]
    return [(round(float(b.width) / 72 * 25.4), round(float(b.height) / 72 * 25.4)) for b in boxes]


def test_a_plan_comes_with_its_sheet(folder):
    """The sheet lies in 'bench' beside the content under the frame's number, two A5 pages, and is named at the end."""
    result = passport("rebuild", folder, "1001-5", "--with", "near")
    path = folder.parent / "bench" / "rebuild-1001-5.pdf"
    assert result.stdout.splitlines()[-1] == "Bench sheet to print, private: bench/rebuild-1001-5.pdf"
    assert size(path) == [(148, 210)] * 2
    assert not list(folder.rglob("*.pdf"))


def test_another_file_and_paper(folder):
    """--sheet names the file, in a folder that need not exist yet, and --paper a4 puts both halves on one page."""
    path = folder.parent / "plans" / "mine.pdf"
    result = passport("rebuild", folder, "1001-5", "--with", "near", "--sheet", path, "--paper", "a4")
    assert result.exit_code == 0
    assert size(path) == [(297, 210)]
    assert not (folder.parent / "bench").exists()


def test_without_a_sheet(folder):
    """--no-sheet writes nothing."""
    passport("rebuild", folder, "1001-5", "--with", "near", "--no-sheet")
    assert not (folder.parent / "bench").exists()


def test_data_has_a_sheet_only_where_it_is_asked_for(folder):
    """With --json nothing is written; with a file named it is, and standard output stays data."""
    passport("rebuild", folder, "1001-5", "--with", "near", "--json")
    assert not (folder.parent / "bench").exists()
    path = folder.parent / "x.pdf"
    result = passport("rebuild", folder, "1001-5", "--with", "near", "--json", "--sheet", path)
    assert json.loads(result.stdout)["status"] == "matched"
    assert "x.pdf" in result.stderr and size(path) == [(148, 210)] * 2


def test_a_set_has_one_sheet_for_all(folder):
    """Match writes the sheet of the set and of each frame that something is done to, under the first one's number."""
    result = passport("match", folder, "ada/one", "ada/two")
    assert result.exit_code == 0
    (path,) = (folder.parent / "bench").iterdir()
    assert path.name == "match-1002-3-and-1-more.pdf"
    assert len(size(path)) >= 4


def test_never_into_the_site(folder):
    """A file inside a folder that the program built as a site is refused before anything is worked out."""
    site = folder.parent / "site"
    (site / "deep").mkdir(parents=True)
    (site / MARK).touch()
    for command in (["rebuild", folder, "1001-5", "--with", "near"], ["match", folder, "ada/one", "ada/two"]):
        refused(passport(*command, "--sheet", site / "deep" / "x.pdf"), "public site", "private", "--sheet")
    assert not list(site.rglob("*.pdf"))


def test_never_over_records_or_other_files(folder):
    """A file among the records, there or not, and one that is no PDF are refused and stay as they were."""
    mine = folder.parent / "mine.txt"
    mine.write_text("mine")
    before = tree(folder.parent)
    for command in (["rebuild", folder, "1001-5", "--with", "near"], ["match", folder, "ada/one", "ada/two"]):
        for name in ("blanks/near.yaml", "blanks/new.pdf"):
            refused(passport(*command, "--sheet", folder / name), "holds the records", "outside it with --sheet")
        refused(passport(*command, "--sheet", mine), "is no PDF", "name another file with --sheet")
    assert tree(folder.parent) == before


def test_a_folder_is_no_file(folder):
    """A folder given for the file is refused with what to do."""
    refused(passport("rebuild", folder, "1001-5", "--with", "near", "--sheet", folder.parent), "is a folder", "--sheet")


def test_a_full_disk_is_told(folder, monkeypatch):
    """A sheet that cannot be written ends the command with a word, not with a traceback."""
    monkeypatch.setattr(atomic, "write", full_disk)
    refused(passport("rebuild", folder, "1001-5", "--with", "near"), "could not be written", "No space left")


def test_without_pango_the_plan_stands(folder, monkeypatch):
    """Where PDFs cannot be made the plan is printed all the same, with what to install, and the code is the plan's."""
    monkeypatch.setattr(pdf, "available", lambda: "Cards and sheets need the Pango library.")
    result = passport("rebuild", folder, "1001-5", "--with", "near")
    assert result.exit_code == 0
    assert "Plan 1" in result.stdout
    assert "No bench sheet was made." in result.stderr and "Pango" in result.stderr


def test_a_frame_without_a_number_is_called_by_its_name(folder):
    """A frame that was not issued yet has a sheet under its name."""
    path = folder / "players" / "ada" / "one.yaml"
    text = path.read_text(encoding="utf-8").replace("number: 1002-3\n", "").replace(f"key: {26 * 'B'}\n", "")
    path.write_text(text, encoding="utf-8")
    passport("match", folder, "ada/one", "--to", "ada/two")
    assert (folder.parent / "bench" / "match-ada-one.pdf").is_file()
