"""The frame's record: identity, setup, build, jobs and their readings; and the blank, an untouched frame in stock."""

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from passport.physics.stringing.ways import PIECES
from passport.records.language.worded import worded
from passport.records.schema.balance import Balance
from passport.records.schema.base import UNKNOWN, Day, Key, Number, OneOrMore, Record, Secret, Text, refuse
from passport.records.schema.catalogue import PartKind
from passport.records.schema.intake import Condition, Handover
from passport.records.schema.places import PlaceText
from passport.records.schema.quantities import (
    Angle,
    Gauge,
    Inertia,
    InertiaBand,
    Length,
    Mass,
    MassBand,
    Minutes,
    Percent,
    Ring,
    Seconds,
    Spot,
    Temperature,
    Tension,
)
from passport.records.schema.stringpattern import PathWords, ZoneText, read_path
from passport.records.schema.visibility import Private, Public
from passport.records.schema.workshop import Method

Status = Literal["active", "broken", "lost", "retired"]
Supply = Literal["reel", "set"]
Start = Literal["throat", "head", "unknown"]
"""Where mains or crosses start; ``unknown`` where not even the maker's pattern may be taken."""
RepairKind = Literal["grommets", "bumper", "butt cap", "other"]


class Strung(Record):
    """The mains or the crosses: which string, how tight, how it was handled and where it came from."""

    string: Public[Text]
    gauge: Public[Gauge | None] = None
    tension: Public[Tension]
    prestretch: Public[Percent | None] = None
    supply: Public[Supply | None] = None
    batch: Public[Text] = ""


class Stringing(Record):
    """One restringing. Without ``crosses`` the crosses are strung like the mains.

    ``path`` says in a few words how the string runs (``two pieces, crosses from the head``), or names a variant of the
    model's pattern and what differed; the fields after it say the same one by one. ``short`` is the short side's hand;
    ``zones`` the strings that were pulled otherwise than the rest of their side (``mains last 2 at 49 lb; crosses first 4
    -2 lb``), ``method`` what was done otherwise than the workshop does it.
    What nobody wrote down, or wrote down as ``unknown``, is None. ``unknown`` where the mains or crosses start says that
    the maker's pattern was perhaps not followed, and so is kept apart from saying nothing.
    """

    mains: Public[Strung]
    crosses: Public[Strung | None] = None
    own_unknown: ClassVar[frozenset[str]] = frozenset({"mains_start", "crosses_start"})

    path: Public[PathWords | None] = None
    pieces: Public[Annotated[int, Field(ge=1, le=2)] | None] = None
    knots: Public[Annotated[int, Field(ge=2, le=4)] | None] = None
    mains_start: Public[Start | None] = None
    crosses_start: Public[Start | None] = None
    short: Public[Literal["left", "right"] | None] = None
    skips: Public[Text] = ""
    tie_offs: Public[Text] = ""
    zones: Public[ZoneText | None] = None
    method: Public[Method] = Method.model_construct()

    @model_validator(mode="before")
    @classmethod
    def _path_spelled_out(cls, data: Any) -> Any:
        """What ``path`` says stands in the fields of the same meaning, too; those that say otherwise are an error."""
        if not isinstance(data, dict) or not isinstance(data.get("path"), str) or data["path"] == UNKNOWN:
            return data
        try:
            told = read_path(data["path"])
        except PydanticCustomError:
            return data  # the field itself complains, at its own place
        said: dict[str, object] = {"pieces": PIECES.get(told.way) if told.way else None}
        said |= {name: getattr(told, name) for name in ("mains_start", "crosses_start", "short")}
        for name, value in said.items():
            if value is not None and str(data.get(name, value)) != str(value):
                what = worded(
                    "'path' says {name} {value}, but '{name}' says {data}.", name=name, value=value, data=data[name]
                )
                raise refuse("string-path", what, worded("Keep the one that is right."))
        return data | {name: value for name, value in said.items() if value is not None}

    @property
    def worked_out(self) -> tuple[int | None, int | None]:
        """Pieces and knots as far as they follow from what was written; None where nothing tells.

        Two different strings are two pieces, and a piece has two ends to tie (geometry alone).
        """
        pieces = self.pieces or (2 if self.hybrid or (self.knots or 0) > 2 else None)
        pieces = pieces or (1 if self.knots == 2 else None)
        return pieces, self.knots or (2 * pieces if pieces else None)

    @property
    def both(self) -> tuple[Strung, Strung]:
        """The mains and the crosses, spelled out."""
        return self.mains, self.crosses or self.mains

    @property
    def hybrid(self) -> bool:
        """Whether mains and crosses are different strings."""
        return self.crosses is not None and self.crosses.string != self.mains.string


