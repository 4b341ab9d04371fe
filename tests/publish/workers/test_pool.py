"""Who does the work: this process, several, or a cluster, by how much there is."""

from pathlib import Path

import pytest

from passport.publish.workers import cluster, processes
from passport.publish.workers.pool import WORTH, Alone, Workers, cores


def double(n: int) -> int:
    """Twice a number."""
    return 2 * n


def test_alone_does_everything_in_turn():
    """This process alone brings every result, and asks for an item only when it is at it."""
    asked = []
    results = Alone().each(double, (asked.append(n) or n for n in range(5)))
    assert next(results) == (0, 0)
    assert asked == [0]
    assert list(results) == [(n, 2 * n) for n in range(1, 5)]


class Noted:
    """Stands in for a pool, or a cluster: notes what it was called with, and that it was left."""

    def __init__(self, *given) -> None:
        """Called."""
        self.given, self.left = given, False

    def __enter__(self):
        """Itself."""
        return self

    def __exit__(self, *_):
        """Left."""
        self.left = True


@pytest.fixture
def pools(monkeypatch):
    """No pool is started, and no cluster connected to; they are noted."""
    monkeypatch.setattr(processes, "Pool", Noted)
    monkeypatch.setattr(cluster, "Cluster", Noted)


HERE = Path("content")
LITTLE = WORTH / 4


def test_much_work_is_divided(pools):
    """From a stated amount of work on as many processes as may be read and make, the same ones, to the end of the block."""
    with Workers(HERE, 4) as workers:
        readers = workers.readers(LITTLE, WORTH)
        assert isinstance(readers, Noted)
        assert readers.given == (4, HERE)
        assert workers.makers(0.0) is workers.makers(WORTH) is readers
        assert not readers.left
    assert readers.left


def test_little_work_is_done_here(pools):
    """One changed frame is made in this process, and so is everything where one job alone is allowed."""
    with Workers(HERE, 4) as workers:
        assert isinstance(workers.readers(LITTLE, LITTLE), Alone)
        assert isinstance(workers.makers(LITTLE), Alone)
        assert isinstance(workers.makers(WORTH), Noted), "a changed template makes much where no record is new"
    with Workers(HERE, 1) as workers:
        assert isinstance(workers.readers(100 * WORTH, 100 * WORTH), Alone)
        assert isinstance(workers.makers(100 * WORTH), Alone)


def test_a_cluster_makes_what_is_read_here(pools):
    """With a scheduler files are made by its cluster, connected to once; records are read here."""
    with Workers(HERE, 4, scheduler="tcp://there:1") as workers:
        there = workers.makers(LITTLE)
        assert isinstance(there, Noted)
        assert there.given == ("tcp://there:1", HERE)
        assert isinstance(workers.readers(LITTLE, 100 * WORTH), Alone), "what is made elsewhere is no work here"
        readers = workers.readers(WORTH, 0.0)
        assert isinstance(readers, Noted)
        assert readers.given == (4, HERE)
        assert workers.makers(WORTH) is there
    assert there.left


def test_cores():
    """There is at least one core."""
    assert cores() >= 1
