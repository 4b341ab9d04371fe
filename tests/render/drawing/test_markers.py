"""Numbers beside the racquet: apart from each other, in order, with leaders that never cross."""

from itertools import combinations, pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from passport.render.drawing.markers import Marker, Spot, Zone, choose_sides, fit, lay_out, part_anchors, spread

ZONES = (Zone(-1e6, 220, 37, -1), Zone(220, 1e6, 150, 1))
RADIUS = 11.0
places = st.lists(st.floats(0, 680), max_size=12)


def crossing(a: tuple, b: tuple, c: tuple, d: tuple) -> bool:
    """Whether the open segments a–b and c–d cross."""

    def turn(p: tuple, q: tuple, r: tuple) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < -1e-9 and turn(c, d, a) * turn(c, d, b) < -1e-9


def segments(marker: Marker) -> tuple:
    """The two straight parts of a leader."""
    return tuple(pairwise(marker.leader))


def spots(wanted: list[float]) -> list[Spot]:
    """Spots without range or side of their own."""
    return [Spot(i, x, x, x, 10, 0) for i, x in enumerate(wanted)]


@given(places)
@settings(deadline=None, derandomize=True)
def test_leaders_never_cross(wanted: list[float]) -> None:
    """Whatever is fitted, no two leaders cross."""
    placed = lay_out(spots(wanted), ZONES, radius=RADIUS, slant=RADIUS)
    for one, other in combinations(placed, 2):
        assert not any(crossing(*s, *t) for s in segments(one) for t in segments(other))


@given(places)
@settings(deadline=None, derandomize=True)
def test_numbers_never_touch(wanted: list[float]) -> None:
    """Whatever is fitted, no two discs touch, and each number is placed once."""
    placed = lay_out(spots(wanted), ZONES, radius=RADIUS, slant=RADIUS)
    assert [m.number for m in placed] == list(range(len(wanted)))
    for one, other in combinations(placed, 2):
        apart = (one.centre[0] - other.centre[0]) ** 2 + (one.centre[1] - other.centre[1]) ** 2
        assert apart > (2 * RADIUS) ** 2


@given(st.lists(st.floats(0, 100), min_size=1, max_size=8).map(sorted))
@settings(deadline=None, derandomize=True)
def test_spread_keeps_gaps_and_the_middle(wanted: list[float]) -> None:
    """Spread places keep their distance and their common middle (a property of least squares)."""
    got = spread(wanted, 10)
    assert all(b - a >= 10 - 1e-9 for a, b in pairwise(got))
    assert abs(sum(got) - sum(wanted)) < 1e-6


def test_spread_leaves_what_fits() -> None:
    """Places far enough apart stay where they are."""
    assert spread((0, 20, 50), 10) == (0, 20, 50)


def test_fit_overflows_at_the_open_end_only() -> None:
    """A full column grows past the tip or the butt, never into the other column."""
    assert fit((5, 6, 7), 10, Zone(0, 100, 1, 1)) == (0, 10, 20)
    assert fit((95, 96, 97), 10, Zone(0, 100, 1, -1)) == (80, 90, 100)


def test_sides_are_balanced() -> None:
    """Pieces close together stand on different sides; one with a side of its own keeps it."""
    sided = {s.number: side for side, s in choose_sides(spots([100, 101]), (), 22)}
    assert sided[0] == -sided[1]
    assert choose_sides([Spot(7, 50, 50, 50, 5, -1)], (), 22)[0][0] == -1


def test_sides_keep_clear_of_marks() -> None:
    """A number goes left where a mark's text stands on the right."""
    assert choose_sides(spots([100]), (104,), 22)[0][0] == -1


def test_nested_pieces_get_different_anchors() -> None:
    """Pieces that cover the same stretch have their leaders at different places of it."""
    nested = [Spot(1, 50, 10, 90, 5, 0), Spot(2, 50, 20, 80, 5, 0), Spot(3, 50, 0, 100, 5, 0)]
    got = part_anchors(nested, 4)
    assert got == (50, 54, 58)
