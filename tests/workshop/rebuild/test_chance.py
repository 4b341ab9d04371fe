"""How sure a plan is: the covariance of its figures less what is wanted, and what a measurement would change."""

import numpy as np
import pytest
from scipy.stats import norm

from passport.physics.body import Body
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate, Share
from passport.workshop.measuring.assumed import USUAL
from passport.workshop.rebuild.chance import deviation, doubt_of
from passport.workshop.rebuild.plan import Aim, Figures, percent
from passport.workshop.rebuild.remedy import cheapest

FRAME = Moments.from_measured(330, 320, 318, 13.4)
GRIP = Moments.filled(25, 0, 180)
BODY = Body(
    FRAME, {"mass of Grip, along the handle, blank": GRIP.scaled(0.9 / 25), "scale": Moments(0.1, 32.0, 9000.0, 0.0)}
)


def aims(**shares):
    """What is wanted: the very figures, to within the usual tolerances."""
    return (
        Aim("mass", 330, 1, 0.0, "setup", shares=shares.get("mass", ())),
        Aim("balance", 320, 1.5, 0.0, "setup"),
        Aim("swingweight", FRAME.swingweight(), 1.5, 0.0, "setup"),
    )


def test_the_covariance_is_that_of_the_shifts():
    """Drawn inputs, added to the body, scatter as the covariance says (JCGM 102, 6.2), within three per cent."""
    found = deviation(Figures.of(BODY), aims())
    rng = np.random.default_rng(4)
    drawn = []
    for factors in rng.normal(size=(20_000, len(BODY.shifts))):
        body = Moments.total([FRAME, *(s.scaled(f) for s, f in zip(BODY.shifts.values(), factors, strict=True))])
        drawn.append((body.mass, body.balance, body.swingweight()))
    assert np.cov(np.array(drawn).T) == pytest.approx(found.covariance, rel=0.03, abs=1e-4)


def test_what_target_and_body_share_drops_out():
    """A target read on the same scale moves with the body: what the scale is off does not count twice, but not at all."""
    shared = aims(mass=(Share("scale", 0.1, 0.1),))
    alone, both = deviation(Figures.of(BODY), aims()), deviation(Figures.of(BODY), shared)
    assert alone.u("mass") == pytest.approx((0.9**2 + 0.1**2) ** 0.5)
    assert both.u("mass") == pytest.approx(0.9)


def test_figures_without_inputs_count_by_themselves():
    """Where only uncertainties are known the chance is the product of the single ones (JCGM 106, 7.4)."""
    figures = Figures(Estimate(330.5, 0.4), Estimate(320, 0.6), Estimate(318, 0.5), None)
    wanted = (Aim("mass", 330, 1, 0.3, "readings"), Aim("balance", 320, 1.5, 0.0, "setup"))
    single = [norm.cdf((t - o) / u) - norm.cdf((-t - o) / u) for o, u, t in ((0.5, 0.5, 1), (0, 0.6, 1.5))]
    assert deviation(figures, wanted).chance == pytest.approx(single[0] * single[1], abs=1e-4)


def test_the_search_and_the_sheet_say_the_same():
    """The covariance that plans are ranked by is the one that is shown, to a thousandth."""
    shared = aims(mass=(Share("scale", 0.1, 0.1),))
    doubt = doubt_of(BODY, shared, {}, {})
    row = np.array([[FRAME.m0, FRAME.m1, FRAME.swingweight(), FRAME.twistweight]])
    ranked = doubt.covariance(row, np.zeros((1, 4, 4)))[0][:3, :3]
    assert ranked == pytest.approx(deviation(Figures.of(BODY), shared).covariance, rel=1e-3, abs=1e-9)


def test_the_cheapest_measurement():
    """A part whose mass comes from a list is to be weighed, and the chance then is that with its mass weighed."""
    found = deviation(Figures.of(BODY), aims())
    remedy = cheapest(found, "blank", {})
    assert remedy is not None and "Grip (along the handle)" in remedy.what
    weighed = Body(FRAME, {**BODY.shifts, "mass of Grip, along the handle, blank": GRIP.scaled(USUAL.weighed / 25)})
    assert remedy.after == pytest.approx(deviation(Figures.of(weighed), aims()).chance, abs=1e-6)
    assert remedy.before == pytest.approx(found.chance)
    assert "→" in remedy.text


def test_nothing_to_measure():
    """Where everything is as well known as it can be at the bench, no measurement is named."""
    assert (
        cheapest(deviation(Figures.of(Body(FRAME, {"scale": Moments(0.1, 32.0, 0.0, 0.0)})), aims()), "blank", {})
        is None
    )


def test_an_unchecked_instrument():
    """An instrument that was never checked is named where nothing cheaper helps, with the most that a check could bring."""
    body = Body(FRAME, {"swing machine, unchecked": Moments(0.0, 0.0, 1.5e5, 0.0)})
    remedy = cheapest(deviation(Figures.of(body), aims()), "blank", {})
    assert remedy is not None and "check the swing machine" in remedy.what
    assert remedy.at_most and "at most" in remedy.text


def test_chances_in_words():
    """Neither certainty nor impossibility is printed unless it is there."""
    assert [percent(p) for p in (1.0, 0.9999, 0.704, 0.001, 0.0)] == ["100 %", "over 99 %", "70 %", "under 1 %", "0 %"]
