"""Instruments: a reading corrected by the check in force at its date, and how sure it is.

A scale and a swing machine are taken to be off by a factor, a balance board by a distance. A check is a reading like any
other, of something known: either has the instrument's last digit and its scatter, and the check has the uncertainty of
what is known besides (JCGM 100, 4.3 and F.2.4.5). How well that is known is what its written digits say: "200.0 g" holds
within 0.05 g, "200 g" within half a gramme.
A check is one input, shared by every reading that it corrects: in a comparison of two frames it cancels.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from passport.physics.moments import Moments
from passport.physics.uncertainty import Estimate, Share, combined, from_half_width, from_resolution
from passport.physics.units import GMM2_PER_KGCM2
from passport.records.schema.quantities import Quantity
from passport.records.schema.workshop import Instrument, InstrumentCheck, InstrumentKind, Rod, Workshop

Values = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Usual:
    """What is taken of an instrument where the record is silent, in its own unit (common practice, no source).

    ``resolution`` of one that is not listed at all; ``repeatability`` as a standard deviation; ``unchecked`` the
    standard uncertainty of one never held against anything: a share of the reading, of a balance board a distance.
    """

    resolution: float
    repeatability: float
    unchecked: float


USUAL: Final[Mapping[InstrumentKind, Usual]] = {
    "scale": Usual(0.1, 0.05, 0.001),
    "balance board": Usual(1.0, 0.3, 0.5),
    "swing machine": Usual(1.0, 0.25, 0.01),
}

TWIST_REPEATABILITY: Final = 0.1
"""Standard deviation of repeated twistweights on a swing machine, kg·cm² (common practice, no source)."""


CRADLE: Final = "cradle for twistweight"
"""What the inputs of a cradle begin with."""

CRADLE_UNCHECKED: Final = 0.2
"""Standard uncertainty of what a cradle that was never checked adds to a twistweight, kg·cm² (common practice, no
source)."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What a check makes of a reading: ``amount`` is a factor, or for a balance board a distance to add, mm.

    ``name`` tells which check it was; its uncertainty is that of the check.
    """

    name: str
    amount: Estimate
    adds: bool = False

    def __call__(self, raw: float, amount: float) -> float:
        """The corrected reading."""
        return raw + amount if self.adds else raw * amount


@dataclass(frozen=True, slots=True)
class Cradle:
    """What the cradle of a swing machine adds, by its own check: it showed ``reads`` where ``known`` was right, within u.

    One that was never checked is taken to add nothing, within :data:`CRADLE_UNCHECKED`.
    """

    name: str
    known: float = 0.0
    reads: float = 0.0
    u: float = 0.0


@dataclass(frozen=True, slots=True)
class Shown:
    """One figure as an instrument showed it: the ``raw`` figure under its own name, and the correction to it.

    With a ``cradle``, only what is beyond its check is scaled by the machine's own correction.
    """

    name: str
    raw: Estimate
    correction: Correction
    cradle: Cradle | None = None

    @property
    def inputs(self) -> dict[str, Estimate]:
        """What the corrected figure hangs on, by name."""
        plain = {self.name: self.raw, self.correction.name: self.correction.amount}
        return plain | ({self.cradle.name: Estimate(0.0, self.cradle.u)} if self.cradle else {})

    def corrected(self, values: Values) -> float:
        """The corrected figure from the values of its inputs."""
        raw, cradle = values[self.name], self.cradle
        if cradle is None:
            return self.correction(raw, values[self.correction.name])
        beyond = self.correction(raw - cradle.reads, values[self.correction.name])
        return cradle.known + beyond + values[cradle.name]


class Instruments:
    """The instruments of a workshop."""

    def __init__(self, listed: Iterable[Instrument] = ()) -> None:
        """Of several of one kind the first is the one that readings were taken with."""
        self._first: dict[InstrumentKind, Instrument] = {}
        for instrument in listed:
            # The records do not say with which of two scales something was weighed, so the order in workshop.yaml
            # decides.
            self._first.setdefault(instrument.kind, instrument)

    @property
    def listed(self) -> tuple[Instrument, ...]:
        """Those that readings were taken with, one of a kind."""
        return tuple(self._first.values())

    @classmethod
    def of(cls, workshop: Workshop) -> "Instruments":
        """The instruments that a workshop lists."""
        return cls(workshop.instruments)

    def mass(self, value: float, day: date, name: str) -> Shown:
        """A weighing in g."""
        return self._shown("scale", value, day, name)

    def balance(self, value: float, day: date, name: str) -> Shown:
        """A balance in mm from the butt."""
        return self._shown("balance board", value, day, name)

    def swingweight(self, value: float, day: date, name: str) -> Shown:
        """A swingweight in kg·cm² off the machine."""
        return self._shown("swing machine", value, day, name)

    def twistweight(self, value: float, day: date, name: str, step: float) -> Shown:
        """A twistweight in kg·cm² off the same machine, which shows the smaller figure in finer steps: ``step``."""
        u = combined(from_resolution(step), TWIST_REPEATABILITY)
        return Shown(name, Estimate(value, u), self.correction("swing machine", value, day), self._cradle(value, day))

    def _cradle(self, value: float, day: date) -> Cradle:
        """The cradle by its check in force; what is known of a check is as sure as its digits, a look at it as any."""
        machine = self._first.get("swing machine")
        check = check_in_force(machine.checks, day, "swing machine", value, "twistweight") if machine else None
        if check is None:
            return Cradle(f"{CRADLE}, unchecked", u=CRADLE_UNCHECKED)
        true = known(check, "swing machine")
        look = combined(from_resolution(last_digit(check.reads)), TWIST_REPEATABILITY)
        name = f"{CRADLE}, check of {check.date.isoformat()} at {true.value:g}"
        return Cradle(name, true.value, check.reads.value, combined(true.u, look))

    def _shown(self, kind: InstrumentKind, value: float, day: date, name: str) -> Shown:
        return Shown(name, Estimate(value, self.reading_u(kind)), self.correction(kind, value, day))

    def reading_u(self, kind: InstrumentKind) -> float:
        """Standard uncertainty of one look at an instrument, of a frame or of a check: its last digit, its scatter."""
        instrument = self._first.get(kind)
        own = instrument.repeatability.value if instrument and instrument.repeatability else None
        return combined(from_resolution(self.resolution(kind)), USUAL[kind].repeatability if own is None else own)

    def resolution(self, kind: InstrumentKind) -> float:
        """The step that an instrument shows, in its own unit."""
        instrument = self._first.get(kind)
        return instrument.resolution.value if instrument else USUAL[kind].resolution

    def correction(self, kind: InstrumentKind, value: float, day: date) -> Correction:
        """The correction of a figure read on ``day`` by the check in force."""
        instrument, adds = self._first.get(kind), kind == "balance board"
        check = check_in_force(instrument.checks, day, kind, value) if instrument else None
        if check is None:
            return Correction(f"{kind}, unchecked", Estimate(0.0 if adds else 1.0, USUAL[kind].unchecked), adds)
        true, reads = known(check, kind), check.reads.value
        u = combined(true.u, self.reading_u(kind))
        name = f"{kind}, check of {check.date.isoformat()} at {true.value:g}"
        if adds:
            return Correction(name, Estimate(true.value - reads, u), adds)
        return Correction(name, Estimate(true.value / reads, u / reads), adds)


def check_in_force(
    checks: Iterable[InstrumentCheck],
    day: date,
    kind: InstrumentKind,
    value: float,
    of: Literal["swingweight", "twistweight"] = "swingweight",
) -> InstrumentCheck | None:
    """The check that holds for a figure read on ``day``: of the newest day until then, the one nearest to the figure.

    Those ``of`` a twistweight are a swing machine's cradle's own, and no others are.

    Where one thing was tried twice on that day (found off, then set right), the later line holds. None before the
    first check.
    """
    done = [check for check in checks if check.date <= day and check.of == of]
    newest = max((check.date for check in done), default=None)
    latest = {round(known(check, kind).value, 6): check for check in done if check.date == newest}
    return min(latest.values(), key=lambda check: abs(known(check, kind).value - value), default=None)


def known(check: InstrumentCheck, kind: InstrumentKind) -> Estimate:
    """What an instrument should have shown, with the uncertainty that the written digits leave."""
    if check.known:
        return Estimate(check.known.value, digits_u(check.known))
    assert check.rod, "the record's type asks for one or the other"
    return rod_across(check.rod) if check.of == "twistweight" else rod_figure(check.rod, kind)


def rod_across(rod: Rod) -> Estimate:
    """Moment of inertia of a rod about the line across its middle, kg·cm²: M·(L²/12 + d²/16), of a square one w²/12."""
    inputs = {"mass": rod.mass, "length": rod.length, "width": rod.width, "diameter": rod.diameter}
    given = {name: Estimate(q.value, digits_u(q)) for name, q in inputs.items() if q}

    def turned(values: Values) -> float:
        own = values["length"] ** 2 / 12 + values.get("width", 0.0) ** 2 / 12 + values.get("diameter", 0.0) ** 2 / 16
        return values["mass"] * own / GMM2_PER_KGCM2

    return through(turned, given)


def rod_figure(rod: Rod, kind: InstrumentKind) -> Estimate:
    """Mass (g), balance (mm) or swingweight (kg·cm²) of a rod, by what the instrument shows."""
    inputs = {"mass": rod.mass, "length": rod.length, "width": rod.width, "diameter": rod.diameter, "start": rod.start}
    given = {name: Estimate(q.value, digits_u(q)) for name, q in inputs.items() if q}

    def laid(values: Values) -> float:
        # a round bar's mass lies d/√8 off its axis, a square one's w/√6, both as a root mean square over the section
        radius = values.get("diameter", 0.0) / math.sqrt(8) or values.get("width", 0.0) / math.sqrt(6)
        start = values.get("start", 0.0)
        body = Moments.filled(values["mass"], start, start + values["length"], radius)
        return {"scale": body.mass, "balance board": body.balance}.get(kind) or body.swingweight()

    return through(laid, given)


def through(model: Callable[[Values], float], inputs: Mapping[str, Estimate]) -> Estimate:
    """The value of ``model`` with its standard uncertainty from independent inputs, and their shares (JCGM 100, 5.1.3)."""
    values = {name: e.value for name, e in inputs.items()}
    halves = [
        (n, (model({**values, n: e.value + e.u}) - model({**values, n: e.value - e.u})) / 2) for n, e in inputs.items()
    ]
    shares = tuple(Share(name, half, abs(half)) for name, half in halves if half)
    return Estimate(model(values), combined(*(half for _, half in halves)), shares)


def digits_u(quantity: Quantity) -> float:
    """Standard uncertainty of a quantity from the last digit that was written: half of it either way, rectangular."""
    return from_half_width(0.5 * last_digit(quantity))


def last_digit(quantity: Quantity) -> float:
    """What one step of the last digit that was written is worth, in the canonical unit."""
    number = quantity.text.partition(" ")[0].replace(",", ".")
    places = len(number.partition(".")[2]) if number.replace(".", "", 1).isdigit() else 0
    unit = quantity.value / quantity.amount if quantity.amount else 1.0
    return 10.0**-places * unit
