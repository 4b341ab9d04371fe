"""One file replaced in one step."""

import os
import time
from pathlib import Path

import pytest

from passport.records.transaction import atomic


def names(folder: Path) -> list[str]:
    """What stands in a folder, hidden files too."""
    return sorted(path.name for path in folder.iterdir())


def test_content_is_replaced_and_nothing_is_left(tmp_path):
    """The file has the new content and no temporary file stays beside it."""
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")
    atomic.write(path, b"new\r\n")
    assert path.read_bytes() == b"new\r\n"
    assert names(tmp_path) == ["a.yaml"]


def test_a_new_file_is_readable(tmp_path):
    """A file that was not there is made with the rights that any new file gets, readable for others where the umask allows."""
    atomic.write(tmp_path / "a.yaml", b"x")
    (tmp_path / "plain").write_bytes(b"x")  # whatever the umask here leaves to others
    assert (tmp_path / "a.yaml").stat().st_mode & 0o777 == (tmp_path / "plain").stat().st_mode & 0o777


@pytest.mark.parametrize("mode", [0o600, 0o664])
def test_permissions_stay(tmp_path, mode):
    """A file keeps who may read and write it."""
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")
    path.chmod(mode)
    atomic.write(path, b"new")
    assert path.stat().st_mode & 0o777 == mode


def test_a_link_stays_a_link(tmp_path):
    """A symbolic link is followed, and what it leads to is replaced."""
    real = tmp_path / "elsewhere/real.yaml"
    real.parent.mkdir()
    real.write_bytes(b"old")
    link = tmp_path / "link.yaml"
    link.symlink_to(real)
    atomic.write(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"
    assert names(real.parent) == ["real.yaml"]


@pytest.mark.parametrize("step", ["os.fsync", "pathlib.Path.replace", "pathlib.Path.chmod"])
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_a_failure_at_any_step_leaves_the_old_file(tmp_path, monkeypatch, step, error):
    """When a step fails the old content stands, no temporary file stays, and the error is passed on."""
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")

    def fail(*_):
        raise error

    monkeypatch.setattr(step, fail)
    with pytest.raises(type(error)):
        atomic.write(path, b"new")
    monkeypatch.undo()
    assert path.read_bytes() == b"old"
    assert names(tmp_path) == ["a.yaml"]


def test_readers_see_the_old_file_or_the_new_one(tmp_path, monkeypatch):
    """Until the last step the old file is whole, and the new content is complete before that step."""
    path = tmp_path / "a.yaml"
    path.write_bytes(b"old")
    seen = []
    replace = Path.replace

    def watched(self, target):
        seen.append((path.read_bytes(), self.read_bytes()))
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", watched)
    atomic.write(path, b"new")
    assert seen == [(b"old", b"new")]


def test_a_missing_folder_is_an_error(tmp_path):
    """A file in a folder that is not there is an error, and the folder is not made."""
    with pytest.raises(FileNotFoundError):
        atomic.write(tmp_path / "none/a.yaml", b"x")
    assert names(tmp_path) == []


def test_what_a_killed_program_left_is_taken_away(tmp_path):
    """A half-written file from before is removed once it is old; a fresh one may still be somebody's, and others stay."""
    path = tmp_path / "a[1].yaml"
    long_ago = time.time() - 3600
    for name in (".a[1].yaml-abcdefgh", ".a[1].yaml-backup", ".a1.yaml-abcdefgh", ".a[1].yaml-fresh123"):
        (tmp_path / name).write_bytes(b"half")
    for name in (".a[1].yaml-abcdefgh", ".a[1].yaml-backup", ".a1.yaml-abcdefgh"):
        os.utime(tmp_path / name, (long_ago, long_ago))
    atomic.write(path, b"new")
    assert names(tmp_path) == [".a1.yaml-abcdefgh", ".a[1].yaml-backup", ".a[1].yaml-fresh123", "a[1].yaml"]


def test_the_folder_is_settled_last(tmp_path, monkeypatch):
    """The data is on the disk before the file takes its place, and the folder after."""
    done = []
    sync, replace = os.fsync, Path.replace
    monkeypatch.setattr(os, "fsync", lambda handle: (done.append("sync"), sync(handle)))
    monkeypatch.setattr(Path, "replace", lambda self, target: (done.append("replace"), replace(self, target)))
    atomic.write(tmp_path / "a", b"x")
    assert done == ["sync", "replace", "sync"]
