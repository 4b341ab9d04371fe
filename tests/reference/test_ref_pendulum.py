"""The pendulum against closed forms, elliptic integrals, a simulated swing and an independent error propagation."""

import math

import mujoco
import pytest
import uncertainties
from scipy.special import ellipk

from passport.physics.moments import Moments
from passport.physics.pendulum import (
    PendulumReading,
    amplitude_factor,
    bifilar_factor,
    bifilar_inertia,
    pendulum_period,
    pendulum_swingweight,
)
from passport.physics.uncertainty import Estimate

ROD = Moments.rod(300, 700)  # 310 kg·cm² about 100 mm: M(L²/12 + (L/2 − A)²), any mechanics text


@pytest.mark.parametrize("amplitude", [0.0, 0.01, 0.2, 0.5, 1.0, 2.0, 3.1])
def test_amplitude_factor_is_the_elliptic_integral(amplitude):
    """T/T₀ = (2/π)·K(sin θ₀/2) (DLMF §22.19(i)), with the complete elliptic integral of scipy."""
    expected = 2 / math.pi * ellipk(math.sin(amplitude / 2) ** 2)
    assert amplitude_factor(amplitude) == pytest.approx(expected, rel=1e-14)


def test_amplitude_factor_has_the_known_series():
    """For moderate swings the factor is 1 + θ₀²/16 + 11θ₀⁴/3072 (from memory of mechanics texts)."""
    assert amplitude_factor(0.3) == pytest.approx(1 + 0.3**2 / 16 + 11 * 0.3**4 / 3072, abs=2e-7)


@pytest.mark.parametrize("amplitude", [0.0, 0.01, 0.2, 0.5])
def test_period_of_a_rod(amplitude):
    """A 300 g, 700 mm rod about 100 mm: T₀ = 2π√(I/(Mgd)) with I = 310 kg·cm², d = 250 mm, times the elliptic factor."""
    small = 2 * math.pi * math.sqrt(310e-4 / (0.300 * 9.80665 * 0.250))
    expected = small * 2 / math.pi * ellipk(math.sin(amplitude / 2) ** 2)
    assert pendulum_period(ROD, 100, amplitude) == pytest.approx(expected, rel=1e-12)


def simulated_period(amplitude: float) -> float:
    """Period in s of the rod released at ``amplitude`` rad, as simulated by MuJoCo with Runge–Kutta steps of 1 ms."""
    model = mujoco.MjModel.from_xml_string(
        '<mujoco><option timestep="0.001" integrator="RK4" gravity="0 0 -9.80665"><flag contact="disable"/></option>'
        '<worldbody><body><joint type="hinge" axis="0 1 0" pos="0 0 0.25"/>'
        '<geom type="box" size="1e-4 1e-4 0.35" mass="0.3"/></body></worldbody></mujoco>'
    )
    data = mujoco.MjData(model)
    data.qpos[0] = amplitude
    crossings: list[float] = []
    before = amplitude
    while len(crossings) < 3:
        mujoco.mj_step(model, data)
        now = float(data.qpos[0])
        if before * now < 0:
            crossings.append(data.time - model.opt.timestep * now / (now - before))
        before = now
    return crossings[2] - crossings[0]


@pytest.mark.parametrize("amplitude", [0.01, 0.2, 0.5, 1.2])
def test_period_agrees_with_a_simulated_swing(amplitude):
    """The rod's period at several amplitudes agrees with its swing simulated by MuJoCo (independent engine)."""
    assert pendulum_period(ROD, 100, amplitude) == pytest.approx(simulated_period(amplitude), rel=2e-6)


def test_a_simulated_swing_gives_the_rods_swingweight_back():
    """A wide swing simulated by MuJoCo, timed and turned back, gives the rod's 310 kg·cm²."""
    assert pendulum_swingweight(300, 350, 100, simulated_period(0.5), amplitude=0.5) == pytest.approx(310, abs=0.002)


