"""Killed before each of its steps, a command that amends a workshop leaves what was before or what was wanted."""

import re
import shutil
import sys
import zipfile

import killed
import pytest
import smallshop
from commandline import passport, tree
from killed import ends, sound
from places import ROOT

from passport.records.faults import has_errors
from passport.records.ledger import ledger
from passport.records.ledger.ledger import CLOSED, LedgerLine
from passport.records.load import load
from passport.records.transaction import history, ledger_file

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="the signal that cannot be caught is POSIX")
MAIN = "players/ada/main.yaml"
PLAYER = "players/bo/player.yaml"
CORRECTED = smallshop.FILES[MAIN].replace("tension: 23 kg", "tension: 22 kg")
CORRECT = ("correct", "{content}", "ada/main", "--job", "2026-03-02", "--set", "crosses.tension=22 kg", "--yes")


@pytest.fixture(scope="module", autouse=True)
def ready():
    """Processes that begin with everything imported."""
    killed.prepare()


def text_of(content, name=MAIN):
    """The text of a record."""
    return (content / name).read_text(encoding="utf-8")


def others_stand(content, *but):
    """Every record but those named is as it was made."""
    found = tree(content)
    return all(found[name].decode() == text for name, text in smallshop.FILES.items() if name not in but)


def everything(content):
    """All bytes below a folder, hidden ones too."""
    return b"".join(path.read_bytes() for path in content.rglob("*") if path.is_file())


def test_correct_before_each_step(tmp_path, counted):
    """The record is the old or the corrected one; the next command goes on from it, and the change can be taken back."""
    seen = set()

    def check(content, finished):
        text = text_of(content)
        seen.add(text)
        assert text in (smallshop.FILES[MAIN], CORRECTED)
        assert text == CORRECTED or not finished
        assert others_stand(content, MAIN)
        assert sound(content)
        assert passport("lost", content, "ada/twin", "--yes").exit_code == 0
        changes = history.entries(content)
        assert (text_of(content) == CORRECTED) is (len(changes) == 2), "what was done can be taken back"
        if len(changes) == 2:
            assert passport("undo", content, "--change", "1", "--yes").exit_code == 0
        assert text_of(content) == smallshop.FILES[MAIN]

    steps = ends(smallshop.write, CORRECT, tmp_path, check)
    assert seen == {smallshop.FILES[MAIN], CORRECTED}
    assert steps >= 4
    counted(f"correct: {killed.said(steps)}, 0 broken")


def test_two_frames_handed_back_before_each_step(tmp_path, counted):
    """Both frames are handed back or neither is, once the next command has run, and undo brings both back."""
    twin = "players/ada/twin.yaml"
    handed = ("handover", "{content}", "ada/main", "ada/twin", "--to", "her brother", "--paid", "£50", "--yes")
    seen = set()

    def check(content, finished):
        assert passport("lost", content, "bo/only", "--yes").exit_code == 0  # ends what was begun
        done = ["her brother" in text_of(content, name) for name in (MAIN, twin)]
        assert done[0] is done[1]
        assert done[0] or not finished
        seen.add(done[0])
        assert others_stand(content, MAIN, twin, "players/bo/only.yaml")
        assert sound(content)
        if done[0]:
            assert passport("undo", content, "--change", "1", "--yes").exit_code == 0
        assert [text_of(content, name) for name in (MAIN, twin)] == [smallshop.FILES[name] for name in (MAIN, twin)]

    steps = ends(smallshop.write, handed, tmp_path, check)
    assert seen == {True, False}
    assert steps >= 4
    counted(f"handover: {killed.said(steps)}, 0 broken")


def test_undo_before_each_step(tmp_path, counted):
    """The change stands or is taken back; a second undo takes the first one back and nothing else."""

    def make(root):
        content = smallshop.write(root)
        assert passport(*(a.format(content=content) for a in CORRECT)).exit_code == 0
        return content

    def check(content, finished):
        assert text_of(content) in (smallshop.FILES[MAIN], CORRECTED)
        assert others_stand(content, MAIN)
        assert sound(content)
        assert passport("undo", content, "--list").exit_code == 0
        if not finished:
            passport("lost", content, "ada/twin", "--yes")  # ends what was begun
            assert passport("found", content, "ada/twin", "--yes").exit_code == 0
            if text_of(content) == CORRECTED:
                assert passport("undo", content, "--change", "1", "--yes").exit_code == 0
        assert text_of(content) == smallshop.FILES[MAIN]
        assert others_stand(content, MAIN, "players/ada/twin.yaml")

    steps = ends(make, ("undo", "{content}", "--yes"), tmp_path, check)
    assert steps >= 4
    counted(f"undo: {killed.said(steps)}, 0 broken")


