"""``passport undo``: each act taken back to the byte, several in a row, and refused where something would be lost."""

import re
import shutil

import killed
import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, passport, refused, tree

from passport.cli.main import main
from passport.records.ledger import ledger
from passport.records.ledger.ledger import ISSUED, WITHDRAWN
from passport.records.load import load
from passport.records.schema import numbers
from passport.records.transaction import journal, undo

MAIN = "players/ada/main.yaml"
HIGHEST = max(map(numbers.running_number, smallshop.NUMBERS.values()))
NEXT = numbers.with_check(HIGHEST + 1)
ACTS = {
    "log": ("log", "ada/main", "--mass", "331 g", "--no-build", "--yes"),
    "issue": ("issue", "ada/new", "--yes"),
    "heir": ("issue", "ada/heir", "--replaces", "ada/main", "--yes"),
    "new player": ("issue", "cy/one", "--model", "larch-98", "--label", "One", "--player-name", "Cy", "--yes"),
    "lost": ("lost", "ada/main", "--yes"),
    "retire": ("retire", "ada/main", "--yes"),
    "seal": ("seal", "ada/main", "--yes"),
    "correct": ("correct", "ada/main", "--job", "last", "--remove", "--yes"),
}


@pytest.fixture
def content(tmp_path):
    """The small workshop, whose ledger is begun."""
    content = smallshop.write(tmp_path / "content")
    assert passport("issue", content, "ada/main", "--yes").exit_code == 0
    assert passport("lost", content, "bo/only", "--yes").exit_code == 0
    return content


def done(content, name):
    """One of the acts, which changes something."""
    command, *rest = ACTS[name]
    before = records(content)
    result = passport(command, content, *rest)
    assert result.exit_code == 0, result.output
    assert records(content) != before
    return before


def records(content):
    """All files but the ledger, in which nothing is ever taken back."""
    return {name: data for name, data in tree(content).items() if name != ledger.FILE}


@pytest.mark.parametrize("name", list(ACTS))
def test_each_act_is_taken_back_to_the_byte(content, name):
    """Every record is as before, and the ledger still says all that it said."""
    before = done(content, name)
    said = (content / ledger.FILE).read_bytes()
    result = passport("undo", content, "--yes")
    assert (result.exit_code, result.stderr) == (0, "")
    assert records(content) == before
    assert (content / ledger.FILE).read_bytes().startswith(said)
    assert passport("check", content).exit_code == 0


def test_an_import_of_several_records_is_taken_back(content, tmp_path):
    """One change of many files is one step back."""
    table = tmp_path / "jobs.csv"
    table.write_text("Card;Date;Mass\nada/main;20.11.2026;331\nada/twin;21.11.2026;331\n", encoding="utf-8")
    columns = tmp_path / "columns.yaml"
    text = "date: Date\ndates: day.month.year\nframe: Card\ncolumns: {mass: Mass}\nunits: {mass: g}\n"
    columns.write_text(text, encoding="utf-8")
    before = records(content)
    result = passport("import", content, table, "--map", columns, "--write")
    assert records(content) != before, result.output
    assert passport("undo", content, "--yes").exit_code == 0
    assert records(content) == before


def test_several_in_a_row(content):
    """Each run goes one change further back; every run begins anew, as after a restart, from what is on the disk."""
    states = [done(content, name) for name in ("log", "issue", "seal", "correct")]
    for state in reversed(states):
        assert passport("undo", content, "--yes").exit_code == 0
        assert records(content) == state
    result = passport("undo", content, "--yes")
    assert "bo/only" in result.stdout or smallshop.NUMBERS["only"] in result.stdout
    refused(passport("undo", content, "--yes"), "Nothing is remembered")


def test_what_was_taken_back_is_brought_back(content):
    """Several in a row too; a change that is there again can be taken back again."""
    states = [done(content, name) for name in ("log", "seal", "correct")]
    last = records(content)
    for state in reversed(states):
        assert passport("undo", content, "--yes").exit_code == 0
        assert records(content) == state
    for state in [*states[1:], last]:
        assert passport("undo", content, "--redo", "--yes").exit_code == 0
        assert records(content) == state
    refused(passport("undo", content, "--redo", "--yes"), "Nothing is remembered that was taken back")
    assert passport("undo", content, "--yes").exit_code == 0
    assert records(content) == states[-1]


def test_a_withdrawn_number_is_not_brought_back(content):
    """What the ledger closed stays closed."""
    done(content, "issue")
    assert passport("undo", content, "--yes").exit_code == 0
    before = records(content)
    refused(passport("undo", content, "--redo", "--yes"), "says for good")
    assert records(content) == before


def test_it_shows_what_when_and_which_files(content):
    """The change with its day and command, each file, and the lines that go and come back; nothing is written."""
    done(content, "log")
    before = records(content)
    result = passport("undo", content, "--dry-run")
    assert re.search(r"^3  2026-11-2[45] \d\d:\d\d  passport log: A job of 2026-11-25 on ", result.stdout, re.M)
    assert f"  {MAIN}\n    -   - date: 2026-11-25\n" in result.stdout
    assert records(content) == before
    listed = passport("undo", content, "--list").stdout.splitlines()
    assert [line.split()[0] for line in listed] == ["3", "2"]
    refused(passport("undo", content), "nobody is here to agree")
    assert records(content) == before


