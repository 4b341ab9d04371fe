"""A swingweight estimated from mass and balance: right in its formula, honest in its uncertainty."""

import math
from datetime import date

import numpy as np
import pytest
from rebuildshop import bench, strung_frame
from scipy.integrate import quad

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.physics.plausible import GYRATION_WINDOW
from passport.physics.uncertainty import Estimate
from passport.workshop.measuring.states import Predictor, State, Taken, bring
from passport.workshop.rebuild.lacking.gyration import USUAL, WITHIN, believed, stated, told_by

DAY = date(2026, 11, 25)
LENGTH = 680.0


def test_a_rod_swings_as_it_is_estimated():
    """With the radius of gyration of a uniform rod, 1/√12 of its length, the estimate is the rod's own integral ∫x²dm."""
    rod = believed("rod", "tennis", [])
    taken = type(rod)("rod", Estimate(1 / math.sqrt(12), 0.0), 0.0).taken("one", LENGTH, DAY)
    found = taken.figure.read({"gyration of the rod": 1 / math.sqrt(12), "gyration of one": 0.0}, 300.0, LENGTH / 2)
    exact, _ = quad(lambda x: 300.0 / LENGTH * (x - 100.0) ** 2, 0.0, LENGTH)
    assert found == pytest.approx(exact / 1e5)
    body = Body(Moments.from_measured(300.0, LENGTH / 2, exact / 1e5))
    told = told_by(body, LENGTH)
    assert told is not None and told.value == pytest.approx(1 / math.sqrt(12))


@pytest.mark.parametrize("sport", list(USUAL))
def test_what_is_usual_is_plausible(sport):
    """The whole span of every sport lies inside the window in which the checks take a racquet for one."""
    usual = USUAL[sport]
    assert GYRATION_WINDOW[0] < usual.value - usual.half and usual.value + usual.half < GYRATION_WINDOW[1]


def test_own_frames_narrow_it():
    """The more of a model's own frames were swung, the less is unsure, down to the scatter from frame to frame."""
    found = [believed("m", "tennis", [Estimate(0.330, 0.002)] * n).of_one for n in (0, 1, 3, 10)]
    assert found == sorted(found, reverse=True) and WITHIN * 0.5 < found[-1] < 1.3 * WITHIN
    assert believed("m", "tennis", [Estimate(0.330, 0.002)] * 3).k.value == pytest.approx(0.330, abs=0.002)


def _swung(gyration, owner, mass, balance, read_u, wrong):
    """A bare frame as it was weighed and balanced, each reading off by ``wrong``, its swingweight estimated."""
    taken = {
        "mass": Taken(stated("mass", DAY, mass + read_u[0] * wrong[0]), State()),
        "balance": Taken(stated("balance", DAY, balance + read_u[1] * wrong[1]), State()),
        "swingweight": gyration.taken(owner, LENGTH, DAY),
    }
    from passport.records.schema.typical import shape

    predictor = Predictor(shape("tennis", {"head_length": 330.0, "head_width": 246.0}), {}, {})
    return bring(taken, State(), predictor, owner).body


def _worlds(own, count, sport="badminton"):
    """In ``count`` worlds with hidden truth: how far the estimate of a lost frame is off in its standard uncertainties,
    and so how far it is apart from a blank's, where ``own`` other frames of the model were swung."""
    rng, usual = np.random.default_rng(20261125 + own), USUAL[sport]
    one, apart = [], []
    for _ in range(count):
        # Models are spread evenly over the span that is stated, not normally as they are taken to be.
        model = usual.value + rng.uniform(-usual.half, usual.half)
        frames = model + rng.normal(0, WITHIN, own + 2)
        told = [Estimate(k + rng.normal(0, 0.002), 0.002) for k in frames[2:]]
        gyration = believed("model", sport, told)
        bodies, truth = [], []
        for i in (0, 1):
            mass, balance = rng.normal(82, 3), rng.normal(292, 6)
            truth.append(mass * ((frames[i] * LENGTH) ** 2 + (balance - 100.0) ** 2) / 1e5)
            bodies.append(_swung(gyration, f"frame {i}", mass, balance, (0.0, 0.0), (0.0, 0.0)))
        lost = bodies[0].swingweight()
        one.append((lost.value - truth[0]) / lost.u)
        shifts = {n: s.swingweight() for n, s in (bodies[0] - bodies[1]).shifts.items()}
        u = math.hypot(*shifts.values())
        difference = bodies[0].swingweight().value - bodies[1].swingweight().value
        apart.append((difference - (truth[0] - truth[1])) / u)
    return np.array(one), np.array(apart)


@pytest.mark.parametrize("own", [0, 1, 3, 8])
def test_its_uncertainty_is_honest(own, counted):
    """Of a thousand worlds with hidden truth, models even over their span: 93 to 99 in 100 lie within two standard
    uncertainties, of the frame itself and of how far it is apart from a blank of its model."""
    one, apart = _worlds(own, 1000)
    shares = [float((np.abs(z) <= 2).mean()) for z in (one, apart)]
    spreads = [float(z.std()) for z in (one, apart)]
    counted(
        f"estimated swingweight, {own} own frames: {shares[0]:.1%} and, apart from a blank, {shares[1]:.1%} within 2 u; "
        f"spread {spreads[0]:.2f} and {spreads[1]:.2f} u"
    )
    assert all(0.93 <= share <= 0.995 for share in shares)
    assert all(0.8 <= spread <= 1.1 for spread in spreads)


def test_the_workshops_own_frames_tell(tmp_path):
    """Frames and blanks of a model that were swung here narrow what is believed of it; those that were not do not."""
    figures = "mass: 330 g, balance: 320 mm, swingweight: 318 kgcm2"
    frames = {"two": strung_frame("Two", figures), "three": strung_frame("Three", "mass: 330 g, balance: 320 mm")}
    work = bench(tmp_path, {"short": "mass: 303 g, balance: 318 mm"}, frames=frames)
    assert work.believed("larch-98").frames == 1
    filled = work.filled(work.blank("short"))
    assert filled.estimate is work.believed("larch-98") and "swingweight" in filled.taken
    assert work.filled(work.frame("ada/two")).estimate is None
