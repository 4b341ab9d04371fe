"""The lock on the far side: one at a time, taken over when nobody renews it, whatever any clock says."""

import threading
import time

import pytest

from passport.publish.remote.folder import FolderFar
from passport.publish.remote.lease import FILE, Lease, NotAlone, leased

SAID: list[str] = []


@pytest.fixture
def far(tmp_path):
    """A folder to publish to."""
    SAID.clear()
    return FolderFar(tmp_path)


def test_of_several_at_once_one_has_it(far, tmp_path):
    """Of eight that ask in the same moment one gets the lock, the others are told that somebody has it."""
    had, refused, start = [], [], threading.Barrier(8)

    def asks(number):
        lease = Lease(far, f"t{number}", patience=2)
        start.wait()
        try:
            lease.take(SAID.append)
        except NotAlone:
            refused.append(number)
            return
        had.append(number)
        for _ in range(20):  # shows that it is there for as long as the others look
            time.sleep(0.1)
            lease.hold()

    asking = [threading.Thread(target=asks, args=(number,)) for number in range(8)]
    for one in asking:
        one.start()
    for one in asking:
        one.join()
    assert (len(had), len(refused)) == (1, 7)
    far.remove(FILE)
    assert list(tmp_path.iterdir()) == []


def test_a_forsaken_lock_is_taken_over_by_a_stopwatch(far):
    """A lock that nobody renews is taken over after the patience; its old holder then finds that it is not his."""
    old = Lease(far, "old", patience=0.3)
    old.take(SAID.append)
    new = Lease(far, "new", patience=0.3)
    start = time.monotonic()
    new.take(SAID.append)
    assert time.monotonic() - start >= 0.3 and len(SAID) == 1
    with pytest.raises(NotAlone):
        old.hold()
    new.hold()


def test_ones_own_lock_of_a_run_that_was_stopped_is_taken_at_once(far):
    """Under the same token nobody waits."""
    Lease(far, "mine", patience=60).take(SAID.append)
    Lease(far, "mine", patience=60).take(SAID.append)
    assert SAID == []


def test_a_lock_without_a_holder_is_taken_over_too(far, tmp_path):
    """Where a run was stopped between making the lock and signing it, the next one takes it over."""
    (tmp_path / FILE).parent.mkdir()
    Lease(far, "new", patience=0.2).take(SAID.append)
    assert (tmp_path / FILE).read_text().startswith("new ")


def test_it_is_given_back_whatever_happens(far, tmp_path):
    """After a run, good or bad, the lock is gone; not where it is another's by now."""
    with leased(far, "mine", SAID.append):
        pass
    with pytest.raises(ValueError), leased(far, "mine", SAID.append):
        raise ValueError
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(NotAlone), leased(far, "mine", SAID.append) as lease:
        far.write(FILE, b"other 0\n")
        lease.hold()
    assert (tmp_path / FILE).read_text() == "other 0\n"
