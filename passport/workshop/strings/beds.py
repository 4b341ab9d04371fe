"""The string beds of every frame, from their readings: how each loses tension, and what tension it holds.

A bed lives from the job that strung it to the job that cut it out. Its readings may be in Hz, in the lb, kg or N of
a reader's own scale, or of the bed's stiffness, and of any age: each becomes something proportional to tension on a scale of its own, and the
fit of one bed shares the rate of loss between its scales (see `passport.physics.ageing`).
"""

import math
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Final

from passport.physics import ageing
from passport.physics.ageing import AgedReading, Ageing, Rate
from passport.physics.bedfit import Noise, fit, own_rate
from passport.physics.uncertainty import Estimate, from_half_width
from passport.records.load import Content, records_of
from passport.records.schema.catalogue import FrameModel
from passport.records.schema.frame import Frame, Reading, Stringing
from passport.records.schema.quantities import Quantity, RingScale, ring_scale
from passport.workshop.facts.bedfacts import DAY_MINUTES, FRESH_MINUTES, Playing
from passport.workshop.strings.bedtension import held, membrane, pull_ratio
from passport.workshop.strings.reader import UNKNOWN_READER, BedReader, ReaderCorrection
from passport.workshop.strings.string_priors import Evidence, StringPriors

HERTZ: Final = "Hz²"
"""The scale of readings in Hz: their squares go with the tension."""

SHOWN: Final = "N shown"
"""The scale of readings in lb, kg or N: what the reader showed, a scale of its own and no bed tension."""

_SCALES: Final[dict[RingScale, str]] = {"Hz": HERTZ, "tension": SHOWN, "stiffness": "N/cm shown"}
"""The stiffness of a bed goes with its tension as long as it is pushed in gently (a flat membrane's does exactly)."""

_LEAST_AGE = 1.0  # minutes: nobody reads a bed sooner, and a logarithm needs an age


@dataclass(frozen=True, slots=True)
class Ring:
    """One acoustic reading of a bed: as shown, its ``age`` in minutes or None, and its place in the record.

    ``dated``: the age was worked out from the dates. ``correction``: what was known of the reader on that day.
    """

    taken: date
    shown: Quantity
    age: float | None
    dated: bool
    job: int
    index: int
    correction: ReaderCorrection = UNKNOWN_READER

    @property
    def hertz(self) -> bool:
        """Whether this is a frequency."""
        return self.scale == "Hz"

    @property
    def scale(self) -> RingScale:
        """What kind of figure the reader showed."""
        return ring_scale(self.shown)

    @property
    def value(self) -> float:
        """The reading in Hz, N or N/cm, corrected by the check of the reader that was in force."""
        return self.shown.value * self.correction.factor

    @property
    def u(self) -> float:
        """Standard uncertainty of a reading of a bed as a share of the tension: digits and repeatability."""
        return math.hypot(self.correction.digits, self.correction.repeatability)

    def aged(self, other: float = 0.0) -> AgedReading | None:
        """The corrected reading for the law of ageing; None without an age.

        ``other`` is a further standard uncertainty, a share of the tension.
        """
        if self.age is None:
            return None
        # From dates alone the age is unsure by half a day either way, which matters while the strings are young.
        by_age = ageing.PRIOR.value * from_half_width(DAY_MINUTES / 2) / self.age / math.log(10) if self.dated else 0.0
        share = math.hypot(self.u, by_age, other)
        if self.hertz:
            return AgedReading.of_frequency(self.age, self.value, self.value * share / 2, HERTZ)
        return AgedReading(self.age, self.value, self.value * share, _SCALES[self.scale])


@dataclass(frozen=True, slots=True)
class Played:
    """How long a bed had been played, minutes, at an age in minutes, as noted on a day at a place in the record."""

    taken: date
    minutes: float
    age: float
    job: int
    index: int

    @property
    def fits(self) -> bool:
        """Whether that much play fits into the age; the day of the stringing counts whole."""
        return self.minutes <= self.age + DAY_MINUTES


