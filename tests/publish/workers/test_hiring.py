"""Who is called to do the work of a build."""

from pathlib import Path
from typing import ClassVar

import pytest

from passport.publish.workers import cluster, hiring, worker_tasks
from passport.publish.workers.hiring import FEW, Hiring
from passport.publish.workers.pool import Alone, load


class Crowd:
    """Stands in for several processes: notes what they are told."""

    made: ClassVar[list["Crowd"]] = []

    def __init__(self, size: int) -> None:
        """So many."""
        self.size, self.told, self.gone, self.dismissed = size, [], False, False
        Crowd.made.append(self)

    def grow(self, size: int) -> None:
        """Be so many."""
        self.size = max(self.size, size)

    def dismiss(self) -> None:
        """Nobody waits."""
        self.dismissed = True

    def tell(self, function, *given) -> None:
        """Note it."""
        self.told.append((function, *given))

    def tell_one(self, number, function, *given) -> None:
        """Note it."""
        self.told.append((number, function, *given))

    def __enter__(self):
        """Itself."""
        return self

    def __exit__(self, *_):
        """Everybody goes home."""
        self.gone = True


@pytest.fixture(autouse=True)
def crowds(monkeypatch):
    """The crowds that were called."""
    Crowd.made = []
    monkeypatch.setattr(hiring, "Crowd", Crowd)
    monkeypatch.setattr(hiring, "rarely", lambda: None)
    monkeypatch.setattr(hiring, "_LOADED", ("no.such.module", "nor.this"))
    return Crowd.made


HERE = Path("content")


def test_many_players_are_for_everybody(crowds):
    """Much work calls as many as may be, before anything is read; the same ones read and make, and go home at the end."""
    with Hiring(HERE, 4) as found:
        found.expect(FEW + 1)
        (crowd,) = crowds
        assert crowd.size == 4
        assert crowd.told == [(worker_tasks.prepare, HERE, False, False)], (
            "what draws is loaded when something is drawn"
        )
        with found.readers(1.0) as readers, found.makers(100.0) as makers:
            assert readers is makers is crowd
        assert not crowd.gone
    assert crowd.gone


def test_few_players_are_for_two(crowds):
    """A few players call one process that makes cards and one that makes pages, while this one reads."""
    with Hiring(HERE, 4) as found:
        found.expect(FEW)
        (crowd,) = crowds
        assert crowd.size == 2
        assert crowd.told == [
            (0, worker_tasks.prepare, HERE, False, True),
            (1, worker_tasks.prepare, HERE, True, False),
        ]
        with found.readers(0.1) as readers, found.makers(0.1) as makers:
            assert isinstance(readers, Alone)
            assert makers is crowd


def test_nothing_to_do_calls_nobody(crowds):
    """Where no player is new and little is to be made, this process does it."""
    with Hiring(HERE, 4) as found:
        found.expect(0)
        with found.readers(0.0) as readers, found.makers(0.5) as makers:
            assert isinstance(readers, Alone)
            assert isinstance(makers, Alone)
    assert not crowds


def test_pages_of_unchanged_players_are_for_everybody_too(crowds):
    """A changed template makes much to do where no record is new: everybody is called then."""
    with Hiring(HERE, 3, cards=False) as found:
        found.expect(0)
        with found.makers(60.0) as makers:
            assert makers.size == 3
    assert crowds[0].told == [(worker_tasks.prepare, HERE, False, False)]


def test_one_job_is_this_process(crowds):
    """With one job nobody is called, whatever there is to do."""
    with Hiring(HERE, 1) as found:
        found.expect(1000)
        with found.readers(100.0) as readers, found.makers(100.0) as makers:
            assert isinstance(readers, Alone)
            assert isinstance(makers, Alone)
    assert not crowds


def test_what_is_loaded_is_not_loaded_again(crowds, monkeypatch):
    """Where this process has loaded everything, a few players are made here."""
    monkeypatch.setattr(hiring, "_LOADED", ("sys", "os"))
    with Hiring(HERE, 4) as found:
        found.expect(1)
        with found.makers(0.5) as makers:
            assert isinstance(makers, Alone)
    assert not crowds


