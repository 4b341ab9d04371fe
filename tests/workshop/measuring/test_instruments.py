"""Readings corrected by the check in force, and how sure they are."""

import math
from datetime import date

import pytest

from passport.physics.uncertainty import Estimate
from passport.records.schema.quantities import MASS, parse
from passport.records.schema.workshop import Instrument, Rod
from passport.workshop.measuring.instruments import (
    Instruments,
    check_in_force,
    digits_u,
    known,
    last_digit,
    rod_figure,
    through,
)

DAY = date(2026, 5, 1)


def instrument(kind: str, resolution: str, *checks: dict[str, object], **more: object) -> Instrument:
    """An instrument with its checks."""
    return Instrument.model_validate(
        {"kind": kind, "name": "N", "resolution": resolution, "checks": list(checks), **more}
    )


def check(day: str, known_: str, reads: str) -> dict[str, object]:
    """A check against something known."""
    return {"date": day, "known": known_, "reads": reads}


SCALE = instrument(
    "scale", "0.1 g", check("2026-01-10", "200.0 g", "201.0 g"), check("2026-07-01", "200.0 g", "200.0 g")
)
BOARD = instrument("balance board", "0.5 mm", check("2026-01-10", "350.0 mm", "351.0 mm"))
SWING = instrument(
    "swing machine",
    "0.5 kgcm2",
    check("2026-02-01", "285.4 kgcm2", "287.4 kgcm2"),
    check("2026-02-01", "285.4 kgcm2", "285.4 kgcm2"),
    check("2026-02-01", "135.0 kgcm2", "136.0 kgcm2"),
)


def corrected(shown) -> Estimate:
    """A figure as corrected, with its uncertainty."""
    return through(shown.corrected, shown.inputs)


def test_a_scale_is_off_by_a_factor():
    """A scale that shows 201 g for 200 g shows 301.5 g for 300 g: true mass is reading × known / reads."""
    assert corrected(Instruments([SCALE]).mass(301.5, DAY, "m")).value == pytest.approx(300.0)


def test_a_balance_board_is_off_by_a_distance():
    """A board that shows 351 mm for 350 mm is off by 1 mm everywhere."""
    assert corrected(Instruments([BOARD]).balance(321.0, DAY, "b")).value == pytest.approx(320.0)


@pytest.mark.parametrize(("day", "value"), [(date(2026, 6, 30), 200.0), (date(2026, 7, 1), 201.0)])
def test_the_check_in_force_at_the_reading(day, value):
    """A check holds from its own day until the next."""
    assert corrected(Instruments([SCALE]).mass(201.0, day, "m")).value == pytest.approx(value)


def test_before_the_first_check_nothing_is_corrected():
    """A reading older than every check stays as it is, and is less sure."""
    early = corrected(Instruments([SCALE]).mass(300.0, date(2025, 1, 1), "m"))
    assert early.value == 300.0
    assert early.u > corrected(Instruments([SCALE]).mass(300.0, DAY, "m")).u


def test_found_and_left_on_one_day():
    """Of two tries of one rod on one day the later line holds, and of two rods the one nearer to the figure."""
    assert corrected(Instruments([SWING]).swingweight(300.0, DAY, "s")).value == pytest.approx(300.0)
    assert corrected(Instruments([SWING]).swingweight(136.0, DAY, "s")).value == pytest.approx(135.0)


def test_no_check_yet():
    """Without a check until the day there is none in force."""
    assert check_in_force(SWING.checks, date(2026, 1, 1), "swing machine", 300.0) is None


def test_budget_of_a_weighing():
    """Resolution δ/√12, repeatability, and the check's own two resolutions add in squares (JCGM 100, F.2.2.1, 5.1.2).

    A factor's uncertainty is that of 200 g shown to 0.1 g and known to within half its last digit, a/√3.
    """
    display, repeat, half_digit = 0.1 / math.sqrt(12), 0.05, 0.05 / math.sqrt(3)
    factor_u = math.hypot(display, half_digit) / 201.0
    expected = math.sqrt((display**2 + repeat**2) * (200 / 201) ** 2 + (301.5 * factor_u) ** 2)
    assert corrected(Instruments([SCALE]).mass(301.5, DAY, "m")).u == pytest.approx(expected, rel=1e-6)


