"""Facts: what a page, a card or a chart says, as plain immutable values with no way back to the records.

Masses in g, lengths in mm, inertia in kg·cm², tensions in N, ages in minutes. Words that a reader sees are chosen by
the templates; a fact only names the kind of thing.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from passport.physics.geometry import RacquetShape
from passport.physics.stringing.route import Threaded
from passport.physics.stringing.zones import Reach
from passport.physics.stringpath import Side
from passport.records.schema.catalogue import PartKind, Sport
from passport.records.schema.frame import Status
from passport.records.schema.places import FittedPlace
from passport.records.schema.workshop import InstrumentKind
from passport.workshop.facts.bedfacts import BatchFacts, BedLife, DueFacts, HoldFacts
from passport.workshop.facts.decided import Decided
from passport.workshop.facts.sources import Sourced, Sources

QuantityName = Literal["mass", "balance", "swingweight", "twistweight"]
Verdict = Literal["inside", "outside", "undecided", "open"]


def languages_of(reader: str, shop: str) -> str:
    """The languages of a reader in the order of their wish, ``pl:de``, as gettext's variable LANGUAGE has them.

    English comes last of itself, so the shop's stands there only where neither is English.
    """
    first = reader or shop
    plain = {tag.partition("-")[0].lower() for tag in (first, shop)}
    return first if len(plain) == 1 or "en" in plain or not shop else f"{first}:{shop}"


@dataclass(frozen=True, slots=True)
class ShopFacts:
    """The workshop as pages and cards show it.

    ``logo`` and ``fonts`` (text, strong, display) are names of the shop's own files; ``footer``, ``on_passports`` and
    ``on_lost`` are its words under every page, on each passport and on the page of a lost racquet. ``checked`` says when
    each kind of instrument was last held against something known, where the shop wishes to show that. ``tension_unit`` is
    the unit of a tension that is shown first, empty where that is the one that was recorded. ``ask`` is how a player asks
    for a restring: ``mail``, ``sms``, ``phone`` or a web address, empty where the workshop did not choose. ``two_languages``
    says that pages of players stand in the workshop's own language besides. ``ready`` is the ready look that all is made in,
    empty for the usual one.
    """

    name: str
    tagline: str
    address: str
    language: str
    email: str
    phone: str
    visit: str
    hours: str
    since: str
    accent: str = ""
    second: str = ""
    logo: str = ""
    fonts: tuple[str, str, str] = ("", "", "")
    footer: str = ""
    on_passports: str = ""
    on_lost: str = ""
    checked: tuple[tuple[InstrumentKind, date], ...] = ()
    tension_unit: str = ""
    ask: str = ""
    two_languages: bool = True
    ready: str = ""


@dataclass(frozen=True, slots=True)
class StrungFacts(Sourced):
    """The mains or the crosses of one stringing; ``prestretch`` in % is None where nobody wrote it down.

    ``gauge`` is in mm; where a gauge number was recorded, ``gauge_number``, it is what makers usually mean by that.
    ``per_metre`` in g is weighed (from the catalogue) or worked out from material and gauge.
    """

    string: str
    name: str
    maker: str
    material: str
    colour: str
    gauge: float
    tension: float
    written: str
    prestretch: float | None
    supply: str
    batch: str
    gauge_number: str = ""
    sources: Sources = ()
    per_metre: float | None = None


@dataclass(frozen=True, slots=True)
class BedReading:
    """An acoustic reading of the string bed: the number and unit as shown by the reader, and the bed's age."""

    amount: float
    unit: str
    age: float | None
    taken: date


@dataclass(frozen=True, slots=True)
class HeadCheck:
    """The tension head's check in force when strings were pulled: its day, what was ``set`` at the head and what it
    ``pulled``, N. ``written`` is the unit that was written."""

    day: date
    set: float
    pulled: float
    written: str


@dataclass(frozen=True, slots=True)
class MethodFacts:
    """How the strings were pulled, as far as it is known; ``dwell`` in s, ``tie_offs`` % above the pull.

    ``head`` is the last check of the workshop's tension head until that day.
    """

    machine: str = ""
    speed: str = ""
    dwell: float | None = None
    tie_offs: float | None = None
    prestretch: str = ""
    start: str = ""
    knots: str = ""
    crosses: str = ""
    supports: str = ""
    head: HeadCheck | None = None


