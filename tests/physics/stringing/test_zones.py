"""Tension by zone: which strings a zone holds, what each is pulled with, and the even pull that it comes to."""

import math
from itertools import pairwise

import pytest
from scipy.integrate import quad
from scipy.special import j1

from passport.physics.geometry import RacquetShape
from passport.physics.stringbed import FIRST_BESSEL_ZERO
from passport.physics.stringing.zones import Pull, PullZone, even_pull, pulls_of, zone_fault

SHAPE = RacquetShape(675, 240, 186, 8, 170, 25, "shaft", 22, 21)
SAME = (Pull(newtons=120.0), Pull(newtons=120.0))


@pytest.mark.parametrize(
    ("zone", "order", "strings"),
    [
        (PullZone("mains", "first", 2, SAME), range(1, 9), (1, 2)),
        (PullZone("mains", "last", 2, SAME), range(1, 9), (7, 8)),
        (PullZone("mains", "outer", 1, SAME), range(1, 9), (8,)),
        (PullZone("mains", "first", 2, SAME), range(9), (0, 1)),
        (PullZone("crosses", "first", 3, SAME), range(19, 0, -1), (19, 18, 17)),
        (PullZone("crosses", "last", 3, SAME), range(19, 0, -1), (3, 2, 1)),
        (PullZone("crosses", "outer", 2, SAME), range(19, 0, -1), (1, 2, 18, 19)),
        (PullZone("crosses", "numbered", 7, SAME, start=9), range(1, 20), (9, 8, 7)),
    ],
)
def test_the_strings_of_a_zone(zone, order, strings):
    """First and last count in the order of the work, outer from both ends, numbers as they are (plain counting)."""
    assert zone.strings(order) == strings


def test_the_pulls_of_each_string():
    """A zone has a pull of its own, one beside that of its side, or one that rises evenly from string to string."""
    zones = [
        PullZone("mains", "first", 2, SAME),
        PullZone("mains", "last", 1, (Pull(more=-5.0), Pull(more=-5.0))),
        PullZone("crosses", "first", 5, (Pull(newtons=100.0), Pull(newtons=108.0))),
        PullZone("crosses", "last", 1, (Pull(share=0.05), Pull(share=0.05))),
    ]
    assert pulls_of(zones, "mains", 110.0, range(1, 5)) == {1: 120.0, 2: 120.0, 3: 110.0, 4: 105.0}
    across = pulls_of(zones, "crosses", 110.0, range(8, 0, -1))
    assert [across[n] for n in range(8, 0, -1)] == pytest.approx([100, 102, 104, 106, 108, 110, 110, 115.5])


def test_a_zone_goes_along_with_its_side():
    """Where a side is pulled 4 N harder, a pull of its own goes along and a difference stays one."""
    assert PullZone("mains", "first", 1, SAME).moved(4.0).pulls[0].of(100.0) == pytest.approx(124.0)
    assert PullZone("mains", "first", 1, (Pull(share=0.1), Pull(share=0.1))).moved(4.0).pulls[0].of(
        100.0
    ) == pytest.approx(110)


@pytest.mark.parametrize(
    ("zones", "of", "order", "what"),
    [
        (
            [PullZone("mains", "first", 9, SAME)],
            "mains",
            range(1, 9),
            "There are only 8 mains a side, so no zone of 9.",
        ),
        (
            [PullZone("crosses", "outer", 10, SAME)],
            "crosses",
            range(1, 20),
            "There are only 19 crosses in all, so no zone of 10.",
        ),
        (
            [PullZone("crosses", "numbered", 20, SAME)],
            "crosses",
            range(1, 20),
            "There is no cross 20: there are 19 in all.",
        ),
        ([PullZone("mains", "numbered", 0, SAME, 0)], "mains", range(1, 9), "There is no main 0: there are 8 a side."),
        (
            [PullZone("mains", "first", 2, SAME), PullZone("mains", "numbered", 3, SAME, 2)],
            "mains",
            range(1, 9),
            "Two zones of the mains hold number 2, with a pull each.",
        ),
        ([PullZone("mains", "first", 2, SAME), PullZone("crosses", "first", 2, SAME)], "mains", range(1, 9), ""),
    ],
)
def test_zones_that_do_not_go_with_the_pattern(zones, of, order, what):
    """More strings than there are, a number that is not there and two pulls for one string are told."""
    assert zone_fault(zones, of, order) == what


def test_even_pulls_stay_what_they_are():
    """Where all strings have one pull, that is the even one."""
    assert even_pull(SHAPE, "mains", dict.fromkeys(range(1, 12), 110.0)) == pytest.approx(110.0)
    assert even_pull(SHAPE, "crosses", dict.fromkeys(range(1, 22), 98.0)) == pytest.approx(98.0)


def test_what_one_string_counts_is_its_share_of_the_drums_energy():
    """Raising one main by 1 N raises the even pull by its share of ∫(∂w/∂x)², solved again with SciPy's J₁ and quad."""

    def energy(place: float) -> float:
        room = math.sqrt(1 - place**2)
        return quad(
            lambda x: (j1(FIRST_BESSEL_ZERO * math.hypot(x, place)) * x / math.hypot(x, place)) ** 2, -room, room
        )[0]

    places = {n: (n - 0.5) * SHAPE.spacing[0] / (SHAPE.head_width / 2) for n in range(1, 12)}
    total = sum(map(energy, places.values()))
    shares = []
    for n, place in places.items():
        raised = even_pull(SHAPE, "mains", {k: 110.0 + (k == n) for k in places}) - 110.0
        assert raised == pytest.approx(energy(place) / total, rel=1e-6)
        shares.append(raised)
    assert all(near > far for near, far in pairwise(shares))


def test_the_centre_main_counts_once():
    """With an odd number of mains the centre one stands for itself, every other for the two of both sides."""
    odd = RacquetShape(675, 240, 186, 8, 170, 25, "shaft", 21, 21)
    centre = even_pull(odd, "mains", {n: 110.0 + 10 * (n == 0) for n in range(11)}) - 110.0
    beside = even_pull(odd, "mains", {n: 110.0 + 10 * (n == 1) for n in range(11)}) - 110.0
    assert beside == pytest.approx(2 * centre, rel=0.05)
