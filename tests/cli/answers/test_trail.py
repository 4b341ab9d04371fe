"""Going back over answers, stopping, and going on later."""

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, tree

from passport.acts.drafts import Draft, forget
from passport.cli.main import main
from passport.records.load import load


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


@pytest.fixture
def typed(monkeypatch, content):
    """Types lines into the dialogue of a job on Ada's frame, and has nothing more to type then."""
    as_a_person(monkeypatch)

    def run(*lines):
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
        text = "".join(f"{line}\n" for line in lines)
        return runner.invoke(main, ["log", str(content), "ada/twin", "--no-build"], input=text)

    return run


REST = ["", "", "", "", "", "", "", "331.4", "", "", "", "Fine.", "y"]
"""Everything after the tension of the mains, as it is offered; a mass, a note, and a yes."""


def last(content):
    """The last job on the frame."""
    return load(content)[0].frames["ada/twin"].record.jobs[-1]


def test_a_question_gone_back_to_is_asked_again_alone(content, typed):
    """'<' asks the question before once more; what was answered earlier stands and is not seen again."""
    result = typed("", "", "", "", "53 lb", "<", "54 lb", "", "50 lb", *REST[2:])
    assert result.exit_code == 0, result.output
    job = last(content)
    assert job.strings
    assert [part.tension.text for part in job.strings.both] == ["54 lb", "50 lb"]
    assert result.output.count("Tension, mains") == 2
    assert result.output.count("Date [2026-11-25]") == 1
    assert not Draft(content, "log-ada/twin").kept()


def test_the_first_question_has_none_before_it(content, typed):
    """Going back from the first question stays there, and says so."""
    result = typed("<", "<", "2026-11-24", "n", *[""] * 7, "Looked at.", "y")
    assert result.exit_code == 0, result.output
    assert result.output.count("This is the first question.") == 2
    assert last(content).note == "Looked at."


@pytest.mark.parametrize("way_out", [["<<"], []])
def test_what_was_typed_is_kept_and_gone_on_with(content, typed, way_out):
    """Whoever stops, or whose terminal is closed, writes nothing and loses nothing: the next call goes on from there."""
    before = tree(content / "players")
    stopped = typed("", "", "540", "", "53 lb", *way_out)
    assert stopped.exit_code == 1
    assert "is kept: 'passport log" in stopped.output
    assert tree(content / "players") == before
    # the last answer is offered once more, so that one can go back from there
    done = typed("y", "53 lb", *REST)
    assert done.exit_code == 0, done.output
    assert "Tension, mains: 53 lb" in done.output
    job = last(content)
    assert job.strings
    assert (job.strings.mains.tension.text, job.readings[0].ring.text, job.note) == ("53 lb", "540 Hz", "Fine.")
    assert not Draft(content, "log-ada/twin").kept()


def test_a_no_at_the_end_keeps_it_too(content, typed):
    """A change that is not agreed to is not typed again."""
    refused = typed("", "", "", "", "53 lb", *REST[:-1], "n")
    assert "Nothing was written." in refused.output
    assert len(load(content)[0].frames["ada/twin"].record.jobs) == 1
    done = typed("y", "Better.", "y")
    assert done.exit_code == 0, done.output
    assert last(content).note == "Better."
    assert last(content).strings.mains.tension.text == "53 lb"


def test_a_no_to_going_on_begins_anew(content, typed):
    """What was begun may be left, and is forgotten then."""
    typed("", "", "540")
    result = typed("n", "2026-11-24", "n", *[""] * 7, "Anew.", "y")
    assert result.exit_code == 0, result.output
    assert last(content).strings is None
    assert not Draft(content, "log-ada/twin").kept()


def test_answers_that_no_longer_fit_are_asked_for_anew(content, typed):
    """Where the records changed meanwhile, what does not fit any more is asked, and what is broken is not read."""
    draft = Draft(content, "log-ada/twin")
    draft.keep([("Date", "2026-11-24"), ("Restrung?", "y"), ("A question of another day", "x"), ("Tension", "?")])
    result = typed("y", "", "", "53 lb", *REST)
    assert result.exit_code == 0, result.output
    assert last(content).date.isoformat() == "2026-11-24"
    draft.keep([("Date", "x")])
    path = content / ".passport/drafts/log-ada-twin.json"
    path.write_text("[", encoding="utf-8")
    assert draft.kept() == []


def test_a_draft_is_its_owners_alone_and_goes_with_an_erased_player(content):
    """Nobody else may read it, version control leaves it out, and it is dropped where it names who is erased."""
    draft, other = Draft(content, "walk-in"), Draft(content, "log-bo/only")
    draft.keep([("Player", "Ada Quill"), ("Reach", "ada@ropewalk.example")])
    other.keep([("Date", "2026-11-24")])
    path = content / ".passport/drafts/walk-in.json"
    assert path.stat().st_mode & 0o077 == 0
    assert (content / ".passport/.gitignore").read_text(encoding="utf-8") == "*\n"
    assert forget(content, lambda data: b"Quill" in data) == 1
    assert (draft.kept(), other.kept()) == ([], [("Date", "2026-11-24")])
