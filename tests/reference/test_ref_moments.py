"""Moments against closed forms, direct numerical sums and an independent rigid-body engine."""

import math

import mujoco
import numpy as np
import pytest
from scipy.special import ellipe, ellipeinc

from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.plausible import plausible

SHAPE = RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 16, 19, 13, 13)


@pytest.mark.parametrize(
    ("mass", "length", "width", "swing"),
    [
        # I = M[(L² + w²)/12 + (L/2 − A)²], uniform rod and parallel axis (any mechanics text), worked by hand:
        # 300 g: 0.3·[4900/12 + 25²] kg·cm² = 0.3·1033.333
        (300, 700, 0, 310.00000),
        (200, 685.8, 10, 196.40443),
        (150, 686, 10, 147.41050),
        (90, 675, 8, 84.94230),
    ],
)
def test_rods(mass, length, width, swing):
    """A uniform rod swings as the closed form says (uniform rod, parallel axis theorem: any mechanics text)."""
    rod = Moments.rod(mass, length, width)
    closed = mass * ((length**2 + width**2) / 12 + (length / 2 - 100) ** 2) / 1e5
    assert rod.swingweight() == pytest.approx(closed, rel=1e-13)
    assert rod.swingweight() == pytest.approx(swing, abs=6e-6)
    assert rod.balance == pytest.approx(length / 2)
    assert rod.i_cm == pytest.approx(mass * (length**2 + width**2) / 12 / 1e5)


def test_three_added_points():
    """300 g, 32 cm, 290 kg·cm² with 4 g at 5 cm, 3 g at 35 cm and 5 g at 67 cm, worked by the parallel axis theorem.

    Mass 312 g; first moment 9600 + 20 + 105 + 335 = 10060 g·cm, so 32.2435897 cm; swingweight
    290 + 4·5² + 3·25² + 5·57² g·cm² = 290 + 0.1 + 1.875 + 16.245 = 308.220 kg·cm².
    """
    frame = Moments.from_measured(300, 320, 290)
    built = frame + Moments.point(4, 50) + Moments.point(3, 350) + Moments.point(5, 670)
    assert built.mass == 312
    assert built.balance == pytest.approx(322.435897, abs=1e-6)
    assert built.swingweight() == pytest.approx(308.220, abs=1e-9)


@pytest.mark.parametrize(
    ("mass", "balance", "swing", "i_cm", "i_butt"),
    # parallel axis theorem (any mechanics text): I_cm = SW − M(B − A)², I_butt = I_cm + M·B²
    [(320, 320, 325, 170.12, 497.80), (90, 300, 90, 54.00, 135.00), (190, 320, 160, 68.04, 262.60)],
)
def test_inertia_about_other_axes(mass, balance, swing, i_cm, i_butt):
    """The inertia about the centre of mass and about the butt follow by the parallel axis theorem."""
    body = Moments.from_measured(mass, balance, swing)
    assert body.i_cm == pytest.approx(i_cm, abs=0.005)
    assert body.swingweight(0) == pytest.approx(i_butt, abs=0.005)


def composite() -> tuple[Moments, str]:
    """A frame of rods, boxes and points, as moments and as geoms of the rigid-body engine."""
    boxes = [  # mass g, centre x, y mm, edges x, y, z mm
        (90, 90, 0, 180, 30, 30),  # handle
        (60, 280, 0, 200, 12, 12),  # shaft
        (50, 500, 120, 300, 10, 10),  # the hoop's two sides
        (50, 500, -120, 300, 10, 10),
        (30, 680, 0, 8, 180, 10),  # tip
    ]
    moments, geoms = [], []
    for m, x, y, ex, ey, ez in boxes:
        # a box: Σx² and Σz² for the swing axis, Σy² and Σz² for the long axis, each edge²/12 about its own middle
        swing = m * (x**2 + (ex**2 + ez**2) / 12)
        moments.append(Moments(m, m * x, swing, m * (y**2 + (ey**2 + ez**2) / 12)))
        size = f"{ex / 2000} {ey / 2000} {ez / 2000}"
        geoms.append(f'<geom type="box" size="{size}" pos="{x / 1000} {y / 1000} 0" mass="{m / 1000}"/>')
    for m, x, y in [(4, 50, 0), (3, 630, 110), (3, 630, -110), (2, 680, 0)]:
        moments.append(Moments.point(m, x, y))
        geoms.append(f'<geom type="sphere" size="1e-4" pos="{x / 1000} {y / 1000} 0" mass="{m / 1000}"/>')
    return Moments.total(moments), "".join(geoms)


def engine_inertia(geoms: str, axis: str, x: float) -> float:
    """Inertia in kg·cm² about a hinge through (x, 0, 0) mm, as MuJoCo computes it."""
    xml = (
        f'<mujoco><worldbody><body><joint type="hinge" axis="{axis}" pos="{x / 1000} 0 0"/>{geoms}</body>'
        "</worldbody></mujoco>"
    )
    model = mujoco.MjModel.from_xml_string(xml)
    data = mujoco.MjData(model)
    mujoco.mj_forward(model, data)
    return float(model.dof_M0[0]) * 1e4


@pytest.mark.parametrize("axis", [0.0, 100.0, 101.6, 340.0])
def test_a_built_frame_swings_as_in_a_rigid_body_engine(axis):
    """The swingweight of rods, boxes and points about several axes agrees with MuJoCo (independent engine)."""
    body, geoms = composite()
    assert body.swingweight(axis) == pytest.approx(engine_inertia(geoms, "0 1 0", axis), rel=1e-6)