@dataclass(frozen=True, slots=True)
class ZoneFacts:
    """Strings of one side that were pulled otherwise than the rest of it, N from the first to the last of them.

    ``first``, ``last`` or ``outer``: so many (``stop``); ``numbered``: from ``start`` to ``stop``, mains from the centre,
    crosses from the head. ``written`` is the unit that was written.
    """

    of: Side
    reach: Reach
    start: int
    stop: int
    pulls: tuple[float, float]
    written: str


@dataclass(frozen=True, slots=True)
class FingerprintFacts(Sourced):
    """The reading right after a stringing as the reader showed it, ``age`` in minutes, ``temperature`` in °C.

    ``setting`` is what was set at the reader. Another reading of the same bed lies ``within`` so much of it, in its own
    unit, in 95 of 100; None where nobody stated how well the reader repeats.
    """

    amount: float
    unit: str
    age: float
    taken: date
    reader: str = ""
    setting: str = ""
    temperature: float | None = None
    within: float | None = None
    sources: Sources = ()


StringPulls = tuple[tuple[int, float], ...]
"""The pull of each string by its number, N."""


@dataclass(frozen=True, slots=True)
class StringingFacts(Sourced):
    """One stringing of a frame, with its readings, until it was cut out.

    ``pieces`` and ``knots`` are None, the starts empty, where neither the record nor the maker's pattern tells. ``way``
    names how the string runs where that is more than its pieces; ``path`` is what can be followed from hole to hole.
    ``warranty`` is what the maker's warranty asks for where this stringing is known to be another. Where there are ``zones``
    and the pattern is known, ``string_pulls`` are the pulls of each main (by its number from the centre) and cross (from the
    head), N.
    """

    date: date
    mains: StrungFacts
    crosses: StrungFacts
    hybrid: bool
    pieces: int | None
    knots: int | None
    mains_start: str
    crosses_start: str
    skips: str
    tie_offs: str
    stencil: str
    ink: str
    readings: tuple[BedReading, ...] = ()
    sources: Sources = ()
    way: str = ""
    path: Threaded | None = None
    warranty: str = ""
    method: MethodFacts = MethodFacts()
    fingerprint: FingerprintFacts | None = None
    zones: tuple[ZoneFacts, ...] = ()
    string_pulls: tuple[StringPulls, StringPulls] | None = None

    @property
    def same(self) -> bool:
        """Whether mains and crosses are the same string at the same tension."""
        m, c = self.mains, self.crosses
        return (m.string, m.gauge, m.tension, m.prestretch) == (c.string, c.gauge, c.tension, c.prestretch)


@dataclass(frozen=True, slots=True)
class SpecFacts(Sourced):
    """One measured quantity against its target; ``value`` None while nobody measured it in the finished state.

    ``read`` is what the newest reading showed; ``value`` is that corrected by the instrument's check, with its standard
    ``uncertainty``; ``probability`` is that of the
    true value to be within the tolerance. Where nobody measured it, ``forecast`` may say what it should be (with
    ``forecast_u``), worked out from another state of the frame and the parts named in ``forecast_of``, of which some weigh
    what their kind usually does where ``forecast_assumed``. Of a verdict that
    is undecided, ``decided`` tells the bench what would settle it; not ``decidable`` is one whose tolerance is narrower
    than what is measured so far can tell.

    ``read_points`` and ``target_points`` are a balance as it was written, in points head light, where nobody recorded the
    frame's length: the mm that it comes to are worked out from a usual length, and are never said as what was read or
    asked for.
    """

    quantity: QuantityName
    value: float | None
    taken: date | None
    target: float | None
    tolerance: float | None
    verdict: Verdict
    uncertainty: float | None = None
    probability: float | None = None
    forecast: float | None = None
    forecast_u: float | None = None
    forecast_of: tuple[str, ...] = ()
    forecast_assumed: bool = False
    decidable: bool = True
    decided: Decided | None = None
    read: float | None = None
    read_points: float | None = None
    target_points: float | None = None
    sources: Sources = ()

    @property
    def settled(self) -> str:
        """What would settle an undecided verdict, as a sentence; empty where nothing is open."""
        return self.decided.text if self.decided else ""

    @property
    def empty(self) -> bool:
        """Whether there is nothing to say of the quantity."""
        return self.value is None and self.target is None and self.forecast is None

    @property
    def best(self) -> bool:
        """Whether the figure is a best estimate that no reading showed as it stands: corrected, or of several."""
        if self.value is None or self.read is None:
            return False
        return self.read_points is not None or f"{self.value:.1f}" != f"{self.read:.1f}"

    @property
    def off(self) -> float | None:
        """Measured minus target."""
        return None if self.value is None or self.target is None else self.value - self.target


