"""Rebuilding against the outside: published oracles, brute force, a simulated body, another package's uncertainties."""

import itertools
import math

import mujoco
import pytest
import yaml
from rebuildshop import MODELS, PLACES, TODAY, bench
from scipy.integrate import quad
from scipy.optimize import linprog
from scipy.special import ellipk
from uncertainties import ufloat

from passport.physics.moments import Moments
from passport.records.schema.frame import Reading
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.measured import estimates
from passport.workshop.rebuild.obstacle import obstacles
from passport.workshop.rebuild.rebuild import rebuild
from passport.workshop.solver.problem import Bounds, Group, Problem, Window
from passport.workshop.solver.program import Program
from passport.workshop.solver.solve import reachable, solve

START = Moments.from_measured(300, 320, 290)


def slots(positions, step=1.0, most=10):
    """Groups of whole steps at points, mm from the butt."""
    return tuple(Group(f"{x}", tuple(Moments.point(step * k, x) for k in range(1, most + 1))) for x in positions)


def exact(mass, balance, swing, tolerance):
    """A window with one tolerance for all three."""
    return Window(Bounds(mass, tolerance), Bounds(balance, tolerance), Bounds(swing, tolerance))


def test_three_masses_are_found_again():
    """300 g, 320 mm, 290 kg·cm² with 4 g at 5 cm, 3 g at 35 cm and 5 g at 67 cm is 312 g, 322.435897 mm, 308.220.

    By hand from Δ(MB) = m·x and ΔI = m(x − 10 cm)² (parallel axis theorem, any mechanics text); solving back gives
    4, 3 and 5 g.
    """
    best = solve(Problem(START, slots((50, 350, 670)), exact(312, 322.435897, 308.220, 1e-3)))[0]
    assert best.picks == (3, 2, 4)
    assert best.result.swingweight() == pytest.approx(308.220, abs=1e-9)


@pytest.mark.parametrize(("positions", "grams"), [
    ((50, 350, 670), (1.43010753, 5.47916667, 5.09072581)),
    ((20, 300, 680), (0.62770563, 6.17293233, 5.19936204)),
])  # fmt: skip
def test_divided_masses(positions, grams):
    """From the same start to 312 g, 32.5 cm, 310 kg·cm²: the three linear equations have one solution (Cramer's rule)."""
    problem = Problem(START, slots(positions, step=20.0, most=1), exact(312, 325, 310, 1e-7))
    found = Program(problem)
    x = found.relaxed(found.mass, found.window(1.0))
    assert x is not None
    assert tuple(20 * x[:-1]) == pytest.approx(grams, abs=1e-6)


def test_three_slots_that_would_need_a_negative_mass():
    """The same target from slots at 4, 18 and 68 cm would take −2.40 g at 4 cm: it is refused, and explained."""
    problem = Problem(START, slots((40, 180, 680), most=20), exact(312, 325, 310, 0.01))
    assert not reachable(problem)
    assert solve(problem) == ()
    (why,) = obstacles(problem, 685.8)
    assert why.kind == "limits" and "swingweight" in why.text


def plain(start, added):
    """Mass, balance and swingweight of a frame with points added, by plain sums in g and cm."""
    mass, balance, swing = start
    m = mass + sum(g for g, _ in added)
    b = (mass * balance + sum(g * x for g, x in added)) / m
    return m, b, swing + sum(g * (x - 10) ** 2 for g, x in added) / 1000


def brute(start, positions, step, most, target, tolerances):
    """The best (places, rung, mass, miss) over every combination of whole steps, tried one by one."""
    best = None
    for counts in itertools.product(range(most + 1), repeat=len(positions)):
        added = [(step * k, x) for k, x in zip(counts, positions, strict=True) if k]
        miss = max(abs(v - t) / a for v, t, a in zip(plain(start, added), target, tolerances, strict=True))
        if miss <= 1 + 1e-9:
            rung = sum(miss > share * (1 + 1e-9) for share in (0.5, 0.75, 1.0))
            key = (len(added), rung, round(sum(g for g, _ in added), 6), miss)
            best = min(best or (key, counts), (key, counts))
    return best