@dataclass(frozen=True, slots=True)
class Bed:
    """One string bed of one frame (``player/frame``): the job that strung it, until when it was in, its readings."""

    frame: str
    job: int
    strung: date
    until: date | None
    stringing: Stringing
    rings: tuple[Ring, ...] = ()
    played: tuple[Played, ...] = ()

    @property
    def string(self) -> tuple[str, str]:
        """The names in the catalogue of the mains' and the crosses' string: beds of one string are pooled."""
        mains, crosses = self.stringing.both
        return mains.string, crosses.string

    @property
    def read(self) -> tuple[tuple[Ring, AgedReading], ...]:
        """The readings whose age is known, for the law of ageing.

        What a check of the reader leaves open matters only where another one corrected the first reading of the scale.
        """
        first: dict[RingScale, Ring] = {}
        for ring in sorted((r for r in self.rings if r.age is not None), key=lambda r: r.age or 0.0):
            first.setdefault(ring.scale, ring)
        return tuple(
            (ring, aged)
            for ring in self.rings
            if (aged := ring.aged(ring.correction.apart(first[ring.scale].correction) if ring.age else 0.0))
        )

    @property
    def readings(self) -> tuple[AgedReading, ...]:
        """The readings whose age is known, without the hours of play."""
        return tuple(aged for _, aged in self.read)

    @property
    def notes(self) -> tuple[Played, ...]:
        """The notes of play that fit into the age of the bed."""
        return tuple(note for note in self.played if note.fits and note.minutes > 0)

    @property
    def fresh_ring(self) -> Ring | None:
        """The reading taken at the least age."""
        return min((r for r in self.rings if r.age is not None), key=lambda r: r.age or 0.0, default=None)


def beds_of(name: str, frame: Frame, reader: BedReader) -> tuple[Bed, ...]:
    """All string beds of a frame, oldest first. What was read before a job's work belongs to the bed it cut out."""
    beds: list[Bed] = []
    for i, job in enumerate(frame.jobs):
        # Twice through the job: a reading from before the work is one of the old strings, which the job then cuts out.
        for before in (True, False):
            if not before and job.strings:
                if beds:
                    beds[-1] = replace(beds[-1], until=job.date)
                beds.append(Bed(name, i, job.date, None, job.strings))
            for k, reading in enumerate(job.readings):
                if beds and (reading.when == "before") == before and reading.state != "bare":
                    beds[-1] = _with(beds[-1], reading, job.date, (i, k), reader)
    return tuple(beds)


def _with(bed: Bed, reading: Reading, day: date, at: tuple[int, int], reader: BedReader) -> Bed:
    """A bed with what one more reading says of it."""
    days = (day - bed.strung).days
    given = max(reading.age.value, _LEAST_AGE) if reading.age else None
    age = given or (days * DAY_MINUTES if days > 0 else None)
    if reading.ring:
        correction = reader.named(reading.reader).correction(reading.ring, day)
        ring = Ring(day, reading.ring, age, given is None and age is not None, *at, correction)
        bed = replace(bed, rings=(*bed.rings, ring))
    if reading.played:
        bed = replace(bed, played=(*bed.played, Played(day, reading.played.value, age or DAY_MINUTES, *at)))
    return bed


def _told(bed: Bed) -> Evidence | None:
    """What a bed told of its string; None where its readings tell nothing."""
    readings = tuple((ring.taken, a.minutes, a.value, a.u, a.scale) for ring, a in bed.read)
    played = tuple((note.taken, note.age, note.minutes / 60) for note in bed.notes)
    return Evidence(bed.frame, bed.job, bed.string, bed.strung, readings, played) if len(readings) > 1 else None


