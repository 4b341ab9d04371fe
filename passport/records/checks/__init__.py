"""The checks across records: small pure functions in one list, all of them run every time."""

from collections.abc import Callable, Collection, Iterable
from datetime import date

from passport.records.checks import (
    bodies,
    contacts,
    dates,
    identity,
    instruments,
    likely,
    limits,
    references,
    shop,
    sources,
    stringpaths,
    tape,
    work,
)
from passport.records.faults import Fault
from passport.records.load import Content

Check = Callable[[Content, date], Iterable[Fault]]

CHECKS: tuple[Check, ...] = (
    shop.address,
    shop.public,
    references.strings,
    references.models,
    references.parts,
    references.photos,
    identity.numbers_once,
    identity.keys_once,
    identity.issued,
    identity.sealed,
    identity.successors,
    identity.rebuilt,
    identity.rebuilds_ordered,
    identity.sets,
    identity.serials_once,
    identity.names_once,
    contacts.readable,
    dates.not_in_future,
    dates.in_order,
    dates.promised,
    dates.handed_back,
    dates.instrument_checks_in_order,
    limits.sizes,
    limits.printed_sizes,
    limits.fits,
    limits.tensions,
    limits.sport_dimensions,
    limits.sport_masses,
    bodies.readings,
    bodies.setups,
    sources.states,
    sources.gauge_numbers,
    sources.grips,
    instruments.overdue,
    instruments.units,
    instruments.readers,
    likely.doubtful,
    work.removals,
    work.sleeves,
    work.stringing,
    stringpaths.patterns,
    stringpaths.paths,
    work.string_readings,
    work.build_against_gain,
    work.cracked,
    tape.on_tape,
    shop.lots,
)

DOUBTS = frozenset({likely.RULE, "serial-twice", "name-twice", "bad-contact"})
"""Rules of what is probably a slip: before such a value is written, the person is asked."""

ACROSS: tuple[Check, ...] = (
    identity.numbers_once,
    identity.keys_once,
    identity.issued,
    identity.successors,
    identity.sets,
)
"""The checks that look at the frames of several players at once, or at nothing of a frame but who it is.

They take a frame's number, key, status, successor, model and set, and a player's key; every other check looks at each
player's records by themselves, or at none.
"""

NAMESAKES: tuple[Check, ...] = (identity.serials_once, identity.names_once)
"""The checks that look at the frames of several players at once and find nothing that stops.

They take a frame's label, serial and model, and a player's names, and whether somebody was sure of them.
"""


def run(content: Content, today: date, but: Collection[Check] = ()) -> list[Fault]:
    """Every fault that the checks find, ``but`` for some of them, in the order of the files."""
    return sorted({fault for check in CHECKS if check not in but for fault in check(content, today)})