@pytest.mark.parametrize("target", [
    (306, 32.15, 300), (305, 32.6, 304), (308, 31.6, 297.5), (304.5, 32.0, 298), (309, 32.9, 312), (307, 31.0, 290.4),
    (300.2, 32.0, 290), (303, 33.4, 303), (312, 32.24, 308.2),
])  # fmt: skip
def test_nothing_better_by_brute_force(target):
    """Trying all 14 641 step counts of four places finds nothing better than the search, and finds it or nothing."""
    positions, tolerances = (5, 35, 52, 67), (0.5, 0.1, 1.0)
    found = brute((300, 32, 290), positions, 0.5, 10, target, tolerances)
    wanted = Window(Bounds(target[0], 0.5), Bounds(10 * target[1], 1.0), Bounds(target[2], 1.0))
    ways = solve(Problem(START, slots([10 * x for x in positions], 0.5, 10), wanted))
    if found is None:
        assert ways == ()
        return
    key, counts = found
    assert tuple(k - 1 if k else None for k in counts) == ways[0].picks or key[:3] == (
        len(ways[0].used), sum(ways[0].worst > s * (1 + 1e-9) for s in (0.5, 0.75, 1.0)),
        round(ways[0].result.m0 - 300, 6),
    )  # fmt: skip
    assert ways[0].worst == pytest.approx(key[3], rel=1e-9)


def test_feasibility_agrees_with_another_formulation():
    """Whether divided steps can meet a target agrees with scipy's linprog on plain point masses at many targets."""
    positions = (50.0, 350.0, 520.0, 670.0)
    for mass, balance, swing in itertools.product((304, 308), (315, 320, 325, 330), (288, 295, 305, 315)):
        wanted = Window(Bounds(mass, 0.5), Bounds(balance, 1.0), Bounds(swing, 1.0))
        rows, limits = [], []
        for sign in (1, -1):
            rows.append([sign] * 4)
            limits.append(sign * (mass - 300) + 0.5)
            edge = balance + sign
            rows.append([sign * (x - edge) for x in positions])
            limits.append(-sign * 300 * (320 - edge))
            rows.append([sign * (x - 100) ** 2 / 1e5 for x in positions])
            limits.append(sign * (swing - 290) + 1.0)
        other = linprog([0] * 4, A_ub=rows, b_ub=limits, bounds=[(0, 5)] * 4)
        problem = Problem(START, slots(positions, step=5.0, most=1), wanted)
        assert reachable(problem) == (other.status == 0), (mass, balance, swing)


# --- a whole rebuild, re-added from its data alone ----------------------------------------------------------------

MODEL = yaml.safe_load(MODELS.format(places=PLACES))["larch-98"]


def mm(text):
    """A length as the test shop writes it."""
    return float(text.removesuffix(" mm"))


HEAD, WIDE, RIM = mm(MODEL["head"]["length"]), mm(MODEL["head"]["width"]), mm(MODEL["rim"])
CENTRE = mm(MODEL["length"]) - RIM - HEAD / 2


def arc(hour, length):
    """Means of x, x² and y² over a strip on the ellipse along the middle of the hoop, by scipy's quadrature."""
    a, b = (HEAD + RIM) / 2, (WIDE + RIM) / 2
    angle = math.radians(30 * hour)
    middle = math.atan2(a * math.sin(angle), b * math.cos(angle))

    def speed(t):
        return math.hypot(a * math.sin(t), b * math.cos(t))

    low = high = middle
    for _ in range(60):  # Newton on the length of each half
        low -= (length / 2 - quad(speed, low, middle)[0]) / speed(low)
        high += (length / 2 - quad(speed, middle, high)[0]) / speed(high)

    def mean(f):
        return quad(lambda t: f(CENTRE + a * math.cos(t), b * math.sin(t)) * speed(t), low, high)[0] / length

    return mean(lambda x, y: x), mean(lambda x, y: x * x), mean(lambda x, y: y * y)


def piece_moments(piece):
    """Mass, first and second moment about the butt of one piece of a plan's data; a second one without the arc."""
    mass, low, high = piece["mass_g"], piece["from_mm"], piece["to_mm"]
    if piece["clock"] is not None:
        x, xx, _ = arc(piece["clock"], piece["length_mm"])
        return mass, mass * x, mass * xx
    return mass, mass * (low + high) / 2, mass * (low * low + low * high + high * high) / 3


