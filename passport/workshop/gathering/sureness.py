"""How sure a bench is: its instruments, what they were held against, what an uncertain one costs, what to check next.

From the records alone. A verdict counts as undecided because of an instrument where it would be decided if that
instrument's check left no doubt at all.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final, Literal

from passport.physics.uncertainty import Estimate, combined, conformity, from_resolution
from passport.records.checks.instruments import due_after
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.schema.frame import Frame
from passport.records.schema.workshop import Instrument, InstrumentCheck
from passport.records.timeline import steps
from passport.workshop.facts.facts import QuantityName
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.measuring.causes import INSTRUMENT_OF, instruments_in
from passport.workshop.measuring.instruments import CRADLE, CRADLE_UNCHECKED, USUAL, Instruments, digits_u, known
from passport.workshop.measuring.readings import latest

Unit = Literal["%", "mm", "kg·cm²"]

_ADDS: Final = ("balance board", CRADLE)
"""What is off by a distance, not by a factor."""


@dataclass(frozen=True, slots=True)
class CheckResult:
    """One check: its day, what was known and what was read, as written, and the correction with its u in ``unit``."""

    day: date
    known: str
    reads: str
    against: str
    correction: float
    u: float


@dataclass(frozen=True, slots=True)
class Undecided:
    """A verdict that is undecided because of an instrument: whose, of what, and the check's part of its variance."""

    frame: str
    quantity: QuantityName
    share: float


@dataclass(frozen=True, slots=True)
class Tool:
    """An instrument (or a swing machine's cradle): its checks, when the next is due, and what its doubt costs.

    ``unchecked`` is the standard uncertainty that is taken while it was never held against anything, None where nothing is
    worked out from its readings. ``frames`` counts the figures in use that hang on it.
    """

    kind: str
    name: str
    unit: Unit
    looks: tuple[CheckResult, ...]
    due: date | None
    unchecked: float | None
    frames: int = 0
    undecided: tuple[Undecided, ...] = ()

    @property
    def last(self) -> CheckResult | None:
        """The newest check; of one day the later line."""
        return self.looks[-1] if self.looks else None


