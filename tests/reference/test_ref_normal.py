"""The probability of a box under a multivariate normal, against scipy's integral, plain sampling and products."""

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from passport.physics.normal import COARSE, FINE, box_probability


def cases(count, size, seed):
    """Random distances and covariances in units of half a tolerance, from almost free to almost rigid."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        factor = rng.normal(size=(size, size)) * rng.uniform(0.05, 0.8, size=size)
        yield rng.uniform(-1.2, 1.2, size), factor @ factor.T + np.diag(rng.uniform(0.02, 0.3, size) ** 2)


@pytest.mark.parametrize("size", [1, 2, 3, 4])
def test_against_scipy(size, capsys):
    """Over 25 random boxes in each number of dimensions the two integrals differ by less than 0.0005."""
    worst = coarse = 0.0
    for off, covariance in cases(25, size, seed=size):
        judge = multivariate_normal(off, covariance, abseps=1e-6, releps=1e-6, maxpts=200_000, seed=3)
        wanted = judge.cdf(np.ones(size), lower_limit=-np.ones(size))
        one = (off[np.newaxis], covariance[np.newaxis], np.ones(size))
        worst = max(worst, abs(box_probability(*one, FINE)[0] - wanted))
        coarse = max(coarse, abs(box_probability(*one, COARSE)[0] - wanted))
    with capsys.disabled():
        print(f"\nboxes in {size} dimensions: 25, worst {worst:.1e}, ranked with {coarse:.1e}")
    assert worst < 5e-4
    assert coarse < 2e-2


def test_independent_figures_are_a_product():
    """Without correlation the probability is the product of the single ones (JCGM 106, 7.4)."""
    off, u, half = np.array([0.3, -1.0, 2.0, 0.0]), np.array([0.5, 1.0, 1.5, 0.2]), np.array([1.0, 2.0, 1.5, 0.5])
    single = norm.cdf((half - off) / u) - norm.cdf((-half - off) / u)
    found = box_probability(off[np.newaxis], np.diag(u**2)[np.newaxis], half)[0]
    assert found == pytest.approx(single.prod(), abs=1e-6)


def test_figures_that_are_one_and_the_same():
    """Two figures that differ by nothing are inside as often as one of them."""
    both = box_probability(np.array([[0.2, 0.2]]), np.full((1, 2, 2), 0.49), np.ones(2))[0]
    one = box_probability(np.array([[0.2]]), np.full((1, 1, 1), 0.49), np.ones(1))[0]
    assert both == pytest.approx(one, abs=0.01)


def test_by_sampling():
    """A hundred thousand drawn racquets, fixed seed, are inside as often as is said, within four standard errors."""
    rng = np.random.default_rng(11)
    for off, covariance in cases(8, 4, seed=99):
        drawn = rng.multivariate_normal(off, covariance, 100_000)
        share = np.all(np.abs(drawn) <= 1, axis=1).mean()
        found = box_probability(off[np.newaxis], covariance[np.newaxis], np.ones(4))[0]
        assert abs(found - share) < 4 * (share * (1 - share) / 100_000) ** 0.5 + 5e-4


def test_exact_figures_and_no_figures():
    """Without any uncertainty a figure is inside or it is not, and nothing wanted is always met."""
    off = np.array([[0.9, 0.0], [1.1, 0.0]])
    assert list(box_probability(off, np.zeros((2, 2, 2)), np.ones(2))) == pytest.approx([1, 0])
    assert list(box_probability(np.zeros((1, 0)), np.zeros((1, 0, 0)), np.zeros(0))) == [1]
    with pytest.raises(ValueError, match="tolerance"):
        box_probability(np.zeros((1, 1)), np.zeros((1, 1, 1)), np.zeros(1))
