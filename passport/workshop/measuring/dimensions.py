"""What a model's dimensions that nobody recorded do to a figure: they are taken as usual, and widen its uncertainty.

Every assumed dimension is one input of all that is predicted on frames of its shape, so what cancels between two things
cancels here too (`passport.physics.body`).
"""

import math
from collections.abc import Callable, Iterable
from typing import Final

from passport.physics.body import Body
from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate, Share, combined
from passport.records.language.worded import unsaid, worded
from passport.records.schema.balance import BalanceValue

PREFIX: Final = "assumed "
"""What the inputs begin with that are dimensions taken as usual."""
DIMENSIONS: Final = {
    "length": unsaid("the overall length"),
    "rim": unsaid("the hoop's thickness seen from the front"),
    "outline": unsaid("the form of the head, or its width at a few heights"),
    "handle": unsaid("the handle's length"),
    "handle_width": unsaid("the handle's width"),
    "aspect": unsaid("the strung length and width of the head"),
    "mains": unsaid("the number of mains"),
    "crosses": unsaid("the number of crosses"),
}
"""What to measure or count, by the name of the dimension; to be put into words where it is shown."""


def widened(body: Body, shape: RacquetShape, made: Callable[[RacquetShape], Moments]) -> Body:
    """A body with the shifts of all assumed dimensions, and of an outline that was not measured, by central differences (JCGM 100, 5.1.3).

    ``made`` gives its moments for a shape. A count of strings moves by its whole half-width, two strings or less, and
    is scaled back to one standard uncertainty.
    """
    shifts = dict(body.shifts)
    for name, u in shape.unsure:
        if u:
            by = max(1.0, u) if name in ("mains", "crosses") else u
            shift = (made(shape.moved(name, by)) - made(shape.moved(name, -by))).scaled(0.5 * u / by)
            shifts[_input(name, shape)] = shift
    return Body(body.moments, shifts)


def _input(name: str, shape: RacquetShape) -> str:
    return f"{PREFIX}{name} of {shape.length:g} × {shape.head_width:.0f} mm"


def assumed_length(shape: RacquetShape) -> dict[str, Estimate]:
    """The overall length by the name of its input, mm, where nobody recorded it; else nothing.

    A balance in points is counted from half the length, so it moves by half of what that is off.
    """
    u = dict(shape.assumed).get("length", 0.0)
    return {_input("length", shape): Estimate(shape.length, u)} if u else {}


def points_share(shape: RacquetShape) -> tuple[Share, ...]:
    """What an assumed length does to a balance in points, mm for one standard uncertainty; nothing where it is recorded."""
    return tuple(Share(name, length.u / 2, length.u / 2) for name, length in assumed_length(shape).items())


def points_on(balance: BalanceValue | None, shape: RacquetShape) -> float | None:
    """A balance as it was written in points, head light, where the length is assumed; None where its mm are no guess."""
    return balance.points_light if balance and shape.is_assumed("length") else None


def against_points(balance: Estimate, shape: RacquetShape) -> Estimate:
    """A balance as it is held against a target in points: what an assumed length does to both cancels, and what it does
    to the target alone counts."""
    for share in points_share(shape):
        own = math.fsum(s.amount for s in balance.shares if s.name == share.name)
        left = abs(own - share.amount)
        rest = math.sqrt(max(0.0, balance.u**2 - own**2))
        shares = tuple(s for s in balance.shares if s.name != share.name)
        balance = Estimate(balance.value, combined(rest, left), (*shares, Share(share.name, share.sensitivity, left)))
    return balance


def helps_most(shares: Iterable[Share]) -> str:
    """The dimension whose measuring would take most off a figure's uncertainty, in words; empty where none was assumed."""
    own = [share for share in shares if share.name.startswith(PREFIX) and share.amount > 0]
    largest = max(own, key=lambda share: share.amount, default=None)
    return said(largest.name) if largest else ""


def said(name: str) -> str:
    """The dimension that the input of that name is, in words."""
    return worded(dimension_of(name))


def dimension_of(name: str) -> str:
    """The same, not yet put into words."""
    return DIMENSIONS[name.removeprefix(PREFIX).partition(" of ")[0]]


def usual_bed(shape: RacquetShape) -> Body:
    """A string bed of 1.5 g/m, as a usual one weighs, and 2 g at 3 and 9 o'clock, on a frame of this shape.

    For asking `helps_most` of a model of which there is no frame yet.
    """

    def made(of: RacquetShape) -> Moments:
        x, y = of.on_hoop(3.0)
        return Moments.string_bed(of, 1.5, 1.5) + Moments(2.0, 2.0 * x, 2.0 * x**2, 2.0 * y**2)

    return widened(Body(made(shape)), shape, made)
