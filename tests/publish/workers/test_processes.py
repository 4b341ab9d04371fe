"""Several processes: everything is done once, whatever happens to one of them."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from testground import group_is_gone

from passport.publish.workers import processes
from passport.publish.workers.pool import Lost
from passport.publish.workers.processes import Pool
from passport.render.theme import assets


def double(n: int) -> int:
    """Twice a number."""
    return 2 * n


def heard(_: object) -> tuple[int, Path | None]:
    """Which process this is, and whose files it works with."""
    time.sleep(0.05)
    return os.getpid(), assets.own().content


def die_once(item: tuple[int, str]) -> int:
    """Kill the own process at the item 3, but only where it has not been done before."""
    n, mark = item
    if n == 3 and not Path(mark).exists():
        Path(mark).write_text("x")
        os.kill(os.getpid(), signal.SIGKILL)
    return n


def die_always(n: int) -> int:
    """Kill the own process at the item 3."""
    if n == 3:
        os.kill(os.getpid(), signal.SIGKILL)
    return n


def fail(n: int) -> int:
    """Raise at the item 3."""
    if n == 3:
        raise RuntimeError("three")
    return n


@pytest.fixture(scope="module")
def crowd():
    """Two processes."""
    with Pool(2) as found:
        yield found


def test_a_crowd_brings_every_result_once(crowd):
    """Several processes bring each result once, also of equal items, and take a second lot of work."""
    for count in (0, 1, 50):
        assert sorted(crowd.each(double, iter(range(count)))) == [(n, 2 * n) for n in range(count)]
    assert sorted(crowd.each(double, [7, 7, 7])) == [(7, 14)] * 3


def test_a_crowd_runs_beside_itself(crowd):
    """Work goes to all processes of a crowd."""
    assert len({pid for _, (pid, _) in crowd.each(heard, range(8))}) == 2


def test_a_crowd_does_not_run_ahead(crowd):
    """Items are asked for as fast as they are worked on, so that a long list need not be in memory."""
    asked = []
    results = crowd.each(double, (asked.append(n) or n for n in range(100)))
    next(results)
    assert len(asked) <= 6
    list(results)


def test_an_item_comes_back_to_the_process_that_had_it(crowd):
    """Work on the same items once more goes to the same processes, as far as none of them would be idle."""
    first = {item: process for item, (process, _) in crowd.each_again(heard, range(4))}
    second = {item: process for item, (process, _) in crowd.each_again(heard, range(4))}
    assert len(set(first.values())) == 2
    assert first == second


def test_every_process_works_with_the_shops_own_files(tmp_path):
    """Each process has the content folder's own files in use, also one that takes the place of another."""
    with Pool(2, tmp_path) as crowd:
        assert {own for _, (_, own) in crowd.each(heard, range(6))} == {tmp_path}
        assert any(isinstance(result, Lost) for _, result in crowd.each(die_always, [3]))
        assert {own for _, (_, own) in crowd.each(heard, range(6))} == {tmp_path}


def test_a_process_that_dies_loses_nothing(tmp_path):
    """When a process is killed in the middle its item is done by another, and all results come once."""
    items = [(n, str(tmp_path / "mark")) for n in range(20)]
    with Pool(2) as crowd:
        assert sorted(result for _, result in crowd.each(die_once, items)) == list(range(20))


def test_an_item_that_kills_is_given_up():
    """An item that two processes died of is given up with a reason; all others are done."""
    with Pool(2) as crowd:
        found = dict(crowd.each(die_always, range(10)))
    assert isinstance(found.pop(3), Lost)
    assert found == {n: n for n in range(10) if n != 3}


def test_an_error_comes_through(crowd):
    """An error of the work itself is raised where its result was awaited."""
    with pytest.raises(RuntimeError, match="three"):
        list(crowd.each(fail, range(6)))
    assert sorted(crowd.each(double, range(4))) == [(n, 2 * n) for n in range(4)], "and the crew goes on"


CALLED = """
import os, sys, time
from passport.publish.workers.processes import Pool
if __name__ == "__main__":
    with Pool(2) as crowd:
        for _, process in crowd.each(WORK, range(6)):
            print(process, flush=True)
        print("all", flush=True)
        time.sleep(600)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="signals and process groups are those of POSIX")
def test_whoever_is_called_goes_when_the_coordinator_is_killed(tmp_path):
    """A killed coordinator leaves no process behind that waits for ever, though nobody could tell it to go."""
    (tmp_path / "killed_work.py").write_text("import os\n\ndef pid(_):\n    return os.getpid()\n")
    script = tmp_path / "called.py"
    script.write_text("from killed_work import pid as WORK\n" + CALLED)
    with subprocess.Popen(
        [sys.executable, script], stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as process:
        assert process.stdout
        said = list(iter(lambda: process.stdout.readline().strip(), "all"))
        assert {int(pid) for pid in said} and all(pid.isdigit() for pid in said)
        process.kill()
        process.wait()
        assert group_is_gone(process.pid)


def test_processes_that_cannot_even_start_are_told(monkeypatch):
    """Where every process dies before it does anything, each item is lost with a word on what to do, and nothing hangs."""
    monkeypatch.setattr(processes, "_begin", die_always_at_once)
    with Pool(2) as crowd:
        found = dict(crowd.each(double, range(3)))
    assert set(found) == {0, 1, 2}
    assert all(isinstance(one, Lost) and "--jobs 1" in one.reason for one in found.values())


def die_always_at_once(_: object) -> None:
    """What a process begins with that cannot live."""
    os._exit(3)
