"""Every unit factor against the pint package and against the published exact values."""

import pint
import pytest

from passport.physics import units


@pytest.fixture(scope="module")
def registry():
    """The unit registry of pint, with its own definitions."""
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    ("factor", "of", "to"),
    [
        (units.G_PER_LB, "pound", "gram"),
        (units.G_PER_OZ, "ounce", "gram"),
        (units.MM_PER_IN, "inch", "millimeter"),
        (units.N_PER_KGF, "kilogram_force", "newton"),
        (units.N_PER_LBF, "force_pound", "newton"),
        (units.KGCM2_PER_OZIN2, "ounce * inch**2", "kilogram * centimeter**2"),
        (units.GMM2_PER_KGCM2, "kilogram * centimeter**2", "gram * millimeter**2"),
        (units.STANDARD_GRAVITY, "standard_gravity", "meter / second**2"),
        (units.MM_PER_POINT, "inch / 8", "millimeter"),
    ],
)
def test_factor_agrees_with_pint(registry, factor, of, to):
    """The factor equals what pint (independent package) makes of the same units."""
    assert factor == pytest.approx(registry.parse_expression(of).to(to).magnitude, rel=1e-14)


@pytest.mark.parametrize(
    ("got", "exact"),
    [
        (units.G_PER_LB, 453.59237),  # international yard and pound agreement, 1959; NIST SP 811 appendix B
        (units.G_PER_OZ, 28.349523125),  # NIST SP 811 appendix B
        (units.MM_PER_IN, 25.4),  # international yard and pound agreement, 1959
        (units.N_PER_LBF, 4.4482216152605),  # NIST SP 811 appendix B.8, pound-force
        (units.N_PER_KGF, 9.80665),  # NIST SP 811 appendix B.8, kilogram-force
        (units.STANDARD_GRAVITY, 9.80665),  # 3rd CGPM, 1901
    ],
)
def test_factor_is_the_published_exact_value(got, exact):
    """The factor is the exact value of the agreement or table named beside it."""
    assert got == exact


@pytest.mark.parametrize("lb", [20, 25, 28, 55])
def test_stringing_tensions_in_both_systems(registry, lb):
    """A pull tension in lb comes out in N and in kg as pint converts it."""
    force = registry.Quantity(lb, "force_pound")
    newtons = units.newtons_from_lb(lb)
    assert newtons == pytest.approx(force.to("newton").magnitude, rel=1e-14)
    assert units.kg_from_newtons(newtons) == pytest.approx(force.to("kilogram_force").magnitude, rel=1e-14)


def test_a_tennis_balance_in_points():
    """A 27 in frame balancing at 320 mm is (13.5 in − 320 mm) / (1/8 in) = 7.21 points head light.

    The size of a point is common practice, no source; the arithmetic is done here in exact fractions of an inch.
    """
    assert units.points_head_light(320, 27 * 25.4) == pytest.approx((13.5 - 320 / 25.4) * 8)
    assert round(units.points_head_light(320, 685.8), 2) == 7.21
