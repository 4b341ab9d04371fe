"""One command at a time writes to a content folder."""

import errno
import json
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

from passport.records.transaction import lock

HOLD = """
import sys, time
from pathlib import Path
from passport.records.transaction.lock import locked
with locked(Path(sys.argv[1]), "passport log"):
    print("held", flush=True)
    time.sleep(60)
"""
ADD = """
import sys
from pathlib import Path
from passport.records.transaction.lock import locked
path = Path(sys.argv[1]) / "count"
for _ in range(40):
    with locked(path.parent, "adding", wait=60):
        path.write_text(str(int(path.read_text()) + 1))
"""


def start(code: str, folder: Path) -> "subprocess.Popen[str]":
    """A process that runs a few lines on a folder."""
    return subprocess.Popen([sys.executable, "-c", code, str(folder)], stdout=subprocess.PIPE, text=True)


def holding(folder: Path) -> "subprocess.Popen[str]":
    """A process that holds the lock."""
    process = start(HOLD, folder)
    assert process.stdout
    assert process.stdout.readline() == "held\n"
    return process


def end(process: "subprocess.Popen[str]") -> None:
    """Kill a process and wait until it is gone."""
    process.kill()
    process.wait()
    assert process.stdout
    process.stdout.close()


def no_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Act as a disk that knows no locks."""
    monkeypatch.setattr(lock, "_lock", lambda handle: None)


def test_the_lock_leaves_nothing_behind(tmp_path):
    """While it is held its file says by whom; afterwards the folder is as it was."""
    with lock.locked(tmp_path, "passport log"):
        said = json.loads((tmp_path / lock.NAME).read_text())
        assert said == {"work": "passport log", "process": os.getpid(), "computer": socket.gethostname()}
    assert list(tmp_path.iterdir()) == []


def test_an_error_inside_gives_the_lock_back(tmp_path):
    """What goes wrong while the lock is held does not leave it held."""
    with pytest.raises(ValueError, match="x"), lock.locked(tmp_path, "one"):
        raise ValueError("x")
    with lock.locked(tmp_path, "two", wait=0):
        pass


def test_a_second_command_waits_says_so_and_gives_up(tmp_path):
    """Somebody else's lock is waited for, with one message that names the holder, and then refused with advice."""
    process = holding(tmp_path)
    said: list[str] = []
    try:
        begun = time.monotonic()
        with (
            pytest.raises(lock.Busy, match=r"'passport log'.*Wait for it"),
            lock.locked(tmp_path, "two", wait=0.3, say=said.append),
        ):
            pass
        assert time.monotonic() - begun >= 0.3
        assert said == [f"Waiting for 'passport log' (process {process.pid}) to finish …"]
    finally:
        end(process)


@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX")
def test_the_lock_of_a_killed_process_is_free(tmp_path):
    """A process that is killed holds nothing, though its file is left."""
    process = holding(tmp_path)
    process.send_signal(signal.SIGKILL)
    process.wait()
    end(process)
    assert (tmp_path / lock.NAME).exists()
    with lock.locked(tmp_path, "two", wait=0):
        assert json.loads((tmp_path / lock.NAME).read_text())["work"] == "two"
    assert list(tmp_path.iterdir()) == []


def test_four_at_once_never_meet(tmp_path):
    """Four processes that each add forty to a figure, reading and writing it apart, make a hundred and sixty."""
    (tmp_path / "count").write_text("0")
    processes = [start(ADD, tmp_path) for _ in range(4)]
    assert [process.wait() for process in processes] == [0] * 4
    for process in processes:
        end(process)
    assert (tmp_path / "count").read_text() == "160"


def test_on_a_disk_without_locks_the_file_is_the_lock(tmp_path, monkeypatch):
    """Where the system has no locks, whoever made the file has it, and it goes with the work."""
    no_locks(monkeypatch)
    with (
        lock.locked(tmp_path, "one"),
        pytest.raises(lock.Busy, match="'one'"),
        lock.locked(tmp_path, "two", wait=0),
    ):
        pass
    with lock.locked(tmp_path, "three", wait=0):
        pass
    assert [path.name for path in tmp_path.iterdir()] in ([], [lock.NAME])


@pytest.mark.parametrize(
    ("text", "age", "free"),
    [
        ({"process": 999_999_999, "computer": socket.gethostname()}, 0, True),
        ({"process": os.getpid(), "computer": socket.gethostname()}, 0, False),
        ({"process": os.getpid(), "computer": socket.gethostname()}, lock.STALE_SECONDS + 1, True),
        ({"process": 999_999_999, "computer": "elsewhere"}, 0, False),
        ({"process": 999_999_999, "computer": "elsewhere"}, lock.STALE_SECONDS + 1, True),
        (None, 0, False),
        (None, 60, True),
    ],
)
def test_a_lock_file_left_behind_is_taken_over(tmp_path, monkeypatch, text, age, free):
    """A made lock counts until its process is gone from this computer, or it is old; an unsigned one for seconds."""
    no_locks(monkeypatch)
    made = tmp_path / f"{lock.NAME}-made"
    made.write_text(json.dumps({"work": "old", **text}) if text else "")
    os.utime(made, (time.time() - age, time.time() - age))
    if free:
        with lock.locked(tmp_path, "new", wait=0):
            assert json.loads(made.read_text())["work"] == "new"
    else:
        with pytest.raises(lock.Busy), lock.locked(tmp_path, "new", wait=0):
            pass


@pytest.mark.skipif(sys.platform == "win32", reason="flock is POSIX")
@pytest.mark.parametrize(("number", "got"), [(errno.ENOLCK, None), (errno.EAGAIN, False)])
def test_what_the_system_answers(tmp_path, monkeypatch, number, got):
    """A disk without locks is told from a lock that is taken; any other answer is an error."""
    import fcntl

    handle = os.open(tmp_path / "x", os.O_CREAT | os.O_RDWR)

    def answer(code):
        def flock(*_):
            raise OSError(code, "no")

        monkeypatch.setattr(fcntl, "flock", flock)

    answer(number)
    assert lock._lock(handle) is got
    answer(errno.EIO)
    with pytest.raises(OSError, match="no"):
        lock._lock(handle)
    os.close(handle)


def test_a_folder_that_is_not_there_is_an_error(tmp_path):
    """There is nothing to lock where there is no folder."""
    with pytest.raises(OSError, match="none"), lock.locked(tmp_path / "none", "one"):
        pass