class BedBook:
    """All string beds of a workshop, and what they say of each other."""

    def __init__(self, content: Content, priors: StringPriors | None = None) -> None:
        """Collect the beds; what is asked of them is worked out when it is asked.

        ``priors`` is what all beds of the workshop told, where ``content`` holds a part of its frames only.
        """
        self._given = priors
        self.models = records_of(content.models)
        self.strings = records_of(content.strings)
        reader = BedReader.of(content.workshop.record if content.workshop else None)
        self.beds = {name: beds_of(name, e.record, reader) for name, e in content.frames.items()}
        self._model_of = {name: e.record.model for name, e in content.frames.items()}
        self._own_rates: dict[tuple[str, int], Estimate | None] = {}

    def current(self, frame: str) -> Bed | None:
        """The bed that is in a frame now."""
        beds = self.beds.get(frame, ())
        return beds[-1] if beds else None

    def own(self, bed: Bed) -> Estimate | None:
        """The rate of loss from a bed's own readings alone, by age and play together; None where they hardly tell."""
        place = (bed.frame, bed.job)
        if place not in self._own_rates:
            self._own_rates[place] = own_rate(bed.readings, self.noise(bed)) if len(bed.readings) > 1 else None
        return self._own_rates[place]

    def belief(self, bed: Bed) -> Rate:
        """What is believed of a bed before its own readings: the beds of its string until then, or the prior."""
        return self.priors.belief(bed.string, bed.strung, played=self.playing(bed).known)

    def noise(self, bed: Bed) -> Noise:
        """How far the workshop's readings scattered when a bed was strung, against what is stated."""
        return self.priors.noise(bed.strung)

    def playing(self, bed: Bed) -> Playing:
        """The hours of play of a bed; the pace is that of its own latest note, else of the newest bed before it."""
        noted = [note for other in self.beds[bed.frame] if other.job <= bed.job for note in other.notes]
        # At least a day: an hour of play on the first evening is no pace to go on at.
        pace = noted[-1].minutes / 60 / max(noted[-1].age, DAY_MINUTES) if noted else 0.0
        return Playing.of(((note.age, note.minutes / 60) for note in bed.notes), pace)

    @cached_property
    def priors(self) -> StringPriors:
        """What was known of each string at any time."""
        return self._given or StringPriors(self.told())

    def told(self) -> tuple[Evidence, ...]:
        """What the beds of this content say of their strings; beds whose readings say nothing are left out."""
        return tuple(told for beds in self.beds.values() for bed in beds if (told := _told(bed)))

    def life(self, bed: Bed) -> Ageing:
        """How a bed loses tension, from its own readings and what was believed before them."""
        playing = self.playing(bed)
        readings = [replace(reading, hours=playing.at(reading.minutes)) for reading in bed.readings]
        return fit(readings, self.belief(bed), self.noise(bed))

    def name_of(self, string: tuple[str, str]) -> str:
        """The string as people call it; of a hybrid the mains' first."""
        mains, crosses = (self.strings[name].name if name in self.strings else name for name in string)
        return mains if string[0] == string[1] else f"{mains} / {crosses}"

    def model(self, bed: Bed) -> FrameModel | None:
        """The frame model that a bed is in."""
        return self.models.get(self._model_of[bed.frame])

    def held(self, bed: Bed, ring: Ring) -> Estimate | None:
        """Bed tension of the mains in N, worked out from a reading in Hz; the crosses hold the ratio of their pulls.

        None for a reading in another unit, and where the model or a string's mass is not known.
        """
        model = self.model(bed) if ring.hertz else None
        known = membrane(bed.stringing, model, self.strings) if model else None
        # The factor belongs to the reader's scatter; what its check leaves open does not scatter.
        share = math.hypot(ring.u * self.noise(bed).factor, ring.correction.u)
        return held(known, ring.value, share, pull_ratio(bed.stringing, model)) if known else None


def fresh_slope(rate: Estimate) -> Estimate:
    """Share of the fresh tension that is lost in each decade of age, from the rate k of the law.

    v(t) = v₅·[1 − k·log₁₀(t/5 min)] divided by its value at the fresh age t_f is 1 − k′·log₁₀(t/t_f) with
    k′ = k/(1 − k·log₁₀(t_f/5 min)).
    """
    decades = math.log10(FRESH_MINUTES / ageing.REFERENCE_MINUTES)
    return Estimate(rate.value / (1 - rate.value * decades), rate.u / (1 - rate.value * decades) ** 2)


def left(life: Ageing, reading: AgedReading) -> float:
    """A reading as a share of what the same bed read on that scale when it was fresh."""
    return reading.value / life.at(FRESH_MINUTES, reading.scale).value
