"""The ledger of issued addresses: added to only, and every damage to it seen."""

import hashlib
import re
from datetime import date

import pytest
import smallshop
from hypothesis import given
from hypothesis import strategies as st

from passport.records.ledger import ledger
from passport.records.ledger.ledger import CLOSED, HEAD, ISSUED, Ledger, LedgerLine
from passport.records.schema.numbers import ALPHABET, with_check
from passport.records.transaction import ledger_file

DAY = date(2026, 11, 25)
KEY = "YGA836F5BN4WK7S3X0KPS4MK8Y"
OTHER = "MZMKG75W6NTSVZGVQSCGXEDTYQ"
FRAME = LedgerLine(ISSUED, KEY, "frame", "1042-9", "https://pass.shop.example")
PLAYER = LedgerLine(ISSUED, OTHER, "player")
LINES = st.builds(
    LedgerLine,
    st.sampled_from([ISSUED, CLOSED, "found"]),
    st.text(ALPHABET, min_size=26, max_size=26),
    st.sampled_from(["frame", "player"]),
    st.one_of(st.just(""), st.integers(1, 99_999).map(with_check)),
    st.sampled_from(["", "https://pass.shop.example", "http://a.b:80/p"]),
)


def test_a_line_as_it_stands_in_the_file():
    """A line holds number, day, event, key, kind, passport number, web address, their checksum, and the link to what
    is before it."""
    said = f"1 2026-11-25 issued {KEY} frame 1042-9 https://pass.shop.example"
    text = ledger.added("", [FRAME, PLAYER], DAY)
    head, first, second = text[: len(HEAD)], *text[len(HEAD) :].splitlines()
    assert head == HEAD
    body = f"{said} {hashlib.sha256(said.encode()).hexdigest()[:8]}"
    link = hashlib.sha256(f"\n{body}".encode()).hexdigest()[:16]
    assert first == f"{body} {link}"
    assert second.startswith(f"2 2026-11-25 issued {OTHER} player - - ")
    assert second.endswith(hashlib.sha256(f"{link}\n{second[:-17]}".encode()).hexdigest()[:16])


@given(st.lists(st.lists(LINES, max_size=3), max_size=4))
def test_what_was_added_is_read_and_the_text_before_stays(batches):
    """However often lines are added, all of them are read back in order, and the text before is a prefix."""
    text = ""
    for batch in batches:
        longer = ledger.added(text, batch, DAY)
        assert longer.startswith(text)
        text = longer
    read = ledger.parse(text)
    assert (read.damaged, read.lost) == ((), ())
    assert [line.count for line in read.lines] == list(range(1, len(read.lines) + 1))
    assert [(x.event, x.key, x.kind, x.number, x.address) for x in read.lines] == [
        (x.event, x.key, x.kind, x.number, x.address) for batch in batches for x in batch
    ]


@given(st.lists(LINES, min_size=2, max_size=4), st.data())
def test_any_changed_character_is_seen(lines, data):
    """A character changed anywhere in a line makes that line damaged; the others are read. In its link it leaves the
    line as it was said, and breaks the chain there."""
    text = ledger.added("", lines, DAY)
    places = [i for i, c in enumerate(text) if i >= len(HEAD) and c != "\n"]
    place = data.draw(st.sampled_from(places))
    other = data.draw(st.sampled_from("0A-x/é#").filter(lambda c: c != text[place]))
    changed = text[:place] + other + text[place + 1 :]
    read = ledger.parse(changed)
    line = text[:place].count("\n") + 1
    begins_a_comment = other == "#" and text[place - 1] == "\n"
    if begins_a_comment:
        assert len(read.lines) == len(lines) - 1
        assert not read.sound or line == 2 + len(lines)  # the last line may be missing: only a witness tells
    elif read.damaged:
        assert read.damaged == (line,)
    else:
        assert read.broken[0] == line
        assert len(read.lines) == len(lines)