@dataclass(frozen=True, slots=True)
class PartFacts(Sourced):
    """A fitted part with its place, what of the frame that covers (from and to, mm from the butt), and its mass, g.

    ``length`` is how long each piece is cut where that was written down, else what its place spans (assumed).
    """

    name: str
    kind: PartKind
    material: str
    place: FittedPlace
    from_mm: float
    to_mm: float
    length: float
    mass: float | None
    count: int
    since: date | None
    sources: Sources = ()
    note: str = ""

    @property
    def hour(self) -> float | None:
        """The hour of a part on the hoop, between 0 and 6; its pair sits on the other side."""
        return self.place.hour


def whole_mass(parts: Iterable[PartFacts]) -> float | None:
    """Mass of parts together, g; None where there are none or where the mass of one is not known."""
    masses = [part.mass for part in parts]
    known = [mass for mass in masses if mass is not None]
    return sum(known) if masses and len(known) == len(masses) else None


def tuning_mass(parts: Iterable[PartFacts]) -> float | None:
    """Mass of the tape, silicone and putty among parts, g; None where there is none or a mass is not known."""
    return whole_mass(part for part in parts if part.kind in ("tape", "silicone", "putty"))


@dataclass(frozen=True, slots=True)
class HandleFacts:
    """How the handle is built up, as far as it was written down; lengths in mm, words as the record has them.

    ``circumference`` was measured ``over`` the base grip or the overgrip (empty where nobody wrote it down).
    """

    circumference: float | None = None
    over: str = ""
    shape: str = ""
    sleeves: int | None = None
    wound: str = ""
    wound_from: str = ""
    overlap: float | None = None
    covered: float | None = None


@dataclass(frozen=True, slots=True)
class RepairFacts:
    """One repair."""

    what: str
    part: str
    where: str
    note: str


@dataclass(frozen=True, slots=True)
class MeasuredFacts:
    """One weighing or swinging of a frame; ``state`` is ``strung``, ``bare``, or empty where nobody wrote it down.

    ``points`` is a balance as it was written, in points head light, where nobody recorded the frame's length.
    """

    state: str
    before: bool
    without: tuple[str, ...]
    mass: float | None
    balance: float | None
    swingweight: float | None
    twistweight: float | None
    ring: BedReading | None
    points: float | None = None


@dataclass(frozen=True, slots=True)
class JobFacts:
    """One visit to the bench."""

    date: date
    stringing: StringingFacts | None
    fitted: tuple[PartFacts, ...]
    removed: tuple[tuple[str, FittedPlace], ...]
    repairs: tuple[RepairFacts, ...]
    measured: tuple[MeasuredFacts, ...]
    note: str
    felt: str = ""
    """What the player said of the strings that were in when it came, and lets stand on the page."""


@dataclass(frozen=True, slots=True)
class TwinFacts:
    """The frame that another one was built to replace, as it was last: what it read, how it was strung, what was fitted
    to tune it, g (None where none is recorded, or not its mass)."""

    number: str
    label: str
    maker: str
    model: str
    stringing: StringingFacts | None
    specs: tuple[SpecFacts, ...]
    tuning: float | None

    def spec(self, quantity: QuantityName) -> SpecFacts:
        """One of the four quantities."""
        return next(s for s in self.specs if s.quantity == quantity)


@dataclass(frozen=True, slots=True)
class PhotoFacts:
    """A photo of a frame: its file in the photos folder, what it shows in words, its size in pixels as it is seen
    upright, and a mark that changes when the file does. ``secret`` is that of a sealed frame."""

    name: str
    alt: str
    width: int
    height: int
    mark: str
    secret: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True)
class Successor:
    """The passport that took over, or the one before; without a key where it is not to be named.

    ``secret`` is that of a sealed page, told to other sealed pages alone.
    """

    number: str
    key: str
    label: str
    secret: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True)
