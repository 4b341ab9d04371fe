"""The day that an act takes for today."""

import os
from datetime import UTC, date, datetime

from passport.acts.refused import Refused


def today() -> date:
    """The day that ages and due dates are counted from.

    ``SOURCE_DATE_EPOCH`` (seconds since 1970, UTC) stands in for the clock where it is set, so that a build can be
    repeated; a malformed value refuses the act.
    """
    given = os.environ.get("SOURCE_DATE_EPOCH")
    if given is None:
        return date.today()
    if not given.isascii() or not given.isdigit() or len(given) > 11:
        raise Refused(f"SOURCE_DATE_EPOCH is '{given[:40]}': give whole seconds since 1970, or unset it.")
    return datetime.fromtimestamp(int(given), UTC).date()
