"""The best blank for each frame."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rebuildshop import HEAVY_HEAD, MAIN, NEAR, SETUP, bench, strung_frame

from passport.workshop.measuring.states import Missing
from passport.workshop.rebuild.assign import assignment, choose
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


def test_what_cannot_be_judged_is_named(tmp_path):
    """A blank of another sport, or one that was not measured, is named with what is missing, beside those that are judged."""
    unread = "model: larch-98\nreadings:\n  - {state: bare, mass: 300 g}\n"
    work = bench(tmp_path, {"wren": WREN, "unread": unread, "near": NEAR})
    found = choose(work, ["ada/main"], ["wren", "unread", "near"])
    assert [c.blank for c in found.candidates] == ["near"]
    named = {one.blank: one.what for one in found.unjudged}
    assert set(named) == {"wren", "unread"}
    assert "sport" in named["wren"] and "balance" in named["unread"]
    assert [one["blank"] for one in found.data()["not_judged"]] == ["wren", "unread"]
    for blank in ("wren", "unread"):
        with pytest.raises(Missing):
            choose(work, ["ada/main"], [blank])


def test_a_blank_without_a_balance_is_named(tmp_path):
    """A blank whose balance nobody read is not dropped in silence."""
    work = bench(tmp_path, {"near": NEAR, "short": "mass: 303 g, swingweight: 288 kgcm2"})
    (one,) = choose(work, ["ada/main"], ["near", "short"]).unjudged
    assert one.blank == "short" and "balance" in one.what


def test_a_blank_that_nobody_swung_stands_behind_one_that_was(tmp_path):
    """It is judged by fewer quantities, so its larger chance makes it no better; the ranking says that it is estimated."""
    found = choose(
        bench(tmp_path, {"short": "mass: 303 g, balance: 318 mm", "near": NEAR}), ["ada/main"], ["short", "near"]
    )
    assert found.rebuilds[0].blank.name == "near"
    assert [(c.blank, c.estimated) for c in found.candidates] == [("near", False), ("short", True)]
    assert found.candidates[1].chance > found.candidates[0].chance


def test_no_blank_is_left_only_where_there_is_a_target(tmp_path):
    """A frame without a target is said to lack one, not to be left without a blank; one that has a target is left over."""
    bare = "model: larch-98\nlabel: Bare\njobs:\n  - date: 2026-03-02\n    strings: {mains: {string: reed-125, tension: 24 kg}}\n"
    other = strung_frame("Other", "mass: 330 g, balance: 320 mm, swingweight: 318 kgcm2")
    work = bench(tmp_path, {"near": NEAR}, frames={"bare": bare, "other": other})
    found = choose(work, ["ada/main", "ada/bare", "ada/other"], ["near"])
    assert len(found.left_out) == 1 and found.left_out[0] != "ada/bare"
    (one,) = found.unjudged
    assert (one.frame, one.blank) == ("ada/bare", "") and "target" in one.what
    assert found.status == "impossible"
    assert choose(work, ["ada/main", "ada/bare"], ["near"]).status == "open"


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
