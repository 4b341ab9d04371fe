"""The calendar file read by another package: icalendar, which shares no code with the writer."""

import re
from datetime import UTC, date, datetime, timedelta

import icalendar

from passport.render.pages.calendar import reminder

HARD = "Größe „vier“, Bespannung; 2 × 11,5 kg \\ Zeile\nneu 弦 🏸 " * 4


def event_of(data: bytes) -> icalendar.Event:
    """The one event of a file."""
    events = icalendar.Calendar.from_ical(data).walk("VEVENT")
    assert len(events) == 1
    return events[0]


def test_texts_survive():
    """What is written with commas, backslashes, line breaks and several scripts is read as it was (icalendar)."""
    event = event_of(
        reminder(uid="a@b", day=date(2026, 12, 24), stamp=date(2026, 8, 1), summary=HARD, description=HARD)
    )
    assert str(event["SUMMARY"]) == HARD
    assert str(event["DESCRIPTION"]) == HARD
    assert str(event["UID"]) == "a@b"


def test_dates_are_read():
    """The start is a whole day and the stamp a time in UTC (icalendar)."""
    event = event_of(
        reminder(
            uid="a@b",
            day=date(2026, 12, 24),
            stamp=date(2026, 8, 1),
            summary="s",
            description="d",
            url="https://x.example/",
        )
    )
    assert event["DTSTART"].dt == date(2026, 12, 24)
    assert event["DTSTAMP"].dt == datetime(2026, 8, 1, tzinfo=UTC)
    assert event["URL"] == "https://x.example/"
    alarms = event.walk("VALARM")
    assert {alarm["ACTION"] for alarm in alarms} == {"DISPLAY"}
    assert [alarm["TRIGGER"].dt for alarm in alarms] == [timedelta(days=-7, hours=9), timedelta(hours=9)]


def test_every_reminder_of_the_demo_is_read(built_demo):
    """Each calendar file of the demo site holds one event on the date that its page names (icalendar)."""
    files = sorted(built_demo.glob("*/*.ics"))
    assert files
    seen = set()
    for path in files:
        event = event_of(path.read_bytes())
        page = (path.parent / "index.html").read_text(encoding="utf-8")
        due = re.search(r'data-due="([0-9-]+)"', page)
        assert due
        assert event["DTSTART"].dt.isoformat() == due[1]
        assert path.parent.name in event["URL"]
        seen.add(str(event["UID"]))
    assert len(seen) == len(files)
