"""``passport rebuild --resume``: from readings typed off the sheet to the next step, and back again."""

import json
import re
from pathlib import Path

import pytest
from commandline import passport
from pypdf import PdfReader

from passport.records.load import load
from tests.support.benchwork import BLANK, bench


@pytest.fixture(name="folder")
def _folder(tmp_path: Path) -> Path:
    """A workshop with a broken frame and a blank for it."""
    bench(tmp_path)
    return tmp_path


def _resume(folder: Path, *words: str):
    return passport("rebuild", folder, "1001-5", "--with", BLANK, "--resume", "--no-sheet", *words)


def test_a_reading_is_noted_and_what_follows_is_shown(folder: Path) -> None:
    """What was predicted and read stands beside the step; the next step, the chance and the advice follow."""
    result = _resume(folder, "--read", "1: 289.4 327.5 284", "--read", "2: 275.2")
    assert result.exit_code == 0
    text = " ".join(result.output.split())
    for words in (
        "289.3 ± 0.2 g",
        "289.4 g",
        "the rest brings all inside with",
        "string it",
        "Worth reading next: weigh",
    ):
        assert words in text
    assert "did: take off" in (folder / f"blanks/{BLANK}.yaml").read_text()


def test_what_was_noted_survives_and_is_undone(folder: Path) -> None:
    """A later call goes on with it; undo takes the last entry back, and only that."""
    _resume(folder, "--done", "1")
    _resume(folder, "--read", "2: 275.2")
    noted = (folder / f"blanks/{BLANK}.yaml").read_text()
    assert "take off" in " ".join(_resume(folder).output.split())
    assert (folder / f"blanks/{BLANK}.yaml").read_text() == noted
    assert passport("undo", folder, "--yes").exit_code == 0
    assert [one["did"] for one in json.loads(_resume(folder, "--json").stdout)["done"]] == ["check"]


def test_a_wrong_reading_is_named_with_what_to_do(folder: Path) -> None:
    """3 g off: which one, by how much, what it should have been, and to read it again."""
    text = " ".join(_resume(folder, "--read", "1: 292.3").output.split())
    assert "Step 1: the mass read, 292.3 g, does not go with the rest, which says 289.3 ± 0." in text
    assert "Read it again and note it: --read '1: …'" in text
    again = " ".join(_resume(folder, "--read", "1: 289.2").output.split())
    assert "292.3 g does not fit" in again


def test_as_data(folder: Path) -> None:
    """The same for another program, with numbered steps and figures after each."""
    _resume(folder, "--read", "1: 292.3")
    data = json.loads(_resume(folder, "--json").stdout)
    assert data["contradictions"][0]["step"] == 1
    assert data["ahead"][0]["step"] == 2
    assert data["done"][0]["read"] == [{"quantity": "mass", "showed": "292.3 g"}]
    assert 0 < data["joint_probability"] < 1
    assert data["advice"]["part"] == "Leather grip"


def test_nothing_is_written_where_something_is_wrong(folder: Path) -> None:
    """Slips end with code 2 and all of them named; options without --resume, too; the record stays as it was."""
    before = (folder / f"blanks/{BLANK}.yaml").read_text()
    said = _resume(folder, "--read", "heavy", "--read", "4: 1 2 3 4")
    assert (said.exit_code, said.stderr.count("--read:")) == (2, 2)
    assert _resume(folder, "--read", "77: 300").exit_code == 2
    assert _resume(folder, "--read", "1: 289.4", "--json").exit_code == 2
    alone = passport("rebuild", folder, "1001-5", "--with", BLANK, "--read", "1: 289.4")
    assert alone.exit_code == 2
    assert "go with --resume" in alone.stderr
    assert _resume(folder, "--read", "1: 289.4", "--dry-run").exit_code == 0
    assert (folder / f"blanks/{BLANK}.yaml").read_text() == before


