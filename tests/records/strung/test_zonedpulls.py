"""What each string is pulled with by its record, in the order in which it was strung."""

import pytest

from passport.physics.units import N_PER_LBF
from passport.records.schema.catalogue import Pattern
from passport.records.schema.frame import Stringing
from passport.records.strung.zonedpulls import highest_pull, zone_pulls, zones_fault

PATTERN = Pattern.model_validate({"mains": 16, "crosses": 19})


def _pounds(strings: dict[str, object], pattern: Pattern = PATTERN) -> tuple[list[float], list[float]]:
    stringing = Stringing.model_validate({"mains": {"string": "reed", "tension": "50 lb"}, **strings})
    mains, crosses = zone_pulls(stringing, pattern)
    return [mains[n] / N_PER_LBF for n in sorted(mains)], [crosses[n] / N_PER_LBF for n in sorted(crosses)]


def test_zones_of_mains_and_crosses():
    """Each main from the centre and each cross from the head has its pull; crosses that start at the throat end at the head."""
    text = "mains last 2 -2 lb; crosses first 3 at 46 lb, last 1 +1 lb"
    mains, crosses = _pounds({"zones": text, "crosses_start": "throat"})
    assert mains == pytest.approx([50.0] * 6 + [48.0] * 2)
    assert crosses == pytest.approx([51.0] + [50.0] * 15 + [46.0] * 3)
    assert _pounds({"zones": text, "crosses_start": "head"})[1] == pytest.approx([46.0] * 3 + [50.0] * 15 + [51.0])


def test_the_order_of_a_path_around_the_world():
    """Eight mains a side from the throat, then around the world: the cross at the throat is woven first, the rest from the
    head (followed by hand)."""
    text = "crosses first 2 at 46 lb"
    path = "around the world, mains from the throat, crosses from the head"
    crosses = _pounds({"zones": text, "path": path})[1]
    assert crosses == pytest.approx([46.0] + [50.0] * 17 + [46.0])


def test_the_highest_pull():
    """The highest pull of all is that of a zone, where one is higher."""
    made = {"mains": {"string": "reed", "tension": "50 lb"}, "zones": "crosses 1-4 51 lb to 54 lb"}
    assert highest_pull(Stringing.model_validate(made)) == pytest.approx(54 * N_PER_LBF)


def test_zones_beyond_the_counts():
    """A zone of more strings than there are is told with the count."""
    made = {"mains": {"string": "reed", "tension": "50 lb"}, "zones": "crosses last 20 at 48 lb"}
    assert zones_fault(Stringing.model_validate(made), PATTERN) == "There are only 19 crosses in all, so no zone of 20."
