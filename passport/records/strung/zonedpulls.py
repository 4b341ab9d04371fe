"""What each string of a stringing is pulled with, and the even pulls that a bed with zones rings like."""

from collections.abc import Iterator, Sequence

from passport.physics.stringing.route import Route, steps
from passport.physics.stringing.zones import PullZone, even_pull, pulls_of, zone_fault
from passport.physics.stringpath import Side
from passport.records.schema.catalogue import FrameModel, Pattern
from passport.records.schema.frame import Stringing
from passport.records.strung.strungpath import told_path


def work_order(stringing: Stringing, pattern: Pattern, of: Side) -> Sequence[int]:
    """The numbers of the mains of one side, or of all crosses, in the order that they are pulled.

    Crosses of which nobody knows where they start are taken from the head: in a head that is alike at both ends it is the
    same bed turned round.
    """
    if of == "mains":
        return range(1 - pattern.mains % 2, pattern.mains // 2 + 1)
    told = told_path(stringing, pattern)
    route = told.threaded.route() if told.threaded else None
    if isinstance(route, Route):
        return tuple(each.strand.number for _, each in steps(route) if each.strand.of == "crosses")
    down = range(1, pattern.crosses + 1)
    return tuple(reversed(down)) if told.way.crosses_start == "throat" else down


def zones_fault(stringing: Stringing, pattern: Pattern) -> str:
    """Why the zones of a stringing do not go with the pattern; empty where they do."""
    zones = stringing.zones.zones if stringing.zones else ()
    for of in ("mains", "crosses"):
        what = zone_fault(zones, of, work_order(stringing, pattern, of))
        if what:
            return what
    return ""


def zone_pulls(stringing: Stringing, pattern: Pattern) -> tuple[dict[int, float], dict[int, float]]:
    """The pull of each main (of one side, by its number from the centre) and of each cross (from the head), N."""
    zones = stringing.zones.zones if stringing.zones else ()
    mains, crosses = stringing.both
    return (
        pulls_of(zones, "mains", mains.tension.value, work_order(stringing, pattern, "mains")),
        pulls_of(zones, "crosses", crosses.tension.value, work_order(stringing, pattern, "crosses")),
    )


def zone_spans(stringing: Stringing) -> Iterator[tuple[PullZone, float, float]]:
    """Each zone with its first and its last pull, N."""
    pulls = {"mains": stringing.both[0].tension.value, "crosses": stringing.both[1].tension.value}
    for zone in stringing.zones.zones if stringing.zones else ():
        first, last = (pull.of(pulls[zone.of]) for pull in zone.pulls)
        yield zone, first, last


def highest_zone(stringing: Stringing) -> float:
    """The highest pull of a zone, N; 0 without any."""
    return max((max(first, last) for _, first, last in zone_spans(stringing)), default=0.0)


def highest_pull(stringing: Stringing) -> float:
    """The highest pull that any string gets, N, zones and all."""
    return max(highest_zone(stringing), *(part.tension.value for part in stringing.both))


def even_pulls(stringing: Stringing, model: FrameModel) -> tuple[float, float]:
    """The pulls of mains and crosses, N: those of an even bed that rings as this one does, where zones were pulled
    otherwise. Zones in a frame whose counts nobody recorded are left out."""
    mains, crosses = stringing.both
    if stringing.zones is None or model.pattern is None or zones_fault(stringing, model.pattern):
        return mains.tension.value, crosses.tension.value
    pulls = zone_pulls(stringing, model.pattern)
    shape = model.shape()
    return even_pull(shape, "mains", pulls[0]), even_pull(shape, "crosses", pulls[1])