def with_pieces(start, pieces):
    """Mass, balance and swingweight of a start in data with pieces added."""
    m0, m1 = start["mass_g"], start["mass_g"] * start["balance_mm"]
    swing = start["swingweight_kgcm2"]
    for mass, first, second in map(piece_moments, pieces):
        m0, m1 = m0 + mass, m1 + first
        swing += (second - 200 * first + 1e4 * mass) / 1e5
    return m0, m1 / m0, swing


KEYS = ("mass_g", "balance_mm", "swingweight_kgcm2")


def test_plans_re_added_from_their_data(tmp_path):
    """Start plus pieces, re-added from the JSON by other code, is what each plan predicts and inside its tolerances."""
    data = rebuild(bench(tmp_path), "ada/main", "near").data()
    assert data["status"] == "matched"
    assert len(data["plans"]) > 1
    for plan in data["plans"]:
        figures = with_pieces(data["start"], plan["additions"])
        for key, figure, near in zip(KEYS, figures, (1e-3, 0.02, 0.02), strict=True):
            assert figure == pytest.approx(plan["predicted"][key], abs=near)
            assert abs(figure - data["target"][key]) <= data["target"][f"tolerance_{key}"] + near


def test_start_re_added_from_the_record(tmp_path):
    """The finished blank is the blank as read, with its overgrip as an even rod and each string at its own length.

    The overgrip is 5 g on the 180 mm of the handle; mains and crosses are chords of the ellipse, 1.40 g/m.
    """
    data = rebuild(bench(tmp_path), "ada/main", "near").data()
    m0, m1 = 303.0, 303.0 * 318
    i_butt = 288 + (200 * m1 - 1e4 * m0) / 1e5
    radius = 32 / 2
    bodies = [(5.0, 90.0, 180**2 / 12 + radius**2 / 2)]
    for i in range(16):
        run = HEAD * math.sqrt(1 - ((i - 7.5) * 12.6 / (WIDE / 2)) ** 2)
        bodies.append((1.40 * run / 1000, CENTRE, run**2 / 12))
    for i in range(19):
        x = CENTRE + (i - 9) * 14.6
        bodies.append((1.40 * WIDE * math.sqrt(1 - ((x - CENTRE) / (HEAD / 2)) ** 2) / 1000, x, 0.0))
    for mass, x, own in bodies:
        m0, m1, i_butt = m0 + mass, m1 + mass * x, i_butt + mass * (x**2 + own) / 1e5
    start = data["start"]
    assert start["mass_g"] == pytest.approx(m0, abs=1e-3)
    assert start["balance_mm"] == pytest.approx(m1 / m0, abs=1e-3)
    assert start["swingweight_kgcm2"] == pytest.approx(i_butt - (200 * m1 - 1e4 * m0) / 1e5, abs=1e-3)


def simulated_inertia(geoms, mass, arm, amplitude):
    """Inertia in kg·cm² about the hinge of a body that MuJoCo lets swing, from its period: I = M·g·d·T₀²/4π².

    T₀ is the period over (2/π)·K(sin θ₀/2) (DLMF §22.19(i)); ``mass`` kg, ``arm`` m from the hinge to the centre.
    """
    model = mujoco.MjModel.from_xml_string(
        '<mujoco><option timestep="0.001" integrator="RK4" gravity="0 0 -9.80665"><flag contact="disable"/></option>'
        f'<worldbody><body><joint type="hinge" axis="0 1 0"/>{geoms}</body></worldbody></mujoco>'
    )
    data = mujoco.MjData(model)
    data.qpos[0] = before = amplitude
    crossings = []
    while len(crossings) < 3:
        mujoco.mj_step(model, data)
        now = float(data.qpos[0])
        if before * now < 0:
            crossings.append(data.time - model.opt.timestep * now / (now - before))
        before = now
    small = (crossings[2] - crossings[0]) / (2 / math.pi * ellipk(math.sin(amplitude / 2) ** 2))
    return mass * 9.80665 * arm * small**2 / (4 * math.pi**2) * 1e4


