"""Outlines and what follows from them against other ways to work it out: sums, meshes of triangles, nets of strings."""

import math
from dataclasses import replace

import numpy as np
import pytest
import stringnets
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import gamma, jn_zeros
from test_ref_zones import ZONES

from passport.physics.geometry import RacquetShape
from passport.physics.head.membrane import smooth
from passport.physics.head.outline import EGG, ELLIPSE, ROUNDER, SQUARER, TEARDROP, HeadOutline
from passport.physics.moments import Moments
from passport.physics.stringbed import NET_U, StringBed, ellipse_wavenumber
from passport.physics.stringing.zones import UNEVEN_U, even_pull, pulls_of

FORMS = {"ellipse": ELLIPSE, "rounder": ROUNDER, "squarer": SQUARER, "egg": EGG, "teardrop": TEARDROP}
TENNIS = RacquetShape(685.8, 330, 246, 12, 180, 32, "open", 16, 19, 12, 13.5)
SQUASH = RacquetShape(
    685, 342, 184, 11, 200, 27, "open", 14, 18, 8.2, 15.2, outline=TEARDROP, joined=True, fan=0.317, first_cross=22
)
BADMINTON = RacquetShape(675, 244, 188, 9, 175, 24, "shaft", 22, 21, 7.6, 10.1, outline=SQUARER)
SHAPES = {"tennis": TENNIS, "squash": SQUASH, "badminton": BADMINTON}


def half_width(outline: HeadOutline, xi: float) -> float:
    """√(1 − ξ²)·Σcₖξᵏ by NumPy's polynomials."""
    return math.sqrt(max(0.0, 1 - xi * xi)) * float(np.polyval(outline.profile[::-1] or (1.0,), xi))


@pytest.mark.parametrize("form", FORMS)
def test_areas_widths_and_slopes_are_those_of_sums(form):
    """Area and derivatives of each form are those that SciPy integrates and that differences give; each is as wide as 1."""
    outline = FORMS[form]
    area = quad(lambda t: half_width(outline, math.cos(t)) * math.sin(t), 0, math.pi)[0]
    assert outline.fullness == pytest.approx(area / (math.pi / 2), rel=1e-9)
    assert max(half_width(outline, xi) for xi in np.linspace(-1, 1, 4001)) == pytest.approx(1, abs=1e-6)
    for t in np.linspace(0.05, math.pi - 0.05, 9):
        for k in (0, 1):
            ahead, behind = outline.point(t + 1e-4)[k], outline.point(t - 1e-4)[k]
            assert outline.tangent(t)[k] == pytest.approx((ahead - behind) / 2e-4, abs=1e-6)
            assert outline.bend(t)[k] == pytest.approx((ahead - 2 * outline.point(t)[k] + behind) / 1e-8, abs=1e-4)


@pytest.mark.parametrize("n", [1.8, 2.2, 2.5, 3.0])
def test_measured_widths_give_the_area_of_a_superellipse(n):
    """Four widths of a superellipse give its area to 1 % (4ab·Γ(1 + 1/n)²/Γ(1 + 2/n): Gradshteyn & Ryzhik 4.642, from
    memory), and the outline runs through each of them."""
    points = [(xi, (1 - abs(xi) ** n) ** (1 / n)) for xi in (-0.85, -0.45, 0.45, 0.85)]
    found = ELLIPSE.through(points)
    exact = 4 * gamma(1 + 1 / n) ** 2 / gamma(1 + 2 / n) / math.pi
    assert found.fullness == pytest.approx(exact, rel=0.01)
    for xi, eta in points:
        assert half_width(found, xi) == pytest.approx(eta, abs=1e-9)


