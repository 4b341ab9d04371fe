"""Plans for more than one frame: sets made equal, and blanks chosen for frames; and the same as data."""

from dataclasses import dataclass
from typing import Any

from passport.workshop.facts.facts import QuantityName
from passport.workshop.rebuild.plan import UNITS, Aim, Rebuild, Status, target_data


@dataclass(frozen=True, slots=True)
class Spread:
    """How far apart the frames of a set are in one quantity, before and after, and what counts as equal."""

    quantity: QuantityName
    before: float
    after: float
    tolerance: float


@dataclass(frozen=True, slots=True)
class Match:
    """Frames made equal: what they have in common afterwards, each frame's plans, and how far apart they are.

    ``to`` names the frame that the others are made equal to, empty where they meet in the middle; that frame is no
    member.
    """

    status: Status
    to: str
    aims: tuple[Aim, ...]
    members: tuple[Rebuild, ...]
    spreads: tuple[Spread, ...]

    @property
    def added_g(self) -> float:
        """Mass that the best plans add to all frames together, g."""
        return sum(member.plans[0].added_g for member in self.members)

    def data(self) -> dict[str, Any]:
        """The match as data."""
        return {
            "status": self.status,
            "to": self.to or None,
            "target": target_data(self.aims),
            "added_g": round(self.added_g, 4),
            "spread": {
                UNITS[s.quantity]: {
                    "before": round(s.before, 4),
                    "after": round(s.after, 4),
                    "tolerance": round(s.tolerance, 4),
                }
                for s in self.spreads
            },
            "frames": [member.data() for member in self.members],
        }


@dataclass(frozen=True, slots=True)
class Candidate:
    """How one blank would do for one frame: matched with so many ``removals``, ``places`` and grams, or by how much not.

    ``miss`` is a bound on the worst miss in tolerances, 0 where it matches; ``why`` says what is in the way.
    """

    frame: str
    blank: str
    matched: bool
    miss: float
    removals: int
    places: int
    added_g: float
    other_model: bool
    why: str = ""

    def data(self) -> dict[str, object]:
        """The candidate as data."""
        return {
            "frame": self.frame,
            "blank": self.blank,
            "matched": self.matched,
            "worst_miss_in_tolerances": None if self.matched else round(self.miss, 3),
            "removals": self.removals,
            "places": self.places,
            "added_g": round(self.added_g, 4),
            "why": self.why,
        }


@dataclass(frozen=True, slots=True)
class Choice:
    """The best blank for each frame: ``rebuilds`` in the order of the frames, and all ``candidates``, best first.

    ``left_out`` names frames for which no blank remained.
    """

    rebuilds: tuple[Rebuild, ...]
    candidates: tuple[Candidate, ...]
    left_out: tuple[str, ...] = ()

    @property
    def status(self) -> Status:
        """The worst of the rebuilds' statuses; impossible where a frame is left out."""
        found = [rebuild.status for rebuild in self.rebuilds]
        if self.left_out or "impossible" in found or not found:
            return "impossible"
        return "nearest" if "nearest" in found else "matched"

    def data(self) -> dict[str, Any]:
        """One rebuild's data with the ranking of the blanks; for several frames the data of each."""
        ranking = [candidate.data() for candidate in self.candidates]
        if len(self.rebuilds) == 1 and not self.left_out:
            return {**self.rebuilds[0].data(), "ranking": ranking}
        return {
            "status": self.status,
            "left_out": list(self.left_out),
            "rebuilds": [rebuild.data() for rebuild in self.rebuilds],
            "ranking": ranking,
        }
