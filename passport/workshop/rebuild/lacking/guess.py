"""A swingweight that is only estimated, beside a plan that is judged on what was measured; and what would settle it."""

from dataclasses import dataclass
from typing import Final

from passport.physics.uncertainty import Estimate, combined, conformity_probability
from passport.records.language.worded import unsaid, worded
from passport.workshop.rebuild.lacking.gyration import PREFIX, Gyration
from passport.workshop.rebuild.lacking.swing import AMPLITUDE_DEGREES, SWINGS, Timing

UNIT: Final = "kg·cm²"

_HARDLY: Final = 0.9
"""What leaves more than this share of an uncertainty is hardly worth two minutes."""


_UNSWUNG: Final = {
    (True, True): unsaid("Nobody swung the old frame or this one"),
    (True, False): unsaid("Nobody swung the old frame"),
    (False, True): unsaid("Nobody swung this frame"),
}
"""What nobody swung, by whether the wanted swingweight and that of the blank are estimates."""


@dataclass(frozen=True, slots=True)
class Guess:
    """What is believed of the swingweight where nobody swung the old frame, the new one, or both.

    ``wanted`` kg·cm², None where nothing tells it; ``of_wanted`` where it is an estimate, ``of_blank`` what the
    ``planned`` one was estimated from. ``apart`` is planned less wanted: what both are off alike has dropped out.
    ``timing`` is a pendulum for the new frame, after which they are known to be apart to within ``u_then``, and the wanted
    one to within ``u_wanted_then``. ``lost``: the old frame cannot be swung any more.
    """

    planned: Estimate
    wanted: Estimate | None
    tolerance: float
    apart: Estimate | None
    of_wanted: bool
    of_blank: Gyration | None
    timing: Timing | None = None
    u_then: float = 0.0
    u_wanted_then: float = 0.0
    lost: bool = True

    @property
    def texts(self) -> tuple[str, ...]:
        """All of it in sentences, for a person at the bench."""
        return tuple(filter(None, (self._told(), self._pendulum(), self._old())))

    def _old(self) -> str:
        if not self.of_wanted:
            return ""
        if self.lost:
            if self.timing:
                return ""
            return worded("The old frame is lost and cannot be swung, so this is as much as can be known.")
        return worded(
            "The old frame is not lost: time it as a pendulum too, and its swingweight is a target by which plans are judged."
        )

    def _told(self) -> str:
        said = {"figure": _figure(self.planned), "unit": UNIT}
        new = (
            worded("with this plan {figure} {unit} ({source})", **said, source=self.of_blank.source)
            if self.of_blank
            else worded("with this plan {figure} {unit}", **said)
        )
        begin = worded(_UNSWUNG.get((self.of_wanted, self.of_blank is not None), _UNSWUNG[False, True]))
        if self.wanted is None or self.apart is None:
            return worded(
                "{nobody_swung}, so its swingweight is an estimate: {planned}. Nothing says which is wanted.",
                nobody_swung=begin,
                planned=new,
            )
        figure = _figure(self.wanted)
        what = (
            worded("wanted about {figure}", figure=figure)
            if self.of_wanted
            else worded("wanted {figure}", figure=figure)
        )
        return worded(
            "{nobody_swung}, so the swingweight is an estimate and the plan is judged without it: {wanted}, {planned}; "
            "apart by {apart:+.1f} ± {u:.1f}.",
            nobody_swung=begin,
            wanted=what,
            planned=new,
            apart=self.apart.value,
            u=2 * self.apart.u,
        )

    def _pendulum(self) -> str:
        t = self.timing
        if t is None:
            return ""
        buys = worded(
            "its own swingweight ± {then:.1f} instead of ± {now:.1f} {unit}",
            then=2 * t.u,
            now=2 * self.planned.u,
            unit=UNIT,
        )
        if self.apart is not None and self.u_then > _HARDLY * self.apart.u:
            buys += worded(", but hardly how far it is apart from the old frame's")
        elif self.apart is not None:
            chance, chance_then = self._chances()
            buys += worded(
                ", apart from the wanted one ± {then:.1f} instead of ± {now:.1f}; inside ± {tolerance:g} {chance} → up to "
                "{chance_then}",
                then=2 * self.u_then,
                now=2 * self.apart.u,
                tolerance=self.tolerance,
                chance=_percent(chance),
                chance_then=_percent(chance_then),
            )
        if self.of_wanted and self.wanted is not None and self.u_wanted_then < _HARDLY * self.wanted.u:
            buys += worded(
                "; and the old frame's ± {then:.1f} instead of ± {now:.1f}",
                then=2 * self.u_wanted_then,
                now=2 * self.wanted.u,
            )
        return worded(
            "Two minutes with a pendulum would buy: {buys}. On a knife edge {pivot:.0f} mm from the butt, face first, some "
            "{degrees:.0f}° to each side, {swings} full swings take about {seconds:.0f} s (I = m·g·d·T²/4π², any mechanics "
            "text). Note it with 'passport blank' (of a player's frame 'passport log'), mass and balance beside it: "
            "--pendulum '{pivot:.0f} mm … s {swings} swings {degrees:.0f} deg'.",
            buys=buys,
            pivot=t.pivot,
            degrees=AMPLITUDE_DEGREES,
            swings=SWINGS,
            seconds=t.seconds,
        )

    def _chances(self) -> tuple[float, float]:
        """That the swingweight is inside its tolerance: as it is, and of a plan in the middle after a pendulum."""
        assert self.apart, "asked only where something is wanted"
        low, high = -self.tolerance, self.tolerance
        return (
            conformity_probability(self.apart.value, self.apart.u, low, high),
            conformity_probability(0.0, self.u_then, low, high),
        )

    def data(self) -> dict[str, object]:
        """The same as data: kg·cm², each estimate with its standard uncertainty."""
        t, found = self.timing, self.of_blank
        return {
            "quantity": "swingweight",
            "of_target": self.of_wanted,
            "of_blank": found is not None,
            "planned_kgcm2": round(self.planned.value, 4),
            "u_planned_kgcm2": round(self.planned.u, 4),
            "apart_kgcm2": round(self.apart.value, 4) if self.apart else None,
            "u_apart_kgcm2": round(self.apart.u, 4) if self.apart else None,
            "radius_of_gyration": round(found.k.value, 5) if found else None,
            "u_radius_of_gyration": round(found.of_one, 5) if found else None,
            "frames_of_the_model": found.frames if found else None,
            "pendulum": {
                "pivot_mm": t.pivot,
                "period_s": round(t.period, 4),
                "swings": SWINGS,
                "u_swingweight_kgcm2": round(t.u, 4),
                "u_apart_kgcm2": round(self.u_then, 4),
                "u_wanted_kgcm2": round(self.u_wanted_then, 4),
            }
            if t
            else None,
        }


