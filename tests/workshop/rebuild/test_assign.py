"""The best blank for each frame."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rebuildshop import HEAVY_HEAD, MAIN, NEAR, SETUP, bench

from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.assign import assignment, choose, judge
from passport.workshop.rebuild.planset import Candidate

LIGHT = "mass: 298 g, balance: 317 mm, swingweight: 284 kgcm2"
WREN = "model: wren-5\nreadings:\n  - {state: bare, mass: 82 g, balance: 296 mm, swingweight: 81 kgcm2}\n"
OTHER = MAIN.format(setup=SETUP, build="  - {part: cushion, place: along the handle}", readings="").replace(
    "1001-5", "1002-3"
)


def test_blanks_are_ranked(tmp_path):
    """Blanks that match come first, the one that takes least before the others; the rest say what is in the way."""
    work = bench(tmp_path, {"a-heavy": HEAVY_HEAD, "b-light": LIGHT, "c-near": NEAR, "d-wren": WREN})
    found = choose(work, ["ada/main"], ["a-heavy", "b-light", "c-near", "d-wren"])
    assert [c.blank for c in found.candidates] == ["c-near", "b-light", "a-heavy"]
    assert "head is already" in found.candidates[-1].why
    assert found.rebuilds[0].blank.name == "c-near"
    assert found.status == "matched"
    assert found.data()["ranking"][0]["blank"] == "c-near"


def test_another_sport_and_a_blank_without_figures_are_not_judged(tmp_path):
    """A blank of another sport, or one that was not measured, is no candidate; alone it is an error with a reason."""
    unread = "model: larch-98\nreadings:\n  - {state: bare, mass: 300 g}\n"
    work = bench(tmp_path, {"wren": WREN, "unread": unread})
    assert judge(work, "ada/main", "wren") is None
    assert judge(work, "ada/main", "unread") is None
    with pytest.raises(Missing, match="another sport"):
        choose(work, ["ada/main"], ["wren"])
    with pytest.raises(Missing, match="no balance of unread"):
        choose(work, ["ada/main"], ["unread"])


def test_two_frames_from_three_blanks(tmp_path):
    """Each frame gets a blank of its own; a frame for which none remains is left out."""
    work = bench(tmp_path, {"near": NEAR, "light": LIGHT, "heavy": HEAVY_HEAD}, frames={"other": OTHER})
    both = choose(work, ["ada/main", "ada/other"], ["heavy", "light", "near"])
    assert {r.blank.name for r in both.rebuilds} == {"near", "light"}
    assert [r.frame.name for r in both.rebuilds] == ["ada/main", "ada/other"]
    assert [r["status"] for r in both.data()["rebuilds"]] == ["matched", "matched"]
    short = choose(work, ["ada/main", "ada/other"], ["near"])
    assert len(short.rebuilds) == len(short.left_out) == 1
    assert short.status == "impossible"


def candidate(matched: bool, miss: float, places: int, grams: float) -> Candidate:
    """A candidate with these figures."""
    return Candidate("f", "b", matched, 0.0 if matched else miss, 0, places, grams, False)


cells = st.one_of(
    st.none(),
    st.builds(
        candidate, st.booleans(), st.sampled_from([1.05, 2.0, 7.5]), st.integers(0, 4), st.sampled_from([0.5, 3.0, 9.9])
    ),
)


@settings(max_examples=150, deadline=None)
@given(st.integers(1, 3).flatmap(lambda n: st.lists(st.lists(cells, min_size=4, max_size=4), min_size=n, max_size=n)))
def test_no_other_assignment_is_better(table):
    """Of all ways to give each frame a blank of its own, tried one by one, none is better in the order of wishes."""

    def cost(columns):
        chosen = [table[i][k] for i, k in enumerate(columns)]
        known = [c for c in chosen if c is not None]
        return (
            2 * (len(chosen) - len(known)) + sum(not c.matched for c in known),
            round(sum(c.miss for c in known) + 99.0 * (len(chosen) - len(known)), 6),
            sum(c.places for c in known),
            round(sum(c.added_g for c in known), 6),
        )

    best = min(cost(columns) for columns in itertools.permutations(range(4), len(table)))
    found = dict(assignment(table))
    assert len(set(found.values())) == len(found)
    free = [k for k in range(4) if k not in found.values()]
    full = [found.get(i, free[0] if free else 0) for i in range(len(table))]
    unjudged = sum(table[i][k] is None for i, k in enumerate(full))
    if not unjudged:
        assert cost(full) == best
    else:
        assert best[0] >= 2 * unjudged
