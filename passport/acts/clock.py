"""The day that an act takes for today."""

import os
from datetime import UTC, date, datetime
from pathlib import Path

from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.ledger import ledger


def today() -> date:
    """The day that ages and due dates are counted from.

    ``SOURCE_DATE_EPOCH`` (seconds since 1970, UTC) stands in for the clock where it is set, so that a build can be
    repeated; a malformed value refuses the act.
    """
    given = _given()
    return date.today() if given is None else given.date()


def now() -> datetime:
    """The moment that a change is dated with, by the same clock."""
    return _given() or datetime.now(UTC)


def _given() -> datetime | None:
    given = os.environ.get("SOURCE_DATE_EPOCH")
    if given is None:
        return None
    if not given.isascii() or not given.isdigit() or len(given) > 11:
        raise Refused(
            worded("SOURCE_DATE_EPOCH is '{given}': give whole seconds since 1970, or unset it.", given=given[:40])
        )
    return datetime.fromtimestamp(int(given), UTC)


def refuse_early(folder: Path) -> None:
    """Raise Refused where today is before the day of the ledger's last line: a clock that was set back.

    What is written then would stand before what is known to have come first. A ledger that cannot be read is for others
    to report.
    """
    try:
        known = ledger.read(folder)
    except OSError:
        return
    last = known.lines[-1].day if known and known.lines else None
    if last and today() < last:
        raise Refused(
            worded(
                "Nothing was written: this computer's clock says {today}, but the ledger was written to on "
                "{last}.\n  Set the clock right. If it is right now, and was ahead on that day, say so: "
                "passport addresses {folder} --clock",
                today=today(),
                last=last,
                folder=folder,
            )
        )
