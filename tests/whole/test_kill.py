"""Killed at any moment, a writing command leaves the old record or the new one, never a broken one."""

import random
import sys

import killed
import pytest
import smallshop
from commandline import passport, tree
from forms import FULL
from killed import ends, sound

from passport.acts.erase import ASIDE
from passport.records.faults import has_errors
from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.transaction import lock

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="the signal that cannot be caught is POSIX")
MAIN = "players/ada/main.yaml"
TIMES = 100 if FULL else 30


@pytest.fixture(scope="module", autouse=True)
def ready():
    """Processes that begin with everything imported."""
    killed.prepare()


def test_killed_at_random(tmp_path):
    """A process that records job after job, killed at a hundred random moments (thirty in the short form), loses no job
    and breaks none."""
    content = smallshop.write(tmp_path / "content")
    chance, during = random.Random(5), 0
    before = (content / MAIN).read_text(encoding="utf-8")
    for _ in range(TIMES):
        killed.after(chance.uniform(0.0, 3.0), killed.log_on_and_on, content, 20)
        text = (content / MAIN).read_text(encoding="utf-8")
        head, tail = before.split("private_note: SECRET-FRAME")[0], "private_note: SECRET-FRAME\n"
        assert text.startswith(head)
        assert text.endswith(tail)
        assert sound(content)
        during += text != before
        before = text
    jobs = load(content)[0].frames["ada/main"].record.jobs
    assert all(job.note == "x" * 2000 for job in jobs[3:])
    assert during > TIMES / 10, "the moments hit the work"
    assert passport("check", content).exit_code == 0
    print(f"killed {TIMES} times at random: {len(jobs) - 3} jobs recorded, none lost, none broken")


def test_log_before_each_step(tmp_path):
    """Wherever recording a job is stopped, the record is the old or the new one, and the next command can write."""
    seen = set()

    def check(content, finished):
        text = (content / MAIN).read_text(encoding="utf-8")
        seen.add(text)
        assert (text == smallshop.FILES[MAIN]) is not (text.count("- date") == 4)
        assert not finished or text.count("- date") == 4
        others = {
            name: data.decode() for name, data in tree(content).items() if name in smallshop.FILES and name != MAIN
        }
        assert others == {name: text for name, text in smallshop.FILES.items() if name != MAIN}
        assert sound(content)
        assert passport("log", content, "ada/twin", "--mass", "331 g", "--no-build").exit_code == 0

    steps = ends(smallshop.write, ("log", "{content}", "ada/main", "--mass", "331 g", "--no-build"), tmp_path, check)
    assert len(seen) == 2
    assert steps >= 4
    print(f"log: {killed.said(steps)}")


def test_issue_before_each_step(tmp_path):
    """Wherever a frame in place of another one is stopped, the records are sound and what is missing can be done again."""
    arguments = ("issue", "{content}", "ada/heir", "--replaces", "ada/main")

    def check(content, finished):
        assert sound(content)
        records, _ = load(content)
        main, heir = records.frames["ada/main"].record, records.frames.get("ada/heir")
        assert heir or main.status == "active"
        again = passport("issue", content, "ada/heir", "--replaces", "ada/main")
        assert again.exit_code == 0, again.output
        records, _ = load(content)
        main = records.frames["ada/main"].record
        assert (main.status, main.replaced_by) == ("broken", records.frames["ada/heir"].record.number)
        known = ledger.read(content)
        assert known
        assert known.unlisted(records) == ()
        assert passport("check", content).exit_code == 0

    steps = ends(smallshop.write, arguments, tmp_path, check)
    assert steps >= 8
    print(f"issue --replaces: {killed.said(steps)}")


def test_lost_before_each_step(tmp_path):
    """Wherever a change of status is stopped, the frame has the old or the new one."""

    def check(content, finished):
        assert sound(content)
        assert (load(content)[0].frames["ada/main"].record.status == "lost") or not finished

    assert ends(smallshop.write, ("lost", "{content}", "ada/main", "--yes"), tmp_path, check) >= 4


def test_erase_before_each_step(tmp_path):
    """Wherever erasing is stopped, the other records are sound, and the same command again finishes it."""

    def check(content, finished):
        records, faults = load(content)
        assert not has_errors(faults)
        assert records.frames["bo/only"].record.label == "Only"
        if not finished and ((content / "players/ada").is_dir() or (content / f"{ASIDE}ada").is_dir()):
            again = passport("erase", content, "ada", "--yes")
            assert again.exit_code == 0, again.output
        assert not (content / "players/ada").exists()
        assert not (content / f"{ASIDE}ada").exists()
        known = ledger.read(content)
        assert known
        assert known.damaged == known.lost == ()
        assert {smallshop.KEYS["ada"], smallshop.KEYS["main"]} <= set(known.closed)

    steps = ends(smallshop.write, ("erase", "{content}", "ada", "--yes"), tmp_path, check)
    assert steps >= 8
    print(f"erase: {killed.said(steps)}")


def test_import_before_each_step(tmp_path):
    """Wherever an import is stopped, the records are sound, and the same command again adds what is missing, once."""

    def make(root):
        content = smallshop.write(root)
        rows = "".join(
            f"{name};2026-06-0{n};331\n" for n, name in enumerate(("ada/main", "ada/twin", "bo/only"), start=1)
        )
        (root.parent / "jobs.csv").write_text("Card;Date;Mass\n" + rows, encoding="utf-8")
        text = "date: Date\nframe: Card\ncolumns: {mass: Mass}\nunits: {mass: g}\n"
        (root.parent / "map.yaml").write_text(text, encoding="utf-8")
        return content

    def check(content, finished):
        assert sound(content)
        asked = ("import", content, content.parent / "jobs.csv", "--map", content.parent / "map.yaml", "--write")
        assert passport(*asked).exit_code == 0
        records, _ = load(content)
        assert [len(records.frames[name].record.jobs) for name in ("ada/main", "ada/twin", "bo/only")] == [4, 2, 2]

    arguments = ("import", "{content}", "{content}/../jobs.csv", "--map", "{content}/../map.yaml", "--write")
    steps = ends(make, arguments, tmp_path, check)
    assert steps >= 8
    print(f"import: {killed.said(steps)}")


def test_start_before_each_step(tmp_path):
    """Wherever starting a workshop is stopped, there is a whole one or none, and the same command again makes it."""

    def make(root):
        root.parent.mkdir(parents=True)
        return root

    def check(content, finished):
        if content.exists():
            assert sound(content)
        else:
            assert not finished
            assert passport("start", content, "--yes").exit_code == 0
        assert passport("check", content).exit_code == 0

    assert ends(make, ("start", "{content}", "--yes"), tmp_path, check) >= 20


def test_what_a_killed_command_leaves_is_hidden(tmp_path):
    """The lock, the journal and half-written files of a killed command are hidden, and nobody reads them as records."""
    left = set()
    for number in range(killed.MOST):
        content = smallshop.write(tmp_path / f"{number}" / "content")
        finished = killed.at_step(number, ["log", content, "ada/main", "--mass", "331 g", "--no-build"])
        found = {path.relative_to(content).as_posix() for path in content.rglob("*") if path.is_file()}
        left |= found - set(smallshop.FILES)
        if finished:
            break
    assert all(any(part.startswith(".") for part in name.split("/")) for name in left), left
    assert lock.NAME in left
    assert any("main.yaml-" in name for name in left)
