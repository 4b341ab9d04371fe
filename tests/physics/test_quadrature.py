"""The quadrature rule."""

import math

import pytest

from passport.physics.quadrature import integrate


@pytest.mark.parametrize("degree", range(10))
def test_polynomials_up_to_degree_nine_are_exact(degree):
    """One panel integrates every power up to the ninth exactly, as five Gauss nodes must (DLMF §3.5(v))."""
    exact = (3.0 ** (degree + 1) - (-1.0) ** (degree + 1)) / (degree + 1)
    assert integrate(lambda x: x**degree, -1.0, 3.0, panels=1) == pytest.approx(exact, rel=1e-13)


def test_a_single_panel_is_not_exact_beyond():
    """The tenth power is beyond one panel of the rule, and more panels bring it in."""
    exact = 2 / 11
    assert abs(integrate(lambda x: x**10, -1.0, 1.0, panels=1) - exact) > 1e-4
    assert integrate(lambda x: x**10, -1.0, 1.0, panels=8) == pytest.approx(exact, rel=1e-10)


def test_direction_gives_the_sign():
    """Integrating backwards gives the opposite sign, and over nothing gives 0."""
    assert integrate(math.cos, 1.0, 0.0) == pytest.approx(-math.sin(1.0))
    assert integrate(math.cos, 2.0, 2.0) == 0