def test_undo_of_a_number_before_each_step(tmp_path, counted):
    """Wherever taking back a number is stopped, that number is not given to another frame."""
    given = {}

    def make(root):
        content = smallshop.write(root)
        assert passport("issue", content, "ada/new").exit_code == 0
        given[content] = load(content)[0].frames["ada/new"].record
        return content

    def check(content, finished):
        record = load(content)[0].frames["ada/new"].record
        assert (record.number, record.key) in ((given[content].number, given[content].key), ("", ""))
        assert sound(content)
        result = passport("issue", content, "ada/other", "--model", "larch-98", "--label", "Other", "--yes")
        assert result.exit_code == 0, result.output
        records, faults = load(content)
        assert not has_errors(faults)
        assert records.frames["ada/other"].record.number != given[content].number
        known = ledger.read(content)
        assert known
        assert known.sound
        assert (given[content].key in known.closed) is (records.frames["ada/new"].record.number == "")
        assert passport("check", content).exit_code == 0

    steps = ends(make, ("undo", "{content}", "--yes"), tmp_path, check)
    assert steps >= 6
    counted(f"undo of a number: {killed.said(steps)}, 0 broken")


@pytest.mark.parametrize("option", ["", "--renew", "--open"])
def test_seal_before_each_step(option, tmp_path, counted):
    """A frame is sealed with a whole secret or it is not sealed; never sealed without one, nor with another than the new."""
    secret = "7K2M9QX4C8VTRN5B3WJH6YDPZ1GSFA0E"
    was = f"{smallshop.FILES[MAIN]}sealed: yes\nsecret: {secret}\n" if option else smallshop.FILES[MAIN]
    seen = set()

    def check(content, finished):
        record = load(content)[0].frames["ada/main"].record
        found = (record.sealed, "old" if record.secret == secret else "new" if record.secret else "none")
        seen.add(found)
        assert others_stand(content, MAIN)
        assert sound(content)
        assert not record.sealed or re.fullmatch("[0-9A-Z]{32}", record.secret)
        assert text_of(content) == was or found == after
        assert found == after or not finished
        again = passport("seal", content, "ada/main", *([option] if option else []), "--yes")
        assert again.exit_code == 0 or found == after, again.output
        assert load(content)[0].frames["ada/main"].record.sealed is (option != "--open")
        assert passport("check", content).exit_code == 0

    before = (True, "old") if option else (False, "none")
    after = {"": (True, "new"), "--renew": (True, "new"), "--open": (False, "old")}[option]
    arguments = ("seal", "{content}", "ada/main", *([option] if option else []), "--yes")
    steps = ends(lambda root: smallshop.write(root, {MAIN: was}), arguments, tmp_path, check)
    assert seen == {before, after}
    assert steps >= 4
    counted(f"seal {option}: {killed.said(steps)}, 0 broken".replace("  ", " "))


def test_upgrade_before_each_step(tmp_path, counted):
    """A workshop of the first form opens wherever its upgrade is stopped, and the same command again ends it, once."""

    def make(root):
        shutil.copytree(ROOT / "tests/frozen/format-1/content", root)
        return root

    def check(content, finished):
        assert sound(content)
        before = tree(ROOT / "tests/frozen/format-1/content")
        now = tree(content)
        assert all(now[name].endswith(data) for name, data in before.items() if name != ledger.FILE)
        assert now[ledger.FILE].startswith(before[ledger.FILE])
        again = passport("upgrade", content, "--write")
        assert again.exit_code == 0, again.output
        known = ledger.read(content)
        assert known
        assert known.sound
        assert [line.event for line in known.lines].count("upgraded") == 1
        assert text_of(content, "workshop.yaml").count("format: 1\n") == 1
        assert passport("check", content).exit_code == 0
        for path in content.parent.glob("*.zip"):
            with zipfile.ZipFile(path) as saved:
                assert saved.testzip() is None

    steps = ends(make, ("upgrade", "{content}", "--write"), tmp_path, check)
    assert steps >= 8
    counted(f"upgrade: {killed.said(steps)}, 0 broken")


