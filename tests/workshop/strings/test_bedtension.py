"""From a frequency to a bed tension and back, with what is known of strings and heads."""

import math
import random
from dataclasses import replace
from statistics import fmean, stdev

import pytest
from bedshop import LBF, frame, job, shop

from passport.physics.stringbed import BED_SHARE_OF_PULL
from passport.records.schema.frame import Stringing
from passport.workshop.strings.beds import BedBook
from passport.workshop.strings.bedtension import forecast, held, membrane, pull_ratio, string_density


def bed_in(tmp_path, mains: str = "reed-125, tension: 50 lb", crosses: str = ""):
    """A bed, its frame's model and the catalogue's strings."""
    found = BedBook(shop(tmp_path, {"one": frame(job("2026-01-05", mains=mains, crosses=crosses))}))
    bed = found.current("cy/one")
    return bed, found.model(bed), found.strings


def test_a_weighed_string_beats_the_estimate(tmp_path):
    """1.42 g/m as weighed, known to its last digit; a string that nobody weighed is known ten times worse."""
    bed, _, strings = bed_in(tmp_path)
    weighed = string_density(strings["reed-125"], bed.stringing.mains)
    assert weighed.value == 1.42
    assert weighed.u == pytest.approx(0.01 / math.sqrt(12))
    guessed = string_density(strings["birch-130"], bed.stringing.mains)
    # nylon 1.14 g/cm³ (Morton & Hearle, Physical Properties of Textile Fibres, Tables 5.1–5.2): πd²/4 of 1.30 mm
    assert guessed.value == pytest.approx(1.5131, abs=1e-4)
    assert guessed.u > 10 * weighed.u


def test_another_gauge_scales_the_weighed_mass(tmp_path):
    """A job's own gauge changes the weighed mass with its square, and makes it less sure."""
    bed, _, strings = bed_in(tmp_path, "reed-125, gauge: 1.30 mm, tension: 50 lb")
    found = string_density(strings["reed-125"], bed.stringing.mains)
    assert found.value == pytest.approx(1.42 * (1.30 / 1.25) ** 2)
    assert found.u > 0.02 * found.value


def test_a_string_of_unknown_mass_gives_no_membrane(tmp_path):
    """Neither an unknown material that nobody weighed nor a missing string is guessed."""
    bed, model, strings = bed_in(tmp_path, "odd-120, tension: 50 lb")
    assert string_density(strings["odd-120"], bed.stringing.mains) is None
    assert string_density(None, bed.stringing.mains) is None
    assert membrane(bed.stringing, model, strings) is None
    read = job("2026-01-05", "ring: 600 Hz, age: 15 min", mains="odd-120, tension: 50 lb")
    book = BedBook(shop(tmp_path / "b", {"one": frame(read)}))
    bed = book.current("cy/one")
    assert book.held(bed, bed.rings[0]) is None


def test_the_bed_tension_rings_at_its_frequency(tmp_path):
    """A bed at the tension worked out from a frequency rings at that frequency again; the crosses keep their ratio."""
    bed, model, strings = bed_in(tmp_path, "reed-125, tension: 50 lb", "flint-120, tension: 45 lb")
    known = membrane(bed.stringing, model, strings)
    assert pull_ratio(bed.stringing, model) == pytest.approx(0.9)
    tension = held(known, 600.0, 0.001, pull_ratio(bed.stringing, model)).value
    assert known[0].frequency(tension, 0.9 * tension) == pytest.approx(600)


def test_the_forecast_is_the_stated_share_of_the_pull(tmp_path):
    """Expected is the frequency of the membrane at 70 % of the pull (Cross & Bower 2001, Sports Engineering 4:165–175)."""
    bed, model, strings = bed_in(tmp_path)
    known = membrane(bed.stringing, model, strings)
    pull = 50 * LBF
    assert forecast(known, bed.stringing, model).value == pytest.approx(known[0].frequency(0.7 * pull, 0.7 * pull))


def test_the_forecast_knows_that_one_share_holds_for_both(tmp_path):
    """Its uncertainty is that of drawn shares, ratios, sizes and densities, the same share for mains and crosses."""
    bed, model, strings = bed_in(tmp_path)
    known, spread = membrane(bed.stringing, model, strings)
    dice, rings = random.Random(7), []
    pull = 50 * LBF
    for _ in range(400):
        share = dice.gauss(BED_SHARE_OF_PULL.value, BED_SHARE_OF_PULL.u)
        drawn = replace(
            known,
            length=dice.gauss(known.length, spread.length),
            width=dice.gauss(known.width, spread.width),
            main_density=dice.gauss(known.main_density, spread.main_density),
            cross_density=dice.gauss(known.cross_density, spread.cross_density),
            main_spacing=dice.gauss(known.main_spacing, spread.main_spacing),
            cross_spacing=dice.gauss(known.cross_spacing, spread.cross_spacing),
        )
        rings.append(drawn.frequency(share * pull, share * pull * dice.gauss(1, 0.05)) * dice.gauss(1, known.model_u))
    found = forecast((known, spread), bed.stringing, model)
    assert found.value == pytest.approx(fmean(rings), rel=0.01)
    assert found.u == pytest.approx(stdev(rings), rel=0.12)


def test_zones_change_the_forecast_by_the_strings_they_hold(tmp_path):
    """Softer outer mains hardly count, crosses in the middle most; what zones change is less sure than what they are on."""
    bed, model, strings = bed_in(tmp_path)
    known = membrane(bed.stringing, model, strings)

    def expected(zones: str):
        told = Stringing.model_validate({"mains": {"string": "reed-125", "tension": "50 lb"}, "zones": zones})
        return forecast(known, told, model)

    plain = forecast(known, bed.stringing, model)
    outer, middle = expected("mains outer 2 -10 %"), expected("crosses 9-11 -10 %")
    assert 0.996 * plain.value < outer.value < plain.value
    assert middle.value < outer.value
    everything = expected("mains first 8 -10 %; crosses first 19 -10 %")
    assert everything.value == pytest.approx(plain.value * 0.9**0.5)
    assert everything.u / everything.value > plain.u / plain.value
    told = Stringing.model_validate(
        {"mains": {"string": "reed-125", "tension": "50 lb"}, "zones": "crosses first 19 45 lb"}
    )
    assert pull_ratio(told, model) == pytest.approx(0.9)


def test_a_measured_spacing_is_surer(tmp_path):
    """A spacing that somebody measured is known better than one estimated from the counts."""
    bed, model, strings = bed_in(tmp_path)
    measured = model.pattern.model_copy(update={"main_spacing": model.rim})
    _, usual = membrane(bed.stringing, model, strings)
    _, better = membrane(bed.stringing, model.model_copy(update={"pattern": measured}), strings)
    assert better.main_spacing < usual.main_spacing
    assert better.cross_spacing == usual.cross_spacing