@pytest.mark.parametrize("name", SHAPES)
def test_hoop_strings_and_moments_are_those_of_many_points(name):
    """The hoop's length is that of a fine polygon of parallel points, and the strings' moments those of many short rods
    whose ends SciPy's root finder seeks."""
    shape = SHAPES[name]
    turns = np.linspace(0, 2 * math.pi, 20001)
    if shape.outline.profile:
        assert shape.hoop_perimeter == pytest.approx(_parallel_length(shape, turns), rel=1e-5)
    x, y, m = _rods(shape)
    bed = Moments.string_bed(shape, 1.0, 1.0)
    assert bed.m0 == pytest.approx(m.sum() / 1000, rel=1e-5)
    assert bed.m1 == pytest.approx((m * x).sum() / 1000, rel=1e-5)
    assert bed.m2 == pytest.approx((m * x**2).sum() / 1000, rel=1e-5)
    assert bed.polar == pytest.approx((m * y**2).sum() / 1000, rel=1e-5)


def _parallel_length(shape: RacquetShape, turns: np.ndarray) -> float:
    a, b = shape.head_length / 2, shape.head_width / 2
    xs = a * np.cos(turns)
    ys = b * np.sin(turns) * np.polyval(shape.outline.profile[::-1], np.cos(turns))
    dx, dy = np.gradient(xs, turns, edge_order=2), np.gradient(ys, turns, edge_order=2)
    size = np.hypot(dx, dy)
    px, py = xs + shape.rim / 2 * dy / size, ys - shape.rim / 2 * dx / size
    return float(np.hypot(np.diff(px), np.diff(py)).sum())


def _rods(shape: RacquetShape) -> tuple[np.ndarray, ...]:
    """x, y and mm of 400 pieces of every string, by the dimensions alone."""
    a, b, centre = shape.head_length / 2, shape.head_width / 2, shape.length - shape.rim - shape.head_length / 2
    parts = []

    def lay(one, other):
        share = (np.arange(400) + 0.5) / 400
        run = math.dist(one, other) / 400
        xs, ys = (one[k] + share * (other[k] - one[k]) for k in (0, 1))
        parts.append((xs, ys, np.full(400, run)))

    for i in range(shape.mains):
        steps = (i - (shape.mains - 1) / 2) * shape.main_spacing / b

        def off(xi, steps=steps):
            return abs(steps) * (1 + shape.fan * xi) - half_width(shape.outline, xi)

        low, high = brentq(off, -1, 0), brentq(off, 0, 1)
        lay(*((centre + a * xi, b * steps * (1 + shape.fan * xi)) for xi in (low, high)))
    last = a - shape.first_cross if shape.first_cross else (shape.crosses - 1) / 2 * shape.cross_spacing
    for j in range(shape.crosses):
        x = last - j * shape.cross_spacing
        half = b * half_width(shape.outline, x / a)
        lay((centre + x, -half), (centre + x, half))
    return tuple(np.concatenate(each) for each in zip(*parts, strict=True))


@pytest.mark.parametrize("ratio", [1.0, 0.9, 0.75, 0.6, 0.5])
def test_the_membrane_has_the_ellipses_exact_wavenumber(ratio):
    """Solved by its functions, an ellipse has the wavenumber of Mathieu's function (DLMF ch. 28) to 2e-6, a circle j₀₁."""
    a, b = ratio**-0.5, ratio**0.5
    weights = (b / a, a / b), (0.5 * a * b, 0.5 * a * b)
    k = math.sqrt(smooth(ELLIPSE).lowest(*weights).squared(*weights))
    assert k == pytest.approx(ellipse_wavenumber(a, b), rel=2e-6)
    if ratio == 1:
        assert k == pytest.approx(jn_zeros(0, 1)[0], rel=1e-6)