class Fitted(Record):
    """A part put on the frame: where, and its mass where it differs from the catalogue's (a pair counts both sides)."""

    part: Public[Text]
    place: Public[PlaceText]
    mass: Public[Mass | None] = None
    length: Public[Length | None] = None
    note: Public[Text] = ""


class Removed(Record):
    """A part taken off again."""

    part: Public[Text]
    place: Public[PlaceText]


class HandleBuild(Record):
    """The handle as it was built up: what cannot be told from the parts that went on.

    ``circumference`` was measured ``over`` the base grip or the overgrip; ``sleeves`` is how many there are. The overgrip
    is ``wound`` for a hand, from the butt or the top (``wound_from``), each turn ``overlap`` over the last; grip or
    overgrip end ``covered`` from the butt.
    """

    circumference: Public[Length | None] = None
    over: Public[Literal["base grip", "overgrip"] | None] = None
    shape: Public[Text] = ""
    sleeves: Public[Annotated[int, Field(ge=0, le=8)] | None] = None
    wound: Public[Literal["right-handed", "left-handed"] | None] = None
    wound_from: Public[Literal["butt", "top"] | None] = None
    overlap: Public[Length | None] = None
    covered: Public[Length | None] = None


class Repair(Record):
    """A repair: what was renewed, with which part."""

    what: Public[RepairKind]
    part: Public[Text] = ""
    where: Public[Text] = ""
    note: Public[Text] = ""


class Stencil(Record):
    """The mark inked on the strings."""

    shape: Public[Text]
    ink: Public[Text]


class Pendulum(Record):
    """The frame timed as a pendulum, swinging face first about a pin ``pivot`` from the butt.

    Either ``period`` of one full swing to and fro, or ``time`` of so many ``swings``; ``amplitude`` to each side.
    """

    pivot: Public[Spot]
    period: Public[Seconds | None] = None
    time: Public[Seconds | None] = None
    swings: Public[Annotated[int, Field(ge=1, le=1000)] | None] = None
    amplitude: Public[Angle | None] = None

    @model_validator(mode="after")
    def _one_timing(self) -> Self:
        counted = self.time is not None and self.swings is not None
        if (self.period is None) == (not counted) or (self.time is None) != (self.swings is None):
            do = worded("Write 'period: 1.293 s', or 'time: 12.93 s' and 'swings: 10'.")
            raise refuse(
                "swing-timing", worded("A swing is timed either by its period or by the time of several swings."), do
            )
        return self


class Bifilar(Record):
    """The frame hung on two wires and timed while it turns to and fro: ``time`` of so many ``swings``.

    Hung ``level`` with its face upright it gives the swingweight; ``tip down``, hung by the handle, the twistweight.
    ``amplitude`` is how far it turns to each side.
    """

    hung: Public[Literal["level", "tip down"]] = "level"
    spacing: Public[Length]
    wires: Public[Length]
    time: Public[Seconds]
    swings: Public[Annotated[int, Field(ge=1, le=1000)]]
    amplitude: Public[Angle | None] = None


class Reading(Record):
    """What was measured, in which state. ``ring`` is the string bed's acoustic reading, ``age`` the time since stringing.

    ``pendulum`` or ``bifilar`` stands for a swingweight (or twistweight) that was timed instead of read off a machine.
    ``reader`` is the name of the instrument that showed it, where there are several; ``setting`` what was set at it (string
    kind, head size, density), ``temperature`` that of the room.
    ``played`` is how long the player has played with the strings that are in, where that was noted.
    Without ``state`` a player's frame was measured as it is in the hand, strung; what that means for a blank, which nobody
    plays, nobody knows.
    """

    when: Public[Literal["before", "after"]] = "after"
    state: Public[Literal["strung", "bare"] | None] = None
    without: Public[Annotated[tuple[PartKind, ...], OneOrMore]] = ()
    mass: Public[Mass | None] = None
    balance: Public[Balance | None] = None
    swingweight: Public[Inertia | None] = None
    twistweight: Public[Inertia | None] = None
    axis: Public[Length | None] = None
    pendulum: Public[Pendulum | None] = None
    bifilar: Public[Bifilar | None] = None
    ring: Public[Ring | None] = None
    age: Public[Minutes | None] = None
    reader: Public[Text] = ""
    setting: Public[Text] = ""
    temperature: Public[Temperature | None] = None
    played: Public[Minutes | None] = None
    note: Private[Text] = ""

    @property
    def strung(self) -> bool:
        """Whether a player's frame was strung when it was measured: without a word on it, it was as it is in the hand."""
        return self.state != "bare"

    @model_validator(mode="after")
    def _timed_once_and_whole(self) -> Self:
        turned = self.bifilar.hung if self.bifilar else ""
        swings = [self.swingweight, self.pendulum, turned == "level" or None]
        twists = [self.twistweight, turned == "tip down" or None]
        if any(len([given for given in ways if given is not None]) > 1 for ways in (swings, twists)):
            do = worded("Keep one of them here, and write the other as a reading of its own.")
            raise refuse("swing-timing", worded("This reading gives the same moment of inertia twice."), do)
        if (self.pendulum or self.bifilar) and not (self.mass and self.balance):
            do = worded("Add 'mass' and 'balance' in the same state to this reading.")
            raise refuse(
                "swing-timing", worded("A timed swing is worth nothing without the frame's mass and balance."), do
            )
        return self