def test_a_line_that_is_gone_is_seen():
    """A line taken out of the middle is known by its number; one that ends in the middle, as damaged."""
    lines = ledger.added("", [FRAME, PLAYER, LedgerLine(CLOSED, KEY, "frame")], DAY).splitlines(keepends=True)
    first = len(HEAD.splitlines())
    assert ledger.parse("".join(lines[: first + 1] + lines[first + 2 :])).lost == (2,)
    assert ledger.parse("".join(lines)[:-20]).damaged == (first + 3,)


def test_after_damage_the_numbers_go_on():
    """Lines added to a damaged ledger leave the damaged one in its place and get numbers of their own."""
    text = ledger.added("", [FRAME, PLAYER], DAY).replace(OTHER, OTHER[::-1])
    longer = ledger.added(text.rstrip("\n"), [LedgerLine(CLOSED, KEY, "frame")], DAY)
    assert longer.startswith(text)
    read = ledger.parse(longer)
    assert [line.count for line in read.lines] == [1, 3]
    assert read.damaged == (len(HEAD.splitlines()) + 2,)


OLD = """\
# Every address that was ever given out; cards with them are in players' hands.
1 2026-11-25 issued YGA836F5BN4WK7S3X0KPS4MK8Y frame 1042-9 https://pass.shop.example e2514149
2 2026-11-25 issued MZMKG75W6NTSVZGVQSCGXEDTYQ player - - 6ff1afb6
"""
"""A ledger of the first format, whose lines have no link."""


def test_an_old_ledger_is_read_as_before_and_continued_with_a_chain():
    """Lines without a link are sound; the first linked line behind them stands for all of them."""
    assert ledger.parse(OLD).sound
    assert ledger.parse(OLD).format == 1
    longer = ledger.added(OLD, [LedgerLine(CLOSED, KEY, "frame")], DAY)
    assert longer.startswith(OLD)
    assert ledger.parse(longer).sound
    assert (ledger.parse(longer).first, ledger.parse(OLD).first) == (ledger.parse(OLD).first,) * 2
    head, one, two, three = longer.splitlines(keepends=True)
    assert ledger.parse("".join((head, two, three))).broken == (3,)  # the first line is lost
    assert ledger.parse("".join((head, two, one, three))).broken == (4,)  # two are exchanged


def test_a_lost_first_line_and_a_moved_one_break_the_chain():
    """The line that follows what is not before it any more is named; a lost end is only known from outside."""
    text = ledger.added("", [FRAME, PLAYER, LedgerLine(CLOSED, KEY, "frame"), LedgerLine(CLOSED, OTHER, "player")], DAY)
    head, (one, two, three, four) = HEAD, text[len(HEAD) :].splitlines(keepends=True)
    first = len(head.splitlines()) + 1
    assert ledger.parse(head + two + three + four).broken == (first,)
    assert ledger.parse(head + one + three + two + four).broken == (first + 1, first + 2, first + 3)
    assert ledger.parse(head + one + two + four).broken == (first + 2,)
    short = ledger.parse(head + one + two + three)
    assert short.sound
    assert short.last != ledger.parse(text).last
    assert short.links == ledger.parse(text).links[:3]


def test_two_ends_of_one_ledger_are_seen():
    """Where two computers went on from one ledger and a merge kept the lines of both, each of them is named."""
    text = ledger.added("", [FRAME], DAY)
    one = ledger.added(text, [PLAYER], DAY)
    other = ledger.added(text, [LedgerLine(ISSUED, "A" * 26, "frame", "1043-7")], DAY)
    merged = ledger.parse(one + other.removeprefix(text))
    assert merged.forked == (len(HEAD.splitlines()) + 2, len(HEAD.splitlines()) + 3)
    assert not merged.sound


def test_a_number_that_two_keys_have_is_seen():
    """Closing one of two keys, or another number for one of them, ends it."""
    twin = LedgerLine(ISSUED, "A" * 26, "frame", "1042-9")
    text = ledger.added("", [FRAME, twin], DAY)
    assert ledger.parse(text).twice == {"1042-9": (KEY, "A" * 26)}
    assert not ledger.parse(ledger.added(text, [LedgerLine(CLOSED, KEY, "frame", "1042-9")], DAY)).twice
    renumbered = LedgerLine(ledger.RENUMBERED, "A" * 26, "frame", "1043-7")
    assert not ledger.parse(ledger.added(text, [renumbered], DAY)).twice


