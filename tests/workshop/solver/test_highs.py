"""One program handed to the solver: what it answers, and that it answers the same again."""

import numpy as np
import pytest

from passport.workshop.solver.highs import highs

VALUES, WEIGHTS = np.array([6.0, 10, 12]), np.array([1.0, 2, 3])


def knapsack(count: int, seed: int = 5):
    """A 0-1 knapsack that takes many nodes: values near the weights."""
    rng = np.random.default_rng(seed)
    weights = rng.integers(1000, 2000, (4, count)).astype(float)
    values = weights.mean(axis=0) + rng.normal(0, 30, count)
    return -values, np.ones(count), [(row, -np.inf, row.sum() / 2) for row in weights], np.ones(count)


def test_a_knapsack():
    """The best of values 6, 10, 12 with weights 1, 2, 3 and room for 5 is 22: the textbook 0-1 knapsack."""
    found = highs(-VALUES, np.ones(3), [(WEIGHTS, -np.inf, 5.0)], np.ones(3))
    assert list(np.round(found.x)) == [0, 1, 1]
    assert (found.cost, found.ended, found.gap) == (-22, True, 0)


def test_infeasible_is_proven():
    """Where no values meet the rows there is none, and that is proven."""
    found = highs(np.ones(1), np.ones(1), [(np.ones(1), 2.0, 3.0)], np.ones(1))
    assert (found.x, found.ended) == (None, True)


def test_without_rows():
    """Without any row everything is free."""
    assert list(highs(-np.ones(2), np.zeros(2), [], np.ones(2)).x) == pytest.approx([1, 1])


def test_an_end_by_nodes_says_what_is_left():
    """A search that ends after one node is not proven, its bound is below what was found, and the gap is what lies between."""
    cost, whole, rows, high = knapsack(40)
    found = highs(cost, whole, rows, high, nodes=1)
    assert not found.ended and found.nodes <= 2
    assert found.bound <= found.cost
    assert found.gap == pytest.approx(found.cost - found.bound)


def test_the_same_again():
    """The same program gives the same answer, to the last bit, twice."""
    one, two = (highs(*knapsack(40), nodes=50) for _ in range(2))
    assert list(one.x) == list(two.x) and (one.cost, one.bound, one.nodes) == (two.cost, two.bound, two.nodes)


def test_a_start_is_used():
    """With a start and a single node the answer is at least as good as the start."""
    cost, whole, rows, high = knapsack(40)
    good = highs(cost, whole, rows, high, nodes=200)
    found = highs(cost, whole, rows, high, np.round(good.x), 1)
    assert found.x is not None and found.cost <= good.cost + 1e-6


def test_a_solver_that_gives_up_says_so(monkeypatch):
    """An ending that is neither an answer nor a proof is tried on another scale, and in the end it is an error."""
    from passport.workshop.solver import highs as module

    tried, real = [], module._run

    def never(*given):
        tried.append(given)
        return None, "numerical trouble"

    def once(*given):
        tried.append(given)
        return (None, "numerical trouble") if len(tried) == 1 else real(*given)

    monkeypatch.setattr(module, "_run", once)
    assert highs(-np.ones(1), np.zeros(1), [(np.ones(1), -np.inf, 0.25)], np.ones(1)).x[0] == pytest.approx(0.25)
    assert len(tried) == 2
    monkeypatch.setattr(module, "_run", never)
    with pytest.raises(RuntimeError, match="numerical trouble"):
        highs(np.ones(1), np.ones(1), [], np.ones(1))


def test_nothing_is_printed(capfd):
    """The solver says nothing of its own: standard output is for data."""
    highs(-VALUES, np.ones(3), [(WEIGHTS, -np.inf, 5.0)], np.ones(3))
    assert capfd.readouterr() == ("", "")
