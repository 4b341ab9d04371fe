"""A change of the records: tried, shown, agreed to, and never over what another command wrote meanwhile."""

import io
import subprocess
import sys

import pytest
import smallshop
from commandline import EPOCH, tree
from places import SUPPORT

from passport.acts.change import Base, Change, Overtaken, held, write
from passport.acts.refused import Refused
from passport.cli.shared import change, dialogue
from passport.cli.shared.change import Options, base_of, carry_out
from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.transaction import atomic, ledger_file, lock
from passport.records.yaml.edit import with_value
from passport.records.yaml.yamlplace import CannotEdit

MAIN, TWIN = "players/ada/main.yaml", "players/ada/twin.yaml"


@pytest.fixture
def content(tmp_path, monkeypatch):
    """The small workshop on a fixed day."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    return smallshop.write(tmp_path / "content")


def label(text, *, shown="new label"):
    """A change that gives one frame another label."""

    def make(base: Base) -> Change:
        return Change({MAIN: with_value(base.text(MAIN) or "", "label", text)}, shown)

    return make


def test_a_sound_change_is_shown_and_written(content, capsys):
    """It is shown, written, and the content with it is given back."""
    after = carry_out(content, "test", label("First"), Options())
    assert after
    assert after.frames["ada/main"].record.label == "First"
    assert load(content)[0].frames["ada/main"].record.label == "First"
    assert capsys.readouterr() == ("new label\n", "")


@pytest.mark.parametrize("options", [Options(dry_run=True), Options(dry_run=True, question="Sure?")])
def test_a_dry_run_shows_and_stops(content, capsys, options):
    """Nothing is written and nobody is asked."""
    before = tree(content)
    assert carry_out(content, "test", label("First"), options) is None
    assert tree(content) == before
    assert "new label" in capsys.readouterr().out


def test_a_question_needs_somebody(content):
    """Where nobody is there to agree the command ends, and with --yes it does not ask."""
    before = tree(content)
    with pytest.raises(Refused, match="--yes"):
        carry_out(content, "test", label("First"), Options(question="Sure?"))
    assert tree(content) == before
    assert carry_out(content, "test", label("First"), Options(yes=True, question="Sure?"))


@pytest.mark.parametrize("agrees", [True, False])
def test_a_new_warning_is_asked_about_on_a_terminal(content, monkeypatch, capsys, agrees):
    """A person decides on a warning; a no leaves everything as it was."""
    asked = []
    monkeypatch.setattr(change, "at_terminal", lambda: True)
    monkeypatch.setattr(change, "confirmed", lambda question, **_: asked.append(question) or agrees)

    def make(base):
        text = (base.text(TWIN) or "").replace("52 lb", "60 lb")
        return Change({TWIN: text})

    before = tree(content)
    assert bool(carry_out(content, "test", make, Options())) is agrees
    assert asked == ["Write it all the same?"]
    assert (tree(content) == before) is not agrees
    assert "tension-limit" in capsys.readouterr().err


@pytest.mark.parametrize("question", ["", "Write this?"])
@pytest.mark.parametrize(("typed", "written"), [("", False), ("y", True)])
def test_enter_does_not_agree_to_a_tension_over_the_limit(content, monkeypatch, capsys, question, typed, written):
    """Over the maker's limit Enter alone means no, whatever is asked; only a yes that was typed agrees."""
    for module in (change, dialogue):
        monkeypatch.setattr(module, "at_terminal", lambda: True)
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{typed}\n"))

    def make(base):
        return Change({TWIN: (base.text(TWIN) or "").replace("52 lb", "60 lb")})

    assert bool(carry_out(content, "test", make, Options(question=question))) is written
    assert "[y/N]" in capsys.readouterr().out


def test_enter_agrees_to_a_warning_that_hurts_nobody(content, monkeypatch, capsys):
    """A warning that has nothing to do with the maker's limit keeps yes as what Enter means."""
    for module in (change, dialogue):
        monkeypatch.setattr(module, "at_terminal", lambda: True)
    monkeypatch.setattr("sys.stdin", io.StringIO("\n"))
    strings = "{mains: {string: reed-125, tension: 50 lb}, pieces: 1, knots: 2}"
    ageless = f"\njobs: [{{date: 2026-11-01, strings: {strings}, readings: [{{ring: 580 Hz}}]}}]\n"

    def make(base):
        return Change({"players/ada/new.yaml": (base.text("players/ada/new.yaml") or "") + ageless})

    assert carry_out(content, "test", make, Options())
    said = capsys.readouterr()
    assert "[Y/n]" in said.out
    assert "no-age" in said.err


def test_what_another_command_wrote_meanwhile_is_kept(content, capsys):
    """A change that was overtaken is worked out anew from what stands there then."""
    turns = []

    def make(base):
        made = label(f"Label {len(turns)}")(base)
        if not turns:
            other = (content / MAIN).read_text(encoding="utf-8")
            (content / MAIN).write_text(other + "# by another command\n", encoding="utf-8")
        turns.append(1)
        return made

    assert carry_out(content, "test", make, Options())
    text = (content / MAIN).read_text(encoding="utf-8")
    assert "# by another command" in text
    assert "label: Label 1" in text
    assert len(turns) == 2
    assert "worked out anew" in capsys.readouterr().err


