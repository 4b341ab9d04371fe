"""Numbers of things in words."""

import pytest

from passport.acts.count import counted


@pytest.mark.parametrize(("number", "words"), [(0, "0 cards"), (1, "1 card"), (2, "2 cards"), (21, "21 cards")])
def test_one_is_singular(number, words):
    """One thing alone is singular."""
    assert counted(number, "card") == words
