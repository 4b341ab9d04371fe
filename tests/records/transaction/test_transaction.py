"""One change of several files, ledger included, is whole or not at all; what was changed is remembered, and the way back."""

import stat
from datetime import UTC, date, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.records.ledger import ledger, witness
from passport.records.ledger.ledger import CLOSED, ISSUED, WITHDRAWN, LedgerLine
from passport.records.transaction import atomic, history, ledger_file, private, undo
from passport.records.transaction.entries import Unreadable, dumped, loaded
from passport.records.transaction.journal import PENDING, Wanted, commit, interrupted, settle

DAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
KEY = "A" * 26
LINE = LedgerLine(ISSUED, KEY, "frame", "1042-9", "https://a.example")
FILES = {"players/a/one.yaml": b"one: new\n", "players/a/two.yaml": f"key: {KEY}\n".encode(), "workshop.yaml": None}


class Refused(OSError):
    """A write that the disk refuses."""


@pytest.fixture
def root(tmp_path):
    """A content folder with two files, one of which a change takes away."""
    folder = tmp_path / "shop"
    (folder / "players/a").mkdir(parents=True)
    (folder / "players/a/one.yaml").write_bytes(b"one: old\n")
    (folder / "workshop.yaml").write_bytes(b"name: x\n")
    return folder


