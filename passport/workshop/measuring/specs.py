"""The four quantities of a frame against what its setup asks for: as measured, else as they can be worked out."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from passport.physics.geometry import RacquetShape
from passport.physics.uncertainty import Estimate
from passport.records.load import Content
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Frame
from passport.records.schema.workshop import Tolerances
from passport.records.timeline import Holding, Step
from passport.workshop.facts.facts import QuantityName, SpecFacts
from passport.workshop.measuring.assumed import USUAL, Assumptions
from passport.workshop.measuring.dimensions import against_points, points_on
from passport.workshop.measuring.instruments import Instruments
from passport.workshop.measuring.readings import latest
from passport.workshop.measuring.states import ASSUMED_MASS, Known, Predictor, State, bring
from passport.workshop.measuring.takings import taken_of_frame
from passport.workshop.measuring.verdict import judge, wanted

QUANTITIES: tuple[QuantityName, ...] = ("mass", "balance", "swingweight", "twistweight")


@dataclass(frozen=True)
class Judge:
    """What frames of one workshop are judged by."""

    content: Content
    tolerances: Tolerances
    instruments: Instruments
    parts: Mapping[str, Part]
    strings: Mapping[str, StringType]
    assumed: Assumptions = USUAL

    def specs(self, frame: Frame, model: FrameModel, done: tuple[Step, ...]) -> Iterator[SpecFacts]:
        """The four quantities in the finished state, strung and as it is in the hand, against the setup's targets."""
        shape = model.shape()
        measured = {quantity: latest(done, quantity, shape, self.instruments) for quantity in QUANTITIES}
        lacking = any(figure is None for figure, *_ in measured.values())
        known = self._worked_out(frame, model, done) if lacking else None
        for quantity, (figure, taken, read, points) in measured.items():
            target, own, shared = self._wanted(frame, quantity)
            tolerance = own or self.tolerance(quantity)
            judged = judge(against_points(figure, shared) if figure and shared else figure, target, tolerance)
            # What was measured is never shown beside a prediction of the same: the reading is what counts.
            forecast = _figure(known, quantity) if known and figure is None else None
            predicted = _predicted(known, quantity) if known and forecast else ()
            yield SpecFacts(
                quantity=quantity,
                value=figure.value if figure else None,
                taken=taken,
                target=target,
                tolerance=tolerance if target else None,
                verdict=judged.verdict,
                uncertainty=figure.u if figure else None,
                probability=judged.probability,
                forecast=forecast.value if forecast else None,
                forecast_u=forecast.u if forecast else None,
                forecast_of=predicted,
                forecast_assumed=any(name.endswith(ASSUMED_MASS) for name in predicted),
                decidable=judged.settled.decidable if judged.settled else True,
                decided=judged.settled,
                read=read,
                read_points=points,
                target_points=self._points(frame, shared) if shared else None,
                sources=(("value", "worked out"),) if read is not None and figure and figure.value != read else (),
            )

    def tolerance(self, quantity: QuantityName) -> float:
        """The workshop's tolerance of a quantity."""
        value: float = getattr(self.tolerances, quantity).value
        return value

    def _wanted(self, frame: Frame, quantity: QuantityName) -> tuple[float | None, float | None, RacquetShape | None]:
        """What a frame's setup asks for; where it does not say, what that of the frame which it replaced does.

        A target in points comes with the shape whose length it is counted from.
        """
        found = self._wanted_by(frame, quantity)
        if found[0] is None and frame.number:
            olds = self._replaced.get(frame.number, ())
            return next((old for record in olds if (old := self._wanted_by(record, quantity))[0] is not None), found)
        return found

    @cached_property
    def _replaced(self) -> Mapping[str, list[Frame]]:
        """The frames that others took over from, by the number of the successor: looked up once for all frames."""
        found: dict[str, list[Frame]] = {}
        for entry in self.content.frames.values():
            if entry.record.replaced_by:
                found.setdefault(entry.record.replaced_by, []).append(entry.record)
        return found

    def _points(self, frame: Frame, shape: RacquetShape) -> float | None:
        """The points, head light, that are asked for of a frame, where the length of that shape is assumed."""
        asked = [frame, *self._replaced.get(frame.number, ())] if frame.number else [frame]
        return next((points_on(f.setup.balance, shape) for f in asked if f.setup.balance), None)

    def _wanted_by(
        self, frame: Frame, quantity: QuantityName
    ) -> tuple[float | None, float | None, RacquetShape | None]:
        model = self.content.models.get(frame.model)
        if model is None:
            return None, None, None
        shape = model.record.shape()
        points = quantity == "balance" and frame.setup.balance and frame.setup.balance.mm_value is None
        return *wanted(frame.setup, quantity, shape.length), shape if points else None

    def _worked_out(self, frame: Frame, model: FrameModel, done: tuple[Step, ...]) -> Known | None:
        """The frame as it is played, from whatever was measured of it; None where that does not suffice."""
        held = done[-1].after if done else Holding(parts=frame.build)
        if held.stringing is None:
            return None
        taken = taken_of_frame(frame, self.parts, model.shape(), self.instruments, "this frame")
        predictor = Predictor(model.shape(), self.parts, self.strings, frame.model, self.assumed, pattern=model.pattern)
        try:
            return bring(taken, State(held.parts, True, held.stringing), predictor, "this frame")
        except ValueError:  # something lacks, or a frame was timed that cannot have swung
            return None


def _figure(known: Known, quantity: QuantityName) -> Estimate | None:
    body = known.body
    if quantity == "mass":
        return body.mass()
    if quantity == "balance":
        return body.balance()
    return body.swingweight() if quantity == "swingweight" else body.twistweight()


def _predicted(known: Known, quantity: QuantityName) -> tuple[str, ...]:
    """What of a figure was predicted, by name, with a minus before what was taken off."""
    origin = known.origins[quantity]
    return (*origin.added, *(f"−{name}" for name in origin.off))