def test_own_repeatability_wins():
    """A repeatability in the record stands in place of the usual one."""
    sure = Instruments([instrument("scale", "0.1 g", repeatability="0.01 g")])
    vague = Instruments([instrument("scale", "0.1 g", repeatability="1 g")])
    assert corrected(sure.mass(10, DAY, "m")).u < 0.1 < corrected(vague.mass(10, DAY, "m")).u


def test_two_readings_share_their_check():
    """The correction of two readings on one day is one input, by one name."""
    bench = Instruments([SCALE])
    one, other = bench.mass(300, DAY, "one"), bench.mass(310, DAY, "other")
    assert set(one.inputs) & set(other.inputs) == {one.correction.name}


def test_the_first_of_a_kind_and_one_not_listed():
    """Of two scales the first counts; a kind that is not listed is taken to be a usual one, unchecked."""
    fine, coarse = instrument("scale", "0.01 g"), instrument("scale", "5 g")
    assert Instruments([fine, coarse]).resolution("scale") == 0.01
    assert Instruments().balance(320, DAY, "b").correction.name == "balance board, unchecked"


def test_twistweight_by_its_own_digits():
    """A twistweight is read off a finer scale of the machine: its own last digit counts, not the swingweight's."""
    bench = Instruments([SWING])
    assert corrected(bench.twistweight(13.4, DAY, "t", 0.1)).u < corrected(bench.swingweight(13.4, DAY, "s")).u


ROD = {"mass": "276.2 g", "length": "700.0 mm", "diameter": "8 mm"}


def test_rod_figures():
    """A round rod end on the stop: M·(L²/12 + d²/16 + (L/2 − 100)²), its middle, and its mass (any mechanics text)."""
    rod = Rod.model_validate(ROD)
    swing = 276.2 * (700**2 / 12 + 8**2 / 16 + 250**2) / 1e5
    assert rod_figure(rod, "swing machine").value == pytest.approx(swing)
    assert rod_figure(rod, "balance board").value == pytest.approx(350.0)
    assert rod_figure(rod, "scale").value == pytest.approx(276.2)


@pytest.mark.parametrize(("given", "swing"), [
    ({"mass": "200 g", "length": "685.8 mm", "width": "10 mm"}, 196.40443),
    ({"mass": "150 g", "length": "686 mm", "width": "10 mm"}, 147.41050),
    ({"mass": "90 g", "length": "675 mm", "width": "8 mm"}, 84.94230),
    ({"mass": "300 g", "length": "500 mm", "start": "100 mm"}, 250.0),
])  # fmt: skip
def test_square_rods(given, swing):
    """M·[(L² + w²)/12 + (L/2 + start − 100)²] (any mechanics text), worked out by hand for four rods."""
    assert rod_figure(Rod.model_validate(given), "swing machine").value == pytest.approx(swing, abs=1e-5)


def test_a_rod_stands_for_what_is_known():
    """A check by a rod corrects as one by the rod's swingweight does."""
    by_rod = instrument("swing machine", "0.5 kgcm2", {"date": "2026-01-01", "rod": ROD, "reads": "287 kgcm2"})
    true = known(by_rod.checks[0], "swing machine").value
    assert corrected(Instruments([by_rod]).swingweight(287.0, DAY, "s")).value == pytest.approx(true)


@pytest.mark.parametrize(("text", "step"), [("200 g", 1), ("200.0 g", 0.1), ("0.25 kg", 10), ("1 oz", 28.349523125)])
def test_what_the_last_digit_is_worth(text, step):
    """The last digit counts in the unit that it was written in."""
    assert last_digit(parse(text, MASS)) == pytest.approx(step)
    assert digits_u(parse(text, MASS)) == pytest.approx(step / 2 / math.sqrt(3))