def files(root):
    """What stands in the content but for the program's own folder."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in root.rglob("*")
        if path.is_file() and private.NAME not in path.parts
    }


def changed(root, work="passport test", **other):
    """The three files changed, and a line in the ledger."""
    return commit(root, Wanted(work, "Three files", FILES, (LINE,), **other), DAY, NOW)


def stopped(root, monkeypatch, step):
    """The same, stopped for good before its so many-th write; whether it came to its end before."""
    left = [step]

    def count(real):
        def write(*arguments, **more):
            left[0] -= 1
            if left[0] < 0:
                raise KeyboardInterrupt
            return real(*arguments, **more)

        return write

    with monkeypatch.context() as patch:
        patch.setattr(atomic, "write", count(atomic.write))
        patch.setattr("passport.records.transaction.journal._back", lambda *_: None)
        patch.setattr("pathlib.Path.unlink", _unlink_but_journal(left))
        try:
            changed(root)
        except KeyboardInterrupt:
            return False
    return True


def _unlink_but_journal(left):
    """Taking files away counts as a write; a process that was killed takes no journal away."""
    from pathlib import Path

    real = Path.unlink

    def unlink(path, missing_ok=False):
        if path.name == PENDING and left[0] < 0:
            return
        if path.suffix == ".yaml":
            left[0] -= 1
            if left[0] < 0:
                raise KeyboardInterrupt
        real(path, missing_ok=missing_ok)

    return unlink


def test_all_of_it_is_done(root):
    """Files are written, made and taken away, the ledger has its line, the file beside the folder knows of it."""
    entry = changed(root)
    assert (root / "players/a/one.yaml").read_bytes() == b"one: new\n"
    assert not (root / "workshop.yaml").exists()
    known = ledger.read(root)
    assert [line.key for line in known.lines] == [KEY]
    said = witness.read(root)
    assert (said.last, said.count, said.highest) == (known.last, 1, 1042)
    assert (entry.work, entry.summary, entry.time) == ("passport test", "Three files", "2026-11-25T09:30:00+00:00")
    assert not interrupted(root)
    assert settle(root) is None


def test_only_the_owner_looks_into_the_journal(root):
    """The folder and the changes in it are readable by their owner alone, and version control leaves them out."""
    changed(root)
    folder = root / private.NAME
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert all(stat.S_IMODE(p.stat().st_mode) == 0o600 for p in (folder / "changes").iterdir())
    assert (folder / ".gitignore").read_text() == "*\n"


def test_stopped_before_any_write_the_next_command_ends_it(root, monkeypatch, tmp_path_factory):
    """Wherever it is stopped, nothing is done yet, or the next command does the rest: never a part."""
    import shutil

    before, seen, step = files(root), set(), 0
    whole = tmp_path_factory.mktemp("whole") / "shop"
    shutil.copytree(root, whole)
    changed(whole)
    while True:
        copy = tmp_path_factory.mktemp("stopped") / "shop"
        shutil.copytree(root, copy)
        finished = stopped(copy, monkeypatch, step)
        begun = interrupted(copy)
        found = settle(copy)
        assert (found is not None) is begun
        assert files(copy) == (files(whole) if begun or finished else before)
        if begun:
            assert found.edited == ()
            assert [entry.summary for entry in history.entries(copy)] == ["Three files"]
            assert witness.read(copy) == witness.read(whole)
        seen.add(begun)
        assert settle(copy) is None
        if finished:
            break
        step += 1
    assert seen == {True, False}
    assert step == 6  # journal, two files, one taken away, ledger, the file beside


@pytest.mark.parametrize("refused", range(1, 5))
def test_a_refused_write_takes_everything_back(root, monkeypatch, refused):
    """Where the disk refuses a write, all files are as they were, and no journal is left."""
    before, left, real = files(root), [refused], atomic.write

    def write(path, data, mode=0o644):
        left[0] -= 1
        if left[0] == -1:
            raise Refused(28, "No space left on device")
        real(path, data, mode)

    if refused == 4:  # the file beside the folder is not worth a change
        monkeypatch.setattr(atomic, "write", write)
        changed(root)
        assert witness.read(root) is None
        return
    monkeypatch.setattr(atomic, "write", write)
    with pytest.raises(Refused):
        changed(root)
    assert files(root) == before
    assert not interrupted(root)
    assert history.entries(root) == ()


def test_what_was_edited_meanwhile_is_left_and_named(root, monkeypatch):
    """A file that a person changed between the stop and the next command stays as the person has it."""
    assert not stopped(root, monkeypatch, 2)
    (root / "players/a/two.yaml").write_bytes(b"mine: yes\n")
    found = settle(root)
    assert found.edited == ("players/a/two.yaml",)
    assert (root / "players/a/two.yaml").read_bytes() == b"mine: yes\n"
    assert not (root / "workshop.yaml").exists()


def test_a_ledger_that_grew_meanwhile_gets_the_lines_once(root, monkeypatch):
    """Lines are added to whatever ledger is there, each once."""
    assert not stopped(root, monkeypatch, 4)
    ledger_file.append(root, [LedgerLine(ISSUED, "B" * 26, "player")], DAY)
    settle(root)
    assert [line.key for line in ledger.read(root).lines] == ["B" * 26, KEY]
    assert ledger.read(root).sound


def test_a_damaged_journal_is_set_aside(root, monkeypatch):
    """What cannot be believed is not done, and is kept for a person to look at."""
    assert not stopped(root, monkeypatch, 1)
    path = root / private.NAME / PENDING
    path.write_bytes(path.read_bytes()[:-4])
    before = files(root)
    found = settle(root)
    assert found.entry is None
    assert "changed or cut short" in found.problem
    assert files(root) == before
    assert not interrupted(root)


def test_a_journal_of_a_newer_program_is_not_done(root, monkeypatch):
    """A form that this program does not know is named."""
    entry = changed(root)
    data = dumped(entry).replace(b'"format": 1', b'"format": 9')
    import hashlib

    body = data.partition(b"\n")[2]
    with pytest.raises(Unreadable, match="format 9"):
        loaded(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)


@pytest.mark.parametrize("path", ["../out.yaml", "/etc/out.yaml", "players/../../out.yaml", "link/out.yaml"])
def test_nothing_is_written_outside(root, path):
    """A path that leads out of the content folder is refused before anything is written."""
    (root / "link").symlink_to(root.parent)
    before = files(root)
    with pytest.raises(OSError, match="out of the content folder"):
        commit(root, Wanted("w", "s", {"players/a/one.yaml": b"x", path: b"x"}), DAY)
    assert files(root) == before


def test_no_journal_through_a_link(root, tmp_path):
    """A folder of ours that is a link is not followed."""
    (tmp_path / "elsewhere").mkdir()
    (root / private.NAME).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OSError, match="link"):
        changed(root)
    assert list((tmp_path / "elsewhere").iterdir()) == []


# --- the way back ----------------------------------------------------------------------------------------------


def test_the_last_change_is_taken_back(root):
    """All files are as before; what was given out is withdrawn, which closes it, and its number is not forgotten."""
    before = files(root)
    entry = changed(root)
    assert undo.last(root).name == entry.name
    undo.revert(root, entry, DAY, NOW)
    after = files(root)
    known = ledger.read(root)
    del after[ledger.FILE]
    assert after == before
    assert [(line.event, line.number) for line in known.lines] == [(ISSUED, "1042-9"), (WITHDRAWN, "1042-9")]
    assert known.highest == 1042
    assert witness.read(root).closed == {KEY}
    assert undo.last(root) is None


def test_asked_again_it_goes_further_back(root):
    """Each taking back takes the change before the last one that stands."""
    path = "players/a/one.yaml"
    for n in range(3):
        commit(root, Wanted("w", f"change {n}", {path: b"one: %d\n" % n}), DAY, NOW)
    assert [e.summary for e in undo.changes(root)] == ["change 2", "change 1", "change 0"]
    for n in (2, 1, 0):
        last = undo.last(root)
        assert last.summary == f"change {n}"
        undo.revert(root, last, DAY, NOW)
    assert (root / path).read_bytes() == b"one: old\n"
    assert undo.changes(root) == ()


def test_what_was_edited_since_is_not_taken_back(root):
    """Nobody's editing is lost by an undo."""
    entry = changed(root)
    (root / "players/a/one.yaml").write_bytes(b"one: mine\n")
    before = files(root)
    with pytest.raises(undo.CannotRevert, match=r"players/a/one\.yaml was changed since"):
        undo.revert(root, entry, DAY)
    assert files(root) == before