def test_a_built_frame_twists_as_in_a_rigid_body_engine():
    """The twistweight of rods, boxes and points agrees with MuJoCo (independent engine)."""
    body, geoms = composite()
    assert body.twistweight == pytest.approx(engine_inertia(geoms, "1 0 0", 0), rel=1e-6)


def test_a_measured_racquet_is_nearly_flat():
    """The largest of a racquet's three inertias is nearly the sum of the other two, as for a flat body.

    0.00121, 0.01638 and 0.01748 kg·m²: Brody 1985, Physics Teacher 23:213, as quoted in Ashbaugh, Chicone & Cushman
    1991, "The Twisting Tennis Racket", note 4. Moments takes strings and hoop as flat on the strength of it.
    """
    polar, across, spin = 0.00121, 0.01638, 0.01748
    flat = Moments.point(1, 0, math.sqrt(polar * 1e9)) + Moments.point(1, math.sqrt(across * 1e9), 0)
    assert flat.twistweight + flat.swingweight(0) == pytest.approx(spin * 1e4, rel=0.0065)


@pytest.mark.parametrize(("hour", "length"), [(12, 180), (3, 90), (2, 60), (10.5, 240), (6, 50), (12, 900)])
def test_arcs_against_a_fine_polyline(hour, length):
    """A strip's moments agree with a sum over a hundred thousand short pieces of the ellipse.

    The ends are found by the incomplete elliptic integral of scipy: arc length from the minor axis = a·E(φ, 1 − b²/a²)
    (DLMF §19.30(i)).
    """
    a, b = SHAPE.hoop_axes
    m = 1 - (b / a) ** 2
    theta = math.radians(30 * hour)
    t = math.atan2(a * math.sin(theta), b * math.cos(theta))
    # the eccentric angle runs from the major axis, φ from the minor one: φ = t − π/2 up to sign
    grid = np.linspace(t - np.pi, t + np.pi, 400_001)
    run = a * (ellipeinc(grid - np.pi / 2, m) - ellipeinc(t - np.pi / 2, m))
    ends = np.interp([-length / 2, length / 2], run, grid)
    fine = np.linspace(*ends, 100_001)
    x, y = SHAPE.head_centre + a * np.cos(fine), b * np.sin(fine)
    piece = np.hypot(np.diff(x), np.diff(y))
    mx, my = (x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2
    assert piece.sum() == pytest.approx(length, rel=1e-7)
    got = Moments.hoop_arc(1, SHAPE, hour, length)
    expected = [np.average(v, weights=piece) for v in (mx, mx**2, my**2)]
    assert [got.m1, got.m2, got.polar] == pytest.approx(expected, rel=1e-7)


def test_hoop_perimeter_is_the_complete_elliptic_integral():
    """The hoop is 4a·E(1 − b²/a²) around (DLMF §19.30(i), complete elliptic integral of scipy)."""
    a, b = SHAPE.hoop_axes
    assert SHAPE.hoop_perimeter == pytest.approx(4 * a * ellipe(1 - (b / a) ** 2), rel=1e-12)


def test_string_bed_against_a_sum_of_small_pieces():
    """The lattice's moments agree with a direct sum over 1 000 pieces of each string clipped by the ellipse."""
    mains, crosses = 1.5131, 1.8450
    total = np.zeros(4)
    a, b, centre = 170.0, 125.0, SHAPE.length - 12 - 170
    steps = (np.arange(1000) + 0.5) / 1000 - 0.5
    for i in range(16):
        y = (i - 7.5) * 13
        run = 2 * a * math.sqrt(1 - (y / b) ** 2)
        x, m = centre + run * steps, mains * run / 1000 / 1000
        total += [1000 * m, m * x.sum(), m * (x**2).sum(), 1000 * m * y**2]
    for j in range(19):
        x0 = centre + (j - 9) * 13
        run = 2 * b * math.sqrt(1 - ((x0 - centre) / a) ** 2)
        y, m = run * steps, crosses * run / 1000 / 1000
        total += [1000 * m, 1000 * m * x0, 1000 * m * x0**2, m * (y**2).sum()]
    bed = Moments.string_bed(SHAPE, mains, crosses)
    assert [bed.m0, bed.m1, bed.m2, bed.polar] == pytest.approx(list(total), rel=2e-6)


def test_string_mass_of_a_full_lattice_is_areal_density_times_area():
    """A lattice that fills the ellipse weighs its areal density μ/s + μ/s times πab, here 15.54 g.

    1.30 mm nylon: 1.14 g/cm³ (Morton & Hearle, Table 5.1) · π·d²/4 = 1.5131 g/m; 13 mm apart both ways.
    """
    full = RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 19, 26, 13, 13)
    areal = 2 * 1.5131 / 13  # g/m per mm, which is g per m·mm = kg/m²
    expected = areal * math.pi * 170 * 125 / 1e3
    assert Moments.string_bed(full, 1.5131, 1.5131).mass == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("share", [0.01, 0.3, 0.5, 0.52, 0.9])
def test_two_end_masses_reach_the_hard_bound(share):
    """Two masses at butt and tip have exactly I_cm = M·B(L − B): the bound's extreme case.

    Bhatia & Davis 2000, "A better bound on the variance", American Mathematical Monthly 107 (from memory).
    """
    body = Moments.point(200 * (1 - share), 0) + Moments.point(200 * share, 686)
    assert body.i_cm == pytest.approx(200 * body.balance * (686 - body.balance) / 1e5)
    swing = body.swingweight()
    assert plausible(200, body.balance, swing + 0.1, 686).fault == "too large"
    assert plausible(200, body.balance, swing - 0.1, 686).fault in ("spread out", "", "concentrated")
