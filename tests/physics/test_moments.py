"""The moments of bodies: algebra, read-outs, constructors."""

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments

SHAPE = RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 16, 19)
BODIES = st.builds(
    Moments.from_measured,
    mass=st.floats(60, 400),
    balance=st.floats(250, 400),
    swingweight=st.floats(60, 400),
    twistweight=st.none() | st.floats(1, 20),
)


def close(a: Moments, b: Moments) -> None:
    """Assert that two bodies are the same."""
    assert (a.m0, a.m1, a.m2) == pytest.approx((b.m0, b.m1, b.m2), rel=1e-9, abs=1e-6)
    assert (a.polar is None) == (b.polar is None)
    if a.polar is not None:
        assert a.polar == pytest.approx(b.polar, rel=1e-9, abs=1e-6)


@settings(deadline=None)  # the machine may be busy
@given(
    st.floats(60, 400),
    st.floats(250, 400),
    st.floats(60, 400),
    st.none() | st.floats(1, 20),
    st.sampled_from([100, 101.6, 0]),
)
def test_what_is_measured_is_read_off_again(mass, balance, swing, twist, axis):
    """A measured mass, balance, swingweight and twistweight come back from the moments, about any axis."""
    body = Moments.from_measured(mass, balance, swing, twist, axis)
    assert (body.mass, body.balance, body.swingweight(axis)) == pytest.approx((mass, balance, swing))
    assert body.twistweight == (None if twist is None else pytest.approx(twist))


@settings(deadline=None)  # the machine may be busy
@given(BODIES, BODIES, BODIES)
def test_sums_do_not_care_about_order(a, b, c):
    """Adding bodies is commutative and associative, and `total` is that sum."""
    close(a + b, b + a)
    close((a + b) + c, a + (b + c))
    close(Moments.total([a, b, c]), a + b + c)


@settings(deadline=None)  # the machine may be busy
@given(BODIES, BODIES)
def test_taking_away_undoes_adding(a, b):
    """Taking a part away again leaves the body; an unknown polar moment of the part makes the result's unknown."""
    back = (a + b) - b
    assert (back.m0, back.m1, back.m2) == pytest.approx((a.m0, a.m1, a.m2))
    assert (back.polar is None) == (a.polar is None or b.polar is None)


@settings(deadline=None)  # the machine may be busy
@given(BODIES, st.floats(0.1, 5))
def test_scaling_keeps_balance_and_gyration(body, factor):
    """The same spread with more mass has the same balance and inertia in proportion."""
    scaled = body.scaled(factor)
    assert scaled.balance == pytest.approx(body.balance)
    assert scaled.swingweight() == pytest.approx(factor * body.swingweight())
    assert (scaled.twistweight is None) == (body.twistweight is None)


def test_unknown_polar_absorbs():
    """A sum with an unknown polar moment has an unknown twistweight, while the rest of it is known."""
    frame = Moments.from_measured(300, 320, 290)
    both = frame + Moments.point(3, 500, 130)
    assert both.twistweight is None
    assert both.mass == 303


@settings(deadline=None)  # the machine may be busy
@given(BODIES)
def test_inertia_is_least_about_the_centre_of_mass(body):
    """No parallel axis gives a lower inertia than the one through the centre of mass."""
    assert all(body.swingweight(body.balance + off) > body.i_cm for off in (-50, -1, 1, 50))


def test_nothing_has_no_balance():
    """The balance of a body without mass is refused."""
    with pytest.raises(ValueError, match="mass is 0"):
        _ = Moments.total([]).balance


@pytest.mark.parametrize("mass", [0, -3, float("nan")])
def test_a_measured_body_needs_mass(mass):
    """A measured mass that is not above 0 is refused."""
    with pytest.raises(ValueError, match="above 0 g"):
        Moments.from_measured(mass, 320, 290)