def test_a_cluster_makes_what_is_read_here(crowds, monkeypatch):
    """With a scheduler files are made by its cluster, connected to once and first of all; records are read here."""
    connected = []

    class Cluster(Crowd):
        """Stands in for a cluster."""

        def __init__(self, address, content) -> None:
            super().__init__(7)
            connected.append((address, content))

    monkeypatch.setattr(cluster, "Cluster", Cluster)
    with Hiring(HERE, 4, scheduler="tcp://there:1") as found:
        found.expect(FEW + 1)
        assert connected == [("tcp://there:1", HERE)]
        there, here = crowds
        assert here.told == [(worker_tasks.prepare, HERE, False, False)], "nothing is made here"
        with found.readers(9.0) as readers, found.makers(9.0) as makers:
            assert readers is here
            assert makers is there
    assert len(connected) == 1
    assert there.gone


def test_who_is_foreseen_is_called_once(crowds):
    """Those who were called before this process was ready are those who read and make."""
    with Hiring(HERE, 4) as found:
        found.foresee(FEW + 1)
        found.expect(FEW + 1)
        (crowd,) = crowds
        assert crowd.told == [
            (load, "passport.publish.workers.worker_tasks"),
            (worker_tasks.prepare, HERE, False, False),
        ]
        with found.readers(9.0) as readers, found.makers(9.0) as makers:
            assert readers is makers is crowd


@pytest.mark.parametrize(("jobs", "players"), [(1, 100), (4, FEW), (4, 0)])
def test_nobody_is_foreseen_for_little(crowds, jobs, players):
    """For a few players, or with one job, nobody is called ahead."""
    with Hiring(HERE, jobs) as found:
        found.foresee(players)
    assert not crowds


def test_a_change_calls_two_at_once(crowds):
    """Where something changed, those who make cards and pages get ready while the records are looked at."""
    with Hiring(HERE, 4) as found:
        found.foresee_change()
        (crowd,) = crowds
        assert crowd.size == 2
        assert [(number, called.args, given) for number, called, *given in crowd.told] == [
            (0, ("passport.publish.workers.worker_tasks", "prepare"), [HERE, False, True]),
            (1, ("passport.publish.workers.worker_tasks", "prepare"), [HERE, True, False]),
        ]
        found.expect(FEW)
        with found.readers(0.1) as readers, found.makers(0.1) as makers:
            assert isinstance(readers, Alone)
            assert makers is crowd
        assert crowd.size == 2
    assert len(crowds) == 1
    assert not crowd.dismissed


def test_a_change_that_was_none_keeps_nobody_waiting(crowds):
    """Where a file was written and is as it was, those who were called are sent home at once."""
    with Hiring(HERE, 4) as found:
        found.foresee_change()
        found.expect(0)
        with found.readers(0.0) as readers:
            assert isinstance(readers, Alone)
    (crowd,) = crowds
    assert crowd.dismissed
    assert crowd.gone


@pytest.mark.parametrize("players", [0, FEW + 1])
def test_a_change_that_is_a_large_one_calls_more(crowds, players):
    """Where much turns out to be new, or to be made again, as many as may be work on it."""
    with Hiring(HERE, 4) as found:
        found.foresee_change()
        found.expect(players)
        with found.readers(9.0), found.makers(9.0) as makers:
            assert makers.size == 4
    assert len(crowds) == 1


@pytest.mark.parametrize(("jobs", "scheduler"), [(1, ""), (4, "tcp://there:1")])
def test_a_change_calls_nobody_where_nobody_here_makes_it(crowds, jobs, scheduler):
    """Alone, and with a cluster, nobody is called before it is known what for."""
    with Hiring(HERE, jobs, scheduler=scheduler) as found:
        found.foresee_change()
    assert not crowds


def test_a_change_is_made_here_where_all_is_loaded(crowds, monkeypatch):
    """A process that has loaded everything calls nobody for a change."""
    monkeypatch.setattr(hiring, "_LOADED", ("sys", "os"))
    with Hiring(HERE, 4) as found:
        found.foresee_change()
        found.expect(1)
        with found.makers(0.5) as makers:
            assert isinstance(makers, Alone)
    assert not crowds
