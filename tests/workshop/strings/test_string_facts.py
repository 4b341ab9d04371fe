"""A frame's facts with the life of its strings: what a frame out of play, or a player who hides, does not show."""

import pytest
from smallshop import FILES, facts, of

MAIN = "players/ada/main.yaml"


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The facts of the small workshop."""
    return facts(tmp_path_factory.mktemp("small"))


def test_a_frame_in_play_has_a_life_and_past_beds(small):
    """The strings that are in have a life, those before are past, and the day is that of the first reason."""
    main = of(small, "ada/main")
    assert main.life.string == "Reed / Flint"
    assert [p.amount for p in main.life.points] == [585, 560]
    assert [(bed.string, bed.until) for bed in main.past] == [("Reed", main.life.strung)]
    assert [p.amount for p in main.past[0].points] == [580, 541]
    assert main.due == main.restring.day


def test_a_frame_out_of_play_has_past_beds_only(small):
    """Nobody plays a broken frame: its strings have no life and are not due."""
    split = of(small, "ada/split")
    assert (split.life, split.restring, split.due) == (None, None, None)
    assert len(split.past) == 1


def test_a_frame_that_was_never_strung_here(small):
    """Without a stringing there is neither life nor past nor advice."""
    fresh = of(small, "ada/fresh")
    assert (fresh.life, fresh.past, fresh.hold, fresh.restring) == (None, (), None, None)


def test_a_hidden_history_hides_past_beds(tmp_path):
    """Where the player does not show the history, what is in now is shown and what was before is not."""
    player = FILES["players/ada/player.yaml"] + "shows: {history: no}\n"
    main = of(facts(tmp_path, {"players/ada/player.yaml": player}), "ada/main")
    assert main.life
    assert (main.past, main.hold) == ((), None)


def test_strings_due_by_the_workshops_limits(tmp_path):
    """The workshop's limits reach the facts: a small allowed loss makes the strings due before the rule of play does."""
    stated = FILES["workshop.yaml"] + "restring: {loss: 8 %}\n"
    main = of(facts(tmp_path, {"workshop.yaml": stated}), "ada/main")
    assert [r.kind for r in main.restring.reasons] == ["loss", "plays"]
