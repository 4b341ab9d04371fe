"""A ledger made anew from what is left of it, the records and the last site."""

import re
from datetime import date

import pytest
import smallshop
from hypothesis import given
from hypothesis import strategies as st

from passport.records.ledger import ledger, repair
from passport.records.ledger.ledger import CLOSED, ISSUED, LedgerLine
from passport.records.ledger.repair import Page, repaired
from passport.records.load import Content
from passport.records.schema.numbers import ALPHABET, with_check

DAY = date(2026, 11, 25)
NOTHING = Content(smallshop.Path("none"))
KEYS = st.text(ALPHABET, min_size=26, max_size=26)
EVENTS = st.lists(
    st.tuples(KEYS, st.sampled_from(["frame", "player"]), st.integers(1, 9999).map(with_check), st.booleans()),
    min_size=1,
    max_size=6,
    unique_by=lambda event: event[0],
)


def lines_of(events):
    """A ledger's lines: each key given out, some of them closed afterwards."""
    given_out = [LedgerLine(ISSUED, key, kind, number if kind == "frame" else "") for key, kind, number, _ in events]
    return [*given_out, *(LedgerLine(CLOSED, key, kind) for key, kind, _, closed in events if closed)]


@given(EVENTS, st.data())
def test_nothing_that_the_site_shows_is_lost(events, data):
    """Whatever characters of a ledger are lost, every address that the last site has is in the mended one."""
    text = ledger.added("", lines_of(events), DAY)
    pages = [Page(key, number if kind == "frame" else "", kind == "player", c) for key, kind, number, c in events]
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text) - 1))
        text = (
            text[:start]
            + data.draw(st.sampled_from(["", "�", "Z", "\n"]))
            + text[start + data.draw(st.integers(1, 90)) :]
        )
    found = ledger.parse(repaired(text, NOTHING, pages, DAY, site=True).text)
    assert found.sound
    assert {key for key, *_ in events} <= set(found.issued)
    assert {key for key, _, _, closed in events if closed} <= set(found.closed)


@given(EVENTS)
def test_a_sound_ledger_stays_what_it_was(events):
    """Mending what is whole changes nothing in what it says, days and order included."""
    text = ledger.added("", lines_of(events), date(2024, 1, 2))
    found = repaired(text, NOTHING, (), DAY, site=True)
    assert (found.text, found.unproven) == (text, [])


def test_a_sound_line_keeps_its_day_and_a_recovered_one_says_that_it_is(tmp_path):
    """What is still sound keeps its date; what comes from the records is marked as written down anew."""
    content, _ = smallshop.read(tmp_path)
    everything = list(ledger.in_content(content))
    text = ledger.added("", everything[1:], date(2025, 3, 4))
    found = ledger.parse(repaired(text, content, (), DAY, site=True).text)
    assert [line.event for line in found.lines] == [ISSUED] * 9 + [repair.RECOVERED]
    assert {line.day for line in found.lines[:9]} == {date(2025, 3, 4)}
    assert (found.lines[9].key, found.lines[9].day) == (everything[0].key, DAY)


def test_a_readable_key_in_a_damaged_line_is_kept_and_said():
    """A damaged line that names an address which nothing else knows keeps it open, and is shown as not proven."""
    key = "Y" * 13 + "Q" * 13
    text = ledger.added("", [LedgerLine(ISSUED, key, "frame", "1042-9")], DAY).replace("1042-9", "1043-9")
    found = repaired(text, NOTHING, (), DAY, site=True)
    assert list(ledger.parse(found.text).issued) == [key]
    assert len(found.unproven) == 1
    assert re.search(rf"Line 3 names the address {key}, which nothing else tells of", found.unproven[0])


@pytest.mark.parametrize(("written", "told"), [("closed", 0), ("issued", 0)])
def test_a_slip_in_a_known_key_is_not_another_address(written, told):
    """A damaged line whose key is a known one but for a character stands for that one."""
    key = "YGA836F5BN4WK7S3X0KPS4MK8Y"
    page = Page(key, "1042-9", closed=written == "closed")
    text = ledger.added("", [LedgerLine(ISSUED, key, "frame", "1042-9"), LedgerLine(written, key, "frame")], DAY)
    lines = text.splitlines(keepends=True)
    lines[-1] = lines[-1].replace("BN4WK7", "BN4VK7")
    found = repaired("".join(lines), NOTHING, [page], DAY, site=True)
    assert list(ledger.parse(found.text).issued) == [key]
    assert len(found.unproven) == told


