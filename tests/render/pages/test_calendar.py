"""The calendar reminder, line by line (RFC 5545)."""

from datetime import date, datetime
from itertools import takewhile

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passport.render.pages.calendar import reminder

GIVEN = {
    "uid": "abc-restring@cards.example",
    "day": date(2026, 12, 24),
    "stamp": date(2026, 8, 1),
    "summary": "Restring",
    "description": "Strung in August",
    "url": "https://cards.example/ABC/",
}


def made(**changes) -> bytes:
    """A reminder with some values changed."""
    return reminder(**{**GIVEN, **changes})


def unfolded(data: bytes) -> list[str]:
    """The content lines: a line break with one space after it is only a fold (RFC 5545, section 3.1)."""
    return data.decode().replace("\r\n ", "").split("\r\n")


TEXTS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=200)


LONG = ["a" * 300, "ü" * 200, "弦" * 150, "🏸" * 100, "aü弦🏸" * 60, "x" + "弦" * 150, "xy" + "弦" * 150]


@pytest.mark.parametrize("text", LONG)
def test_long_lines_are_folded_at_75_octets(text):
    """A long text in any script fills its lines to within a character of 75 octets and never goes beyond."""
    lines = made(summary=text).split(b"\r\n")
    first = next(i for i, line in enumerate(lines) if line.startswith(b"SUMMARY:"))
    folded = [lines[first], *takewhile(lambda line: line.startswith(b" "), lines[first + 1 :])]
    assert len(folded) > 3
    assert all(72 <= len(line) <= 75 for line in folded[:-1])
    assert len(folded[-1]) <= 75
    assert b"".join([folded[0][8:], *(line[1:] for line in folded[1:])]).decode() == text


@given(TEXTS, TEXTS)
def test_no_line_is_longer_than_75_octets(summary, description):
    """Every line ends with CRLF and has at most 75 octets without it, whatever script it is in; section 3.1."""
    data = made(summary=summary, description=description)
    assert data.endswith(b"\r\n")
    lines = data[:-2].split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert not any(b"\r" in line or b"\n" in line for line in lines)
    for line in lines:
        line.decode()  # no character is cut in two


@given(TEXTS)
def test_folding_loses_nothing(summary):
    """Unfolding gives back the text."""
    assert f"SUMMARY:{summary}" in [
        line.replace("\\,", ",").replace("\\;", ";").replace("\\\\", "\\") for line in unfolded(made(summary=summary))
    ]


@pytest.mark.parametrize(
    ("text", "escaped"),
    [
        ("a,b", "a\\,b"),
        ("a;b", "a\\;b"),
        ("a\\b", "a\\\\b"),
        ("a\nb", "a\\nb"),
        ("a\r\nb", "a\\nb"),
        ("a\\nb", "a\\\\nb"),
    ],
)
def test_text_is_escaped(text, escaped):
    """Commas, semicolons, backslashes and line breaks are escaped; section 3.3.11."""
    assert f"SUMMARY:{escaped}" in unfolded(made(summary=text))


def test_no_text_begins_a_line_of_its_own():
    """A line break in a text cannot end the event early."""
    lines = unfolded(made(description="x\r\nEND:VEVENT\r\nBEGIN:VEVENT"))
    assert lines.count("END:VEVENT") == 1


def test_begin_and_end_pair():
    """Each component that begins also ends, inside the one that it began in; section 3.4."""
    open_now: list[str] = []
    for line in unfolded(made())[:-1]:
        word, _, name = line.partition(":")
        if word == "BEGIN":
            open_now.append(name)
        elif word == "END":
            assert open_now.pop() == name
        else:
            assert open_now
    assert not open_now


def test_one_whole_day_with_what_is_required():
    """Version, product, identity, stamp in UTC and one all-day start; no DTEND beside DURATION; section 3.6."""
    lines = unfolded(made())
    names = [line.partition(":")[0].partition(";")[0] for line in lines]
    for name in ("VERSION", "PRODID", "UID", "DTSTAMP", "DTSTART", "SUMMARY"):
        assert names.count(name) == 1, name
    assert not {"DTEND", "DURATION", "METHOD"} & set(names)
    assert "DTSTART;VALUE=DATE:20261224" in lines
    assert "DTSTAMP:20260801T000000Z" in lines


def test_the_same_reminder_has_the_same_bytes():
    """Nothing of the clock is in the file, so a later build gives the same one."""
    assert made() == made()


def test_a_moved_date_keeps_its_identity():
    """A reminder for another day is the same event, moved."""
    first, second = unfolded(made()), unfolded(made(day=date(2027, 1, 5), stamp=date(2026, 9, 1)))
    uid = [[line for line in lines if line.startswith("UID:")] for lines in (first, second)]
    assert uid[0] == uid[1] == ["UID:abc-restring@cards.example"]


def test_without_an_address_there_is_no_empty_one():
    """An empty URL is left out."""
    assert not [line for line in unfolded(made(url="")) if line.startswith("URL")]


def test_it_speaks_up_a_week_before_and_on_the_day():
    """Read by a library that is not ours, there are two alarms: at nine in the morning a week before and on the day."""
    (event,) = icalendar.Calendar.from_ical(made()).walk("VEVENT")
    begins = datetime.combine(event["DTSTART"].dt, datetime.min.time())
    moments = sorted(begins + alarm["TRIGGER"].dt for alarm in event.walk("VALARM"))
    assert moments == [datetime(2026, 12, 17, 9), datetime(2026, 12, 24, 9)]