def test_the_small_swing_formula_is_wrong_for_a_wide_swing():
    """The same wide swing read with the small-swing formula I = M·g·d·T²/4π² is off by 3 %: 319.9 for 310 kg·cm²."""
    period = simulated_period(0.5)
    naive = 0.300 * 9.80665 * 0.250 * period**2 / (4 * math.pi**2) * 1e4
    assert naive == pytest.approx(319.9, abs=0.05)
    assert pendulum_swingweight(300, 350, 100, period) == pytest.approx(naive)
    assert pendulum_swingweight(300, 350, 100, period, amplitude=0.5) == pytest.approx(310, abs=0.002)


@pytest.mark.parametrize(
    ("mass", "balance", "swing", "i_butt"),
    # I_butt = SW + M·(B² − (B − 10 cm)²) kg·cm², parallel axis theorem (any mechanics text), worked by hand
    [(320, 320, 325, 497.80), (90, 300, 90, 135.00), (190, 320, 160, 262.60)],
)
def test_frames_hung_at_the_butt(mass, balance, swing, i_butt):
    """A tennis, a badminton and a squash frame hung at the butt swing with T₀ = 2π√(I_butt/(M·g·B))."""
    expected = 2 * math.pi * math.sqrt(i_butt * 1e-4 / (mass / 1e3 * 9.80665 * balance / 1e3))
    period = pendulum_period(Moments.from_measured(mass, balance, swing), 0)
    assert period == pytest.approx(expected, rel=1e-6)


def test_budget_agrees_with_the_uncertainties_package():
    """Value, total u and each share of a swingweight by pendulum agree with the `uncertainties` package.

    Mass 300.0 ± 0.1 g, balance 350.0 ± 0.5 mm, pivot 10.0 ± 0.5 mm, period 1.3000 ± 0.0010 s, standard gravity.
    """
    m = uncertainties.ufloat(0.3000, 0.0001, "mass")
    b = uncertainties.ufloat(0.3500, 0.0005, "balance")
    p = uncertainties.ufloat(0.0100, 0.0005, "pivot")
    t = uncertainties.ufloat(1.3000, 0.0010, "time")
    pivot = m * 9.80665 * (b - p) * t**2 / (4 * math.pi**2)
    swing = (pivot - m * (b - p) ** 2 + m * (b - 0.1) ** 2) * 1e4
    reading = PendulumReading(Estimate(300, 0.1), Estimate(350, 0.5), Estimate(10, 0.5), Estimate(1.3, 0.001))
    result = reading.swingweight()
    assert reading.inertia().value == pytest.approx(pivot.nominal_value * 1e4, rel=1e-12)
    assert result.value == pytest.approx(swing.nominal_value, rel=1e-12)
    assert result.u == pytest.approx(swing.std_dev, rel=1e-5)
    shares = {share.name: share.amount for share in result.shares}
    for variable, amount in swing.error_components().items():
        assert shares[variable.tag] == pytest.approx(amount, rel=1e-4)


def test_a_pendulum_is_as_good_as_published():
    """That budget is below 1 %: Spurr et al. 2014, Procedia Engineering 72:569–574, report under 1.0 % against rods."""
    reading = PendulumReading(Estimate(300, 0.1), Estimate(350, 0.5), Estimate(10, 0.5), Estimate(1.3, 0.001))
    assert reading.swingweight().expanded() / reading.swingweight().value < 0.01


def test_treating_balance_as_two_inputs_is_wrong():
    """Balance enters twice with opposite signs; taken as two independent inputs its share would be overstated."""
    b_arm, b_shift = uncertainties.ufloat(0.35, 0.0005), uncertainties.ufloat(0.35, 0.0005)
    pivot = 0.3 * 9.80665 * (b_arm - 0.01) * 1.3**2 / (4 * math.pi**2)
    wrong = (pivot + 0.3 * ((b_shift - 0.1) ** 2 - (b_shift - 0.01) ** 2)) * 1e4
    reading = PendulumReading(Estimate(300, 0), Estimate(350, 0.5), Estimate(10, 0), Estimate(1.3, 0))
    assert reading.swingweight().u < 0.8 * wrong.std_dev