class Order(Record):
    """What is wanted of a frame that was left at the bench, and what was seen of it then. None of it leaves the bench.

    ``asked`` is what was said over the counter, in its own words. ``strings`` is the whole recipe that is wanted, worked
    out when the frame was taken, so that it can be held against the maker's limits there. ``rebuild`` is the number of
    the frame that this one is to play like, ``tuning`` what is wanted of mass and balance. ``sure`` is the remark that
    somebody was sure of a value here that is far from what is usual.
    """

    taken: Private[Day | None] = None
    promised: Private[Day | None] = None
    asked: Private[Text] = ""
    strings: Private[Stringing | None] = None
    stencil: Private[Stencil | None] = None
    fitted: Private[Annotated[tuple[Fitted, ...], OneOrMore]] = ()
    removed: Private[Annotated[tuple[Removed, ...], OneOrMore]] = ()
    repairs: Private[Annotated[tuple[Repair, ...], OneOrMore]] = ()
    tuning: Private[Text] = ""
    rebuild: Private[Number] = ""
    price: Private[Text] = ""
    note: Private[Text] = ""
    condition: Private[Condition] = Condition.model_construct()
    sure: Private[Text] = ""


class Job(Record):
    """One visit of the frame to the bench.

    ``order`` is what was wanted of it, kept beside what was done; ``handed`` is how it was handed back. ``elsewhere`` is the
    workshop where it was done, if that was not this one: what this one's instruments and method are says nothing of it.
    ``felt`` is what the player said of the strings that were in when the frame came: the words are the player's, and stay at
    the bench; those that the player lets stand on the page are ``felt_on_page``.
    ``sure`` is the remark that somebody was sure of a value here that is far from what is usual.
    """

    date: Public[Day]
    elsewhere: Public[Text] = ""
    strings: Public[Stringing | None] = None
    fitted: Public[Annotated[tuple[Fitted, ...], OneOrMore]] = ()
    removed: Public[Annotated[tuple[Removed, ...], OneOrMore]] = ()
    handle: Public[HandleBuild] = HandleBuild.model_construct()
    repairs: Public[Annotated[tuple[Repair, ...], OneOrMore]] = ()
    stencil: Public[Stencil | None] = None
    readings: Public[Annotated[tuple[Reading, ...], OneOrMore]] = ()
    note: Public[Text] = ""
    felt: Private[Text] = ""
    felt_on_page: Public[Text] = ""
    private_note: Private[Text] = ""
    price: Private[Text] = ""
    order: Private[Order | None] = None
    handed: Private[Handover | None] = None
    sure: Private[Text] = ""

    @property
    def to_collect(self) -> bool:
        """Whether what was ordered is done and nobody has collected it yet, as far as the record says."""
        return self.order is not None and self.handed is None


class Setup(Record):
    """What must be reproduced, measured strung and as it is in the player's hand; the strings come from the jobs."""

    mass: Public[MassBand | None] = None
    balance: Public[Balance | None] = None
    swingweight: Public[InertiaBand | None] = None
    twistweight: Public[InertiaBand | None] = None
    note: Public[Text] = ""


class KeptBefore(Record):
    """Where a frame was kept before, where its record was made from what another workshop told of it: its passport ``number``
    there, that ``workshop``, the day up to which it was told, how it came (``file``, ``page``, ``tag`` or ``history``), and
    when it was ``adopted``."""

    number: Public[Text] = ""
    workshop: Public[Text] = ""
    told_until: Public[Day | None] = None
    came_as: Public[Literal["file", "page", "tag", "history"] | None] = None
    adopted: Public[Day | None] = None


