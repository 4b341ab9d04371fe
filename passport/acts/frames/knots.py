"""When the last knot of a bed was tied, kept until its job is recorded: from then on a reading's age is counted.

It is kept like the answers of an unfinished dialogue, so it survives whatever happens to the screen, and leaves with the
player who is erased.
"""

from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from passport.acts.clock import now
from passport.acts.drafts import Draft

LONGEST = timedelta(days=2)
"""After which a knot is forgotten: nobody reads a fresh bed as late as that."""


def knots(root: Path) -> dict[str, datetime]:
    """The frames whose last knot was tied, ``player/frame``, the first tied first."""
    found: dict[str, datetime] = {}
    for name, text in _draft(root).kept():
        with suppress(ValueError):
            when = datetime.fromisoformat(text)
            if when.tzinfo and now() - LONGEST < when:
                found[name] = when
    return found


def tie(root: Path, name: str) -> None:
    """The last knot of a frame is tied now. Raises Refused where that cannot be kept."""
    _keep(root, {**{other: when for other, when in knots(root).items() if other != name}, name: now()})


def forget(root: Path, name: str) -> None:
    """Count no longer for a frame. Raises Refused."""
    found = knots(root)
    if found.pop(name, None):
        _keep(root, found)


def _keep(root: Path, found: Mapping[str, datetime]) -> None:
    _draft(root).keep([(name, when.isoformat(timespec="seconds")) for name, when in found.items()])


def _draft(root: Path) -> Draft:
    return Draft(root, "bench-knots")