def test_retention_before_each_step(tmp_path, counted):
    """What is to be cleared is still asked about or is gone from records and history alike, never from one alone."""
    contact = "contact: {email: bo@mail.example, phone: 01632 960455}\n"
    only = smallshop.FILES["players/bo/only.yaml"].replace("2026-05-01", "2020-05-01")

    def make(root):
        changes = {PLAYER: smallshop.FILES[PLAYER] + contact, "players/bo/only.yaml": only}
        content = smallshop.write(root, changes)
        told = ("correct", content, "bo", "--player", "--set", "contact.phone=01632 960456", "--yes")
        assert passport(*told).exit_code == 0
        return content

    def check(content, finished):
        assert sound(content)
        assert others_stand(content, PLAYER, "players/bo/only.yaml")
        asked = "contact:bo" in passport("retention", content).output
        assert not (asked and finished)
        if asked:
            assert passport("retention", content, "--clear", "contact:bo").exit_code == 0
        else:  # ends what was begun
            assert passport("lost", content, "ada/twin", "--yes").exit_code == 0
        assert load(content)[0].players["bo"].record.contact.email == ""
        for word in (b"bo@mail.example", b"960455", b"960456"):
            assert word not in everything(content), word
        assert passport("check", content).exit_code == 0

    steps = ends(make, ("retention", "{content}", "--clear", "contact:bo"), tmp_path, check)
    assert steps >= 5
    counted(f"retention: {killed.said(steps)}, 0 broken")


def test_mend_before_each_step(tmp_path, counted):
    """A damaged ledger is the damaged or the mended one; the damaged one is kept, and the command again ends it."""

    def make(root):
        content = smallshop.write(root)
        assert passport("issue", content, "ada/new").exit_code == 0
        path = content / ledger.FILE
        path.write_text(path.read_text(encoding="utf-8").replace(" issued ", " isued ", 1), encoding="utf-8")
        return content

    damaged = {}

    def check(content, finished):
        known = ledger.read(content)
        assert known
        if finished:
            assert known.sound
        if not known.sound:
            assert len(known.damaged) == 1, "as it was"
            again = passport("addresses", content, "--mend", "--yes")
            assert again.exit_code == 0, again.output
        else:
            assert passport("lost", content, "ada/twin", "--yes").exit_code == 0  # ends what was begun
        known, records = ledger.read(content), load(content)[0]
        assert known
        assert known.sound
        assert known.unlisted(records) == ()
        assert [line.event for line in known.lines].count("mended") <= 1
        kept = [path.read_text(encoding="utf-8") for path in content.glob("ledger-damaged-*.txt")]
        assert kept
        assert all(" isued " in text for text in kept)
        assert passport("check", content).exit_code == 0
        damaged[content] = len(kept)

    steps = ends(make, ("addresses", "{content}", "--mend", "--yes"), tmp_path, check)
    assert steps >= 4
    counted(f"addresses --mend: {killed.said(steps)}, 0 broken")


def test_reopen_before_each_step(tmp_path, counted):
    """An address that was closed by mistake is closed or open again, and the ledger says so once."""
    key = smallshop.KEYS["main"]

    def make(root):
        content = smallshop.write(root)
        ledger_file.append(content, [LedgerLine(CLOSED, key, "frame", smallshop.NUMBERS["main"])], smallshop.TODAY)
        return content

    def check(content, finished):
        assert sound(content)
        assert others_stand(content)
        known = ledger.read(content)
        assert known
        assert not (finished and key in known.closed)
        if key in known.closed:
            again = passport("addresses", content, "--reopen", key, "--yes")
            assert again.exit_code == 0 or "nothing to open" in again.output, again.output
        assert passport("lost", content, "ada/twin", "--yes").exit_code == 0
        known = ledger.read(content)
        assert known
        assert known.sound
        assert key not in known.closed
        assert [line.event for line in known.lines].count("reopened") == 1
        assert passport("check", content).exit_code == 0

    steps = ends(make, ("addresses", "{content}", "--reopen", key, "--yes"), tmp_path, check)
    assert steps >= 4
    counted(f"addresses --reopen: {killed.said(steps)}, 0 broken")
