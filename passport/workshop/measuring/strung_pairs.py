"""What a workshop's frames gained when they were strung: bare and strung readings of one frame, as equations.

A frame that was weighed bare and later strung says what its strings weigh, less what was fitted in between. Each such
pair is an equation of the inputs that predictions are made of, the errors of its own readings included, so that
`passport.physics.conditioning` can learn from it: most of the frame itself, less of its model, least of all others.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from operator import itemgetter
from typing import Final, TypeVar

from passport.physics.conditioning import NAIVE, Constraint, Learned
from passport.physics.uncertainty import Estimate
from passport.records.load import Content, records_of
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Frame
from passport.workshop.facts.facts import QuantityName
from passport.workshop.facts.remembered import FrameMemory
from passport.workshop.measuring.assumed import USUAL, Assumptions
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.measured import Figure
from passport.workshop.measuring.states import Predictor, Takings, bring
from passport.workshop.measuring.takings import takings_of_frame

MOST_PAIRS: Final = 60
"""Pairs that are learned from: those of the same model first, then the newest. More would change nothing."""

APART: Final = timedelta(days=31)
"""The longest time between the two readings of a pair, within which a frame loses no paint (common practice, no source)."""

_BODY: Final[tuple[QuantityName, ...]] = ("mass", "balance", "swingweight")

P = TypeVar("P")


@dataclass(frozen=True, slots=True)
class Pair:
    """A frame bare and then strung: the figures of either reading. ``owner`` is the frame, ``model`` its model's name."""

    owner: str
    model: str
    bare: Takings
    strung: Takings

    def equations(self, predictor: Predictor) -> Iterator[Constraint]:
        """What the strung figures say against the predicted ones; raises `Missing` where a mass in between is unknown."""
        there = self.strung["mass"].state
        gain, _ = predictor.change(self.bare["mass"].state, there, self.owner)
        gained = difference(as_read(self.strung["mass"].figure), as_worked_out(gain.mass()))
        yield difference(gained, as_read(self.bare["mass"].figure))
        if all(q in self.bare for q in _BODY) and "swingweight" in self.strung:
            body = bring({q: self.bare[q] for q in _BODY}, there, predictor, self.owner).body
            swung = as_read(self.strung["swingweight"].figure, body.mass().value, body.balance().value)
            yield difference(swung, as_worked_out(body.swingweight()))


@dataclass(frozen=True, slots=True)
class PairOutline:
    """A pair without its figures: its frame, the frame's model, the day of the strung reading."""

    owner: str
    model: str
    day: date

    @classmethod
    def of(cls, pair: Pair) -> "PairOutline":
        """That of a pair."""
        return cls(pair.owner, pair.model, pair.strung["mass"].figure.day)

    def distance(self, model: str) -> tuple[bool, int, str]:
        """What pairs are sorted by when the strings of a model are asked for: its own first, then the newest."""
        return self.model != model, -self.day.toordinal(), self.owner


def nearest(pairs: Iterable[P], model: str, sports: Mapping[str, str], outline: Callable[[P], PairOutline]) -> list[P]:
    """The pairs that say something of a model's strings: its own first, then those of its sport, newest first.

    ``sports`` are the models', ``outline`` is that of one of the ``pairs``.
    """
    told = [(outline(pair), pair) for pair in pairs]
    near = [(one.distance(model), pair) for one, pair in told if sports.get(one.model) == sports[model]]
    return [pair for _, pair in sorted(near, key=itemgetter(0))[:MOST_PAIRS]]


def pair_outlines(content: Content) -> Iterator[PairOutline]:
    """The outlines of all pairs of the frames that were read."""
    assert content.workshop, "content without a workshop is refused before anything is worked out"
    shop, parts, strings = content.workshop.record, records_of(content.parts), records_of(content.strings)
    pairs = StrungPairs(content, parts, strings, Instruments.of(shop), Assumptions.of(shop))
    yield from map(PairOutline.of, pairs.found)


def as_read(figure: Figure, mass: float = 0.0, balance: float = 0.0) -> Constraint:
    """A figure as it was read, with what each of its inputs does to it."""
    return Constraint.of(lambda values: figure.read(values, mass, balance), figure.inputs)


def as_worked_out(estimate: Estimate) -> Constraint:
    """A figure that was worked out, likewise."""
    return Constraint(estimate.value, {share.name: share.sensitivity for share in estimate.shares})