def simulated_turn(turn: float) -> float:
    """Period in s of a rod of 300 g and 700 mm on two wires, 400 mm apart and 1200 mm long, let go at ``turn`` rad.

    MuJoCo with stiff tendon limits for wires; the engine knows no formula of a bifilar swing.
    """
    model = mujoco.MjModel.from_xml_string(
        '<mujoco><option timestep="0.0005" gravity="0 0 -9.80665"><flag contact="disable"/></option><worldbody>'
        '<site name="a" pos="-0.2 0 1.2"/><site name="b" pos="0.2 0 1.2"/>'
        '<body><freejoint/><geom type="box" size="0.35 1e-4 1e-4" mass="0.3"/>'
        '<site name="c" pos="-0.2 0 0"/><site name="d" pos="0.2 0 0"/></body></worldbody>'
        '<tendon><spatial limited="true" range="0 1.2" solreflimit="0.002 1" solimplimit="0.99 0.999 1e-5">'
        '<site site="a"/><site site="c"/></spatial>'
        '<spatial limited="true" range="0 1.2" solreflimit="0.002 1" solimplimit="0.99 0.999 1e-5">'
        '<site site="b"/><site site="d"/></spatial></tendon></mujoco>'
    )
    data = mujoco.MjData(model)
    rise = 1.2 - math.sqrt(1.2**2 - (0.4 * math.sin(turn / 2)) ** 2)
    data.qpos[:] = [0, 0, rise, math.cos(turn / 2), 0, 0, math.sin(turn / 2)]
    crossings: list[float] = []
    before = turn
    while len(crossings) < 5:
        mujoco.mj_step(model, data)
        now = float(data.qpos[6])
        if before * now < 0:
            crossings.append(data.time - model.opt.timestep * now / (now - before))
        before = now
    return (crossings[4] - crossings[0]) / 2


ROD_ICM = 300 * 700**2 / 12 / 1e5


def test_two_wires_agree_with_a_simulated_turn():
    """A rod hung level on two wires in MuJoCo and given a small turn shows its own ML²/12.

    The formula I = M·g·D²T²/(16π²h) is from memory; the engine knows nothing of it.
    """
    assert bifilar_inertia(300, 400, 1200, simulated_turn(0.05)) == pytest.approx(ROD_ICM, rel=0.003)


@pytest.mark.parametrize("degrees", [10, 30, 60])
def test_a_wide_turn_on_two_wires_agrees_with_a_simulated_one(degrees):
    """Wide turns simulated by MuJoCo take as much longer than a small one as the amplitude factor says.

    Against the simulated small turn, so that what the tendons give way cancels.
    """
    turn = math.radians(degrees)
    longer = simulated_turn(turn) / simulated_turn(0.02)
    assert bifilar_factor(turn, 400, 1200, ROD_ICM * 1e5 / 300) == pytest.approx(longer, rel=3e-4)


def test_what_an_amplitude_does_to_two_wires():
    """On long wires a turn of 10° makes a moment of inertia 0.4 % too large and one of 15° 0.9 %: θ₀²/8 (from memory)."""
    for degrees, excess in ((10, 0.004), (15, 0.009)):
        factor = bifilar_factor(math.radians(degrees), 30, 1200, 700**2 / 12)
        assert factor**2 - 1 == pytest.approx(excess, abs=0.0005)
        assert factor**2 - 1 == pytest.approx(math.radians(degrees) ** 2 / 8, rel=0.02)


def test_a_wide_simulated_turn_gives_the_rod_back():
    """A turn of 30° simulated by MuJoCo, timed and corrected, gives the rod's ML²/12; uncorrected it is 3 % too large."""
    turn = math.radians(30)
    period = simulated_turn(turn)
    assert bifilar_inertia(300, 400, 1200, period, amplitude=turn) == pytest.approx(ROD_ICM, rel=0.003)
    assert bifilar_inertia(300, 400, 1200, period) > 1.03 * ROD_ICM


def test_wires_too_short_for_the_turn():
    """Wires that would have to lie flat are named, with the turn."""
    with pytest.raises(ValueError, match="does not turn 120°"):
        bifilar_factor(math.radians(120), 400, 300, 1e4)