def test_what_is_not_kept_is_not_taken_back(root):
    """Of what was erased nothing is kept, and the way back ends there."""
    changed(root)
    (root / "players/a").rename(root / "players/b")
    wanted = Wanted("passport erase", "A player was erased", {}, (LedgerLine(CLOSED, KEY, "frame"),),
                    (("players/b", ".erasing-b"),), keep=False)  # fmt: skip
    commit(root, wanted, DAY, NOW)
    assert (root / ".erasing-b").is_dir()
    last = undo.last(root)
    assert (last.summary, last.files, last.kept) == ("A player was erased", (), False)
    with pytest.raises(undo.CannotRevert, match="cannot be undone"):
        undo.revert(root, last, DAY)
    assert b"players/b" not in b"".join(p.read_bytes() for p in (root / private.NAME).rglob("*") if p.is_file())


def test_old_changes_are_forgotten(root, monkeypatch):
    """No more than so many changes are kept, and no more bytes; the newest always."""
    monkeypatch.setattr(history, "MOST", 3)
    for n in range(5):
        commit(root, Wanted("w", str(n), {"a.txt": b"%d" % n}), DAY)
    assert [e.summary for e in history.entries(root)] == ["4", "3", "2"]
    monkeypatch.setattr(history, "ROOM", 10)
    commit(root, Wanted("w", "5", {"a.txt": b"5"}), DAY)
    assert [e.summary for e in history.entries(root)] == ["5"]


def test_whoever_is_erased_is_taken_out_of_the_history(root):
    """Every change and half-filled form that tells of somebody goes, the others stay."""
    commit(root, Wanted("w", "theirs", {"players/a/one.yaml": b"name: Canary\n"}), DAY)
    commit(root, Wanted("w", "another's", {"players/z/one.yaml": b"name: Other\n"}), DAY)
    private.made(root, "forms").joinpath("form.json").write_text('{"name": "Canary"}')
    assert history.purge(root, lambda data: b"Canary" in data) == 2
    assert [e.summary for e in history.entries(root)] == ["another's"]


@given(st.dictionaries(st.sampled_from(["a/b.yaml", "a/c.yaml", "d.bin"]), st.none() | st.binary(max_size=40)),
       st.dictionaries(st.sampled_from(["a/b.yaml", "a/c.yaml", "d.bin"]), st.none() | st.binary(max_size=40)))  # fmt: skip
@settings(max_examples=40)
def test_any_change_goes_forth_and_back(tmp_path_factory, first, second):
    """Whatever bytes files have or get, a change brings them there and its taking back brings them back."""
    root = tmp_path_factory.mktemp("any")
    commit(root, Wanted("w", "first", first), DAY)
    before = files(root)
    assert before == {path: data for path, data in first.items() if data is not None}
    entry = commit(root, Wanted("w", "second", second), DAY)
    assert files(root) == {path: data for path, data in {**first, **second}.items() if data is not None}
    assert loaded(dumped(entry)) == entry
    undo.revert(root, entry, DAY)
    assert files(root) == before
    assert len(history.entries(root)) == 3
