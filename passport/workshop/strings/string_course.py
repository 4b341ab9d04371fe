"""The string that is in a frame, followed from hole to hole: how long it is, what to cut, what it weighs."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.stringing.course import course, lengths, outside_u, to_cut
from passport.physics.stringing.route import Piece, Route
from passport.physics.stringpath import OUTSIDE_U, Side
from passport.physics.uncertainty import Estimate, combined
from passport.workshop.facts.facts import FrameFacts, StringingFacts, StrungFacts
from passport.workshop.measuring.assumed import USUAL

HEAD_U_MM: Final = 1.0
"""Standard uncertainty of a head's length and width read with a tape, mm (common practice, no source)."""

_SIDES: Final[tuple[Side, Side]] = ("mains", "crosses")


@dataclass(frozen=True, slots=True)
class PieceCourse:
    """One piece: its ``length`` as it lies, its ``short`` side's share (0 where it has none), what to ``cut`` for it and
    for its ``short_cut``; mm."""

    piece: Piece
    length: Estimate
    short: float
    cut: Estimate
    short_cut: float


@dataclass(frozen=True, slots=True)
class StringCourse:
    """The whole string: its ``route``, its pieces, ``length`` mm, and its ``moments`` with the ``mass`` in g where a
    metre's mass is known."""

    route: Route
    pieces: tuple[PieceCourse, ...]
    length: Estimate
    moments: Moments | None
    mass: Estimate | None


def route_of(frame: FrameFacts) -> Route | None:
    """The way of the string that is in a frame, where it can be followed."""
    found = frame.stringing.path.route() if frame.stringing and frame.stringing.path else None
    return found if isinstance(found, Route) else None


def string_course(frame: FrameFacts) -> StringCourse | None:
    """The course of the string that is in a frame; None where its path or the frame's dimensions are not known."""
    found, bed, shape = route_of(frame), frame.stringing, frame.shape
    if found is None or bed is None or shape.is_assumed("length", "rim", "aspect", "mains", "crosses"):
        return None
    gauge = bed.mains.gauge
    try:
        path, said = course(shape, found, gauge), lengths(shape, found, gauge)
    except ValueError:  # a string would lie outside the head
        return None
    share = outside_u(found) if bed.is_fact("path") and not bed.is_from_model("path") else OUTSIDE_U
    outside, inside = path.length(outside=True), path.length(outside=False)
    u = combined(share * outside, inside * _size(shape))
    pieces = []
    for piece, each in zip(found.pieces, said, strict=True):
        strung = bed.mains if piece.passes[0].strand.of == "mains" else bed.crosses
        cut = _cut(each.path, strung)
        length_u = u * each.path / path.length()
        pieces.append(
            PieceCourse(
                piece,
                Estimate(each.path, length_u),
                each.short,
                Estimate(cut.value, combined(cut.u, length_u)),
                _cut(each.short, strung, ends=1).value if each.short else 0.0,
            )
        )
    masses = list(_masses(bed))
    moments = mass = None
    if len(masses) == len(_SIDES):
        moments = Moments.total(path.moments(side, g) for side, (g, _) in zip(_SIDES, masses, strict=True))
        weights = [path.length(side) * g / 1000 * r for side, (g, r) in zip(_SIDES, masses, strict=True)]
        density_u = sum(weights) if bed.mains.string == bed.crosses.string else math.hypot(*weights)
        mass = Estimate(moments.mass, combined(density_u, moments.mass * u / path.length()))
    return StringCourse(found, tuple(pieces), Estimate(path.length(), u), moments, mass)


def _cut(length: float, strung: StrungFacts, ends: int = 2) -> Estimate:
    return to_cut(length, strung.material, strung.gauge, strung.tension, ends)


def _size(shape: RacquetShape) -> float:
    """How much longer strings are, as a share, where the head is measured a standard uncertainty too short and its outline,
    where that was not measured, is fuller by as much: the strings' length goes with the area."""
    size = HEAD_U_MM / math.sqrt(2) * (1 / shape.head_length + 1 / shape.head_width) / math.sqrt(2)
    return combined(size, dict(shape.unsure).get("outline", 0.0))


def _masses(bed: StringingFacts) -> Iterator[tuple[float, float]]:
    """g/m of mains and crosses with their relative standard uncertainty, as far as they are known."""
    for strung in (bed.mains, bed.crosses):
        if strung.per_metre:
            yield (
                strung.per_metre,
                USUAL.string if strung.source("per_metre") == "model" else USUAL.string_estimated,
            )
