"""The workshop's catalogue: strings, frame models and parts."""

from typing import Annotated, Literal

from pydantic import Field

from passport.physics.geometry import RacquetShape, Throat
from passport.records.schema.base import Colour, OneOrMore, Record, Text
from passport.records.schema.places import PlaceText
from passport.records.schema.quantities import Gauge, Length, LinearDensity, Mass, Tension
from passport.records.schema.visibility import Private, Public

Sport = Literal["tennis", "squash", "badminton", "racketball"]
Material = Literal["nylon", "polyester", "aramid", "gut", "other"]
PartKind = Literal[
    "tape", "silicone", "putty", "sleeve", "base grip", "overgrip", "butt cap", "grommets", "bumper", "other"
]
End = Literal["throat", "head"]


class StringType(Record):
    """One string: its material, gauge and, best, its weighed mass per length."""

    maker: Public[Text]
    name: Public[Text]
    material: Public[Material]
    gauge: Public[Gauge]
    weighed: Public[LinearDensity | None] = None
    colour: Public[Text] = ""
    note: Private[Text] = ""
    price: Private[Text] = ""


class Head(Record):
    """The strung ellipse inside the hoop."""

    length: Public[Length]
    width: Public[Length]


class Handle(Record):
    """The handle: its length from the butt and its width seen from the front."""

    length: Public[Length]
    width: Public[Length]


class Pattern(Record):
    """The string pattern: counts, and spacings where somebody measured them; tie-off holes in words."""

    mains: Public[Annotated[int, Field(ge=8, le=30)]]
    crosses: Public[Annotated[int, Field(ge=8, le=34)]]
    main_spacing: Public[Length | None] = None
    cross_spacing: Public[Length | None] = None
    mains_start: Public[End] = "throat"
    crosses_start: Public[End] = "head"
    skips: Public[Text] = ""
    tie_offs: Public[Text] = ""


class TensionRange(Record):
    """The frame maker's tension range; ``high`` is the limit that stands above any setup."""

    low: Public[Tension | None] = None
    high: Public[Tension]


class PlaceLimit(Record):
    """A place where this model takes added mass, and the most that it takes there."""

    place: Public[PlaceText]
    most: Public[Mass]
    length: Public[Length | None] = None


class FrameModel(Record):
    """One frame model with the dimensions that the drawing and the sums need."""

    maker: Public[Text]
    name: Public[Text]
    sport: Public[Sport]
    length: Public[Length]
    head: Public[Head]
    rim: Public[Length]
    handle: Public[Handle]
    throat: Public[Throat] = "open"
    pattern: Public[Pattern]
    tension: Public[TensionRange | None] = None
    places: Public[Annotated[tuple[PlaceLimit, ...], OneOrMore]] = ()
    colour: Public[Colour] = ""
    note: Private[Text] = ""

    def shape(self) -> RacquetShape:
        """The model's dimensions as the physics and the drawing take them, mm."""
        pattern = self.pattern
        return RacquetShape(
            length=self.length.value,
            head_length=self.head.length.value,
            head_width=self.head.width.value,
            rim=self.rim.value,
            handle=self.handle.length.value,
            handle_width=self.handle.width.value,
            throat=self.throat,
            mains=pattern.mains,
            crosses=pattern.crosses,
            main_spacing=pattern.main_spacing.value if pattern.main_spacing else 0.0,
            cross_spacing=pattern.cross_spacing.value if pattern.cross_spacing else 0.0,
        )


class Part(Record):
    """A part or material in stock: pieces have a ``mass``, tape a mass ``per_length``, paste the smallest ``step``."""

    kind: Public[PartKind]
    name: Public[Text]
    maker: Public[Text] = ""
    material: Public[Text] = ""
    mass: Public[Mass | None] = None
    per_length: Public[LinearDensity | None] = None
    width: Public[Length | None] = None
    covers: Public[Length | None] = None
    step: Public[Mass | None] = None
    removable: Public[bool] = False
    colour: Public[Text] = ""
    stock: Private[Text] = ""
    price: Private[Text] = ""
    note: Private[Text] = ""
