"""Which mass, balance and swingweight can be one racquet."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.moments import Moments
from passport.physics.plausible import GYRATION_WINDOW, plausible


@pytest.mark.parametrize(
    ("mass", "balance", "swing", "length"),
    [
        (320, 320, 325, 685.8),  # tennis, common practice, no source
        (90, 300, 90, 675),  # badminton, common practice, no source
        (190, 320, 160, 686),  # squash, common practice, no source
        (158, 343 + 4 * 3.175, 161, 686),  # squash sold as "130 g", read when finished: common practice, no source
    ],
)
def test_usual_racquets_are_plausible(mass, balance, swing, length):
    """The usual figures of a tennis, badminton and squash frame pass."""
    found = plausible(mass, balance, swing, length)
    assert found
    assert found.reason == ""
    assert found.low < swing < found.high


@pytest.mark.parametrize(
    ("mass", "balance", "swing", "fault", "words"),
    [
        (0, 350, 150, "mass", "0 g is not above 0"),
        (150, 0, 105, "balance", "between the butt and the tip"),
        (150, 700, 105, "balance", "700 mm"),
        (150, 360, 100, "too small", "already swing 101.4"),
        (150, 360, 105, "concentrated", "lump around the balance point"),
        (220, 320, 325, "spread out", "butt and tip"),
        (150, 360, 290, "too large", "at most"),
    ],
)
def test_impossible_bodies_are_refused_with_the_reason(mass, balance, swing, fault, words):
    """A body that cannot be, or cannot be a racquet, is refused and told what is wrong."""
    found = plausible(mass, balance, swing, 686)
    assert not found
    assert found.fault == fault
    assert words in found.reason


def test_the_absurd_frame_passes_the_hard_bound_alone():
    """150 g balancing at 36 cm with a swingweight of 105 has I_cm = 3.6 kg·cm², above 0 and yet refused."""
    found = plausible(150, 360, 105, 686)
    assert found.i_cm == pytest.approx(105 - 150 * 26**2 / 1000)
    assert 0 < found.i_cm < 150 * 360 * (686 - 360) / 1e5
    assert found.fault == "concentrated"


@settings(deadline=None)  # the machine may be busy
@given(st.lists(st.tuples(st.floats(0.1, 100), st.floats(1, 685)), min_size=2, max_size=8))
def test_no_real_body_breaks_the_hard_bound(points):
    """Points anywhere between butt and tip are never called impossibly small or large."""
    body = Moments.total(Moments.point(m, x) for m, x in points)
    if body.i_cm > 1e-9:
        assert plausible(body.mass, body.balance, body.swingweight(), 686).fault in ("", "concentrated", "spread out")


@settings(deadline=None)  # the machine may be busy
@given(st.floats(60, 400), st.floats(280, 400))
def test_low_and_high_are_where_the_verdict_turns(mass, balance):
    """Just inside the stated swingweights the body is plausible, just outside it is not."""
    found = plausible(mass, balance, 0.0, 686)
    assert plausible(mass, balance, found.low + 0.01, 686)
    assert plausible(mass, balance, found.high - 0.01, 686)
    assert not plausible(mass, balance, found.low - 0.01, 686)
    assert not plausible(mass, balance, found.high + 0.01, 686)


def test_a_uniform_rod_lies_inside_the_window():
    """A uniform rod's radius of gyration, 1/√12 of its length, is plausible and reported."""
    rod = Moments.rod(300, 686)
    found = plausible(300, rod.balance, rod.swingweight(), 686)
    assert found.gyration == pytest.approx(12**-0.5)
    assert GYRATION_WINDOW[0] < found.gyration < GYRATION_WINDOW[1]