def difference(one: Constraint, other: Constraint) -> Constraint:
    """Two ways to one figure as the equation that they are the same."""
    names = {**one.shifts, **other.shifts}
    shifts = {name: one.shifts.get(name, 0.0) - other.shifts.get(name, 0.0) for name in names}
    return Constraint(one.miss - other.miss, shifts)


_KNOWN: Final = FrameMemory[tuple[Pair, ...]]()
_TOLD: Final = dict[str, tuple[list[Pair], object, tuple[Learned, int]]]()
"""What was learned of a model the last time, from which pairs and by what."""
_MOST_MODELS: Final = 64


@dataclass(frozen=True)
class StrungPairs:
    """All pairs of a workshop, and what they tell of the strings of one model."""

    content: Content
    parts: Mapping[str, Part]
    strings: Mapping[str, StringType]
    instruments: Instruments
    assumed: Assumptions = USUAL

    @cached_property
    def found(self) -> tuple[Pair, ...]:
        """Each frame's pairs, oldest first."""
        known = _KNOWN.of(self.content, self._shared, lambda name, frame: tuple(self._pairs(name, frame)))
        return tuple(pair for pairs in known.values() for pair in pairs)

    @property
    def _shared(self) -> tuple[object, ...]:
        """All that pairs hang on beside their frames' records."""
        return records_of(self.content.models), dict(self.parts), self.instruments.listed

    def of(self, model: str) -> list[Pair]:
        """The pairs that say something of a model's strings: its own first, then those of its sport, newest first."""
        sports = {name: entry.record.sport for name, entry in self.content.models.items()}
        return nearest(self.found, model, sports, PairOutline.of)

    def learned(self, model: str) -> Learned:
        """What the pairs tell of a model's strings."""
        return self._told(model)[0]

    def frames(self, model: str) -> int:
        """How many frames say something of a model's strings, those with wrong readings left out."""
        return self._told(model)[1]

    def _told(self, model: str) -> tuple[Learned, int]:
        if model not in self._kept:
            pairs, shared = self.of(model), (*self._shared, dict(self.strings), self.assumed)
            before = _TOLD.get(model)
            if before is None or list(map(id, before[0])) != list(map(id, pairs)) or before[1] != shared:
                before = pairs, shared, self._learned_of(pairs)
            if len(_TOLD) > _MOST_MODELS:
                _TOLD.clear()
            _TOLD[model] = before
            self._kept[model] = before[2]
        return self._kept[model]

    def _learned_of(self, pairs: Iterable[Pair]) -> tuple[Learned, int]:
        said = [(pair.owner, s) for pair in pairs for s in self._equations(pair)]
        learned = Learned.of([s for _, s in said])
        kept = {id(s) for s in learned.seen}
        return learned, len({owner for owner, s in said if id(s) in kept})

    @cached_property
    def _kept(self) -> dict[str, tuple[Learned, int]]:
        return {}

    def _equations(self, pair: Pair) -> Iterable[Constraint]:
        model = self._model(pair.model)
        predictor = Predictor(model.shape(), self.parts, self.strings, pair.model, self.assumed, pattern=model.pattern)
        try:
            return tuple(pair.equations(predictor))
        except ValueError:  # something in between has no mass, or a frame was timed that cannot have swung
            return ()

    def predictor(self, name: str, model: FrameModel) -> Predictor:
        """What predicts parts and strings on a frame of a model, with what frames of it gained when they were strung.

        ``name`` is the model's in the catalogue, or empty where it has none: then nothing was learned of it.
        """
        learned = self.learned(name) if name else NAIVE
        return Predictor(model.shape(), self.parts, self.strings, name, self.assumed, learned, model.pattern)

    def _pairs(self, owner: str, frame: Frame) -> Iterator[Pair]:
        if frame.model not in self.content.models:
            return
        shape = self._model(frame.model).shape()
        bare: Takings = {}
        for taken in reversed([*takings_of_frame(frame, self.parts, shape, self.instruments, owner)]):
            if "mass" not in taken:
                continue
            if not taken["mass"].state.strung:
                bare = taken
            elif bare and taken["mass"].state.stringing:
                if _untouched(frame, bare, taken):
                    yield Pair(owner, frame.model, bare, taken)
                bare = {}

    def _model(self, name: str) -> FrameModel:
        return self.content.models[name].record


def _untouched(frame: Frame, bare: Takings, strung: Takings) -> bool:
    """Whether two readings are close in time, with nothing repaired between them that nobody weighed."""
    first, last = bare["mass"].figure.day, strung["mass"].figure.day
    repaired = any(job.repairs and first <= job.date <= last for job in frame.jobs)
    return last - first <= APART and not repaired