def test_in_the_end_it_gives_up(content):
    """When it is overtaken again and again it stops, with nothing written."""

    def make(base):
        made = label("New")(base)
        (content / MAIN).write_text((content / MAIN).read_text(encoding="utf-8") + "#\n", encoding="utf-8")
        return made

    with pytest.raises(Refused, match="Try again"):
        carry_out(content, "test", make, Options())
    assert load(content)[0].frames["ada/main"].record.label == "Main"


def test_lines_for_the_ledger_come_last(content, monkeypatch):
    """The journal is written before all, records before the ledger, so that no address is listed that no record has,
    and the file beside the folder last."""
    written, write = [], atomic.write

    def noted(path, data, mode=0o644):
        written.append(path.name)
        write(path, data, mode)

    monkeypatch.setattr(atomic, "write", noted)

    def make(base):
        base.ledger()
        texts = {path: f"{base.text(path)}# seen\n" for path in (MAIN, TWIN)}
        return Change(texts, issued=tuple(ledger.in_content(base.records)))

    carry_out(content, "test", make, Options())
    assert written == ["pending.json", "main.yaml", "twin.yaml", ledger.FILE, "content.closed.txt"]


def test_nothing_to_write(content):
    """A change without files leaves everything as it is."""
    before = tree(content)
    assert carry_out(content, "test", lambda base: Change({}), Options()) is None
    assert tree(content) == before


def test_what_cannot_be_edited_ends_the_command(content):
    """A text that cannot be changed safely is told in words."""

    def make(base):
        raise CannotEdit("By hand, please.")

    with pytest.raises(Refused, match=r"Nothing was written\. By hand, please\."):
        carry_out(content, "test", make, Options())


def test_a_file_is_seen_once(content):
    """What is worked out from a file rests on one state of it; where that is not the last, the change is not written."""
    base = base_of(content)
    before = base.ledger()
    line = ledger.LedgerLine(ledger.ISSUED, "2" * 26, "frame", "2222-5", "https://x.example")
    ledger_file.append(content, [line], smallshop.TODAY)
    assert base.ledger() == before
    with pytest.raises(Overtaken), held(content, "test", print):
        write(base, Change({}, issued=(line,)), "test", print)


def test_who_is_overtaken_again_and_again_gets_through(content, monkeypatch):
    """A command that nobody has to answer takes the lock for its last try, so that others can be no faster."""
    path, tries = content / MAIN, []

    def other(text):
        """Another command, which is faster unless it has to wait for the lock."""
        with lock.locked(content, "another command", wait=0):
            path.write_text(text + f"# {len(tries)}\n", encoding="utf-8")

    def make(base):
        text = base.text(MAIN)
        tries.append(text)
        if len(tries) < 5:
            other(text)
        else:
            with pytest.raises(lock.Busy):
                other(text)
        return Change({MAIN: text + "# mine\n"})

    assert carry_out(content, "test", make, Options(yes=True))
    assert len(tries) == 5
    assert path.read_text(encoding="utf-8").endswith("# 4\n# mine\n")


def test_text_that_is_not_utf8(content):
    """A file in another encoding is not guessed at."""
    (content / MAIN).write_bytes(b"label: \xe9\n")
    with pytest.raises(CannotEdit, match="UTF-8"):
        base_of(content).text(MAIN)


def test_a_folder_that_cannot_be_locked(content, monkeypatch):
    """Where the folder cannot be written to, the reason is told."""

    def denied(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(lock.os, "open", denied)
    with pytest.raises(Refused, match="Permission denied"), held(content, "test", print):
        pass


def test_two_at_once_lose_nothing(content):
    """Two processes that each record eight jobs on one frame leave sixteen more on it, all of them sound."""
    code = (
        "import sys\nfrom pathlib import Path\nfrom commandline import passport\n"
        "for n in range(8):\n"
        "    done = passport('log', sys.argv[1], 'ada/main', '--mass', f'{sys.argv[2]}{n} g', '--no-build')\n"
        "    assert done.exit_code == 0, done.output\n"
    )
    asked = [[sys.executable, "-c", code, str(content), start] for start in ("330.", "331.")]
    processes = [subprocess.Popen(one, cwd=SUPPORT, stderr=subprocess.PIPE, text=True) for one in asked]
    for process in processes:
        assert (process.wait(timeout=120), process.stderr.read() if process.stderr else "") == (0, "")
        if process.stderr:
            process.stderr.close()
    jobs = load(content)[0].frames["ada/main"].record.jobs
    masses = sorted(job.readings[0].mass.text for job in jobs[3:])
    assert masses == sorted(f"{start}{n} g" for start in ("330.", "331.") for n in range(8))


def test_two_that_issue_at_once_get_different_numbers(content):
    """Two processes that each issue four frames give out eight numbers, each once, all of them in the ledger."""
    code = (
        "import sys\nfrom commandline import passport\n"
        "for n in range(4):\n"
        "    done = passport('issue', sys.argv[1], f'ada/{sys.argv[2]}{n}', '--model', 'larch-98', '--label', 'X')\n"
        "    assert done.exit_code == 0, done.output\n"
    )
    asked = [[sys.executable, "-c", code, str(content), start] for start in ("left", "right")]
    processes = [subprocess.Popen(one, cwd=SUPPORT) for one in asked]
    assert [process.wait(timeout=120) for process in processes] == [0, 0]
    records, faults = load(content)
    fresh = [e.record.number for name, e in records.frames.items() if e.record.label == "X"]
    assert len(set(fresh)) == 8
    known = ledger.read(content)
    assert known
    assert (known.damaged, known.lost, known.unlisted(records), faults) == ((), (), (), [])
