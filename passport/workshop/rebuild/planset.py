"""Plans for more than one frame: sets made equal, and blanks chosen for frames; and the same as data."""

from dataclasses import dataclass
from typing import Any, Literal

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
    member. ``proven`` where no other choice makes them equal with less mass; else it could be less by ``gap`` g at most.
    """

    status: Status
    to: str
    aims: tuple[Aim, ...]
    members: tuple[Rebuild, ...]
    spreads: tuple[Spread, ...]
    proven: bool = True
    gap: float = 0.0

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
            "proven": self.proven,
            "gap": round(self.gap, 4),
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

    ``miss`` is a bound on the worst miss in tolerances, 0 where it matches; ``why`` says what is in the way. ``chance``
    is the probability that the best plan brings all quantities inside together. ``estimated``: nobody swung the blank, so
    that is said of the others alone.
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
    chance: float = 0.0
    estimated: bool = False

    def data(self) -> dict[str, object]:
        """The candidate as data."""
        return {
            "frame": self.frame,
            "blank": self.blank,
            "matched": self.matched,
            "joint_probability": round(self.chance, 4) if self.matched else None,
            "worst_miss_in_tolerances": None if self.matched else round(self.miss, 3),
            "removals": self.removals,
            "places": self.places,
            "added_g": round(self.added_g, 4),
            "swingweight_estimated": self.estimated,
            "why": self.why,
        }


@dataclass(frozen=True, slots=True)
class Unjudged:
    """What could not be judged: ``what`` lacks and what to ``do``.

    A ``blank`` for a ``frame``; a frame without a target for any blank (``blank`` empty); a blank that is for none of
    the frames (``frame`` empty).
    """

    frame: str
    blank: str
    what: str
    do: str

    def data(self) -> dict[str, object]:
        """The same as data."""
        return {"frame": self.frame or None, "blank": self.blank or None, "what": self.what, "do": self.do}


@dataclass(frozen=True, slots=True)
class Choice:
    """The best blank for each frame: ``rebuilds`` in the order of the frames, and all ``candidates``, best first.

    ``left_out`` names frames for which no blank remained; ``unjudged`` what lacks a figure.
    """

    rebuilds: tuple[Rebuild, ...]
    candidates: tuple[Candidate, ...]
    left_out: tuple[str, ...] = ()
    unjudged: tuple[Unjudged, ...] = ()

    @property
    def status(self) -> Status | Literal["open"]:
        """The worst of the rebuilds' statuses; impossible where a frame is left out, open where one has no target."""
        found = [rebuild.status for rebuild in self.rebuilds]
        if self.left_out or "impossible" in found or not found:
            return "impossible"
        if any(not one.blank for one in self.unjudged):
            return "open"
        return "nearest" if "nearest" in found else "matched"

    def data(self) -> dict[str, Any]:
        """One rebuild's data with the ranking of the blanks; for several frames the data of each."""
        ranking = [candidate.data() for candidate in self.candidates]
        unjudged = [one.data() for one in self.unjudged]
        if len(self.rebuilds) == 1 and not self.left_out and self.status != "open":
            return {**self.rebuilds[0].data(), "ranking": ranking, "not_judged": unjudged}
        return {
            "status": self.status,
            "left_out": list(self.left_out),
            "not_judged": unjudged,
            "rebuilds": [rebuild.data() for rebuild in self.rebuilds],
            "ranking": ranking,
        }