class Frame(Record):
    """One frame of one player. ``build`` lists the parts it had on when it first came in, ``handle`` how its handle was
    built up then; jobs change them.

    ``replaced_by`` is the number of the frame that took over from this one, ``rebuilds`` that of the frame that this one
    was built to play like; ``origin`` is where it was kept before.
    A ``sealed`` page can only be read with the ``secret``, which stands in the printed code and nowhere on the site.
    ``order`` is what is wanted of a frame that waits at the bench; recording the job that does it moves it there.
    ``rack`` is the same in one line, as records before the order was data have it.
    ``sure`` is the remark that somebody was sure of a serial or a target that was asked about.
    """

    number: Public[Number] = ""
    key: Public[Key] = ""
    model: Public[Text]
    label: Public[Text]
    serial: Public[Text] = ""
    grip: Public[Text] = ""
    status: Public[Status] = "active"
    since: Public[Day | None] = None
    replaced_by: Public[Number] = ""
    rebuilds: Public[Number] = ""
    origin: Public[KeptBefore | None] = None
    set: Public[Text] = ""
    photo: Public[Text] = ""
    photo_alt: Public[Text] = ""
    order: Private[Order | None] = None
    rack: Private[Text] = ""
    setup: Public[Setup] = Setup.model_construct()
    build: Public[Annotated[tuple[Fitted, ...], OneOrMore]] = ()
    handle: Public[HandleBuild] = HandleBuild.model_construct()
    jobs: Public[tuple[Job, ...]] = ()
    sealed: Public[bool] = False
    secret: Private[Secret] = ""
    private_note: Private[Text] = ""
    sure: Private[Text] = ""

    @model_validator(mode="after")
    def _one_order(self) -> Self:
        if self.order and self.rack:
            do = worded("Move what 'rack' says into 'order' as 'asked: …', and take the line 'rack' out.")
            raise refuse("two-orders", worded("Both 'order' and 'rack' say what is wanted of this frame."), do)
        return self

    @property
    def waiting(self) -> Order | None:
        """What is wanted of a frame that waits at the bench; None where nothing is."""
        return self.order or (Order(asked=self.rack) if self.rack else None)

    @property
    def unfinished(self) -> bool:
        """Whether it waits at the bench, or waits to be collected, or is owed for."""
        owed = any(job.handed is not None and bool(job.handed.owed) for job in self.jobs)
        return self.waiting is not None or owed or self.uncollected is not None

    @property
    def uncollected(self) -> Job | None:
        """The job that was ordered and done and that nobody has collected, as far as the record says."""
        last = self.last_counted
        return last if last and last.to_collect and self.waiting is None else None

    @property
    def last_job(self) -> Day | None:
        """The day of the newest job; None without one."""
        return max((job.date for job in self.jobs), default=None)

    @property
    def last_counted(self) -> Job | None:
        """The newest job that was ordered at the counter or handed back over it."""
        return next((job for job in reversed(self.jobs) if job.order or job.handed), None)

    def photos(self) -> Iterator[str]:
        """The files in the photos folder that this record names; all but its own ``photo`` are for the bench alone."""
        orders = [self.order, *(job.order for job in self.jobs)]
        yield from filter(None, (self.photo, *(order.condition.photo for order in orders if order)))

    def stringings(self) -> Iterator[tuple[tuple[str | int, ...], Stringing]]:
        """Every stringing that was done, oldest first, then the one that is wanted; each with its path in the record."""
        for i, job in enumerate(self.jobs):
            if job.strings:
                yield ("jobs", i, "strings"), job.strings
        if self.order and self.order.strings:
            yield ("order", "strings"), self.order.strings


WorkKind = Literal["check", "take off", "trial", "clear", "add", "fit", "string", "rest"]
"""What a step of building on a blank is; a ``trial`` is putty that the next other step takes off again."""


class BenchStep(Record):
    """A step of a rebuild that was done: what went on (or came off), and what the whole frame read afterwards.

    What was put on with a mass was weighed. A paste that goes in bit by bit has a step for each portion.
    """

    date: Public[Day]
    did: Public[WorkKind]
    fitted: Public[Annotated[tuple[Fitted, ...], OneOrMore]] = ()
    removed: Public[Annotated[tuple[Removed, ...], OneOrMore]] = ()
    readings: Public[Annotated[tuple[Reading, ...], OneOrMore]] = ()


class BenchWork(Record):
    """A rebuild under way on a blank: the number (or name) of the ``frame`` that it is to play like, the steps that were
    done, and parts that were ``weighed`` before they are fitted."""

    frame: Public[Text]
    weighed: Public[Annotated[tuple[Fitted, ...], OneOrMore]] = ()
    steps: Public[Annotated[tuple[BenchStep, ...], OneOrMore]] = ()


class Blank(Record):
    """An untouched replacement frame in stock, measured as it left the factory.

    ``rebuild`` is the work on it that is not finished.
    ``sure`` is the remark that somebody was sure of a reading that is far from what is usual.
    """

    model: Public[Text]
    serial: Public[Text] = ""
    grip: Public[Text] = ""
    received: Public[Day | None] = None
    build: Public[Annotated[tuple[Fitted, ...], OneOrMore]] = ()
    readings: Public[Annotated[tuple[Reading, ...], OneOrMore]] = ()
    location: Private[Text] = ""
    price: Private[Text] = ""
    rebuild: Private[BenchWork | None] = None
    sure: Private[Text] = ""