@dataclass(frozen=True, slots=True)
class Close:
    """A verdict that is too close to call, and what would settle it, as a sentence."""

    frame: str
    quantity: QuantityName
    settled: str


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a figure in use stands: how far ``off`` its target and its standard uncertainty, in tolerances."""

    quantity: QuantityName
    off: float
    u: float
    decided: bool


@dataclass(frozen=True, slots=True)
class JudgedFigure:
    """A figure with a target of a frame in play, ``player/frame``, and how the frame is ``called``; where it stands.

    ``open`` is one whose verdict is undecided, and ``settled`` what would settle it, as a sentence. ``doubts`` are, for
    each instrument that it hangs on, its part of the variance, and whether the verdict is undecided for it.
    """

    frame: str
    called: str
    quantity: QuantityName
    stand: Stand | None
    open: bool
    settled: str
    doubts: Mapping[str, tuple[float, bool]]


@dataclass(frozen=True, slots=True)
class Sureness:
    """All instruments on ``day``, the one to check ``first`` with why, where each figure stands, and which are open."""

    day: date
    tools: tuple[Tool, ...]
    first: Tool | None
    why: str
    stands: tuple[Stand, ...]
    close: tuple[Close, ...]

    @property
    def verdicts(self) -> int:
        """How many verdicts there are."""
        return len(self.stands)


def sureness(content: Content, today: date, known: Sequence[JudgedFigure] | None = None) -> Sureness:
    """How sure the bench of a workshop is, seen from ``today``.

    ``known`` are the figures of all frames, where ``content`` holds a part of its players only.
    """
    figures = [*judged(content)] if known is None else known
    listed = content.workshop.record.instruments if content.workshop else ()
    tools = {tool.kind: tool for tool in reversed([*_tools(listed)])}  # of one kind the first is read with
    for kind in (*USUAL, CRADLE):
        if kind not in tools and any(kind in one.doubts for one in figures):
            usual = CRADLE_UNCHECKED if kind == CRADLE else USUAL[kind].unchecked  # type: ignore[index]
            tools[kind] = Tool(kind, worded("not listed"), _unit(kind), (), None, usual)
    found = tuple(_with_costs(tool, figures) for tool in sorted(tools.values(), key=lambda t: _order(t.kind)))
    first = min(found, key=lambda tool: _urgency(tool, today), default=None)
    close = tuple(Close(one.called, one.quantity, one.settled) for one in figures if one.open)
    stands = tuple(one.stand for one in figures if one.stand)
    return Sureness(today, found, first, _why(first, today) if first else "", stands, close)


def _tools(listed: Iterable[Instrument]) -> Iterator[Tool]:
    for instrument in listed:
        kind = instrument.kind
        plain = tuple(c for c in instrument.checks if c.of != "twistweight")
        usual = USUAL[kind].unchecked if kind in USUAL else None
        yield Tool(kind, instrument.name, _unit(kind), _looks(instrument, plain, kind), _due(instrument, plain), usual)
        if kind == "swing machine":
            own = tuple(c for c in instrument.checks if c.of == "twistweight")
            yield Tool(
                CRADLE, worded("on {instrument}", instrument=instrument.name), "kg·cm²", _looks(instrument, own, CRADLE), _due(instrument, own), CRADLE_UNCHECKED
            )  # fmt: skip


def _unit(kind: str) -> Unit:
    return "mm" if kind == "balance board" else "kg·cm²" if kind == CRADLE else "%"


def _looks(instrument: Instrument, checks: Iterable[InstrumentCheck], kind: str) -> tuple[CheckResult, ...]:
    scale = Instruments([instrument])
    found: list[CheckResult] = []
    for check in checks:
        if check.known:
            true, text = Estimate(check.known.value, digits_u(check.known)), check.known.text
        else:
            true = known(check, instrument.kind)
            text = f"{true.value:.1f} {check.reads.unit}"
        own = instrument.repeatability.value if instrument.repeatability else 0.0
        look = combined(from_resolution(instrument.resolution.value), own)
        if kind == CRADLE:
            look = combined(from_resolution(0.1), 0.1)
        elif instrument.kind in USUAL:
            look = scale.reading_u(instrument.kind)
        off, u = true.value - check.reads.value, combined(true.u, look)
        by = 1.0 if kind in _ADDS else 100 / check.reads.value
        found.append(CheckResult(check.date, text, check.reads.text, check.against, off * by, u * by))
    return tuple(sorted(found, key=lambda one: one.day))


def _due(instrument: Instrument, checks: Iterable[InstrumentCheck]) -> date | None:
    days = [check.date for check in checks]
    return max(days) + timedelta(days=due_after(instrument)) if days else None


def judged(content: Content) -> Iterator[JudgedFigure]:
    """Every figure of a frame in play that has a target: whether it is decided, and what it hangs on."""
    gatherer = Gatherer(content)
    for entry in content.frames.values():
        frame = entry.record
        if frame.status != "active" or frame.model not in content.models:
            continue
        for spec in gatherer.specs(entry.name):
            if spec.value is None or spec.target is None or spec.tolerance is None:
                continue
            figure = _figure(content, gatherer, frame, spec.quantity)
            if figure is None:
                continue
            low, high = spec.target - spec.tolerance, spec.target + spec.tolerance
            decided = spec.verdict != "undecided"
            doubts = {
                tool: (share, not decided and _decides(figure, share, low, high))
                for tool, share in instruments_in(figure.shares)
            }
            called, stand = f"{frame.number or entry.name} {frame.label}", None
            if spec.uncertainty is not None:
                off, u = (spec.value - spec.target) / spec.tolerance, spec.uncertainty / spec.tolerance
                stand = Stand(spec.quantity, off, u, decided)
            yield JudgedFigure(entry.name, called, spec.quantity, stand, not decided, spec.settled, doubts)


def _figure(content: Content, gatherer: Gatherer, frame: Frame, quantity: QuantityName) -> Estimate | None:
    shape = content.models[frame.model].record.shape()
    instruments = Instruments.of(gatherer.workshop)
    return latest(steps(frame, gatherer.parts), quantity, shape, instruments)[0]


def _decides(figure: Estimate, share: float, low: float, high: float) -> bool:
    return conformity(figure.value, figure.u * max(0.0, 1 - share) ** 0.5, low, high).verdict != "undecided"


def _with_costs(tool: Tool, figures: Iterable[JudgedFigure]) -> Tool:
    mine = [(one.called, one.quantity, one.doubts[tool.kind]) for one in figures if tool.kind in one.doubts]
    costs = tuple(Undecided(name, quantity, share) for name, quantity, (share, because) in mine if because)
    return replace(tool, frames=len(mine), undecided=costs)


def _order(kind: str) -> int:
    order = [*dict.fromkeys(INSTRUMENT_OF.values()), CRADLE]
    return order.index(kind) if kind in order else len(order)


def _urgency(tool: Tool, today: date) -> tuple[bool, int, int, str]:
    """Never checked and in use first, then what makes most verdicts undecided, then what is due first."""
    left = (tool.due - today).days if tool.due else 0
    return (
        not (tool.frames and not tool.looks),
        -len(tool.undecided) if left < 0 or not tool.looks else 0,
        left,
        tool.kind,
    )


def _why(tool: Tool, today: date) -> str:
    if not tool.looks:
        return worded("{frames} figures in use hang on it, and it was never held against anything", frames=tool.frames)
    left = (tool.due - today).days if tool.due else 0
    if left < 0:
        return worded("its check has been overdue for {days} days, which is sooner than any other", days=-left)
    return worded("its next check is due in {days} days, which is sooner than any other", days=left)
