"""Days to come as they are said over the counter: ``friday``, ``in 3 days``. Pure."""

import re
from datetime import date, timedelta

from passport.records.language.worded import worded
from passport.workshop.entry.phrases import Unclear, count_of, day_of

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MOST_AHEAD = 366
"""Days that something is promised ahead at most; more is a slip of the year."""


def coming_day(text: str, today: date) -> date:
    """A day to come as it is said: ``2026-12-04``, ``today``, ``tomorrow``, ``friday`` (the next one), ``in 3 days``.

    Raises `Unclear`, also for a day that is over or more than a year away.
    """
    low = " ".join(text.lower().split())
    ahead = re.fullmatch(r"in ([0-9]{1,3}|an?|[a-z]+) (day|week)s?", low)
    named = [name for name in _DAYS if len(low) >= 3 and name.startswith(low)]
    if low == "tomorrow":
        return today + timedelta(days=1)
    if ahead and (count := count_of(ahead[1])):
        return today + timedelta(days=count * (7 if ahead[2] == "week" else 1))
    if len(named) == 1:
        return today + timedelta(days=(_DAYS.index(named[0]) - today.weekday() - 1) % 7 + 1)
    try:
        day = day_of(text, today)
    except Unclear as unclear:
        raise Unclear(worded("{unclear} Or say 'friday', 'tomorrow' or 'in 3 days'.", unclear=unclear)) from None
    if day < today:
        raise Unclear(worded("{day} is over; today is {today}.", day=day, today=today))
    if (day - today).days > MOST_AHEAD:
        raise Unclear(worded("{day} is more than a year away. Check the year.", day=day))
    return day
