"""When a frame should be restrung."""

from datetime import date, timedelta


def restring_by(strung_on: date, plays_a_week: float | None) -> date | None:
    """The day by which strings should be renewed: at least as many times a year as the player plays a week.

    Common practice, no source. None where nobody noted how often the player plays.
    """
    if not plays_a_week:
        return None
    return strung_on + timedelta(days=int(365 / max(1.0, plays_a_week)))
