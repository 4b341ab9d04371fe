"""Whether equations agree: held against plain weighted least squares (numpy) and scipy's distribution."""

import numpy as np
import pytest
from scipy import stats

from passport.physics.conditioning import Constraint
from passport.workshop.resume.agreement import agreement

OWN = (0.1, 0.2, 0.15, 0.1)
SHARED = np.array([[0.5, 0.0], [0.5, 0.3], [0.0, 0.3], [0.5, 0.3]])
MISSES = (0.4, 3.1, -0.2, 0.1)


def _equations() -> list[Constraint]:
    return [
        Constraint(miss, {f"own {i}": OWN[i], "grip": float(SHARED[i, 0]), "string": float(SHARED[i, 1])})
        for i, miss in enumerate(MISSES)
    ]


def _left_out(i: int) -> float:
    """How far one equation misses what all others predict, in standard uncertainties, by least squares with the priors
    of grip and string as two more observations."""
    rest = [k for k in range(len(MISSES)) if k != i]
    design = np.vstack([SHARED[rest] / np.array(OWN)[rest, None], np.eye(2)])
    seen = np.concatenate([-np.array(MISSES)[rest] / np.array(OWN)[rest], np.zeros(2)])
    found = np.linalg.lstsq(design, seen, rcond=None)[0]
    covariance = np.linalg.inv(design.T @ design)
    spread = OWN[i] ** 2 + SHARED[i] @ covariance @ SHARED[i]
    return abs(MISSES[i] + SHARED[i] @ found) / spread**0.5


def test_a_reading_strays_as_far_as_the_others_say() -> None:
    """|w| of a reading is its miss against a prediction from all others, over the standard uncertainty of that."""
    directions = {f"own {i}": [float(i == k) for k in range(4)] for i in range(4)}
    found = agreement(_equations(), directions)
    assert [found.strays[f"own {i}"] for i in range(4)] == pytest.approx([_left_out(i) for i in range(4)], rel=1e-9)
    assert max(found.strays, key=found.strays.__getitem__) == "own 1"


def test_all_together_are_tested_by_chi_square() -> None:
    """The sum of squares and its probability are those of a normal distribution with that covariance (scipy)."""
    found = agreement(_equations(), {})
    covariance = np.diag(np.square(OWN)) + SHARED @ SHARED.T
    square = float(np.array(MISSES) @ np.linalg.solve(covariance, MISSES))
    assert found.chi_square == pytest.approx(square, rel=1e-9)
    assert found.degrees == 4
    assert found.probability == pytest.approx(stats.chi2.sf(square, 4), rel=1e-9)


def test_strays_are_standard_normal_where_nothing_is_wrong() -> None:
    """Drawn from their own covariance, the strays of readings and inputs are |N(0, 1)|, and the probability is uniform."""
    rng = np.random.default_rng(3)
    covariance = np.diag(np.square(OWN)) + SHARED @ SHARED.T
    drawn = rng.multivariate_normal(np.zeros(4), covariance, 2000)
    suspects = {"own 2": [0, 0, 1, 0], "grip": SHARED[:, 0], "string": SHARED[:, 1]}
    strays, chances = [], []
    for misses in drawn:
        seen = [Constraint(float(m), e.shifts) for m, e in zip(misses, _equations(), strict=True)]
        found = agreement(seen, suspects)
        strays.append([found.strays[name] for name in suspects])
        chances.append(found.probability)
    assert np.mean(np.square(strays), axis=0) == pytest.approx(1.0, abs=0.12)  # four standard errors of 2,000
    assert stats.kstest(chances, "uniform").pvalue > 0.001


def test_nothing_read_agrees() -> None:
    """Without readings nothing strays; a suspect that does nothing strays by 0; wrong lengths are refused."""
    assert agreement([], {"grip": []}).strays == {"grip": 0.0}
    assert agreement(_equations(), {"other": [0, 0, 0, 0]}).strays == {"other": 0.0}
    with pytest.raises(ValueError, match="each equation"):
        agreement(_equations(), {"grip": [1.0]})
