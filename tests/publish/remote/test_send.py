"""What several hands carry stops with the first trouble."""

import threading
from functools import partial
from types import SimpleNamespace

import pytest

from passport.publish.remote.far import Trouble
from passport.publish.remote.send import Sending


def test_nothing_more_goes_up_by_the_hand_that_failed():
    """A server may still hold the file of the failed write open: no other file takes its name while it is up, in any of
    fifty runs."""
    for _ in range(50):
        done, hands = list[tuple[int, int]](), [SimpleNamespace(number=n) for n in range(4)]
        failing = threading.Event()

        def one(number, far, done=done, failing=failing):
            if number == 3:
                done.append((far.number, number))
                failing.set()
                raise Trouble("The disk is full.")
            failing.wait(0.001)
            done.append((far.number, number))

        sending = Sending(
            hands[0],
            SimpleNamespace(),
            None,
            "",
            SimpleNamespace(renew=lambda: None),
            SimpleNamespace(),
            lambda *_: None,
        )
        with pytest.raises(Trouble, match="disk is full"):
            sending._all(hands, [partial(one, number) for number in range(40)])
        at = next(i for i, (_, number) in enumerate(done) if number == 3)
        assert done[at][0] not in [hand for hand, _ in done[at + 1 :]]