def test_an_address_closed_by_mistake_is_opened_again():
    """Only the last word on an address counts."""
    text = ledger.added("", [FRAME, LedgerLine(CLOSED, KEY, "frame"), LedgerLine(ledger.REOPENED, KEY, "frame")], DAY)
    known = ledger.parse(text)
    assert (set(known.closed), known.reopened) == (set(), {KEY})
    again = ledger.parse(ledger.added(text, [LedgerLine(CLOSED, KEY, "frame")], DAY))
    assert (set(again.closed), again.reopened) == ({KEY}, set())


def test_a_day_that_is_not_in_the_calendar_is_damage():
    """A line with a sound checksum but an impossible day is not trusted."""
    said = f"1 2026-02-30 issued {KEY} frame 1042-9 -"
    assert ledger.parse(f"{said} {ledger.checksum(said)}\n").damaged == (1,)


def test_a_ledger_is_begun_and_added_to(tmp_path):
    """Where there is none it is begun with a word on what it is; bytes that are no text survive an addition."""
    assert ledger.read(tmp_path) is None
    ledger_file.append(tmp_path, [], DAY)
    assert list(tmp_path.iterdir()) == []
    ledger_file.append(tmp_path, [FRAME], DAY)
    path = tmp_path / ledger.FILE
    path.write_bytes(path.read_bytes() + b"\xff\xfe not text\n")
    before = path.read_bytes()
    ledger_file.append(tmp_path, [LedgerLine(CLOSED, KEY, "frame")], date(2026, 12, 1))
    assert path.read_bytes().startswith(before)
    read = ledger.read(tmp_path)
    assert read
    assert [line.event for line in read.lines] == [ISSUED, CLOSED]
    assert read.lines[1].day == date(2026, 12, 1)
    assert len(read.damaged) == 1


def test_what_was_issued_closed_and_dropped(tmp_path):
    """An address without a record is dropped unless it was closed; one that is not listed is to be added."""
    content, _ = smallshop.read(tmp_path)
    everything = list(ledger.in_content(content))
    assert len(everything) == 10
    assert {line.kind for line in everything} == {"frame", "player"}
    gone = LedgerLine(ISSUED, KEY, "frame", with_check(9000))
    read = ledger.parse(ledger.added("", [*everything[1:], gone, PLAYER, LedgerLine(CLOSED, OTHER, "player")], DAY))
    assert [line.key for line in read.dropped(content)] == [KEY]
    assert read.unlisted(content) == (everything[0],)
    assert read.highest == 9000
    assert set(read.closed) == {OTHER}
    assert read.issued[KEY].day == DAY
    assert Ledger().highest == 0


@pytest.mark.parametrize("name", ["SECRET", "Ada", "ada", "Bo"])
def test_it_names_nobody(tmp_path, name):
    """No name and no private field of a record gets into the ledger."""
    content, _ = smallshop.read(tmp_path)
    text = ledger.added("", ledger.in_content(content), DAY)
    assert not re.search(rf"\b{name}\b", text.removeprefix(HEAD))


def test_the_demo_has_a_whole_ledger(demo_content):
    """The demo's ledger is sound and knows every address of its records, so that building the demo changes no file."""
    known = ledger.read(demo_content.root)
    assert known
    assert known.sound
    assert (known.unlisted(demo_content), known.dropped(demo_content)) == ((), ())
    assert [line.day for line in known.lines] == sorted(line.day for line in known.lines)


@pytest.mark.parametrize("field", ["damaged", "lost", "broken", "forked"])
def test_one_fault_of_any_kind_is_enough(field):
    """A ledger is sound only where no line is damaged, lost, moved or doubled: each alone ends that."""
    assert ledger.Ledger().sound
    assert not ledger.Ledger(**{field: (3,)}).sound


def test_the_file_says_of_which_form_it_is():
    """A ledger that is begun now is of form 2, as its head says in words; that number is for ever that of this form."""
    text = ledger.added("", [LedgerLine(ISSUED, "A" * 26, "player")], smallshop.TODAY)
    assert "(Format 2)" in text
    assert ledger.parse(text).format == 2
