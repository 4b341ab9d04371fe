"""Plans as plain values: what to take off, what to fit where, what comes out; and the same as data for other programs.

Masses in g, lengths in mm from the butt, inertia in kg·cm², each figure with its standard uncertainty.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal

from passport.physics.body import Body
from passport.physics.geometry import RacquetShape
from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate, Share
from passport.records.language.worded import worded
from passport.records.schema.catalogue import PartKind
from passport.workshop.facts.facts import FrameFacts, QuantityName, Verdict
from passport.workshop.measuring.causes import CauseShare
from passport.workshop.rebuild.lacking.guess import Guess
from passport.workshop.rebuild.lacking.othermodel import OtherModel
from passport.workshop.rebuild.obstacle import Obstacle
from passport.workshop.solver.rank import EXTRA_G

Status = Literal["matched", "nearest", "impossible"]
Caution = Literal["lead", "silicone", "heat", "solvent", "tacks", "strings", "dismount", "cracked", "limits"]
Action = Literal["take off", "add", "fit", "string"]
AimSource = Literal["setup", "readings", "set", "estimate"]

UNITS: dict[QuantityName, str] = {
    "mass": "mass_g",
    "balance": "balance_mm",
    "swingweight": "swingweight_kgcm2",
    "twistweight": "twistweight_kgcm2",
}
"""The quantities by their names in data."""

ORDER: Final = ("taken_off", "places", "joint_probability", "mass")
"""What plans are ranked by, the most important first."""

RANKED: Final = (
    "As little as possible comes off; then the fewest places count; then the chance that all quantities are inside "
    f"together, over all plans with as many places that weigh at most {EXTRA_G:g} g more than the lightest of them; then "
    "the least mass."
)
"""The same for a person."""


def percent(chance: float) -> str:
    """A chance in whole per cents; neither certain nor impossible unless it is."""
    if 0.995 <= chance < 1:
        return worded("over 99 %")
    return f"{100 * chance:.0f} %" if chance >= 0.005 or chance == 0 else worded("under 1 %")


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
    """What is wanted of one quantity: ``source`` says whether the setup asks for it, it was read off the frame, it is
    what the frames of a set can have in common, or it is estimated, so that nothing is judged by it.

    ``predicted`` names what the frame did not have on when it was measured (with a minus: had on), so that the figure
    was worked out; empty for one that was measured as the frame is played. ``shares`` are what a target that was read
    hangs on.
    """

    quantity: QuantityName
    target: float
    tolerance: float
    u: float
    source: AimSource
    predicted: tuple[str, ...] = ()
    shares: tuple[Share, ...] = ()


@dataclass(frozen=True, slots=True)
class Addition:
    """A material or part and where it goes: ``count`` equal pieces of ``length_mm`` (None: no strip), ``mass_g`` in all.

    ``clock`` is the hour on the hoop that a strip is centred at, with its mirror image where ``count`` is 2. ``note`` is
    what the setup says of a part; its mass is ``assumed`` where it is only what its kind usually weighs, and ``weighed``
    where the record of this very piece names it.
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
    note: str = ""
    assumed: bool = False
    weighed: bool = False

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
            **({"note": self.note} if self.note else {}),
            **({"mass_assumed": True} if self.assumed else {}),
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
    """What is to be expected of one quantity: the prediction against its tolerance (guarded acceptance, JCGM 106).

    ``made_up`` is how the uncertainty behind its probability is made up. Not ``decidable`` is one whose tolerance is
    narrower than the uncertainty; ``settled`` says what would settle one that is undecided.
    """

    quantity: QuantityName
    verdict: Verdict
    probability: float
    decidable: bool = True
    settled: str = ""
    made_up: tuple[CauseShare, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkStep:
    """One step of the work and what the frame should measure after it; ``piece`` is None for the stringing."""

    action: Action
    piece: Addition | None
    after: Figures


@dataclass(frozen=True, slots=True)
class Plan:
    """One way to the target: ``additions`` from tip to butt, ``removals``, and the ``steps`` in the order of work.

    ``chance`` is the probability that all quantities are inside together, by the ``covariance`` of what they are off, in
    the order of ``outlook``. ``worst`` is the largest miss in tolerances. ``proven`` is False where the search ended
    early, and what it sought could then be lower by ``gap`` at most. ``compared`` plans with as many places were ranked,
    ``complete`` where those are all that weigh little more than the lightest of them.
    """

    additions: tuple[Addition, ...]
    removals: tuple[Removal, ...]
    steps: tuple[WorkStep, ...]
    predicted: Figures
    outlook: tuple[Outlook, ...]
    worst: float
    inside: bool
    proven: bool
    chance: float = 1.0
    covariance: tuple[tuple[float, ...], ...] = ()
    gap: float = 0.0
    compared: int = 1
    complete: bool = True

    @property
    def places(self) -> int:
        """How many places something is added to."""
        return len({piece.place for piece in self.additions})

    @property
    def added_g(self) -> float:
        """Mass of all additions, g."""
        return sum(piece.mass_g for piece in self.additions)

    @property
    def chosen_from(self) -> str:
        """What the plan was chosen from, for a person."""
        if not self.complete:
            return worded(
                "The surest of {compared} plans compared, not of all with as few places.", compared=self.compared
            )
        if self.compared == 1:
            return worded("The only plan with as few places within {extra:g} g of the lightest.", extra=EXTRA_G)
        return worded(
            "The surest of all {compared} plans with as few places within {extra:g} g of the lightest.",
            compared=self.compared,
            extra=EXTRA_G,
        )

    def data(self) -> dict[str, object]:
        """The plan as data."""
        return {
            "joint_probability": round(self.chance, 4),
            "proven": self.proven,
            "gap": round(self.gap, 4),
            "compared": self.compared,
            "compared_all": self.complete,
            "additions": [piece.data() for piece in self.additions],
            "removals": [removal.data() for removal in self.removals],
            "predicted": self.predicted.data(),
            "inside": self.inside,
            "places": self.places,
            "added_g": round(self.added_g, 4),
            "worst_miss_in_tolerances": round(self.worst, 4),
            "outlook": {
                o.quantity: {
                    "verdict": o.verdict,
                    "probability": round(o.probability, 4),
                    "decidable": o.decidable,
                    "settled_by": o.settled,
                    "made_up": {part.cause: round(part.share, 4) for part in o.made_up},
                }
                for o in self.outlook
            },
            "covariance": {
                "of": [UNITS[o.quantity] for o in self.outlook],
                "matrix": [[float(f"{value:.6g}") for value in row] for row in self.covariance],
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
class Remedy:
    """``what`` to do, and the chance that all is inside ``before`` and ``after`` it.

    ``after`` is at most that (``at_most``) where the measurement's own uncertainty is not known beforehand.
    """

    what: str
    before: float
    after: float
    at_most: bool = False

    @property
    def text(self) -> str:
        """The remedy as a sentence."""
        said = {"what": self.what, "before": percent(self.before), "after": percent(self.after)}
        if self.at_most:
            return worded("Cheapest to make it surer: {what}, {before} → at most {after}.", **said)
        return worded("Cheapest to make it surer: {what}, {before} → {after}.", **said)

    def data(self) -> dict[str, object]:
        """The remedy as data."""
        return {
            "what": self.what,
            "joint_probability": round(self.before, 4),
            "joint_probability_then": round(self.after, 4),
            "at_most": self.at_most,
        }


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
    those of the blank that make way, and those that are already right. ``remedy`` is the cheapest measurement that would
    make the best plan surer, None where none would. ``guess`` is what is believed of a swingweight that nobody took,
    ``other`` what comes along where the blank is another model. So many steps of the work were ``begun`` before; the
    ``trial`` with putty is still ahead, its putty is on, or it is over.
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
    remedy: Remedy | None = None
    guess: Guess | None = None
    other: OtherModel | None = None
    begun: int = 0
    trial: Literal["ahead", "on", "over"] = "ahead"

    @property
    def recipe(self) -> FrameFacts:
        """The frame as it is to be strung: on another model with the pulls, the pattern and the limits there."""
        return self.other.recipe(self.frame) if self.other else self.frame

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
            "shape": _shape_data(self.shape),
            "target": target_data(self.aims),
            "measured": {"strung": self.measured_strung, **self.measured.data()},
            "start": {"predicted": list(self.predicted), **self.start.data()},
            "fit": [piece.data() for piece in self.fit],
            "off": [piece.data() for piece in self.off],
            "ranked_by": {"order": list(ORDER), "extra_mass_g": EXTRA_G, "text": RANKED},
            "surer_by": self.remedy.data() if self.remedy else None,
            "estimated": self.guess.data() if self.guess else None,
            "other_model": self.other.data() if self.other else None,
            "plans": [plan.data() for plan in self.plans],
            "why": [obstacle.text for obstacle in self.obstacles],
            "a_gram_more": [effect_data(effect) for effect in self.effects],
            "taking_off": [_take_off_data(take_off) for take_off in self.take_offs],
            "notes": list(self.notes),
        }


def _shape_data(shape: RacquetShape) -> dict[str, object]:
    """The dimensions that places on the hoop follow from, so that another program can lay the pieces itself."""
    return {
        "length_mm": shape.length,
        "head_length_mm": shape.head_length,
        "head_width_mm": shape.head_width,
        "rim_mm": shape.rim,
        "throat": shape.throat,
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
