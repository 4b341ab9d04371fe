"""Tension by zone: what each main and each cross is pulled with, and what a bed of uneven pulls is as an even one.

Mains are numbered from the centre on both sides alike, crosses from the head. A zone counts in the order of the work
(``first``, ``last``), from both ends (``outer``), or names its strings by their numbers (``numbered``).
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final, Literal

from passport.physics.geometry import RacquetShape
from passport.physics.quadrature import integrate
from passport.physics.stringbed import FIRST_BESSEL_ZERO
from passport.physics.stringpath import Side

Reach = Literal["first", "last", "outer", "numbered"]

UNEVEN_U: Final = 0.15
"""Standard uncertainty of what the zones of the mains and those of the crosses change in a frequency, as a share of both.

From nets of single strings with pulls that differ by up to a fifth: they ring within a tenth of the change as
:func:`even_pull` has it; strings that slide over each other even some of it out (common practice, no source).
"""

_ONE: Final[dict[Side, str]] = {"mains": "main", "crosses": "cross"}


@dataclass(frozen=True, slots=True)
class Pull:
    """A pull as told: ``newtons`` of its own, or so much ``more`` N or a ``share`` more than the rest of its side."""

    newtons: float | None = None
    more: float = 0.0
    share: float = 0.0

    def of(self, tension: float) -> float:
        """The pull in N where the rest of its side is pulled with ``tension`` N."""
        return self.newtons if self.newtons is not None else tension * (1 + self.share) + self.more


@dataclass(frozen=True, slots=True)
class PullZone:
    """Strings of one side that are pulled otherwise: evenly from ``pulls[0]`` at the first to ``pulls[1]`` at the last.

    ``start`` and ``stop`` are the numbers of ``numbered`` strings; of the others ``stop`` is how many there are, at each
    end where they are the ``outer`` ones.
    """

    of: Side
    reach: Reach
    stop: int
    pulls: tuple[Pull, Pull]
    start: int = 1

    @property
    def own(self) -> bool:
        """Whether it says a pull of its own, and not one beside that of its side."""
        return any(pull.newtons is not None for pull in self.pulls)

    def strings(self, order: Sequence[int]) -> tuple[int, ...]:
        """The numbers of its strings, from the first to the last, of those in the ``order`` of the work."""
        if self.reach == "first":
            return tuple(order[: self.stop])
        if self.reach == "last":
            return tuple(order[-self.stop :])
        if self.reach == "outer":
            ranked = sorted(order)
            inner = () if self.of == "mains" else ranked[: self.stop]
            return (*inner, *ranked[-self.stop :])
        step = 1 if self.stop >= self.start else -1
        return tuple(range(self.start, self.stop + step, step))

    def pulled(self, order: Sequence[int], tension: float) -> Iterator[tuple[int, float]]:
        """Each of its strings with its pull in N, on a side of ``tension`` N."""
        first, last = (pull.of(tension) for pull in self.pulls)
        strings = self.strings(order)
        for i, number in enumerate(strings):
            yield number, first + (last - first) * (i / (len(strings) - 1) if len(strings) > 1 else 0.0)

    def moved(self, by: float) -> "PullZone":
        """The same zone with pulls of its own ``by`` N higher; those beside their side's move with that."""
        first, last = (replace(p, newtons=p.newtons + by) if p.newtons is not None else p for p in self.pulls)
        return replace(self, pulls=(first, last))


def zone_fault(zones: Sequence[PullZone], of: Side, order: Sequence[int]) -> str:
    """Why the zones of a side do not go with its strings in the ``order`` of the work; empty where they do."""
    seen, known = set[int](), set(order)
    end = "a side" if of == "mains" else "in all"
    for zone in zones:
        if zone.of != of:
            continue
        strings, count = zone.strings(order), len(order)
        if zone.reach != "numbered" and zone.stop * (2 if zone.reach == "outer" and of == "crosses" else 1) > count:
            return f"There are only {count} {of} {end}, so no zone of {zone.stop}."
        beyond = [number for number in strings if number not in known]
        if beyond:
            return f"There is no {_ONE[of]} {beyond[0]}: there are {count} {end}."
        twice = [number for number in strings if number in seen]
        if twice:
            return f"Two zones of the {of} hold number {twice[0]}, with a pull each."
        seen |= set(strings)
    return ""


def pulls_of(zones: Sequence[PullZone], of: Side, tension: float, order: Sequence[int]) -> dict[int, float]:
    """The pull in N of each main (of one side) or cross by its number; ``tension`` N where no zone says otherwise."""
    pulls = dict.fromkeys(order, tension)
    for zone in zones:
        if zone.of == of:
            pulls |= {number: pull for number, pull in zone.pulled(order, tension) if number in pulls}
    return pulls


def even_pull(shape: RacquetShape, of: Side, pulls: dict[int, float]) -> float:
    """The one pull in N with which all mains (or crosses) would let the bed ring as these pulls by number do.

    Each string counts as much as its share of the energy of the bed's slowest vibration: Rayleigh's quotient with the
    shape of the even bed, right to first order in how uneven the pulls are (Rayleigh, The Theory of Sound, §88–89, from
    memory). That shape is taken as that of the drum, J₀, stretched to the ellipse.
    """
    # a main beside the centre stands for one on each side, the centre main of an odd count for itself
    weights = {number: _weight(place) * (2 if number else 1) for number, place in _places(shape, of) if number in pulls}
    total = math.fsum(weights.values())
    return math.fsum(weights[number] * pulls[number] for number in weights) / total if total else pulls[min(pulls)]


def _places(shape: RacquetShape, of: Side) -> Iterator[tuple[int, float]]:
    """The number of each string on one side (mains) or of all (crosses), and how far it lies from the middle, 0 to 1."""
    if of == "mains":
        odd = shape.mains % 2
        for number in range(1 - odd, shape.mains // 2 + 1):
            at = (number if odd else number - 0.5) * shape.spacing[0]
            yield number, min(1.0, at / (shape.head_width / 2))
        return
    for i, x in enumerate(shape.cross_positions()):
        yield shape.crosses - i, min(1.0, abs(x - shape.head_centre) / (shape.head_length / 2))


@lru_cache(maxsize=4096)
def _weight(place: float) -> float:
    """What a string at a place counts: ∫(∂w/∂x)² along it, w = J₀(j₀₁·r) on the unit circle."""
    room = math.sqrt(max(0.0, 1 - place**2))

    def steepness(along: float) -> float:
        radius = math.hypot(along, place)
        return (_bessel_one(FIRST_BESSEL_ZERO * radius) * along / radius) ** 2 if radius else 0.0

    return 2 * integrate(steepness, 0.0, room) if room else 0.0


def _bessel_one(x: float) -> float:
    """J₁ by its power series, Σ(−1)ᵏ(x/2)²ᵏ⁺¹/(k!(k+1)!) (DLMF 10.2.2): to 1e-15 for the arguments that occur here."""
    half, total, term, k = x / 2, 0.0, x / 2, 0
    while abs(term) > 1e-17:
        total += term
        k += 1
        term *= -(half**2) / (k * (k + 1))
    return total
