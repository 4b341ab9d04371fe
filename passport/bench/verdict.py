"""Whether a measured quantity meets its target."""

from passport.bench.facts import Verdict


def judge(value: float | None, target: float | None, tolerance: float | None) -> Verdict:
    """``inside`` or ``outside`` the tolerance; ``open`` where either figure is missing."""
    if value is None or target is None or tolerance is None:
        return "open"
    return "inside" if abs(value - target) <= tolerance + 1e-9 else "outside"
