"""Who does the work: everything is done once, whatever happens to a process."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from testground import group_is_gone

from passport.publish.workers import pool
from passport.publish.workers.pool import Alone, Crowd, Lost, call, cores

_told: list[str] = []


def double(n: int) -> int:
    """Twice a number."""
    return 2 * n


def hear(word: str) -> None:
    """Remember a word."""
    _told.append(word)


def heard(_: object) -> tuple[int, tuple[str, ...]]:
    """What this process was told."""
    time.sleep(0.05)
    return os.getpid(), tuple(_told)


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
    with Crowd(2) as pool:
        yield pool


def test_alone_does_everything_in_turn():
    """This process alone brings every result, and asks for an item only when it is at it."""
    asked = []
    results = Alone().each(double, (asked.append(n) or n for n in range(5)))
    assert next(results) == (0, 0)
    assert asked == [0]
    assert list(results) == [(n, 2 * n) for n in range(1, 5)]


def test_a_crowd_brings_every_result_once(crowd):
    """Several processes bring each result once, also of equal items, and take a second lot of work."""
    for count in (0, 1, 50):
        assert sorted(crowd.each(double, iter(range(count)))) == [(n, 2 * n) for n in range(count)]
    assert sorted(crowd.each(double, [7, 7, 7])) == [(7, 14)] * 3


def test_who_comes_later_is_told_what_all_were_told():
    """A crowd that grows works with all of its processes, and each knows what everybody was told."""
    with Crowd(1) as pool:
        pool.tell(hear, "all")
        pool.tell_one(0, call, __name__, "hear", "first")
        pool.grow(2)
        assert pool.size == 2
        pool.grow(1)
        assert pool.size == 2
        assert {told for _, (_, told) in pool.each(heard, range(8))} == {("all", "first"), ("all",)}


def test_who_is_dismissed_is_not_waited_for():
    """The end of a crowd that was dismissed takes no longer than its processes take to go, whatever they are at."""
    with Crowd(2) as pool:
        pool.tell(time.sleep, 60)
        time.sleep(0.3)
        begun = time.monotonic()
        pool.dismiss()
    assert time.monotonic() - begun < 30


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


def test_everybody_hears_what_is_told():
    """What is told reaches each process before the work, and also one that takes the place of another."""
    with Crowd(2) as pool:
        pool.tell(hear, "a")
        pool.tell(hear, "b")
        assert {words for _, (_, words) in pool.each(heard, range(6))} == {("a", "b")}
        assert any(isinstance(result, Lost) for _, result in pool.each(die_always, [3]))
        assert {words for _, (_, words) in pool.each(heard, range(6))} == {("a", "b")}


def test_a_process_that_dies_loses_nothing(tmp_path):
    """When a process is killed in the middle its item is done by another, and all results come once."""
    items = [(n, str(tmp_path / "mark")) for n in range(20)]
    with Crowd(2) as pool:
        assert sorted(result for _, result in pool.each(die_once, items)) == list(range(20))


def test_an_item_that_kills_is_given_up():
    """An item that two processes died of is given up with a reason; all others are done."""
    with Crowd(2) as pool:
        found = dict(pool.each(die_always, range(10)))
    assert isinstance(found.pop(3), Lost)
    assert found == {n: n for n in range(10) if n != 3}


def test_an_error_comes_through(crowd):
    """An error of the work itself is raised where its result was awaited."""
    with pytest.raises(RuntimeError, match="three"):
        list(crowd.each(fail, range(6)))
    assert sorted(crowd.each(double, range(4))) == [(n, 2 * n) for n in range(4)], "and the crew goes on"


def test_cores():
    """There is at least one core."""
    assert cores() >= 1


CALLED = """
import os, sys, time
from passport.publish.workers.pool import Crowd
if __name__ == "__main__":
    with Crowd(2) as crowd:
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
    monkeypatch.setattr(pool, "_begin", die_always_at_once)
    with Crowd(2) as crowd:
        crowd.tell(double, 1)
        found = dict(crowd.each(double, range(3)))
    assert set(found) == {0, 1, 2}
    assert all(isinstance(one, Lost) and "--jobs 1" in one.reason for one in found.values())


def die_always_at_once() -> None:
    """What a process begins with that cannot live."""
    os._exit(3)
