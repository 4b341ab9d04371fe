"""The string bed: wavenumbers, frequencies, bed tensions, linear densities."""

import math
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics import stringbed
from passport.physics.geometry import RacquetShape
from passport.physics.stringbed import BedSpread, StringBed, ellipse_wavenumber, wavenumber_bounds
from passport.physics.uncertainty import Estimate

BED = StringBed(340, 250, 1.5, 1.8, 12, 15)
EXACT = BedSpread(0, 0, 0, 0, 0, 0, 0)
TENSIONS = st.floats(30, 320)
RATIOS = st.floats(0.11, 1)


@settings(deadline=None)  # the machine may be busy
@given(RATIOS, st.floats(0.01, 500))
def test_wavenumber_lies_between_its_bounds(ratio, a):
    """The wavenumber lies between the circle of equal area and the stretched circle, for every ellipse."""
    low, high = wavenumber_bounds(a, a * ratio)
    assert low * (1 - 1e-12) <= ellipse_wavenumber(a, a * ratio) <= high * (1 + 1e-12)


@settings(deadline=None)  # the machine may be busy
@given(RATIOS)
def test_turning_the_ellipse_changes_nothing(ratio):
    """Which of the two axes is the longer one does not matter."""
    assert ellipse_wavenumber(1, ratio) == ellipse_wavenumber(ratio, 1)


def test_a_thinner_ellipse_of_one_area_rings_higher():
    """At one area the wavenumber grows steadily as the ellipse gets thinner, across the near-circle shortcut too."""
    ratios = [1, 0.99999, 0.99995, 0.9999, 0.99985, 0.999, 0.99, 0.9, 0.7, 0.5, 0.2]
    ks = [ellipse_wavenumber(r**-0.5, r**0.5) for r in ratios]
    assert ks == sorted(ks)
    assert len(set(ks)) == len(ks)


@pytest.mark.parametrize(("a", "b"), [(0, 1), (1, -1), (1, 0.05)])
def test_heads_that_cannot_be_are_refused(a, b):
    """Axes that are not above 0, and an ellipse like a needle, are refused."""
    with pytest.raises(ValueError, match="head"):
        ellipse_wavenumber(a, b)


@settings(deadline=None)  # the machine may be busy
@given(TENSIONS, st.floats(0.5, 1.5))
def test_tension_from_frequency_is_the_inverse(mains, ratio):
    """The bed tension found from a bed's own frequency is the tension that it was given."""
    hz = BED.frequency(mains, mains * ratio)
    assert BED.bed_tension(hz, ratio) == pytest.approx(mains, rel=1e-9)


@settings(deadline=None)  # the machine may be busy
@given(TENSIONS, TENSIONS, st.floats(0.5, 2))
def test_frequency_goes_with_the_root_of_tension(mains, crosses, factor):
    """Both tensions times a factor multiply the squared frequency by it."""
    before, after = BED.frequency(mains, crosses), BED.frequency(mains * factor, crosses * factor)
    assert (after / before) ** 2 == pytest.approx(factor, rel=1e-9)
    assert stringbed.tension_ratio(before, after) == pytest.approx(factor, rel=1e-9)


@settings(deadline=None)  # the machine may be busy
@given(TENSIONS, TENSIONS)
def test_more_tension_anywhere_rings_higher(mains, crosses):
    """Raising the mains alone or the crosses alone raises the frequency."""
    hz = BED.frequency(mains, crosses)
    assert BED.frequency(mains + 5, crosses) > hz
    assert BED.frequency(mains, crosses + 5) > hz


def test_heavier_strings_ring_lower():
    """Twice the linear density of all strings divides the frequency by √2."""
    heavy = replace(BED, main_density=3.0, cross_density=3.6)
    assert BED.frequency(200, 200) / heavy.frequency(200, 200) == pytest.approx(math.sqrt(2))