def test_mass_at_the_axis_adds_no_swingweight():
    """A gram on the swing axis changes mass and balance and leaves the swingweight."""
    frame = Moments.from_measured(300, 320, 290)
    heavier = frame + Moments.point(5, 100)
    assert heavier.swingweight() == pytest.approx(290)
    assert heavier.balance < 320


def test_a_pair_is_two_halves():
    """A mirrored pair equals half of the mass on each side."""
    halves = Moments.point(1.5, 500, 131) + Moments.point(1.5, 500, -131)
    close(Moments.pair(3, 500, 131), halves)


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0, 300), st.floats(1, 300), st.floats(0, 20))
def test_a_filled_length_is_its_two_halves(start, run, radius):
    """An evenly filled length equals the sum of its two halves."""
    middle = start + run / 2
    halves = Moments.filled(2, start, middle, radius) + Moments.filled(2, middle, start + run, radius)
    close(Moments.filled(4, start, start + run, radius), halves)


def test_a_short_fill_is_a_point():
    """A filled length of nothing, on the long axis, is a point there."""
    close(Moments.filled(4, 30, 30), Moments.point(4, 30))


def test_a_solid_plug_is_its_rings():
    """A solid plug equals a nest of 400 thin rings of equal area."""
    rings = (Moments.filled(6 / 400, 20, 60, 12 * ((i + 0.5) / 400) ** 0.5) for i in range(400))
    close(Moments.plug(6, 20, 60, 12), Moments.total(rings))


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0, 12), st.floats(1, 400))
def test_an_arc_and_its_mirror_image_are_alike(hour, length):
    """A strip at an hour has the moments of the strip at the mirrored hour."""
    close(Moments.hoop_arc(5, SHAPE, hour, length), Moments.hoop_arc(5, SHAPE, 12 - hour, length))


@settings(deadline=None)  # the machine may be busy
@given(st.floats(0, 12))
def test_a_short_arc_is_a_pair(hour):
    """A strip of no length at an hour is a mirrored pair of points there, and a very short one is nearly so."""
    x, y = SHAPE.on_hoop(hour)
    close(Moments.hoop_arc(4, SHAPE, hour, 0), Moments.pair(4, x, y))
    short = Moments.hoop_arc(4, SHAPE, hour, 0.01)
    assert short.balance == pytest.approx(x, abs=1e-4)
    assert short.twistweight == pytest.approx(4 * y**2 / 1e5, abs=1e-4)


def test_an_arc_that_does_not_fit_is_refused():
    """A strip longer than the hoop is refused."""
    with pytest.raises(ValueError, match="does not fit"):
        Moments.hoop_arc(5, SHAPE, 12, 5000)


def test_string_bed_is_mains_and_crosses():
    """A hybrid bed is the sum of its mains alone and its crosses alone, and scales with the linear density."""
    mains, crosses = Moments.string_bed(SHAPE, 1.5, 0), Moments.string_bed(SHAPE, 0, 1.8)
    close(Moments.string_bed(SHAPE, 1.5, 1.8), mains + crosses)
    close(Moments.string_bed(SHAPE, 3.0, 0), mains.scaled(2))


def test_string_bed_balances_at_the_middle_of_the_head():
    """The strings balance at the centre of the head and weigh their total length times g/m."""
    bed = Moments.string_bed(SHAPE, 1.5, 1.5)
    metres = sum(map(SHAPE.main_length, SHAPE.main_positions())) + sum(map(SHAPE.cross_length, SHAPE.cross_positions()))
    assert bed.balance == pytest.approx(SHAPE.head_centre)
    assert bed.mass == pytest.approx(1.5 * metres / 1000)


def test_light_modules_load_no_heavy_library():
    """Units, geometry, moments and plausible load neither numpy nor scipy, so that a command starts at once."""
    code = (
        "import sys; from passport.physics import units, geometry, moments, plausible; "
        "sys.exit(bool({'numpy', 'scipy'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
