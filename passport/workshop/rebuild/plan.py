"""Plans as plain values: what to take off, what to fit where, what comes out; and the same as data for other programs.

Masses in g, lengths in mm from the butt, inertia in kg·cm², each figure with its standard uncertainty.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from passport.physics.body import Body
from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate
from passport.records.schema.catalogue import PartKind
from passport.workshop.facts.facts import FrameFacts, QuantityName, Verdict
from passport.workshop.rebuild.obstacle import Obstacle

Status = Literal["matched", "nearest", "impossible"]
Caution = Literal["lead", "silicone", "heat", "strings", "cracked", "limits"]
Action = Literal["take off", "add", "fit", "string"]

UNITS: dict[QuantityName, str] = {
    "mass": "mass_g",
    "balance": "balance_mm",
    "swingweight": "swingweight_kgcm2",
    "twistweight": "twistweight_kgcm2",
}
"""The quantities by their names in data."""


@dataclass(frozen=True, slots=True)
class Figures:
    """The four quantities of a frame, each with its standard uncertainty; no twistweight where it is not known."""

    mass: Estimate
    balance: Estimate
    swingweight: Estimate
    twistweight: Estimate | None

    @classmethod
    def of(cls, body: Body) -> "Figures":
        """What a body reads off as."""
        return cls(body.mass(), body.balance(), body.swingweight(), body.twistweight())

    def get(self, quantity: QuantityName) -> Estimate | None:
        """One of the four."""
        found: Estimate | None = getattr(self, quantity)
        return found

    def data(self) -> dict[str, float | None]:
        """Each figure under its name with its unit, and its standard uncertainty under ``u_`` and that name."""
        data: dict[str, float | None] = {}
        for quantity, key in UNITS.items():
            figure = self.get(quantity)
            data[key] = None if figure is None else round(figure.value, 4)
            data[f"u_{key}"] = None if figure is None else round(figure.u, 4)
        return data


@dataclass(frozen=True, slots=True)
class Aim:
    """What is wanted of one quantity: ``source`` says whether the setup asks for it, it was read off the frame, or it is
    what the frames of a set can have in common.

    ``predicted`` names what the frame did not have on when it was measured (with a minus: had on), so that the figure
    was worked out; empty for one that was measured as the frame is played.
    """

    quantity: QuantityName
    target: float
    tolerance: float
    u: float
    source: Literal["setup", "readings", "set"]
    predicted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Addition:
    """A material or part and where it goes: ``count`` equal pieces of ``length_mm`` (None: no strip), ``mass_g`` in all.

    ``clock`` is the hour on the hoop that a strip is centred at, with its mirror image where ``count`` is 2.
    """

    part: str
    name: str
    kind: PartKind
    material: str
    place: str
    from_mm: float
    to_mm: float
    clock: float | None
    count: int
    length_mm: float | None
    mass_g: float
    moments: Moments

    def data(self) -> dict[str, object]:
        """The piece as data; ``moments`` about the butt, so that another program can re-add it exactly."""
        m = self.moments
        return {
            "material": self.part,
            "name": self.name,
            "kind": self.kind,
            "place": self.place,
            "from_mm": round(self.from_mm, 2),
            "to_mm": round(self.to_mm, 2),
            "clock": None if self.clock is None else self.clock or 12.0,
            "count": self.count,
            "length_mm": None if self.length_mm is None else round(self.length_mm, 2),
            "mass_g": round(self.mass_g, 4),
            "moments": {
                "first_gmm": round(m.m1, 3),
                "second_gmm2": round(m.m2, 1),
                "polar_gmm2": None if m.polar is None else round(m.polar, 1),
            },
        }


@dataclass(frozen=True, slots=True)
class Removal:
    """A part that is taken off, or not put on, although the setup has it; ``instead`` a lighter one of its kind."""

    piece: Addition
    instead: Addition | None = None

    def data(self) -> dict[str, object]:
        """The removal as data."""
        return {**self.piece.data(), "instead": self.instead.data() if self.instead else None}


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is to be expected of one quantity: the prediction against its tolerance (guarded acceptance, JCGM 106)."""

    quantity: QuantityName
    verdict: Verdict
    probability: float


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step of the work and what the frame should measure after it; ``piece`` is None for the stringing."""

    action: Action
    piece: Addition | None
    after: Figures


@dataclass(frozen=True, slots=True)
class Plan:
    """One way to the target: ``additions`` from tip to butt, ``removals``, and the ``steps`` in the order of work.

    ``worst`` is the largest miss in tolerances; ``proven`` False where the search ended early.
    """

    additions: tuple[Addition, ...]
    removals: tuple[Removal, ...]
    steps: tuple[WorkStep, ...]
    predicted: Figures
    outlook: tuple[Outlook, ...]
    worst: float
    inside: bool
    proven: bool

    @property
    def places(self) -> int:
        """How many places something is added to."""
        return len({piece.place for piece in self.additions})

    @property
    def added_g(self) -> float:
        """Mass of all additions, g."""
        return sum(piece.mass_g for piece in self.additions)

    def data(self) -> dict[str, object]:
        """The plan as data."""
        return {
            "additions": [piece.data() for piece in self.additions],
            "removals": [removal.data() for removal in self.removals],
            "predicted": self.predicted.data(),
            "inside": self.inside,
            "places": self.places,
            "added_g": round(self.added_g, 4),
            "worst_miss_in_tolerances": round(self.worst, 4),
            "outlook": {
                o.quantity: {"verdict": o.verdict, "probability": round(o.probability, 4)} for o in self.outlook
            },
            "steps": [
                {"action": s.action, "part": s.piece.part if s.piece else None, "after": s.after.data()}
                for s in self.steps
            ],
        }


@dataclass(frozen=True, slots=True)
class Effect:
    """What one further gram at a place does to the finished frame; ``room_g`` is what the place still takes."""

    place: str
    clock: float | None
    from_mm: float
    to_mm: float
    balance_mm: float
    swingweight_kgcm2: float
    twistweight_kgcm2: float
    room_g: float


@dataclass(frozen=True, slots=True)
class TakeOff:
    """What taking a part off, or swapping it, would do: the changes, and whether a plan then reaches the target."""

    piece: Addition
    instead: Addition | None
    mass_g: float
    balance_mm: float
    swingweight_kgcm2: float
    helps: bool


@dataclass(frozen=True, slots=True)
class BlankFacts:
    """The frame that is built on: a blank in stock, or in a match a frame of its own."""

    name: str
    maker: str
    model: str
    model_key: str
    serial: str
    grip: str
    location: str


@dataclass(frozen=True, slots=True)
class Rebuild:
    """Everything that a bench sheet says of rebuilding one frame on one blank.

    ``measured`` is the blank as it was measured, in the state that ``state`` says (None for strings: bare);
    ``start`` the blank as the player will hold it, with the strings and the parts in ``fit`` but without tuning, and
    ``predicted`` what of that was worked out. ``fit``, ``off`` and ``stays`` are the parts that the setup asks for,
    those of the blank that make way, and those that are already right.
    """

    frame: FrameFacts
    blank: BlankFacts
    shape: RacquetShape
    made: date
    status: Status
    aims: tuple[Aim, ...]
    measured: Figures
    measured_on: date
    measured_strung: bool
    start: Figures
    predicted: tuple[str, ...]
    fit: tuple[Addition, ...]
    off: tuple[Addition, ...]
    stays: tuple[Addition, ...]
    plans: tuple[Plan, ...]
    obstacles: tuple[Obstacle, ...]
    effects: tuple[Effect, ...]
    take_offs: tuple[TakeOff, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]

    def aim(self, quantity: QuantityName) -> Aim | None:
        """What is wanted of one quantity, None where nothing is."""
        return next((aim for aim in self.aims if aim.quantity == quantity), None)

    def data(self) -> dict[str, Any]:
        """The whole as data: ``status``, ``target``, ``plans`` best first, and what they were worked out from."""
        return {
            "status": self.status,
            "frame": self.frame.name,
            "number": self.frame.number,
            "blank": self.blank.name,
            "target": target_data(self.aims),
            "measured": {"strung": self.measured_strung, **self.measured.data()},
            "start": {"predicted": list(self.predicted), **self.start.data()},
            "fit": [piece.data() for piece in self.fit],
            "off": [piece.data() for piece in self.off],
            "plans": [plan.data() for plan in self.plans],
            "why": [obstacle.text for obstacle in self.obstacles],
            "a_gram_more": [effect_data(effect) for effect in self.effects],
            "taking_off": [_take_off_data(take_off) for take_off in self.take_offs],
            "notes": list(self.notes),
        }


def target_data(aims: Iterable[Aim]) -> dict[str, float | None]:
    """Targets as data, each with its ``u_`` and its ``tolerance_``; null where nothing is wanted."""
    wanted = {aim.quantity: aim for aim in aims}
    data: dict[str, float | None] = {}
    for quantity, key in UNITS.items():
        aim = wanted.get(quantity)
        data[key] = None if aim is None else round(aim.target, 4)
        data[f"u_{key}"] = None if aim is None else round(aim.u, 4)
        data[f"tolerance_{key}"] = None if aim is None else round(aim.tolerance, 4)
    return data


def effect_data(effect: Effect) -> dict[str, object]:
    """An effect as data."""
    return {
        "place": effect.place,
        "balance_mm": round(effect.balance_mm, 4),
        "swingweight_kgcm2": round(effect.swingweight_kgcm2, 4),
        "twistweight_kgcm2": round(effect.twistweight_kgcm2, 4),
        "room_g": round(effect.room_g, 4),
    }


def _take_off_data(take_off: TakeOff) -> dict[str, object]:
    return {
        **take_off.piece.data(),
        "instead": take_off.instead.part if take_off.instead else None,
        "mass_change_g": round(take_off.mass_g, 4),
        "balance_change_mm": round(take_off.balance_mm, 4),
        "swingweight_change_kgcm2": round(take_off.swingweight_kgcm2, 4),
        "reaches_target": take_off.helps,
    }
