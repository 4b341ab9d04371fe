"""The mixed-integer program: its rows, and the solver behind it."""

import itertools

import numpy as np
import pytest

from passport.physics.moments import Moments
from passport.workshop.solver.problem import Bounds, Group, Problem, Window
from passport.workshop.solver.program import Program

START = Moments.from_measured(300, 320, 290, 13)
GROUPS = (Group("a", (Moments.point(1, 500), Moments.point(2, 500))), Group("b", (Moments.point(4, 50),), off=True))
WINDOW = Window(Bounds(302, 1), Bounds(321, 2), Bounds(293, 1.5), Bounds(13.5, 0.5))


def test_rows_say_what_the_window_says():
    """Every choice of options meets the program's rows exactly where its re-added body is inside the window."""
    found = Program(Problem(START, GROUPS, WINDOW))
    for x in ([0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 0, 1], [0, 1, 1]):
        values = np.array([*x, 0.0])
        met = all(low - 1e-9 <= row @ values <= high + 1e-9 for row, low, high in found.window(1.0))
        assert met == WINDOW.inside(found.blend(values))


def test_the_worst_miss_of_doing_nothing_is_the_unit():
    """The last variable is a share of the start's worst miss, so that it ends at 1."""
    found = Program(Problem(START, GROUPS, WINDOW))
    assert found.unit == pytest.approx(2.0)
    nothing = np.array([0, 0, 0, 1.0])
    assert all(low - 1e-9 <= row @ nothing <= high + 1e-9 for row, low, high in found.within_miss())


def test_counting_places_and_things_taken_off():
    """A thing taken off counts for more than all places together."""
    found = Program(Problem(START, GROUPS, WINDOW))
    assert found.count[2] > 100 * found.count[0]
    assert found.count[-1] == 0


def test_one_option_of_each_group():
    """The rows of the groups forbid two options of one, and nothing else."""
    found = Program(Problem(START, GROUPS, WINDOW))
    assert [list(row) for row, _, _ in found.once()] == [[1, 1, 0, 0], [0, 0, 1, 0]]


def test_leaving_out_and_asking_for_places():
    """A used set is forbidden as a whole, and a least number of places can be asked for."""
    found = Program(Problem(START, GROUPS, WINDOW))
    row, _, most = found.not_all_of({0, 1})
    assert (list(row), most) == ([1, 1, 1, 0], 1)
    row, least, _ = found.at_least(2)
    assert (list(row), least) == ([1, 1, 1, 0], 2)


def test_what_clashes_is_kept_apart():
    """Exactly the choices in which two options clash are forbidden by the rows, over all choices of two groups."""
    groups = tuple(Group(f"{x}", tuple(Moments.point(k, x) for k in (1, 2, 3))) for x in (500, 50))
    table = np.array([[False, False, False], [False, False, True], [False, True, True]])
    found = Program(Problem(START, groups, WINDOW, {(0, 1): table}))
    for i, k in itertools.product(range(3), repeat=2):
        x = np.zeros(7)
        x[i] = x[3 + k] = 1
        met = all(low - 1e-9 <= row @ x <= high + 1e-9 for row, low, high in found.once())
        assert met == (not table[i, k])


def test_what_lies_on_a_limit_is_found():
    """A plan exactly on a limit is inside, and is found: 302 g is 1 g under 303 g."""
    group = Group("a", (Moments.point(2, 320),))
    program = Program(Problem(START, (group,), Window(mass=Bounds(303, 1))))
    way, answer = program.inside(program.mass, [])
    assert way is not None and way.inside and way.picks == (0,) and answer.ended
