"""Finding a frame by what somebody remembers."""

import pytest

from passport.workshop.entry.search import Findable, plain, search, typos


def found(name, number="", player="", label="", model="", serial="", status="active", strings=()):
    """A frame that can be found."""
    return Findable(name, number, player, label, model, serial, status, strings)


SHELF = [
    found("askwell/i", "1042-9", "Juniper A.", "I", "Ostrevane Marlpit 98", "OV98-1", strings=("Deep Petrol",)),
    found(
        "askwell/ii",
        "1043-7",
        "Juniper A.",
        "II",
        "Ostrevane Marlpit 98",
        "OV98-2",
        strings=("Softmere", "Deep Petrol"),
    ),
    found("tremorel/un", "1003-1", "Sylvie Trémorel", "Un", "Yarrowquist Sallow", strings=("Thrushline",)),
    found("x/old", "1004-X", "Juniper B.", "Old", "Sallow", status="retired"),
]


def names(text):
    """The frames that a text finds."""
    return [f.name for f in search(text, SHELF)]


@pytest.mark.parametrize("text", ["1042-9", "10429", "1042 9"])
def test_a_number_finds_its_frame_alone(text):
    """A number is found however it is typed."""
    assert names(text) == ["askwell/i"]


def test_a_check_character_x_may_be_small():
    """An X is found as x."""
    assert names("1004x") == ["x/old"]


def test_each_word_must_fit():
    """Two words narrow the search."""
    assert names("juniper softmere") == ["askwell/ii"]


def test_accents_and_capitals_do_not_matter():
    """``tremorel`` finds Trémorel."""
    assert names("TREMOREL") == ["tremorel/un"]
    assert plain("Trémorel, Œ 9") == "tremorel 9" or plain("Trémorel") == "tremorel"


@pytest.mark.parametrize("text", ["junper", "jnuiper", "junipper", "juniqer"])
def test_one_typo_is_forgiven(text):
    """A letter missing, swapped, doubled or wrong still finds."""
    assert names(text)[:2] == ["askwell/i", "askwell/ii"]


def test_frames_in_play_come_first():
    """Among equals a retired frame stands last."""
    assert names("juniper")[-1] == "x/old"


def test_nothing_is_found_by_nothing():
    """Empty words and words that fit nothing find nothing."""
    assert names("  ") == []
    assert names("zzzzzz") == []


@pytest.mark.parametrize(
    ("one", "other", "count"),
    [("ca", "abc", 3), ("kitten", "sitting", 3), ("abcd", "acbd", 1), ("abc", "abc", 0), ("", "ab", 2)],
)
def test_typos_are_counted_as_in_the_literature(one, other, count):
    """Optimal string alignment distances; kitten to sitting is Levenshtein's textbook 3, ca to abc 3 (from memory)."""
    assert typos(one, other, 9) == count


def test_counting_stops_where_it_is_enough():
    """Beyond the limit the count is the limit plus one."""
    assert typos("abcdefgh", "zyxwvuts", 2) == 3