def test_a_simulated_body_swings_as_predicted():
    """Two rods and the points of a plan, hung in MuJoCo on a hinge at 10 cm and let go, have the predicted swingweight."""
    rods = Moments.rod(280, 640) + Moments.rod(20, 180)
    target = rods + Moments.point(4, 50) + Moments.point(5, 660)
    wanted = exact(target.mass, target.balance, target.swingweight(), 0.05)
    best = solve(Problem(rods, slots((50, 350, 660)), wanted), 1)[0]
    points = [(k + 1, x) for k, x in zip(best.picks, (50, 350, 660), strict=True) if k is not None]
    geoms = "".join(
        f'<geom type="box" size="1e-4 1e-4 {half / 1000}" mass="{g / 1000}" pos="0 0 {-(x - 100) / 1000}"/>'
        for g, x, half in [(280, 320, 320), (20, 90, 90), *((g, x, 0.1) for g, x in points)]
    )
    result = best.result
    swung = simulated_inertia(geoms, result.mass / 1000, (result.balance - 100) / 1000, 0.3)
    assert len(points) == 2
    assert swung == pytest.approx(result.swingweight(), rel=1e-5)


def test_uncertainty_of_the_finished_blank(tmp_path):
    """u of mass, balance and swingweight of the finished blank agrees with the uncertainties package.

    Inputs as assumed: scale, board and machine unlisted (resolution 0.1 g, 1 mm, 1 kg·cm²; repeatability 0.05, 0.3,
    0.25; unchecked 0.1 %, 0.5 mm, 1 %), the overgrip's mass within 3 % and its place 3 mm/√3, the string's mass 2 %.
    All of these are common practice, no source; the propagation is what is checked.
    """
    root = math.sqrt(12)
    m = ufloat(303, math.hypot(0.1 / root, 0.05)) * ufloat(1, 0.001)
    b = ufloat(318, math.hypot(1 / root, 0.3)) + ufloat(0, 0.5)
    s = ufloat(288, math.hypot(1 / root, 0.25)) * ufloat(1, 0.01)
    grip, place, string = ufloat(5, 0.15), ufloat(90, 3 / math.sqrt(3)), ufloat(1, 0.02)
    bed = Moments.string_bed(bench(tmp_path).predictor(bench(tmp_path).model("larch-98")).shape, 1.40, 1.40)
    m0 = m + grip + string * bed.m0
    m1 = m * b + grip * place + string * bed.m1
    own = 180**2 / 12 + 16**2 / 2
    m2 = s * 1e5 + 200 * m * b - 1e4 * m + grip * (place**2 + own) + string * bed.m2
    swing = (m2 - 200 * m1 + 1e4 * m0) / 1e5
    start = rebuild(bench(tmp_path), "ada/main", "near").start
    for figure, expected in ((start.mass, m0), (start.balance, m1 / m0), (start.swingweight, swing)):
        assert figure.value == pytest.approx(expected.n, rel=1e-6)
        assert figure.u == pytest.approx(expected.s, rel=1e-3)


def test_uncertainty_of_a_timed_swing():
    """The whole chain from scale, board, pin and watch to a swingweight agrees with the uncertainties package."""
    root = math.sqrt(12)
    m = ufloat(0.300, math.hypot(0.1 / root, 0.05) / 1000) * ufloat(1, 0.001)
    b = (ufloat(350, math.hypot(1 / root, 0.3)) + ufloat(0, 0.5)) / 1000
    pivot = ufloat(10, 0.5) / 1000
    time = ufloat(26.0, math.hypot(0.05, 0.05 / math.sqrt(3)))
    gravity = ufloat(9.80665, 0.0027 * 9.80665 / math.sqrt(3))
    d = b - pivot
    i_pivot = m * gravity * d * (time / 20) ** 2 / (4 * math.pi**2)
    expected = (i_pivot - m * d * d + m * (b - 0.1) ** 2) * 1e4
    reading = {"mass": "300 g", "balance": "350 mm", "pendulum": {"pivot": "10 mm", "time": "26.0 s", "swings": "20"}}
    found = estimates(Reading.model_validate(reading), TODAY, 700, Instruments())["swingweight"]
    assert found.value == pytest.approx(expected.n, rel=1e-9)
    assert found.u == pytest.approx(expected.s, rel=1e-3)