@pytest.mark.parametrize("name", SHAPES)
def test_two_meshes_ring_as_the_membrane_does(name, counted):
    """Triangles on pulled rings and triangles on a grid, each carried to the limit from two sizes, ring within 3e-4 of it,
    with unequal tensions, unequal strings and mains that fan out."""
    shape = SHAPES[name]
    bed = stringnets.judged(shape, (1.5, 1.2), (220, 180))
    said = StringBed.of(shape, 1.5, 1.2).smooth_frequency(220, 180)
    coarse, fine = (stringnets.membrane_of_rings(bed, n) for n in (16, 32))
    by_rings = fine + (fine - coarse) / 3  # linear triangles converge with the square of their size
    coarse, fine = (stringnets.membrane_of_grid(bed, size) for size in (12.0, 6.0))
    by_grid = fine + (fine - coarse) / 3
    counted(f"{name}: {said:.3f} Hz, rings of triangles {by_rings:.3f} Hz, a grid of them {by_grid:.3f} Hz")
    assert by_rings == pytest.approx(said, rel=3e-4)
    assert by_grid == pytest.approx(said, rel=1e-3)


@pytest.mark.parametrize("name", SHAPES)
def test_the_net_rings_as_single_strings_do(name, counted):
    """The bed's frequency is that of its strings tied crossing by crossing, to a tenth of a per cent, and below the
    smooth membrane's."""
    shape = SHAPES[name]
    ours = StringBed.of(shape, 1.5, 1.2)
    found = stringnets.net_frequency(stringnets.judged(shape, (1.5, 1.2), (220, 180)))
    smooth_hz = ours.smooth_frequency(220, 180)
    counted(
        f"{name}: single strings {found:.2f} Hz, said {ours.frequency(220, 180):.2f} Hz, smooth {smooth_hz:.2f} Hz "
        f"({100 * (1 - found / smooth_hz):.2f} % lower)"
    )
    assert ours.frequency(220, 180) == pytest.approx(found, rel=1e-3)
    assert found < smooth_hz


def test_nets_at_random_ring_within_the_stated_uncertainty(counted):
    """Of beds of all sports drawn at random each rings within the stated share of its net, and half of it for most."""
    off = stringnets.compared(24)
    counted(
        f"24 nets: {100 * np.abs(off[:, 0]).max():.3f} % off at most; {-100 * off[:, 1].min():.2f} % below the membrane"
    )
    assert np.abs(off[:, 0]).max() < NET_U / 2
    assert np.abs(off[:, 1]).max() > 0.002, "a smooth membrane would not have done"


def test_moving_the_outline_moves_the_area_by_as_much():
    """A shape whose outline is moved by a share has so much more area, as wide and as long as before."""
    for shape in SHAPES.values():
        more = shape.moved("outline", 0.02)
        assert more.head_area / shape.head_area == pytest.approx(1.02, abs=1e-9)
        assert more.outline.widest[1] == pytest.approx(1, abs=1e-3)
        assert replace(more, outline=shape.outline) == shape


@pytest.mark.parametrize("zones", ZONES)
@pytest.mark.parametrize("name", SHAPES)
def test_zones_change_the_pitch_on_any_outline(name, zones):
    """Pulled by zone, a teardrop with its fan and a squarer head change their pitch as their single strings do, each with
    its own pull, within the stated share of the change."""
    shape = SHAPES[name]
    half, crosses = range(1, shape.mains // 2 + 1), range(1, shape.crosses + 1)
    mains, across = (
        pulls_of(ZONES[zones], of, n, order) for of, n, order in (("mains", 220.0, half), ("crosses", 200.0, crosses))
    )
    plain = stringnets.judged(shape, (1.5, 1.5), (220, 200))
    apart = ([mains[n] for n in (*reversed(half), *half)], [across[n] for n in reversed(crosses)])
    change = stringnets.net_frequency(replace(plain, pulls=apart)) / stringnets.net_frequency(plain) - 1
    bed, even = StringBed.of(shape, 1.5, 1.5), (even_pull(shape, "mains", mains), even_pull(shape, "crosses", across))
    as_even, of_mains, of_crosses = (
        bed.frequency(*pair) / bed.frequency(220, 200) - 1 for pair in (even, (even[0], 200), (220, even[1]))
    )
    assert as_even == pytest.approx(change, abs=UNEVEN_U * (abs(of_mains) + abs(of_crosses)))
