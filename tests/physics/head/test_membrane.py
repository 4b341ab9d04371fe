"""Membranes and nets by their energies: what must hold of any of them."""

import subprocess
import sys

import pytest

from passport.physics.geometry import RacquetShape
from passport.physics.head.membrane import smooth
from passport.physics.head.outline import EGG, ELLIPSE, SQUARER, TEARDROP
from passport.physics.stringbed import StringBed

WEIGHTS = (0.8, 1.2), (0.5, 0.6)


@pytest.mark.parametrize("outline", [ELLIPSE, SQUARER, EGG, TEARDROP])
def test_more_tension_rings_higher_and_more_mass_lower(outline):
    """ω² grows with the stretch of mains and of crosses, falls with the mass of either, and goes with all of them."""
    energies = smooth(outline)
    (mains, crosses), (heavy, light) = WEIGHTS
    plain = energies.lowest(*WEIGHTS).squared(*WEIGHTS)
    for weights, higher in (
        (((1.1 * mains, crosses), (heavy, light)), True),
        (((mains, 1.1 * crosses), (heavy, light)), True),
        (((mains, crosses), (1.1 * heavy, light)), False),
        (((mains, crosses), (heavy, 1.1 * light)), False),
    ):
        found = energies.lowest(*weights).squared(*weights)
        assert (found > plain) is higher
        assert 1 / 1.1 < found / plain < 1.1
    double = (2 * mains, 2 * crosses), (heavy, light)
    assert energies.lowest(*double).squared(*double) == pytest.approx(2 * plain, rel=1e-9)


def test_the_mode_of_a_bed_serves_one_close_to_it():
    """By the vibration of another bed ω² is never too low, and right to second order."""
    energies, near = smooth(TEARDROP, 0.3), ((0.82, 1.2), (0.5, 0.62))
    exact, by_other = energies.lowest(*near).squared(*near), energies.lowest(*WEIGHTS).squared(*near)
    assert exact <= by_other < exact * (1 + 1e-4)


def test_many_strings_are_a_membrane():
    """A net of so many strings that they reach the rim is the smooth membrane, in a teardrop too."""
    for outline, fan in ((ELLIPSE, 0.0), (TEARDROP, 0.3)):
        shape = RacquetShape(685, 340, 186, 11, 200, 27, "open", 90, 180, 185 / 91, 340 / 181, outline=outline, fan=fan)
        assert StringBed.of(shape, 0.2, 0.2).net_share(0.9) == pytest.approx(1, abs=2e-3)


def test_no_heavy_library_is_loaded():
    """A bed of any outline is solved without numpy and scipy, which take longer to load than the sums take."""
    code = (
        "import sys\nfrom passport.physics.head.membrane import smooth\nfrom passport.physics.head.outline import EGG\n"
        "smooth(EGG).lowest((1.0, 1.0), (1.0, 1.0))\nsys.exit(bool({'numpy', 'scipy'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
