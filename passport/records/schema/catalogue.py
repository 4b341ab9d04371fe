"""The workshop's catalogue: strings, frame models and parts."""

from collections.abc import Callable
from typing import Annotated, Any, ClassVar, Literal, Self, get_args

from pydantic import Field, model_validator

from passport.physics.geometry import RacquetShape, Throat
from passport.physics.head.outline import HeadOutline
from passport.records.language.worded import worded
from passport.records.schema import as_printed, typical
from passport.records.schema.base import Colour, OneOrMore, Record, Text, refuse
from passport.records.schema.places import PlaceText
from passport.records.schema.quantities import Length, LinearDensity, Mass, Quantity, Tension
from passport.records.schema.stringpattern import PathWords, Variants
from passport.records.schema.visibility import Private, Public

Sport = Literal["tennis", "squash", "badminton", "racketball"]
Material = Literal["nylon", "polyester", "aramid", "gut", "other"]
PartKind = Literal[
    "tape",
    "silicone",
    "putty",
    "sleeve",
    "base grip",
    "overgrip",
    "butt cap",
    "grommets",
    "bumper",
    "damper",
    "head tape",
    "string savers",
    "power pad",
    "leather strip",
    "pallet foam",
    "other",
]
End = Literal["throat", "head"]
Form = Literal["ellipse", "rounder", "squarer", "egg", "teardrop"]


def _in_short(
    data: Any, read: Callable[[str], tuple[str, str] | None], keys: tuple[str, str], what: str, do: str
) -> Any:
    """A record of two values that may stand as one text; refuses a text that ``read`` makes nothing of."""
    if not isinstance(data, str):
        return data
    values = read(data)
    if values is None:
        raise refuse("bad-value", f"'{data[:40]}' {what}", do)
    return dict(zip(keys, values, strict=True))


class StringType(Record):
    """One string: its material, gauge and, best, its weighed mass per length."""

    maker: Public[Text]
    name: Public[Text]
    material: Public[Material]
    gauge: Public[as_printed.Thickness]
    weighed: Public[LinearDensity | None] = None
    colour: Public[Text] = ""
    note: Private[Text] = ""
    price: Private[Text] = ""


class IntoThroat(Record):
    """A strung piece that reaches out of the head into the throat: how far, and how wide it is."""

    length: Public[Length]
    width: Public[Length]


class Head(Record):
    """The strung area inside the hoop: ``length`` and greatest ``width`` as measured, or the ``size`` that its maker prints.

    ``form`` is its outline: ``teardrop`` where the hoop's sides run together at the throat without a bridge, ``egg`` where it
    is wider towards the tip, ``squarer`` or ``rounder`` than the ``ellipse``. ``widths`` are measured ones, each with its
    height above the throat's end of the strung area. ``into_throat`` is a strung piece that badminton's rules let reach out
    of the head into the throat. ``head: 100 sq in`` is short for the size, ``330 x 246 mm`` for length and width, and either
    may be followed by the form, ``76 sq in teardrop``.
    """

    in_short: ClassVar[str] = "100 sq in"

    length: Public[Length | None] = None
    width: Public[Length | None] = None
    size: Public[as_printed.Area | None] = None
    form: Public[Form | None] = None
    widths: Public[Annotated[tuple[as_printed.Widths, ...], Field(max_length=5), OneOrMore]] = ()
    into_throat: Public[IntoThroat | None] = None

    @model_validator(mode="before")
    @classmethod
    def _in_one_line(cls, data: Any) -> Any:
        return as_printed.head_parts(data, get_args(Form)) if isinstance(data, str) else data

    @model_validator(mode="after")
    def _measured_or_printed(self) -> Self:
        if (self.length is None) != (self.width is None) or (self.length is None and self.size is None):
            do = worded(
                "Write 'head: {length: 340 mm, width: 250 mm}', measured inside the hoop, or what is "
                "printed, 'head: 100 sq in'."
            )
            raise refuse(
                "head-size", worded("A head is known by its length and width together, or by its printed size."), do
            )
        if self.widths and self.length is None:
            do = worded("Measure the head's length and its greatest width inside the hoop, too.")
            raise refuse(
                "head-size", worded("Widths at their heights say nothing of a head whose length is not measured."), do
            )
        return self

    @model_validator(mode="after")
    def _one_outline(self) -> Self:
        try:
            self.outline()
        except ValueError as error:
            do = worded(
                "Measure them inside the hoop, each with its height above the lowest string's hole: '62 mm at 40 mm'."
            )
            what = worded("The widths do not go with the head's length and width: {error}.", error=error)
            raise refuse("head-size", what, do) from None
        return self

    def outline(self) -> HeadOutline | None:
        """The outline as it is recorded; None where it is not. Raises ``ValueError`` for widths that no head has."""
        if not self.widths:
            return typical.FORMS[self.form] if self.form else None
        assert self.length and self.width
        length, width = self.length.value, self.width.value
        points = [(2 * each.at / length - 1, each.width / width) for each in self.widths]
        return typical.FORMS[self.form or "ellipse"].through(points)


class Handle(Record):
    """The handle: its length from the butt and its width seen from the front."""

    length: Public[Length]
    width: Public[Length]


