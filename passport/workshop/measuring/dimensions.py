"""What a model's dimensions that nobody recorded do to a figure: they are taken as usual, and widen its uncertainty.

Every assumed dimension is one input of all that is predicted on frames of its shape, so what cancels between two things
cancels here too (`passport.physics.body`).
"""

from collections.abc import Callable, Iterable
from typing import Final

from passport.physics.body import Body
from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.uncertainty import Share

_PREFIX: Final = "assumed "
DIMENSIONS: Final = {
    "length": "the overall length",
    "rim": "the hoop's thickness seen from the front",
    "handle": "the handle's length",
    "handle_width": "the handle's width",
    "aspect": "the strung length and width of the head",
    "mains": "the number of mains",
    "crosses": "the number of crosses",
}
"""What to measure or count, by the name of the dimension."""


def widened(body: Body, shape: RacquetShape, made: Callable[[RacquetShape], Moments]) -> Body:
    """A body with the shifts of all assumed dimensions, by central differences (JCGM 100, 5.1.3).

    ``made`` gives its moments for a shape. A count of strings moves by its whole half-width, two strings or less, and
    is scaled back to one standard uncertainty.
    """
    shifts = dict(body.shifts)
    for name, u in shape.assumed:
        if u:
            by = max(1.0, u) if name in ("mains", "crosses") else u
            shift = (made(shape.moved(name, by)) - made(shape.moved(name, -by))).scaled(0.5 * u / by)
            shifts[f"{_PREFIX}{name} of {shape.length:g} × {shape.head_width:.0f} mm"] = shift
    return Body(body.moments, shifts)


def helps_most(shares: Iterable[Share]) -> str:
    """The dimension whose measuring would take most off a figure's uncertainty, in words; empty where none was assumed."""
    own = [share for share in shares if share.name.startswith(_PREFIX) and share.amount > 0]
    largest = max(own, key=lambda share: share.amount, default=None)
    return DIMENSIONS[largest.name.removeprefix(_PREFIX).partition(" of ")[0]] if largest else ""


def usual_bed(shape: RacquetShape) -> Body:
    """A string bed of 1.5 g/m, as a usual one weighs, and 2 g at 3 and 9 o'clock, on a frame of this shape.

    For asking `helps_most` of a model of which there is no frame yet.
    """

    def made(of: RacquetShape) -> Moments:
        x, y = of.on_hoop(3.0)
        return Moments.string_bed(of, 1.5, 1.5) + Moments(2.0, 2.0 * x, 2.0 * x**2, 2.0 * y**2)

    return widened(Body(made(shape)), shape, made)