def test_a_person_is_asked(content, monkeypatch):
    """Enter takes it back, no leaves it."""
    before = done(content, "log")
    as_a_person(monkeypatch)
    after = records(content)
    for answer, stands in (("n\n", after), ("\n", before)):
        result = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH}).invoke(main, ["undo", str(content)], input=answer)
        assert "Take this back? [Y/n]" in result.output
        assert records(content) == stands


def test_what_was_edited_since_is_not_taken_back(content):
    """The reason names the file, and nothing is written; a change of other files can be named."""
    done(content, "log")
    state = done(content, "issue")
    text = (content / "players/ada/new.yaml").read_text(encoding="utf-8")
    (content / "players/ada/new.yaml").write_text(text + "# mine\n", encoding="utf-8")
    before = tree(content)
    refused(passport("undo", content, "--yes"), "players/ada/new.yaml was changed since", "passport correct")
    assert tree(content) == before
    assert passport("undo", content, "--change", "3", "--yes").exit_code == 0
    assert records(content)[MAIN] == smallshop.FILES[MAIN].encode()
    assert state[MAIN] != records(content)[MAIN]
    assert passport("undo", content, "--change", "3", "--yes").exit_code == 2


def test_a_job_on_top_of_another_holds_it_fast(content):
    """A change below a later one of the same file is not taken back alone."""
    done(content, "log")
    done(content, "correct")
    refused(passport("undo", content, "--change", "3", "--yes"), f"{MAIN} was changed since")


def test_a_mistaken_number_is_withdrawn_and_never_given_again(content):
    """The ledger closes its address, and the next number is another one."""
    done(content, "issue")
    shown = passport("undo", content, "--yes").stdout
    assert f"Passport {NEXT} is withdrawn" in shown
    known = ledger.read(content)
    ends = [line for line in known.lines if line.number == NEXT]
    assert [line.event for line in ends] == [ISSUED, WITHDRAWN]
    assert ends[0].key in known.closed
    assert known.sound
    assert NEXT not in (content / "players/ada/new.yaml").read_text(encoding="utf-8")
    again = passport("issue", content, "ada/new", "--yes")
    assert f"passport {numbers.with_check(HIGHEST + 2)}" in again.stdout
    assert ledger.read(content).lines[-1].key != ends[0].key


def test_a_withdrawn_address_says_that_it_is_closed(content, tmp_path):
    """Whoever scans a card that was printed meanwhile is told so."""
    site = tmp_path / "site"
    done(content, "issue")
    key = load(content)[0].frames["ada/new"].record.key
    assert passport("build", content, "--out", site, "--no-cards").exit_code == 0
    page = (site / key / "index.html").read_text(encoding="utf-8")
    assert passport("undo", content, "--yes").exit_code == 0
    assert passport("build", content, "--out", site, "--no-cards").exit_code == 0
    closed = (site / key / "index.html").read_text(encoding="utf-8")
    assert closed != page
    assert NEXT not in closed


def test_what_was_erased_does_not_come_back(content):
    """Erasing is not taken back, and nothing of the player is left in what could be; another's change still can be."""
    before = done(content, "log")
    assert passport("lost", content, "bo/only", "--yes").exit_code == 0
    done(content, "retire")
    assert passport("erase", content, "bo", "--yes").exit_code == 0
    after = tree(content)
    refused(passport("undo", content, "--yes"), "'A player was erased' cannot be undone", "--list")
    assert tree(content) == after
    listed = passport("undo", content, "--list").stdout
    assert "nothing of it is kept" in listed
    assert smallshop.NUMBERS["only"] not in listed
    for number in re.findall(r"^(\d+)  .*ada|^(\d+)  .*(?:log|retire):", listed, re.M):
        assert passport("undo", content, "--change", next(filter(None, number)), "--yes").exit_code == 0
    assert records(content)[MAIN] == before[MAIN]
    assert not (content / "players/bo").exists()


def test_an_error_that_comes_back_is_shown(content):
    """Where taking back would leave an error, it says so first; nobody is kept from it."""
    done(content, "new player")
    path = content / "players/ada/twin.yaml"
    number = load(content)[0].frames["cy/one"].record.number
    path.write_text(path.read_text(encoding="utf-8") + f"rebuilds: {number}\n", encoding="utf-8")
    result = passport("undo", content, "--yes")
    assert result.exit_code == 0
    assert "players/cy" not in "".join(records(content))


def test_killed_before_each_step(content, tmp_path):
    """Wherever it is stopped, the records are as before the undo or after it, and the next command ends it."""
    killed.prepare()
    done(content, "heir")
    seen = set()
    for number in range(80):
        copy = tmp_path / f"{number}" / "content"
        shutil.copytree(content, copy)
        finished = killed.at_step(number, ["undo", copy, "--yes"])
        begun = journal.interrupted(copy)
        assert passport("check", copy).exit_code == 0
        back = "players/ada/heir.yaml" not in tree(copy)
        assert back or not (begun or finished)
        assert (records(copy)[MAIN] == smallshop.FILES[MAIN].encode()) is back
        assert ledger.read(copy).sound
        assert (undo.last(copy).work == "passport issue") is not back
        seen.add(back)
        if finished:
            break
    assert finished
    assert seen == {False, True}