def test_a_closing_that_nothing_proves_leaves_the_address_open():
    """An address is not closed on the word of a damaged line alone: the line is shown, and a person decides."""
    key = "YGA836F5BN4WK7S3X0KPS4MK8Y"
    text = ledger.added(
        "", [LedgerLine(ISSUED, key, "frame", "1042-9"), LedgerLine(CLOSED, key, "frame", "1042-9")], DAY
    )
    found = repaired(text[:-3] + "xy\n", NOTHING, [], DAY, site=False)
    assert not ledger.parse(found.text).closed
    assert any(f"seems to close the address {key}" in line for line in found.unproven)
    assert any("No last site was looked at" in line for line in found.unproven)


def test_a_lost_line_is_named():
    """A line that is gone altogether is named by its number."""
    lines = ledger.added("", [LedgerLine(ISSUED, c * 26, "frame") for c in "ABC"], DAY).splitlines(keepends=True)
    found = repaired("".join([*lines[:3], *lines[4:]]), NOTHING, [], DAY, site=True)
    assert found.unproven == ["Of line number 2 nothing is left: what it said is only known if a record has it."]
    assert ledger.parse(found.text).sound


def test_a_page_without_a_record_is_kept_open_and_said():
    """An address that only the site has may be on somebody's card: it is kept, and a person is told."""
    found = repaired("", NOTHING, [Page("A" * 26, "1042-9")], DAY, site=True)
    assert list(ledger.parse(found.text).issued) == ["A" * 26]
    assert "The last site has a page of passport 1042-9" in found.unproven[0]


def test_what_is_shown_of_a_damaged_line_is_harmless():
    """Control characters of a damaged line do not reach the terminal."""
    found = repaired("1 2026 \x1b[31m closed x\n", NOTHING, [], DAY, site=True)
    assert found.unproven
    assert "\x1b" not in found.unproven[0]


def test_what_the_manifest_alone_knows_is_kept():
    """A key of the site's manifest that neither line nor record nor page tells of gets a line; one that was ended none."""
    told = (LedgerLine(ISSUED, "K" * 26, "frame", with_check(7)), LedgerLine(CLOSED, "L" * 26, "player"))
    others = repair.Others(keys=told, closed=frozenset({"L" * 26, "N" * 26}))
    found = repaired("", NOTHING, (), DAY, site=True, others=others)
    known = ledger.parse(found.text)
    assert known.issued["K" * 26].number == with_check(7)
    assert "K" * 26 not in known.closed
    assert {"L" * 26, "N" * 26} <= set(known.closed)
    assert known.issued.keys() - known.closed.keys() == {"K" * 26}
    again = repaired(found.text, NOTHING, (), DAY, site=True, others=others)
    assert again.from_others == []


@pytest.mark.parametrize("kind", ["player", "frame"])
def test_of_a_damaged_line_it_is_kept_what_it_was_of(kind):
    """A key that a damaged line alone names comes back as the player's or the frame's that the line says."""
    text = ledger.added("", [LedgerLine(ISSUED, "K" * 26, kind, "" if kind == "player" else with_check(7))], DAY)
    found = ledger.parse(repaired(text.replace(" issued ", " isued "), NOTHING, (), DAY, site=True).text)
    assert found.issued["K" * 26].kind == kind


@pytest.mark.parametrize(("lost", "more"), [(12, False), (13, True)])
def test_a_dozen_of_lost_lines_are_named(lost, more):
    """Of more it is said that there are more."""
    text = ledger.added("", [LedgerLine(ISSUED, c * 26, "player") for c in ALPHABET[: lost + 2]], DAY)
    head, *lines = [line for line in text.splitlines(keepends=True) if not line.startswith("#")]
    found = repaired(head + lines[-1], NOTHING, (), DAY, site=True)
    (said,) = [line for line in found.unproven if "nothing is left" in line]
    assert "2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13" in said
    assert ("…" in said) is more
