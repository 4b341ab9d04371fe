"""The dialogue of ``passport log``."""

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, tree

from passport.cli.main import main
from passport.records.load import load


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


@pytest.fixture
def talked(monkeypatch, content):
    """Runs the dialogue on a frame with some lines typed."""
    as_a_person(monkeypatch)

    def run(name, *lines, options=("--no-build",)):
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
        return runner.invoke(main, ["log", str(content), name, *options], input="".join(f"{line}\n" for line in lines))

    return run


def last(content, name):
    """The last job of a frame."""
    return load(content)[0].frames[name].record.jobs[-1]


def test_enter_all_the_way_repeats_the_recipe(content, talked):
    """Whoever only presses Enter records the last stringing anew, with today's date."""
    result = talked("ada/main", *[""] * 18)
    assert result.exit_code == 0, result.output
    jobs = load(content)[0].frames["ada/main"].record.jobs
    assert (jobs[-1].date, jobs[-1].strings, jobs[-1].stencil) == (smallshop.TODAY, jobs[1].strings, jobs[1].stencil)
    assert jobs[-1].readings == ()
    for offered in ("Date [2026-11-25]", "String, mains [reed-125]", "Tension, crosses [23 kg]", "Write this? [Y/n]"):
        assert offered in result.output
    assert "last strung on 2026-03-02" in result.output


def test_bare_figures_take_the_unit_that_is_shown(content, talked):
    """A figure alone has the unit of what is offered; slips are asked again; a dash leaves out."""
    result = talked(
        "ada/twin", "2026-11-24", "y", "541", "Flint", "51", "", "50", "5", "B3",
        "lead-tape", "lead-tape @ 12 = 1 g", "", "", "", "331.4", "", "", "584", "", "Fine.", "y",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    assert "tungsten-tape @ 3 and 9" in result.output
    job = last(content, "ada/twin")
    assert job.strings
    mains, crosses = job.strings.both
    assert (mains.string, mains.tension.text, mains.prestretch.text, mains.batch) == ("flint-120", "51 lb", "5 %", "B3")
    assert (crosses.string, crosses.tension.text, job.strings.pieces) == ("reed-125", "50 lb", 2)
    before, after = job.readings
    assert (before.ring.text, before.age.text) == ("541 Hz", "267 d")
    assert (after.mass.text, after.ring.text, after.age.text) == ("331.4 g", "584 Hz", "15 min")
    assert (job.note, job.date.isoformat(), job.fitted[0].mass.text) == ("Fine.", "2026-11-24", "1 g")


def test_a_reading_is_asked_for_in_the_unit_of_the_last_one(content, talked):
    """A bare figure has the unit that the frame was last read in; where that cannot be, it is asked about."""
    path = content / "players/ada/main.yaml"
    text = path.read_text(encoding="utf-8")
    assert "ring: 560 Hz" in text
    path.write_text(text.replace("ring: 560 Hz", "ring: 33.5 kg/cm"), encoding="utf-8")
    result = talked("ada/main", "", "n", "", "", "", "", "", "", "31.2", "", "y")
    assert result.exit_code == 0, result.output
    assert "String bed reading (kg/cm)" in result.output
    assert last(content, "ada/main").readings[0].ring.text == "31.2 kg/cm"


def test_pounds_typed_at_a_prompt_in_hertz_are_asked_about(content, talked):
    """32.2 at '(Hz)' is held against what the strings let expect, and nothing is written before somebody is sure."""
    before = tree(content)
    result = talked("ada/main", "", "n", "", "", "", "", "", "", "32.2", "", "n")
    assert "String bed reading (Hz)" in result.output
    assert (
        "No string bed of a tennis frame rings at 32.2 Hz. These strings at their pulls let expect about"
        in result.output
    )
    assert tree(content) == before


def test_the_first_stringing_is_asked_for(content, talked):
    """Without an earlier stringing string and tension are needed, known ones at that; crosses are offered the same."""
    result = talked("ada/new", "", "", "reed-124", "reed-125", "", "24", "24 kg", *[""] * 13)
    assert result.exit_code == 0, result.output
    assert "is not in the catalogue. Did you mean 'reed-125'?" in result.output
    assert "This one is needed." in result.output
    job = last(content, "ada/new")
    assert job.strings
    assert job.strings.crosses is None
    assert (job.strings.mains.string, job.strings.mains.tension.text) == ("reed-125", "24 kg")


def test_a_reading_alone(content, talked):
    """Without restringing nothing of the strings is asked, and the reading is as old as they are."""
    result = talked("ada/main", "", "n", "", "", "", "", "", "", "550", "", "y")
    assert result.exit_code == 0, result.output
    assert "Tension" not in result.output
    job = last(content, "ada/main")
    assert (job.strings, job.readings[0].ring.text, job.readings[0].age.text) == (None, "550 Hz", "268 d")


def test_a_broken_frame_is_not_offered_strings(content, talked):
    """A frame out of use is measured only."""
    result = talked("ada/split", "", "", "", "", "320", "", "", "", "", "y")
    assert result.exit_code == 0, result.output
    assert "Restrung" not in result.output
    assert last(content, "ada/split").readings[0].mass.text == "320 g"


@pytest.mark.parametrize("lines", [["", "", "", "", "", "", ""], [""] * 17 + ["n"], [""] * 5])
def test_stopping_anywhere_writes_nothing(content, talked, lines):
    """Whoever closes the terminal, says nothing or says no at the end leaves the records as they were."""
    before = tree(content)
    talked("ada/main", *lines)
    assert tree(content) == before


def test_a_dry_run_does_not_ask_in_the_end(content, talked):
    """With --dry-run the dialogue shows what would be written."""
    before = tree(content)
    result = talked("ada/main", *[""] * 17, options=("--dry-run",))
    assert result.exit_code == 0, result.output
    assert "Write this?" not in result.output
    assert tree(content) == before