def known_then(
    apart: Estimate, wanted: Estimate, found: Gyration, own: Estimate, timing: Timing
) -> tuple[float, float]:
    """Standard uncertainties once the new frame was timed, kg·cm²: of planned less wanted, and of the wanted one.

    What hung on how the new frame swings is replaced by the timing. A wanted swingweight that is an estimate for the same
    model gains too: one more frame of it was swung, whose k is as sure as the timing and the scatter within the model.
    """
    model = f"{PREFIX}the {found.model}"
    slope = next((abs(s.sensitivity) for s in own.shares if s.name == model), 0.0)
    # Both are for one standard uncertainty of the model's k, so their quotient brings the timing to a k.
    of_timing = found.k.u * timing.u / slope if slope else 0.0
    narrower = (1 + found.k.u**2 / (found.within**2 + of_timing**2)) ** -0.5
    theirs = [s.amount * (narrower if s.name == model else 1.0) for s in wanted.shares if s.name.startswith(PREFIX)]
    others = [s.amount for s in wanted.shares if not s.name.startswith(PREFIX)]
    rest = [s.amount for s in apart.shares if not s.name.startswith(PREFIX)]
    # Never worse than before: nobody must use a reading that tells less than what both are off alike.
    return min(apart.u, combined(timing.u, *rest, *theirs)), combined(*others, *theirs)


def _figure(figure: Estimate) -> str:
    if not figure.u:
        return worded("{value:.1f}", value=figure.value)
    return worded("{value:.1f} ± {u:.1f}", value=figure.value, u=2 * figure.u)


def _percent(chance: float) -> str:
    return f"{100 * chance:.0f} %"