def test_the_bed_of_a_shape():
    """A frame model's bed has the head and the spacings of its shape, and a turned bed rings the same."""
    shape = RacquetShape(685.8, 340, 250, 12, 180, 32, "open", 16, 19)
    bed = StringBed.of(shape, 1.5, 1.8)
    assert (bed.length, bed.width, bed.main_spacing, bed.cross_spacing) == (340, 250, 250 / 19, 340 / 22)
    turned = StringBed(250, 340, 1.8, 1.5, bed.cross_spacing, bed.main_spacing)
    assert turned.frequency(180, 220) == pytest.approx(bed.smooth_frequency(220, 180))


@pytest.mark.parametrize(("mains", "crosses"), [(0, 200), (200, 0), (-1, 200), (math.nan, 200)])
def test_slack_beds_are_refused(mains, crosses):
    """A bed without tension in mains or crosses does not ring."""
    with pytest.raises(ValueError, match="tension in mains and crosses"):
        BED.frequency(mains, crosses)


def test_silent_beds_are_refused():
    """A frequency that is not above 0 is refused."""
    with pytest.raises(ValueError, match="0 Hz"):
        BED.bed_tension(0)


def test_uncertainty_of_a_bed_tension():
    """A bed tension has twice the relative u of its frequency, and the membrane's own share doubles the same way."""
    found = stringbed.bed_tension(BED, Estimate(600, 3), Estimate(1, 0), EXACT)
    assert found.u / found.value == pytest.approx(2 * 3 / 600, rel=1e-4)
    modelled = stringbed.bed_tension(BED, Estimate(600, 0), Estimate(1, 0), replace(EXACT, model=0.01))
    assert modelled.u / modelled.value == pytest.approx(2 * 0.01, rel=1e-3)


def test_uncertainty_of_an_expected_frequency():
    """A tension known to 4 % for mains and crosses, apart, makes less than 2 % of frequency; every input is named."""
    expected = stringbed.expected_frequency(BED, Estimate(200, 8), Estimate(200, 8), EXACT)
    assert 0.01 < expected.u / expected.value < 0.02
    assert expected.value == BED.frequency(200, 200)
    assert {s.name for s in expected.shares} == {
        "mains", "crosses", "length", "width", "main_density", "cross_density", "main_spacing", "cross_spacing", "model"
    }  # fmt: skip


def test_usual_spread_leaves_a_useful_figure():
    """With the usual spreads and a weighed string a bed tension is known to between 1 and 6 %."""
    found = stringbed.bed_tension(BED, Estimate(600, 1), Estimate(1, 0.05), BedSpread(main_density=0.02))
    assert 0.01 < found.u / found.value < 0.06


def test_density_grows_with_the_square_of_the_gauge():
    """Twice the gauge has four times the linear density."""
    thick, thin = stringbed.linear_density("nylon", 1.4), stringbed.linear_density("nylon", 0.7)
    assert thick.value == pytest.approx(4 * thin.value)
    assert 0.05 < thick.u / thick.value < 0.06


@pytest.mark.parametrize(
    ("material", "gauge", "words"), [("wool", 1.3, "weigh the string"), ("nylon", 0, "above 0 mm")]
)
def test_unknown_strings_are_refused(material, gauge, words):
    """A material without a known density, or a gauge of nothing, is refused with what to do."""
    with pytest.raises(ValueError, match=words):
        stringbed.linear_density(material, gauge)


def test_what_is_left_out_is_said():
    """The statement of what the model leaves out names uneven tension, friction, the hoop, the air and dampeners."""
    for word in ("uneven tension", "friction", "hoop", "air", "dampeners"):
        assert word in stringbed.LEFT_OUT


def test_a_forecast_is_less_than_the_pull():
    """The forecast of a bed tension lies below the pull, with a band of several per cent."""
    forecast = stringbed.expected_bed_tension(250)
    assert forecast.value < 250
    assert forecast.u / forecast.value > 0.05


def test_importing_loads_no_heavy_library():
    """Importing the module loads neither numpy nor scipy."""
    code = "import sys, passport.physics.stringbed; sys.exit(bool({'numpy', 'scipy'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
