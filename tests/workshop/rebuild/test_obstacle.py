"""Why a target cannot be met, in words, each backed by a bound."""

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.physics.moments import Moments
from passport.workshop.rebuild.obstacle import between_steps, obstacles
from passport.workshop.solver.problem import Bounds, Group, Problem, Window
from passport.workshop.solver.solve import reachable

START = Moments.from_measured(300, 320, 290, 13)
LENGTH = 685.8


def groups(*positions: float, most: float = 10.0) -> tuple[Group, ...]:
    """One option of ``most`` g at each place, which the relaxation divides at will."""
    return tuple(Group(f"{x:g}", (Moments.point(most, x),)) for x in positions)


EVERYWHERE = groups(*(5 + 10 * k for k in range(68)))


def window(mass=None, balance=None, swing=None, twist=None) -> Window:
    """A window with the usual tolerances."""
    given = ((mass, 1.0), (balance, 1.5), (swing, 1.5), (twist, 0.5))
    return Window(*(Bounds(v, t) if v is not None else None for v, t in given))


def why(wanted: Window, places: tuple[Group, ...] = EVERYWHERE, start: Moments = START) -> list[tuple[str, str]]:
    """Kinds and texts of what is in the way."""
    return [(o.kind, o.text) for o in obstacles(Problem(start, places, wanted), LENGTH)]


def test_nothing_in_the_way():
    """Where divided steps could do it there is nothing to say."""
    assert why(window(305, 321, 296)) == []


def test_too_heavy():
    """A blank over the top of the mass band by 1.4 g is told so."""
    assert why(window(297.6)) == [("mass", "The blank is already 1.4 g too heavy, and additions only add.")]


def test_head_too_heavy_in_grams_at_the_tip():
    """An excess of 4.46 kg·cm² is 1.3 g at the tip: m = ΔI/(L − 10 cm)² = 4.46e5/585.8² g."""
    ((kind, text),) = why(window(swing=290 - 1.5 - 4.46))
    assert kind == "swingweight"
    assert "head is already 1.3 g too heavy" in text and "4.5 kg·cm² above" in text


def test_twistweight_too_high():
    """A twistweight over its band is told, and one that nobody knows is not."""
    assert why(window(twist=12.0))[0][0] == "twistweight"
    assert why(window(twist=12.0), start=replace(START, polar=None)) == []


def test_balance_beyond_either_end():
    """4 g can move the balance of 300 g to 320·300/304 = 315.8 mm at the butt, or to 324.8 mm at the tip, no further."""
    ((kind, butt),) = why(window(303, 312))
    ((_, tip),) = why(window(303, 328))
    assert kind == "balance"
    assert "very butt, it would balance at 315.8 mm, 2.3 mm too far towards the head" in butt
    assert "very tip, it would balance at 324.8 mm, 1.7 mm too far towards the butt" in tip


def test_spread_too_little_and_too_much():
    """Mass that keeps the balance raises the swingweight by at least s₁²/s₀, and at most by what butt and tip give."""
    ((kind, low),) = why(window(330, 320, 292))
    ((_, high),) = why(window(303, 320, 302))
    assert kind == "spread"
    assert "at least" in low and "at most" in high


def test_limits_of_the_places():
    """Where mass anywhere would do but the places do not allow it, the shortfall is told with what they take."""
    found = obstacles(
        Problem(START, groups(50, 350, most=4.0), window(305, 322, 296)), LENGTH, limits="They still take: …"
    )
    assert [o.kind for o in found] == ["limits"]
    assert re.search(r"The swingweight that the places of this model allow is at most .* short of", found[0].text)
    assert found[0].text.endswith("They still take: …")


def test_nothing_in_stock():
    """Without anything to fit, a blank that misses its target stays as it is, and one that meets it is no trouble."""
    assert why(window(305), places=())[0][0] == "stock"
    assert why(window(300), places=()) == []


def test_between_the_steps():
    """A target between two steps is told with how far off the nearest is."""
    assert "1.25 times the tolerance" in between_steps(Problem(START, (), window(305)), 1.25).text


def test_the_body_has_a_name():
    """In a match it is a frame that is too heavy, not a blank."""
    assert obstacles(Problem(START, (), window(290)), LENGTH, "frame")[0].text.startswith("The frame is already")


@settings(max_examples=150, deadline=None)
@given(mass=st.floats(296, 330), balance=st.floats(300, 340), swing=st.floats(280, 330))
def test_something_is_in_the_way_just_when_nothing_does(mass, balance, swing):
    """Over random targets there is an obstacle exactly where even divided steps cannot meet them."""
    problem = Problem(START, EVERYWHERE, window(mass, balance, swing))
    assert bool(obstacles(problem, LENGTH)) == (not reachable(problem))


@pytest.mark.parametrize("target", [(330, 320, 292), (303, 320, 302), (303, 312, 290), (299, 320, 280)])
def test_every_bound_holds_for_mass_anywhere(target):
    """What is told of mass anywhere is so for 10 g at any of 68 places along the frame (scipy's linear program)."""
    assert why(window(*target))[0][0] != "limits"
    assert not reachable(Problem(START, EVERYWHERE, window(*target)))
