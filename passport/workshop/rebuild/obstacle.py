"""Why a target cannot be met, in words, each sentence backed by a bound that holds for every plan.

Three kinds of proof, the strongest first: no addition takes anything away; no mass of that size, wherever it sits
between butt and tip, has the moments that are lacking (the truncated moment problem: with s₀, s₁, s₂ the moments of
what is added about the swing axis, s₂ ≥ s₁²/s₀ and s₂ ≤ (p + q)·s₁ − p·q·s₀ for mass between p and q, from memory); the
limits of the model's places do not allow it (an infeasible linear program).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final, Literal

from passport.physics.moments import Moments
from passport.physics.units import GMM2_PER_KGCM2
from passport.records.language.worded import numbered, unsaid, worded
from passport.workshop.facts.spoken_names import all_of, name_said
from passport.workshop.solver.problem import Bounds, Problem, Window
from passport.workshop.solver.solve import extreme

Kind = Literal["mass", "swingweight", "twistweight", "balance", "spread", "limits", "stock", "steps", "places"]

_UNITS: Final = {"mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"}
_EXPLAINED: Final = ("swingweight", "twistweight", "balance", "mass")
"""The quantities in the order in which one of several that exclude each other is told."""


_CLEAR: Final = 0.05
"""By how much, in kg·cm², a bound must be passed before it is told: far more than the grid that finds it is coarse."""


@dataclass(frozen=True, slots=True)
class Obstacle:
    """One thing that holds a plan back: what kind it is, and ``text``, a sentence or two for a person."""

    kind: Kind
    text: str


def obstacles(problem: Problem, length: float, body: str = "blank", limits: str = "") -> tuple[Obstacle, ...]:
    """What holds back every plan on a frame ``length`` mm long; empty where divided steps could meet the target.

    ``body`` is what the sentences call the frame that is built on; ``limits`` lists what its places take.
    """
    found = [*_already_over(problem, length, body)]
    if not found and not any(group.options and not group.off for group in problem.groups):
        text = worded(
            "No place of this model takes anything that is in stock, so the {body} stays as it is. {limits}",
            body=name_said(body),
            limits=limits,
        ).strip()
        return (Obstacle("stock", text),) if not problem.window.inside(problem.start) else ()
    if not found:
        found = list(_anywhere(problem, length))
    if not found:
        found = list(_within_limits(problem, limits))
    return tuple(found)


def between_steps(problem: Problem, worst: float) -> Obstacle:
    """What to say where divided steps would do and whole ones do not; ``worst`` is the nearest miss in tolerances."""
    text = worded(
        "The target lies between the steps of what is in stock: the nearest whole steps miss it by {worst:.2f} times "
        "the tolerance. A finer step, or a wider tolerance, would do.",
        worst=worst,
    )
    return Obstacle("steps", text)


def too_few_places(most: int, enough: int) -> Obstacle:
    """What to say where more places would do; every way to fill so few of them was tried."""
    text = numbered(
        most,
        "No way to fill one place meets the target, and all were tried; {enough} places would do.",
        "No way to fill {count} places meets the target, and all were tried; {enough} places would do.",
        enough=enough,
    )
    return Obstacle("places", text)


def _already_over(problem: Problem, length: float, body: str) -> Iterator[Obstacle]:
    start, window, what = problem.start, problem.window, name_said(body)
    if window.mass and (over := start.m0 - _top(window.mass)) > 0:
        text = worded("The {body} is already {over:.1f} g too heavy, and additions only add.", body=what, over=over)
        yield Obstacle("mass", text)
    if window.swingweight and (over := start.swingweight(window.axis) - _top(window.swingweight)) > 0:
        # Said as grams at the tip, which a person at the bench can picture; kg·cm² they cannot.
        grams = over * GMM2_PER_KGCM2 / (length - window.axis) ** 2
        text = worded(
            "The {body}'s head is already {grams:.1f} g too heavy: its swingweight is {over:.1f} kg·cm² above what the "
            "target allows, and no addition lowers a swingweight.",
            body=what,
            grams=max(grams, 0.1),
            over=over,
        )
        yield Obstacle("swingweight", text)
    twist = start.twistweight
    if window.twistweight and twist is not None and (over := twist - _top(window.twistweight)) > 0:
        text = worded(
            "The {body}'s twistweight is already {over:.1f} kg·cm² too high, and no addition lowers it.",
            body=what,
            over=over,
        )
        yield Obstacle("twistweight", text)


def _top(band: Bounds) -> float:
    return band.target + band.tolerance


def _anywhere(problem: Problem, length: float) -> Iterator[Obstacle]:
    """What mass of the size that is lacking cannot do, wherever between butt and tip it sits."""
    window = problem.window
    if window.mass is None:
        return
    low = max(0.0, window.mass.target - window.mass.tolerance - problem.start.m0)
    high = _top(window.mass) - problem.start.m0
    reach = _Extent(problem.start, window, low, high, length)
    # A grid, since the bound bends with the mass; `_CLEAR` is many times its step.
    masses = [reach.low + (reach.high - reach.low) * i / 200 for i in range(201)]
    spans = [(s0, *reach.first(s0)) for s0 in masses]
    allowed = [(s0, a, b) for s0, a, b in spans if a <= b]
    if not allowed:
        yield reach.unbalanced()
        return
    if window.swingweight:
        yield from reach.spread(allowed, window.swingweight)


@dataclass(frozen=True, slots=True)
class _Extent:
    """What ``low`` … ``high`` g anywhere on a frame can do; first moments about the swing axis, g·mm."""

    start: Moments
    window: Window
    low: float
    high: float
    length: float

    def first(self, s0: float) -> tuple[float, float]:
        """The first moments that ``s0`` g may have to balance the frame within tolerance: from a to b, none if a > b."""
        axis = self.window.axis
        least, most = -axis * s0, (self.length - axis) * s0
        if self.window.balance is None:
            return least, most
        band, mass = self.window.balance, self.start.m0 + s0
        wanted = [(band.target + side * band.tolerance) * mass - self.start.m1 - axis * s0 for side in (-1, 1)]
        return max(least, wanted[0]), min(most, wanted[1])

    def unbalanced(self) -> Obstacle:
        """Even all of the mass at one end does not balance the frame."""
        band = self.window.balance
        assert band, "without a wanted balance any place will do"
        at_butt = self.start.m1 / (self.start.m0 + self.high)
        at_tip = (self.start.m1 + self.length * self.high) / (self.start.m0 + self.high)
        text, reached, off = (
            (
                unsaid(
                    "Even with {most:.1f} g, all that the mass allows, at the very butt, it would balance at {reached:.1f} "
                    "mm, {off:.1f} mm too far towards the head."
                ),
                at_butt,
                at_butt - _top(band),
            )
            if at_butt > _top(band)
            else (
                unsaid(
                    "Even with {most:.1f} g, all that the mass allows, at the very tip, it would balance at {reached:.1f} "
                    "mm, {off:.1f} mm too far towards the butt."
                ),
                at_tip,
                band.target - band.tolerance - at_tip,
            )
        )
        return Obstacle("balance", worded(text, most=self.high, reached=reached, off=off))

    def spread(self, allowed: Sequence[tuple[float, float, float]], band: Bounds) -> Iterator[Obstacle]:
        """The mass that balances the frame swings too much wherever it sits, or too little."""
        begin, axis = self.start.swingweight(self.window.axis), self.window.axis
        p, q = -axis, self.length - axis
        least = min(_least_second(*span) for span in allowed) / GMM2_PER_KGCM2
        most = max((p + q) * b - p * q * s0 for s0, _, b in allowed) / GMM2_PER_KGCM2
        if begin + least > _top(band) + _CLEAR:
            text = worded(
                "The mass that is lacking, put where it balances the frame, raises the swingweight to at least "
                "{least:.1f} kg·cm², {over:.1f} above what the target allows, however it is spread.",
                least=begin + least,
                over=begin + least - _top(band),
            )
            yield Obstacle("spread", text)
        elif begin + most < band.target - band.tolerance - _CLEAR:
            text = worded(
                "The mass that is lacking, put where it balances the frame, raises the swingweight to at most "
                "{most:.1f} kg·cm², {short:.1f} short of what the target needs, even if all of it sat at butt and tip.",
                most=begin + most,
                short=band.target - band.tolerance - begin - most,
            )
            yield Obstacle("spread", text)


def _least_second(s0: float, a: float, b: float) -> float:
    """The least second moment of ``s0`` g with a first moment between ``a`` and ``b``: all of it in one place."""
    # All mass in one place has the least second moment, and at the axis, if it may be there, none at all.
    nearest = max(a, min(b, 0.0))
    return nearest**2 / s0 if s0 > 0 else 0.0


def _within_limits(problem: Problem, limits: str) -> Iterator[Obstacle]:
    """The fewest quantities that the places cannot give together, and how far one of them then stays off."""
    wanted = [name for name in _EXPLAINED if name in problem.window.misses(problem.start)]
    for size in range(1, len(wanted) + 1):
        for together in combinations(wanted, size):
            told = together[0]
            rest = together[1:]
            text = _short_of(problem, told, rest)
            if text:
                yield Obstacle("limits", f"{text} {limits}".strip())
                return


def _short_of(problem: Problem, told: str, rest: Sequence[str]) -> str:
    """How far a quantity stays off while the rest is inside; empty where it can be met."""
    band: Bounds = getattr(problem.window, told)
    for sign, text in _SHORT:
        body = extreme(problem, told, sign, rest)
        if body is None:
            return ""
        value = _value(problem.window, body, told)
        edge = band.target - sign * band.tolerance
        short = sign * (edge - value)
        # More than the solver's rounding: else a target on the limit would be called out of reach by nothing.
        if short > 1e-6 * band.tolerance:
            return worded(
                text[bool(rest)],
                others=all_of([name_said(name) for name in rest]),
                quantity=name_said(told),
                value=value,
                unit=_UNITS[told],
                short=max(short, 0.1),
            )
    return ""


_SHORT: Final = (
    (
        1,
        (
            unsaid(
                "The {quantity} that the places of this model allow is at most {value:.1f} {unit}, {short:.1f} short of "
                "what the target needs."
            ),
            unsaid(
                "With {others} inside, the {quantity} that the places of this model allow is at most {value:.1f} {unit}, "
                "{short:.1f} short of what the target needs."
            ),
        ),
    ),
    (
        -1,
        (
            unsaid(
                "The {quantity} that the places of this model allow is at least {value:.1f} {unit}, {short:.1f} above what "
                "the target needs."
            ),
            unsaid(
                "With {others} inside, the {quantity} that the places of this model allow is at least {value:.1f} {unit}, "
                "{short:.1f} above what the target needs."
            ),
        ),
    ),
)
"""For each side of a band what to say of a quantity that cannot be brought there, alone and beside others."""


def _value(window: Window, body: Moments, quantity: str) -> float:
    if quantity == "swingweight":
        return body.swingweight(window.axis)
    return {"mass": body.mass, "balance": body.balance, "twistweight": body.twistweight or 0.0}[quantity]