class Pattern(Record):
    """The string pattern: counts, spacings where somebody measured them, and the holes as the trade names them.

    Mains that fan out are ``throat_spacing`` apart at the throat's end of the head and ``main_spacing`` at the tip's;
    ``first_cross`` is how far the first cross lies from the hoop's inside at the tip.
    Mains go past the holes of ``skips``, which are the crosses' (``none`` where there are none); nobody uses the
    ``blocked`` ones, a ``shared`` one takes a main and a cross. ``tie_offs`` are the holes to tie off in.
    ``mains_start`` and ``crosses_start`` are what the maker asks for, None where the catalogue does not say, and
    ``warranty`` what its warranty hangs on. ``variants`` are the ways to string it that a job can name.
    ``pattern: 16x19`` is short for the counts alone.
    """

    in_short: ClassVar[str] = "16x19"

    mains: Public[Annotated[int, Field(ge=8, le=30)]]
    crosses: Public[Annotated[int, Field(ge=8, le=34)]]
    main_spacing: Public[Length | None] = None
    throat_spacing: Public[Length | None] = None
    cross_spacing: Public[Length | None] = None
    first_cross: Public[Length | None] = None
    mains_start: Public[End | None] = None
    crosses_start: Public[End | None] = None
    skips: Public[Text] = ""
    blocked: Public[Text] = ""
    shared: Public[Text] = ""
    tie_offs: Public[Text] = ""
    warranty: Public[PathWords | None] = None
    variants: Public[Variants] = ()

    @model_validator(mode="before")
    @classmethod
    def _counts_alone(cls, data: Any) -> Any:
        do = "Write mains and crosses as they are printed, '16x19'."
        return _in_short(data, as_printed.pattern_counts, ("mains", "crosses"), "is not a string pattern.", do)

    @model_validator(mode="after")
    def _whole_fan(self) -> Self:
        if self.throat_spacing and not self.main_spacing:
            do = worded("Write 'main_spacing', measured between the mains' holes at the tip, beside 'throat_spacing'.")
            raise refuse(
                "bad-value", worded("The mains' spacing at the throat says nothing without that at the tip."), do
            )
        return self

    @property
    def fan(self) -> tuple[float, float] | None:
        """Spacing of the mains at the middle of the head, mm, and how much of it they are further apart at the tip's end."""
        if self.main_spacing is None:
            return None
        head = self.main_spacing.value
        throat = self.throat_spacing.value if self.throat_spacing else head
        return (head + throat) / 2, (head - throat) / (head + throat)


class TensionRange(Record):
    """The frame maker's tension range; ``high`` is the limit that stands above any setup.

    ``tension: 50-60 lb`` is short for both.
    """

    in_short: ClassVar[str] = "50-60 lb"

    low: Public[Tension | None] = None
    high: Public[Tension]

    @model_validator(mode="before")
    @classmethod
    def _both_ends(cls, data: Any) -> Any:
        what = "does not say which end of the maker's range it is."
        do = "Write both ends, '50-60 lb', or what the figure is: 'tension: {high: 60 lb}'."
        return _in_short(data, as_printed.span, ("low", "high"), what, do)


class PlaceLimit(Record):
    """A place where this model takes added mass, and the most that it takes there."""

    place: Public[PlaceText]
    most: Public[Mass]
    length: Public[Length | None] = None


class FrameModel(Record):
    """One frame model with the dimensions that the drawing and the sums need.

    Maker, name, sport and the head's size are enough to begin with: `shape` takes what the catalogue does not say as it
    usually is in the sport, and says so. ``mass`` is what the maker prints. ``sure`` is the remark that somebody was sure
    of a figure that is far from what is usual.
    """

    maker: Public[Text]
    name: Public[Text]
    sport: Public[Sport]
    length: Public[Length | None] = None
    head: Public[Head]
    rim: Public[Length | None] = None
    handle: Public[Handle | None] = None
    throat: Public[Throat | None] = None
    pattern: Public[Pattern | None] = None
    tension: Public[TensionRange | None] = None
    mass: Public[as_printed.Mass | None] = None
    places: Public[Annotated[tuple[PlaceLimit, ...], OneOrMore]] = ()
    colour: Public[Colour] = ""
    note: Private[Text] = ""
    sure: Private[Text] = ""

    @model_validator(mode="after")
    def _class_of_its_sport(self) -> Self:
        if self.mass and self.mass.is_class and self.sport != "badminton":
            what = worded(
                "'{mass}' is a class of badminton frames, and this one is for {sport}.",
                mass=self.mass.text,
                sport=self.sport,
            )
            raise refuse(
                "bad-value", what, worded("Write the mass that is printed on it, as in '300 g', or correct the sport.")
            )
        return self

    def shape(self) -> RacquetShape:
        """The model's dimensions as the physics and the drawing take them, mm; see `passport.records.schema.typical`."""
        pattern, head = self.pattern, self.head
        middle, fan = (pattern.fan if pattern else None) or (None, 0.0)
        return typical.shape(
            self.sport,
            {
                "length": _value(self.length),
                "head_length": _value(self.head.length),
                "head_width": _value(self.head.width),
                "rim": _value(self.rim),
                "handle": _value(self.handle.length) if self.handle else None,
                "handle_width": _value(self.handle.width) if self.handle else None,
                "mains": pattern.mains if pattern else None,
                "crosses": pattern.crosses if pattern else None,
                "main_spacing": middle,
                "cross_spacing": _value(pattern.cross_spacing) if pattern else None,
            },
            area=head.size.value if head.size else 0.0,
            throat=self.throat,
            told=typical.ToldOutline(head.outline(), measured=bool(head.widths), joined=head.form == "teardrop"),
            fan=fan,
            first_cross=_value(pattern.first_cross) or 0.0 if pattern else 0.0,
            into_throat=(head.into_throat.length.value, head.into_throat.width.value)
            if head.into_throat
            else (0.0, 0.0),
        )


def _value(quantity: Quantity | None) -> float | None:
    return quantity.value if quantity else None


class Part(Record):
    """A part or material in stock: pieces have a ``mass``, tape a mass ``per_length``, paste the smallest ``step``.

    ``covers`` is the length along the frame that a piece takes. A ``butt cap`` is meant with its tacks or staples.
    """

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
