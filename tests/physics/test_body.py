"""Bodies: moments that carry where their uncertainty comes from."""

import pytest

from passport.physics.body import NOTHING, Body, shifted
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate


def weighed(mass: float, u: float, x: float, name: str) -> Body:
    """A point mass with an uncertain mass."""
    return Body.of(lambda v: Moments.point(v[name], x), {name: Estimate(mass, u)})


def test_exact_body_has_no_uncertainty() -> None:
    """A body made of exact moments reads off with u = 0."""
    body = Body(Moments.point(10, 300))
    assert body.mass() == Estimate(10, 0.0)
    assert body.balance().u == body.swingweight().u == 0


def test_same_input_taken_off_cancels() -> None:
    """A part subtracted from the body it was added to leaves no trace of its uncertainty."""
    frame, grip = weighed(300, 0.1, 330, "frame"), weighed(25, 2.0, 90, "grip")
    back = frame + grip - grip
    assert back.moments == frame.moments
    assert back.mass().u == pytest.approx(0.1)


def test_independent_inputs_add_in_squares() -> None:
    """Two inputs of 0.3 g and 0.4 g give 0.5 g, 3-4-5."""
    both = weighed(300, 0.3, 330, "a") + weighed(25, 0.4, 90, "b")
    assert both.mass().u == pytest.approx(0.5)
    assert [share.name for share in both.mass().shares] == ["a", "b"]


def test_shared_input_adds_before_squaring() -> None:
    """One scale's calibration, used for both parts, adds plainly: 0.3 + 0.4 g."""
    both = weighed(300, 0.3, 330, "scale") + weighed(25, 0.4, 90, "scale")
    assert both.mass().u == pytest.approx(0.7)


def test_unknown_polar_moment_stays_unknown() -> None:
    """A sum with an unknown polar moment has no twistweight."""
    assert (Body(Moments(1, 1, 1, None)) + weighed(1, 0.1, 5, "p")).twistweight() is None


def test_total_of_nothing() -> None:
    """No bodies weigh nothing, and nothing has no balance."""
    assert Body.total(()).moments == NOTHING
    with pytest.raises(ValueError, match="balance"):
        Body.total(()).balance()


def test_shifted_is_the_point_elsewhere() -> None:
    """A rod moved along equals the rod laid there."""
    moved, laid = shifted(Moments.rod(200, 600, 10), 25), Moments.rod(200, 600, 10, start=25)
    assert (moved.m0, moved.m1, moved.m2, moved.polar) == pytest.approx((laid.m0, laid.m1, laid.m2, laid.polar))


def test_scaled_scales_uncertainty() -> None:
    """Two of a body carry twice its uncertainty."""
    assert weighed(5, 0.2, 50, "p").scaled(2).mass().u == pytest.approx(0.4)
