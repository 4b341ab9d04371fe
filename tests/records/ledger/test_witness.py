"""The file beside the content folder: what it says of closed addresses and of how far the ledger had come."""

import pytest
import smallshop

from passport.records.ledger import ledger, witness
from passport.records.ledger.beside import path_beside
from passport.records.ledger.ledger import CLOSED, ISSUED, MENDED, REOPENED, LedgerLine
from passport.records.ledger.witness import Witness
from passport.records.schema.numbers import with_check

A, B, C = ("A" * 26, "B" * 26, "C" * 26)
GIVEN = [
    LedgerLine(ISSUED, A, "frame", with_check(7)),
    LedgerLine(ISSUED, B, "player"),
    LedgerLine(CLOSED, B, "player"),
]


def book(*lines):
    """A ledger of such lines."""
    return ledger.parse(ledger.added("", lines, smallshop.TODAY))


def test_what_is_written_is_read_back():
    """First and last link, the count of lines, the highest number and every closed key."""
    known = book(*GIVEN)
    said = witness.witness_of(known)
    assert (said.first, said.last, said.count, said.highest) == (known.links[0], known.links[-1], 3, 7)
    assert said.closed == {B}
    assert witness.parse(witness.text_of(said, "shop")) == said


def test_of_a_damaged_file_no_closed_key_is_forgotten():
    """A changed character makes it damaged; what can still be read of it counts."""
    text = witness.text_of(witness.witness_of(book(*GIVEN)), "shop")
    found = witness.parse(text.replace("ledger ", "ledgre "))
    assert found.damaged
    assert found.closed == {B}
    assert found.count == 0
    assert not witness.parse(text).damaged


def test_where_the_ledger_is_behind_it_goes_on_saying_how_far_it_was():
    """A ledger that lacks its end changes neither place nor count; closed keys and the highest number only grow."""
    whole, short = book(*GIVEN), book(GIVEN[0])
    before = witness.witness_of(whole)
    assert witness.behind(short, before)
    assert not witness.behind(whole, before)
    assert witness.updated(before, short) == before
    more = book(*GIVEN, LedgerLine(ISSUED, C, "frame", with_check(9)))
    assert witness.updated(before, more) == witness.witness_of(more)
    assert witness.updated(None, short) == witness.witness_of(short)


def test_a_ledger_that_was_mended_from_it_is_not_behind():
    """The line that says what it was made anew from names the link; the number that was known from outside stays."""
    before = Witness("0" * 16, "1" * 16, 9, 50, frozenset({C}))
    again = book(*GIVEN, LedgerLine(MENDED, "", "ledger", "", f"old.txt,{'1' * 16}"))
    assert not witness.behind(again, before)
    found = witness.updated(before, again)
    assert (found.count, found.last, found.highest, found.closed) == (4, again.links[-1], 50, {B, C})


def test_a_key_that_the_ledger_opened_again_is_closed_no_more():
    """Everything else that stood there stays."""
    before = Witness("", "", 0, 0, frozenset({B, C}))
    known = book(*GIVEN, LedgerLine(REOPENED, B, "player"))
    assert witness.updated(before, known).closed == {C}


def test_what_stands_beside_may_be_another_workshops():
    """It is where its first line is another one and it closed no key that this ledger knows."""
    known = book(*GIVEN)
    assert witness.of_another(Witness("0" * 16, closed=frozenset({C})), known)
    assert not witness.of_another(Witness("0" * 16, closed=frozenset({B})), known)
    assert not witness.of_another(Witness(known.first, closed=frozenset({C})), known)
    assert not witness.of_another(Witness("", closed=frozenset({C})), known)


def test_nothing_is_read_of_what_is_no_such_file(tmp_path):
    """No file, a folder in its place, one of more than 8 MB: nothing is known from outside."""
    content = tmp_path / "shop"
    content.mkdir()
    path = path_beside(content)
    assert path == tmp_path / "shop.closed.txt"
    assert witness.read(content) is None
    text = witness.text_of(witness.witness_of(book(*GIVEN)), "shop")
    path.write_text(text, encoding="utf-8")
    assert witness.read(content) == witness.parse(text)
    path.write_text("#" * 8_000_001 + "\n" + text, encoding="utf-8")
    assert witness.read(content) is None
    path.unlink()
    path.mkdir()
    assert witness.read(content) is None


@pytest.mark.parametrize("format", [1, 7])
def test_it_says_of_which_form_it_is(format):
    """A later form is told by its number, so that it can be refused by name."""
    text = witness.text_of(Witness(), "shop").replace("(Format 1)", f"(Format {format})")
    assert witness.parse(text).format == format
