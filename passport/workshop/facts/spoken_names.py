"""Names that stand in sentences for the technician, in the workshop's language: quantities, instruments, places, parts.

In the records, in data and as the names of inputs they stay as they are; here they are put into words where they are shown.
"""

from collections.abc import Sequence
from datetime import date
from typing import Final

from passport.records.language.worded import unsaid, worded
from passport.records.schema.places import FittedPlace

_NAMES: Final = frozenset(
    {
        unsaid("mass"),
        unsaid("balance"),
        unsaid("swingweight"),
        unsaid("twistweight"),
        unsaid("scale"),
        unsaid("balance board"),
        unsaid("swing machine"),
        unsaid("tension head"),
        unsaid("ring reader"),
        unsaid("cradle for twistweight"),
        unsaid("under the bumper"),
        unsaid("throat"),
        unsaid("top of the handle"),
        unsaid("along the handle"),
        unsaid("inside the handle"),
        unsaid("butt cap"),
        unsaid("between the mains"),
        unsaid("on the string bed"),
        unsaid("grommets"),
        unsaid("bumper"),
        unsaid("pallet foam"),
        unsaid("strings"),
        unsaid("mains"),
        unsaid("crosses"),
        unsaid("tennis"),
        unsaid("squash"),
        unsaid("badminton"),
        unsaid("racketball"),
        unsaid("blank"),
        unsaid("frame"),
        unsaid("pivot"),
        unsaid("time"),
        unsaid("amplitude"),
        unsaid("spacing"),
        unsaid("wires"),
        unsaid("fresh"),
        unsaid("due soon"),
        unsaid("overdue"),
        unsaid("active"),
        unsaid("sealed"),
        unsaid("erased"),
        unsaid("lost"),
        unsaid("broken"),
        unsaid("retired"),
        unsaid("inside"),
        unsaid("outside"),
        unsaid("undecided"),
    }
)

_AND: Final = unsaid("{words} and {last}")
_WEEKDAYS: Final = (
    unsaid("Monday"),
    unsaid("Tuesday"),
    unsaid("Wednesday"),
    unsaid("Thursday"),
    unsaid("Friday"),
    unsaid("Saturday"),
    unsaid("Sunday"),
)


def name_said(name: str) -> str:
    """A name of the trade in words; a name that is somebody's own as it is, and every name where the language has no words
    for the sentences that they stand in, so that a sentence is in one language."""
    return worded(name) if name in _NAMES and worded(_AND) != _AND else name


def thing_said(thing: str) -> str:
    """What a measurement is of, in words: a name of the trade, or a text that is not yet put into words."""
    return name_said(thing) if thing in _NAMES else worded(thing)


def place_said(place: FittedPlace) -> str:
    """Where a part sits, in words: a named place; hours and millimetres as they were written."""
    return name_said(place.name) if place.name and place.text == place.name else place.text


def weekday_said(day: date) -> str:
    """The day of the week, written out."""
    return worded(_WEEKDAYS[day.weekday()])


def all_of(words: Sequence[str]) -> str:
    """Words that are put together: ``mass, balance and swingweight``."""
    if len(words) < 2:
        return "".join(words)
    return worded(_AND, words=", ".join(words[:-1]), last=words[-1])