class FrameFacts(Sourced):
    """Everything that is shown of one frame.

    ``life`` is that of the strings in a frame in play, ``past`` those of its earlier beds, oldest first; ``due`` is
    the day of ``restring``. The page of a ``sealed`` frame is opened with its ``secret``, which goes into the printed
    code and nowhere else. ``nothing_fitted``: the record says so, with an empty ``build``; else nobody wrote of any part.
    ``sideways`` is how far what lies on one side of the hoop only moves the middle of mass, mm, towards 3 o'clock.
    ``handle`` is how the handle is built up, None where nobody wrote anything of it.
    """

    name: str
    number: str
    key: str
    status: Status
    language: str
    player: str
    player_key: str
    label: str
    set: str
    sport: Sport
    maker: str
    model: str
    serial: str
    grip: str
    since: date | None
    shape: RacquetShape
    colour: str
    tension_low: float | None
    tension_high: float | None
    note: str
    stringing: StringingFacts | None
    specs: tuple[SpecFacts, ...]
    parts: tuple[PartFacts, ...]
    jobs: tuple[JobFacts, ...]
    updated: date | None
    plays_a_week: float | None = None
    due: date | None = None
    successor: Successor | None = None
    predecessor: Successor | None = None
    sealed: bool = False
    secret: str = field(default="", repr=False)
    restring: DueFacts | None = None
    life: BedLife | None = None
    past: tuple[BedLife, ...] = ()
    hold: HoldFacts | None = None
    photo: PhotoFacts | None = None
    twin: TwinFacts | None = None
    nothing_fitted: bool = False
    sideways: float | None = None
    handle: HandleFacts | None = None
    balance_unit: str = ""
    units: str = ""
    """The unit of a tension that its player is shown first: ``lb`` or ``kg``; empty where neither player nor shop chose."""
    """``points`` or ``in`` where the shop shows balances so; points only where the frame's length is recorded."""
    sources: Sources = ()

    def spec(self, quantity: QuantityName) -> SpecFacts:
        """One of the four quantities."""
        return next(s for s in self.specs if s.quantity == quantity)

    @property
    def beds(self) -> tuple[StringingFacts, ...]:
        """All stringings, oldest first."""
        return tuple(job.stringing for job in self.jobs if job.stringing)

    @property
    def tuning(self) -> float | None:
        """Mass of the tape, silicone and putty that is fitted, g; None where none is recorded, or not its mass."""
        return tuning_mass(self.parts)


@dataclass(frozen=True, slots=True)
class EqualityFacts:
    """How equal a group of frames is in one quantity: the values by frame number, their spread and the tolerance.

    ``verdict`` says whether the two that are furthest apart can both lie within the tolerance of one value, as far as
    their uncertainty lets it be said; ``open`` of frames that are not meant to be equal.
    """

    quantity: QuantityName
    values: tuple[tuple[str, float | None], ...]
    spread: float | None
    tolerance: float
    verdict: Verdict = "open"


@dataclass(frozen=True, slots=True)
class GroupFacts:
    """Frames of one player that are meant to be equal, or all frames of one sport.

    ``batches``: the last time they were strung in one go, and those times when one did not belong.
    """

    name: str
    matched: bool
    frames: tuple[FrameFacts, ...]
    equality: tuple[EqualityFacts, ...]
    batches: tuple[BatchFacts, ...] = ()


@dataclass(frozen=True, slots=True)
class PlayerFacts:
    """A player's page. ``sealed`` is how many of the player's passports are sealed: of those it says no more."""

    key: str
    name: str
    language: str
    groups: tuple[GroupFacts, ...]
    out_of_use: tuple[FrameFacts, ...]
    sealed: int = 0
    units: str = ""


HOME = "home"
"""The page of shop text that stands on the home page; all others are care notes, or legal pages at every page's foot."""
LEGAL = ("imprint", "privacy")
"""The pages of shop text that say whose site it is and what becomes of data, by the names of their files."""


@dataclass(frozen=True, slots=True)
class PageFacts:
    """One page of shop text in Markdown."""

    slug: str
    text: str

    @property
    def home(self) -> bool:
        """Whether it is the workshop's own text on the home page, in any language."""
        return self.slug.partition(".")[0] == HOME

    @property
    def legal(self) -> bool:
        """Whether it is an imprint or the like, in any language, which stands at the foot of every page."""
        return self.slug.partition(".")[0] in LEGAL


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """The whole public site."""

    shop: ShopFacts
    frames: tuple[FrameFacts, ...]
    players: tuple[PlayerFacts, ...]
    pages: tuple[PageFacts, ...]
