"""What plans are made from: the records of one workshop, and the frame or blank that a plan works on."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from itertools import islice
from typing import Final

import numpy as np
from numpy.typing import NDArray

from passport.physics.uncertainty import Estimate
from passport.records.load import Content
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Fitted
from passport.records.timeline import Holding, now
from passport.workshop.facts.facts import QuantityName
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.measuring.assumed import Assumptions
from passport.workshop.measuring.finish import TUNING
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.states import Known, Predictor, State, Taken, bring
from passport.workshop.measuring.strung_pairs import StrungPairs
from passport.workshop.measuring.takings import taken_of_blank, taken_of_frame
from passport.workshop.rebuild.lacking.gyration import Gyration, believed, told_by
from passport.workshop.rebuild.lacking.unsaid import ask_state
from passport.workshop.rebuild.lacking.wishes import FREE, Wishes
from passport.workshop.rebuild.plan import BlankFacts
from passport.workshop.rebuild.stock import CUT_MM, Site, allowed, clashes, sites
from passport.workshop.stockroom.supply import StockSupply
from passport.workshop.stockroom.use import UseBook
from passport.workshop.strings.string_priors import StringPriors


@dataclass(frozen=True, slots=True)
class Subject:
    """A frame or a blank that a plan works on: what is on it now, and the newest figure of each quantity.

    ``estimate`` is what its swingweight was estimated from, None where it was measured.
    """

    facts: BlankFacts
    model: FrameModel
    on: Holding
    taken: Mapping[QuantityName, Taken]
    estimate: Gyration | None = None

    @property
    def name(self) -> str:
        """Its name in the records."""
        return self.facts.name


TOLD_BY: Final = 40
"""So many frames of a model tell how it swings: more would hardly tell more, and each takes some milliseconds."""


@dataclass(frozen=True)
class Workbench:
    """The records that plans are made from, seen from ``today``; tape is cut in steps of ``cut`` mm.

    ``wishes`` limit every plan, beside those of the player; ``unsure`` are standard uncertainties of targets by frame and
    quantity, where another workshop measured what is wanted. Where ``content`` holds a part of the players only,
    ``priors`` and ``book`` are what all beds told and what all jobs took, and ``whole`` reads the others.
    """

    content: Content
    today: date
    cut: float = CUT_MM
    wishes: Wishes = FREE
    unsure: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    priors: StringPriors | None = None
    book: UseBook | None = None
    whole: Callable[[], Content] | None = None

    def wishes_for(self, frame: str) -> Wishes:
        """What limits plans for a frame, ``player/frame``: also what its player does not want."""
        player = self.content.players[frame.partition("/")[0]].record
        return replace(self.wishes, bare_hoop=True) if player.hoop == "bare" else self.wishes

    @cached_property
    def gatherer(self) -> Gatherer:
        """Facts of frames, private ones included: a bench sheet does not leave the bench."""
        return Gatherer(self.content, self.priors)

    @property
    def parts(self) -> Mapping[str, Part]:
        """The catalogue's parts."""
        return self.gatherer.parts

    @property
    def strings(self) -> Mapping[str, StringType]:
        """The catalogue's strings."""
        return self.gatherer.strings

    @cached_property
    def supply(self) -> StockSupply:
        """What the book of the stock says, where the workshop keeps one."""
        return StockSupply(self.content, self.book)

    @cached_property
    def instruments(self) -> Instruments:
        """The workshop's instruments."""
        return Instruments.of(self.gatherer.workshop)

    def model(self, name: str) -> FrameModel:
        """A frame model of the catalogue."""
        return self.content.models[name].record

    def predictor(self, model: FrameModel) -> Predictor:
        """What predicts the parts and strings on a frame of a model."""
        return self.pairs.predictor(self._names.get(id(model), ""), model)

    @cached_property
    def _names(self) -> Mapping[int, str]:
        """The catalogue's models by their identity: a record does not know its own name."""
        return {id(entry.record): name for name, entry in self.content.models.items()}

    @cached_property
    def assumed(self) -> Assumptions:
        """What the workshop takes where nothing was measured."""
        return Assumptions.of(self.gatherer.workshop)

    @cached_property
    def pairs(self) -> StrungPairs:
        """What its frames gained when they were strung."""
        return StrungPairs(self.content, self.parts, self.strings, self.instruments, self.assumed)

    def holding(self, frame: str) -> Holding:
        """What is on a frame, ``player/frame``, now."""
        return now(self.content.frames[frame].record, self.parts)

    def blank(self, name: str) -> Subject:
        """A blank in stock; raises `Missing` where nobody wrote down in which state it was measured."""
        subject = self._stocked(name)
        ask_state(self.content.blanks[name].record, name, subject.taken)
        return subject

    def _stocked(self, name: str) -> Subject:
        blank = self.content.blanks[name].record
        model = self.model(blank.model)
        taken = taken_of_blank(blank, self.parts, model.shape(), self.instruments, name, self.today)
        facts = BlankFacts(name, model.maker, model.name, blank.model, blank.serial, blank.grip, blank.location)
        return Subject(facts, model, Holding(parts=blank.build), taken)

    def frame(self, name: str) -> Subject:
        """A player's frame as something to work on."""
        frame = self.content.frames[name].record
        model = self.model(frame.model)
        taken = taken_of_frame(frame, self.parts, model.shape(), self.instruments, name)
        facts = BlankFacts(name, model.maker, model.name, frame.model, frame.serial, frame.grip, "")
        return Subject(facts, model, self.holding(name), taken)

    def filled(self, subject: Subject) -> Subject:
        """A subject with its swingweight estimated where only its mass and balance are known."""
        taken = subject.taken
        if "swingweight" in taken or not ("mass" in taken and "balance" in taken):
            return subject
        estimate = self.believed(subject.facts.model_key)
        swing = estimate.taken(subject.name, subject.model.shape().length, taken["mass"].figure.day)
        return replace(subject, taken={**taken, "swingweight": swing}, estimate=estimate)

    def believed(self, model: str) -> Gyration:
        """How frames of a model are believed to swing, from those of them that were swung at this workshop."""
        if self._everything:
            return self._everything.believed(model)
        if model not in self._believed:
            record = self.model(model)
            frames = [self.frame(name) for name, e in self.content.frames.items() if e.record.model == model]
            blanks = [self._stocked(name) for name, e in self.content.blanks.items() if e.record.model == model]
            told = (self._told(subject) for subject in (*frames, *blanks) if "swingweight" in subject.taken)
            self._believed[model] = believed(record.name, record.sport, islice(filter(None, told), TOLD_BY))
        return self._believed[model]

    @cached_property
    def _everything(self) -> "Workbench | None":
        """The same with all records, where only a part of them is at hand: read when somebody has to know."""
        return replace(self, content=self.whole(), priors=None, book=None, whole=None) if self.whole else None

    def _told(self, subject: Subject) -> Estimate | None:
        """How a subject swings bare; None where that does not follow from its record."""
        try:
            return told_by(self.known(subject, State()).body, subject.model.shape().length)
        except ValueError:  # something lacks, or a frame was timed that cannot have swung
            return None

    @cached_property
    def _believed(self) -> dict[str, Gyration]:
        return {}

    def known(self, subject: Subject, state: State) -> Known:
        """A subject in some state; raises `Missing`."""
        return bring(subject.taken, state, self.predictor(subject.model), subject.name)

    def as_measured(self, subject: Subject) -> tuple[Known, State]:
        """A subject in the state in which it was last weighed, and that state; raises `Missing`."""
        state = subject.taken["mass"].state if "mass" in subject.taken else State()
        return self.known(subject, state), state

    def tuning_on(self, subject: Subject) -> tuple[Fitted, ...]:
        """The tape, silicone and putty that are on a subject already."""
        return tuple(f for f in subject.on.parts if self.parts[f.part].kind in TUNING)

    def sites(self, subject: Subject, wishes: Wishes = FREE) -> tuple[Site, ...]:
        """What may be fitted where on a subject; worked out once for all of one model with the same tuning on."""
        on = self.tuning_on(subject)
        # The tuning is part of it: what is fitted takes room, so two frames of one model may allow different things.
        key = (subject.facts.model_key, tuple(on), repr(wishes))
        if key not in self._sites:
            # Whole strips are a step of their own.
            cut = wishes.strip or self.cut
            found = sites(subject.model, self.supply.parts, on, cut, self.assumed)
            self._sites[key] = tuple(allowed(found, wishes.allows, wishes.takes))
        return self._sites[key]

    def clashes(self, found: tuple[Site, ...]) -> Mapping[tuple[int, int], NDArray[np.bool_]]:
        """Which of their options would lie on each other."""
        # By identity, since hashing thousands of options would take longer than the table.
        if id(found) not in self._clashes:
            self._clashes[id(found)] = (found, clashes(found))
        return self._clashes[id(found)][1]

    @cached_property
    def _sites(self) -> dict[tuple[str, tuple[Fitted, ...], str], tuple[Site, ...]]:
        return {}

    @cached_property
    def _clashes(self) -> dict[int, tuple[tuple[Site, ...], Mapping[tuple[int, int], NDArray[np.bool_]]]]:
        """By the identity of the places, which are kept with them so that it stays theirs."""
        return {}