def test_work_is_given_up(folder: Path) -> None:
    """Abandoned, the blank is as it was; a plain rebuild says that it is under work before."""
    before = (folder / f"blanks/{BLANK}.yaml").read_text()
    _resume(folder, "--done", "2")
    plain = passport("rebuild", folder, "1001-5", "--with", BLANK, "--no-sheet")
    assert "'near' is being built for 1001-5 (2 steps done): --resume goes on with it." in plain.stderr
    assert _resume(folder, "--abandon").exit_code == 0
    assert (folder / f"blanks/{BLANK}.yaml").read_text() == before


def test_what_was_built_is_the_first_job_of_the_new_frame(folder: Path) -> None:
    """The steps go from the blank into the frame that it became: what is on and off, the strings, the last readings; what
    was read on the way is a private note, and undo brings the work back."""
    _resume(folder, "--read", "1: 289.4 327.5 284", "--read", "2: 275.2")
    last = max(one["step"] for one in json.loads(_resume(folder, "--json").stdout)["ahead"])
    assert "passport issue" in _resume(folder, "--done", str(last - 1), "--read", f"{last}: 330.2 320.0 318.4").output
    before = (folder / f"blanks/{BLANK}.yaml").read_text()
    assert passport("issue", folder, "ada/next", "--replaces", "1001-5", "--blank", BLANK, "--yes").exit_code == 0
    records, faults = load(folder)
    assert not [fault for fault in faults if fault.severity == "error"]
    (job,) = records.frames["ada/next"].record.jobs
    on = {(fitted.part, fitted.place.text): fitted.mass and fitted.mass.value for fitted in job.fitted}
    # Two portions of 2.5 g before the stringing and 2 g after it are one plug; the putty of the trial is off again.
    assert on["silicone", "inside the handle"] == 7.0
    assert {part for part, _ in on} == {"tungsten-tape", "silicone", "leather", "overgrip"}
    assert [gone.part for gone in job.removed] == ["cushion"]
    assert job.strings is not None
    assert job.strings.both == records.frames["ada/main"].record.jobs[-1].strings.both
    assert [reading.mass and reading.mass.text for reading in job.readings] == ["330.2 g"]
    assert "step 2 (take off) mass 275.2 g" in " ".join(job.private_note.split())
    assert passport("undo", folder, "--yes").exit_code == 0
    assert (folder / f"blanks/{BLANK}.yaml").read_text() == before


def test_what_was_built_so_far_is_kept_bare(folder: Path) -> None:
    """A blank that is issued before it was strung has no strings, and its last reading is of the bare frame."""
    _resume(folder, "--done", "1", "--read", "2: 275.2")
    assert passport("issue", folder, "ada/next", "--replaces", "1001-5", "--blank", BLANK, "--yes").exit_code == 0
    (job,) = load(folder)[0].frames["ada/next"].record.jobs
    assert (job.strings, job.fitted, [gone.part for gone in job.removed]) == (None, (), ["cushion"])
    assert [(reading.state, reading.mass and reading.mass.text) for reading in job.readings] == [("bare", "275.2 g")]


def test_the_rest_is_printed_as_it_is_shown(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    """The bench sheet of a rebuild under way has the steps that are left, with the numbers and figures of the loop."""
    pdf = tmp_path_factory.mktemp("bench") / "rest.pdf"
    result = passport("rebuild", folder, "1001-5", "--with", BLANK, "--resume", "--done", "2", "--sheet", pdf)
    assert result.exit_code == 0
    text = "\n".join(page.extract_text() for page in PdfReader(pdf).pages)
    shown = [one for one in json.loads(_resume(folder, "--json").stdout)["ahead"] if one["after"]]
    assert shown[0]["step"] == 3
    for one in shown:
        figures = " ".join(f"{one['after'][key]:.1f}" for key in ("mass_g", "balance_mm", "swingweight_kgcm2"))
        assert re.search(rf"^{one['step']} .* {re.escape(figures)}$", text, re.MULTILINE), one
    assert "names no base grip" not in text
