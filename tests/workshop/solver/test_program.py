"""The mixed-integer program: its rows, and the solver behind it."""

import numpy as np
import pytest

from passport.physics.moments import Moments
from passport.workshop.solver import program
from passport.workshop.solver.problem import Bounds, Group, Problem, Window
from passport.workshop.solver.program import Program, highs

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


def test_a_knapsack():
    """The best of values 6, 10, 12 with weights 1, 2, 3 and room for 5 is 22: the textbook 0-1 knapsack."""
    x, proven = highs(-np.array([6.0, 10, 12]), np.ones(3), [(np.array([1.0, 2, 3]), -np.inf, 5.0)], np.ones(3))
    assert x is not None and list(np.round(x)) == [0, 1, 1] and proven


def test_infeasible_is_proven():
    """Where no values meet the rows there is none, and that is proven."""
    assert highs(np.ones(1), np.ones(1), [(np.ones(1), 2.0, 3.0)], np.ones(1)) == (None, True)


def test_without_rows():
    """Without any row everything is free."""
    x, _ = highs(-np.ones(2), np.zeros(2), [], np.ones(2))
    assert x is not None and list(x) == pytest.approx([1, 1])


def test_another_scale_where_the_solver_gives_up(monkeypatch):
    """An ending without an answer is tried again with the free variables scaled anew, and the answer is scaled back."""
    from scipy import optimize

    tried, real = [], optimize.milp

    class Failed:
        x, status, message = None, 4, "Solve error"

    def sometimes(cost, **given):
        tried.append(float(cost[0]))
        return Failed() if len(tried) == 1 else real(cost, **given)

    monkeypatch.setattr(optimize, "milp", sometimes)
    x, _ = highs(-np.ones(1), np.zeros(1), [(np.ones(1), -np.inf, 0.25)], np.ones(1))
    assert x is not None and x[0] == pytest.approx(0.25)
    assert tried == [pytest.approx(-1 / scale) for scale in program._SCALES[:2]]
