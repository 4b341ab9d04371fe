"""A swingweight that is only estimated, beside a plan that is judged on what was measured; and what would settle it."""

from dataclasses import dataclass
from typing import Final

from passport.physics.uncertainty import Estimate, combined, conformity_probability
from passport.workshop.rebuild.lacking.gyration import PREFIX, Gyration
from passport.workshop.rebuild.lacking.swing import AMPLITUDE_DEGREES, SWINGS, Timing

UNIT: Final = "kg·cm²"

_HARDLY: Final = 0.9
"""What leaves more than this share of an uncertainty is hardly worth two minutes."""


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
            return (
                "" if self.timing else "The old frame is lost and cannot be swung, so this is as much as can be known."
            )
        return "The old frame is not lost: time it as a pendulum too, and its swingweight is a target by which plans are judged."

    def _told(self) -> str:
        source = f" ({self.of_blank.source})" if self.of_blank else ""
        new = f"with this plan {_figure(self.planned)} {UNIT}{source}"
        whose = {(True, True): "Nobody swung the old frame or this one", (True, False): "Nobody swung the old frame"}
        begin = whose.get((self.of_wanted, self.of_blank is not None), "Nobody swung this frame")
        if self.wanted is None or self.apart is None:
            return f"{begin}, so its swingweight is an estimate: {new}. Nothing says which is wanted."
        what = f"wanted {'about ' if self.of_wanted else ''}{_figure(self.wanted)}"
        return (
            f"{begin}, so the swingweight is an estimate and the plan is judged without it: {what}, {new}; "
            f"apart by {self.apart.value:+.1f} ± {2 * self.apart.u:.1f}."
        )

    def _pendulum(self) -> str:
        t = self.timing
        if t is None:
            return ""
        buys = f"its own swingweight ± {2 * t.u:.1f} instead of ± {2 * self.planned.u:.1f} {UNIT}"
        if self.apart is not None and self.u_then > _HARDLY * self.apart.u:
            buys += ", but hardly how far it is apart from the old frame's"
        elif self.apart is not None:
            now, then = self._chances()
            buys += (
                f", apart from the wanted one ± {2 * self.u_then:.1f} instead of ± {2 * self.apart.u:.1f}; inside "
                f"± {self.tolerance:g} {_percent(now)} → up to {_percent(then)}"
            )
        if self.of_wanted and self.wanted is not None and self.u_wanted_then < _HARDLY * self.wanted.u:
            buys += f"; and the old frame's ± {2 * self.u_wanted_then:.1f} instead of ± {2 * self.wanted.u:.1f}"
        return (
            f"Two minutes with a pendulum would buy: {buys}. On a knife edge {t.pivot:.0f} mm from the butt, face first, "
            f"some {AMPLITUDE_DEGREES:.0f}° to each side, {SWINGS} full swings take about {t.seconds:.0f} s "
            "(I = m·g·d·T²/4π², any mechanics text). Note it with 'passport blank' (of a player's frame 'passport log'), mass "
            f"and balance beside it: --pendulum '{t.pivot:.0f} mm … s {SWINGS} swings {AMPLITUDE_DEGREES:.0f} deg'."
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
    return f"{figure.value:.1f}" if not figure.u else f"{figure.value:.1f} ± {2 * figure.u:.1f}"


def _percent(chance: float) -> str:
    return f"{100 * chance:.0f} %"
