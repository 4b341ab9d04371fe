"""A past table taken over by a person at a real terminal, the answers counted."""

import pytest
import smallshop
from commandline import EPOCH
from counter import typed

from passport.records.load import load

TABLE = """\
Our stringing book
Date,Customer,Racquet,String,Tension,Paid
03/04/2024,Ines Holm,Ropewalk Elm 100,Gorse 1.25,24/23,yes
07/04/2024,Ines Holm,Ropewalk Elm 100,Gorse 1.25,24,yes
09/04/2024,Ines Hölm,Elm 100,Gorse 125,24,no
"""
ANSWERS = [
    "y", "kg", "day first",  # the columns, the unit of bare figures, what 03/04 is
    "y", "new",  # of two spellings this one is right
    "1",  # and the other one is it
    "new", "Ropewalk", "tennis", "100",  # what the table does not say of a new model
    "1",  # Elm 100 is that one
    "new", "Oxbow", "nylon",  # what it does not say of a new string
]  # fmt: skip


@pytest.mark.parametrize("given", [len(ANSWERS), 9])
def test_a_past_is_taken_over_at_the_terminal(given, tmp_path):
    """A table in which everything is new and much is open: fourteen answers, and all of it is written. Whoever is cut off in
    the middle goes on where they stopped."""
    content = smallshop.write(tmp_path / "content")
    (tmp_path / "past.csv").write_text(TABLE, encoding="utf-8")
    command = ["import", "content", "past.csv", "--write"]
    done = typed(tmp_path, command, ANSWERS[:given], {"SOURCE_DATE_EPOCH": EPOCH}, within=60)
    if given < len(ANSWERS):
        assert "ines-holm" not in load(content)[0].players
        done = typed(tmp_path, command, ["y", *ANSWERS[6:]], {"SOURCE_DATE_EPOCH": EPOCH}, within=60)
    assert done.code == 0, done.screen
    assert "3 jobs of 1 frame written" in done.screen
    assert done.answers <= len(ANSWERS)
    records = load(content)[0]
    assert records.players["ines-holm"].record.full_name == "Ines Holm"
    assert len(records.frames["ines-holm/elm-100"].record.jobs) == 3
