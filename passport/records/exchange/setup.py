"""The published format of a setup: all that is needed to build the same racquet again, and nothing private.

Every key that holds a quantity ends in its unit: ``g``, ``mm``, ``cm2``, ``kgcm2``, ``lb`` and ``kg`` (pounds- and
kilograms-force), ``g_m`` (grams a metre), ``hz``, ``min``, ``s``, ``c`` (degrees Celsius), ``percent``. Distances along the
frame are measured from the butt end, the swingweight is about an axis 100 mm from it. A key that is left out, or null, says
that nobody recorded it. ``source`` names what is not in the frame's own record: ``model`` is the catalogue, ``worked out``
follows from what is recorded.
"""

from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from passport.records.schema.catalogue import Form, Material, PartKind, Sport

FORMAT: Final = 3
"""Raised when a key of the file changes its meaning. 2: ``measured_…`` is what was read, ``best_estimate_…`` what follows
from it by the instrument's check; ``source`` names where what is not in the frame's own record comes from. 3: ``geometry``
has the model's dimensions as far as they are recorded, masses their uncertainty, and ``$schema`` names this description."""
SCHEMA_FILE: Final = f"assets/setup-{FORMAT}.schema.json"
"""Where the schema stands on a site and among the templates."""
DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"

Line = Annotated[str, Field(max_length=300)]
Text = Annotated[str, Field(max_length=4000)]
Day = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$", description="A day, year-month-day.")]
Source = Literal["recorded", "model", "worked out", "assumed"]
Sources = dict[Annotated[str, Field(max_length=60)], Source]
Grams = Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
Millimetres = Annotated[float, Field(ge=-50, le=1000, allow_inf_nan=False)]
Inertia = Annotated[float, Field(ge=0, le=700, allow_inf_nan=False)]
Number = Annotated[float, Field(ge=-1e6, le=1e6, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0, le=60)]


class ExchangeData(BaseModel):
    """What all parts of the file share: a key that is not described here is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class IdentityData(ExchangeData):
    """Which racquet it is."""

    maker: Line = Field("", description="Who makes the frame.")
    model: Line = Field("", description="The frame's model.")
    serial: Line = Field("", description="The frame's serial, where its player shows it.")
    grip: Line = Field("", description="The grip size as the trade says it, such as L3.")


class PatternData(ExchangeData):
    """The string pattern by the catalogue."""

    mains: int = Field(ge=8, le=30, description="How many mains.")
    crosses: int = Field(ge=8, le=34, description="How many crosses.")
    source: Sources | None = None


class GeometryData(ExchangeData):
    """Dimensions of the frame's model as far as the catalogue has them."""

    head_length_mm: Millimetres | None = Field(None, description="Length of the strung area inside the hoop.")
    head_width_mm: Millimetres | None = Field(None, description="Greatest width of the strung area inside the hoop.")
    head_area_cm2: Annotated[float, Field(ge=50, le=1500)] | None = Field(
        None, description="The head's size as its maker prints it, where length and width are not measured."
    )
    form: Form | None = Field(None, description="The outline of the strung area, where it is recorded.")
    widths_mm: list[Annotated[list[Millimetres], Field(min_length=2, max_length=2)]] | None = Field(
        None,
        max_length=5,
        description="Measured widths of the strung area, each behind its height above its lower end.",
    )
    rim_mm: Millimetres | None = Field(None, description="Thickness of the hoop in the head's plane.")
    handle_length_mm: Millimetres | None = Field(None, description="Length of the handle from the butt end.")
    handle_width_mm: Millimetres | None = Field(None, description="Width of the handle seen from the front.")
    throat: Literal["open", "shaft"] | None = Field(None, description="Two arms, or one tube.")
    main_spacing_mm: Millimetres | None = Field(
        None, description="Between mains, at the head's end where they fan out."
    )
    throat_spacing_mm: Millimetres | None = Field(None, description="Between mains at the throat's end.")
    cross_spacing_mm: Millimetres | None = Field(None, description="Between crosses.")
    first_cross_from_tip_mm: Millimetres | None = Field(
        None, description="From the inside of the tip to the first cross."
    )
    into_throat_mm: list[Millimetres] | None = Field(
        None, min_length=2, max_length=2, description="Length and width of a strung piece that reaches into the throat."
    )
    source: Literal["model"] = Field("model", description="All of them come from the catalogue.")


class StrungData(ExchangeData):
    """The mains or the crosses."""

    string: Line = Field(description="The string's name.")
    maker: Line = Field("", description="Who makes it.")
    material: Material = Field(description="What it is made of.")
    gauge_mm: Annotated[float, Field(ge=0.4, le=2)] | None = Field(None, description="Its thickness.")
    gauge_number: Line | None = Field(None, description="Its gauge number, where that alone is known.")
    pull_tension_lb: Annotated[float, Field(ge=4, le=101)] = Field(description="What it was pulled with.")
    pull_tension_kg: Annotated[float, Field(ge=2, le=46)] = Field(description="The same in kilograms-force.")
    tension_written_in: Literal["lb", "kg", "N"] = Field("lb", description="The unit that the workshop writes.")
    prestretch_percent: Annotated[float, Field(ge=0, le=40)] | None = Field(
        None, description="How far it was stretched first."
    )
    mass_per_length_g_m: Annotated[float, Field(ge=0.05, le=10)] | None = Field(
        None, description="Its mass per length: weighed where the source is model, else from material and gauge."
    )
    mass_per_length_uncertainty_g_m: Annotated[float, Field(ge=0, le=10)] | None = Field(
        None, description="Its standard uncertainty."
    )
    source: Sources | None = None


class ZoneData(ExchangeData):
    """Strings of one side that were pulled otherwise than the rest of it."""

    of: Literal["mains", "crosses"] = Field(description="Which side.")
    which: Literal["first", "last", "outer", "numbered"] = Field(description="Which of them.")
    count: Count | None = Field(None, description="How many.")
    numbers: list[Count] | None = Field(None, min_length=2, max_length=2, description="From which to which.")
    pull_tension_lb: Number = Field(description="The pull of the first of them.")
    pull_tension_kg: Number = Field(description="The same in kilograms-force.")
    last_pull_tension_lb: Number | None = Field(None, description="The pull of the last, where it rises or falls.")
    last_pull_tension_kg: Number | None = Field(None, description="The same in kilograms-force.")


class PullsData(ExchangeData):
    """The pull of each string, where there are zones."""

    mains_from_centre: list[Number] = Field(max_length=40, description="Of each main, the same on both sides, lb.")
    crosses_from_head: list[Number] = Field(max_length=40, description="Of each cross, lb.")


class HeadCheckData(ExchangeData):
    """What the tension head pulled when it was last held against something known."""

    date: Day
    set_lb: Number = Field(description="What was set.")
    pulled_lb: Number = Field(description="What it pulled.")


class MethodData(ExchangeData):
    """How the strings were pulled, as far as it is known."""

    machine: Line = Field("", description="The kind of machine.")
    speed: Line = Field("", description="How fast it pulls.")
    dwell_s: Number | None = Field(None, description="How long the pull was held.")
    tie_offs_higher_percent: Number | None = Field(
        None, description="How much higher a string is pulled that is tied off."
    )
    prestretch: Line = Field("", description="How strings are stretched first.")
    start: Line = Field("", description="How the first string is held.")
    knots: Line = Field("", description="Which knots.")
    crosses: Line = Field("", description="How crosses are pulled.")
    supports: Line = Field("", description="How the frame is held.")
    tension_head_check: HeadCheckData | None = None


class FingerprintData(ExchangeData):
    """The reading right after stringing: what another reading of the same bed has to come near."""

    reading: Number = Field(description="The figure that the reader showed, in its own unit.")
    unit: Line = Field(description="That unit.")
    age_min: Number = Field(description="How long after stringing.")
    taken: Day
    reader: Line = Field("", description="Which reader.")
    setting: Line = Field("", description="What was set at it.")
    temperature_c: Number | None = Field(None, description="Of the room.")
    same_within: Number | None = Field(None, description="Within so much a second reading is the same, in that unit.")
    source: Sources | None = None


class StringingData(ExchangeData):
    """The stringing that is in the frame."""

    date: Day | None = None
    mains: StrungData
    crosses: StrungData
    zones: list[ZoneData] | None = Field(None, max_length=60)
    pulls_lb: PullsData | None = None
    pieces: int | None = Field(None, ge=1, le=2, description="Of how many pieces of string.")
    knots: int | None = Field(None, ge=2, le=4, description="How many knots.")
    mains_start: Line | None = Field(None, description="At which end the mains start: throat or head.")
    crosses_start: Line | None = Field(None, description="At which end the crosses start.")
    skips: Line = Field("", description="Holes that the mains go past.")
    tie_offs: Line = Field("", description="Holes that strings are tied off in.")
    way: Line = Field("", description="How the string runs, where that has a name.")
    method: MethodData | None = None
    fingerprint: FingerprintData | None = None
    stencil: Line = Field("", description="The mark on the strings.")
    ink: Line = Field("", description="Its colour.")
    source: Sources | None = None


class MassData(ExchangeData):
    """The finished frame's mass."""

    measured_g: Grams | None = Field(None, description="What the newest reading showed.")
    best_estimate_g: Grams | None = Field(None, description="The same corrected by the instrument's check.")
    uncertainty_g: Grams | None = Field(None, description="Standard uncertainty of the best estimate.")
    taken: Day | None = None
    target_g: Grams | None = Field(None, description="What is wanted.")
    tolerance_g: Grams | None = Field(None, description="How far off it may be, to either side.")
    source: Sources | None = None


class BalanceData(ExchangeData):
    """The finished frame's balance, from the butt end."""

    measured_mm: Millimetres | None = Field(None, description="What the newest reading showed.")
    best_estimate_mm: Millimetres | None = Field(None, description="The same corrected by the instrument's check.")
    uncertainty_mm: Millimetres | None = Field(None, description="Standard uncertainty of the best estimate.")
    taken: Day | None = None
    target_mm: Millimetres | None = Field(None, description="What is wanted.")
    tolerance_mm: Millimetres | None = Field(None, description="How far off it may be, to either side.")
    measured_points_head_light: Number | None = Field(
        None, description="As it was read, an eighth of an inch each, where the frame's length is not recorded."
    )
    target_points_head_light: Number | None = Field(None, description="The same of what is wanted.")
    source: Sources | None = None


class InertiaData(ExchangeData):
    """A moment of inertia of the finished frame."""

    measured_kgcm2: Inertia | None = Field(None, description="What the newest reading showed.")
    best_estimate_kgcm2: Inertia | None = Field(None, description="The same corrected by the instrument's check.")
    uncertainty_kgcm2: Inertia | None = Field(None, description="Standard uncertainty of the best estimate.")
    taken: Day | None = None
    target_kgcm2: Inertia | None = Field(None, description="What is wanted.")
    tolerance_kgcm2: Inertia | None = Field(None, description="How far off it may be, to either side.")
    source: Sources | None = None


class FinishedData(ExchangeData):
    """The frame as it is in the hand, strung: each quantity as it was measured, and as it is wanted."""

    mass: MassData | None = None
    balance: BalanceData | None = None
    swingweight: InertiaData | None = Field(
        None, description="About an axis 100 mm from the butt, in the head's plane."
    )
    twistweight: InertiaData | None = Field(None, description="About the handle's long axis.")


class FittedData(ExchangeData):
    """A part on the frame; ``mass_g`` is that of all its pieces together."""

    part: Line = Field(description="Its name; of a part whose name is not told, its kind.")
    kind: PartKind = Field(description="What kind of part it is.")
    place: Line = Field(
        description="Where it is: hours of a clock with the tip up, a named place, or mm from the butt."
    )
    from_mm: Millimetres | None = Field(None, description="Where what it covers begins.")
    to_mm: Millimetres | None = Field(None, description="Where what it covers ends.")
    usual_from_mm: Millimetres | None = Field(
        None, description="Where such a part usually begins, of a place whose mm nobody recorded: common practice."
    )
    usual_to_mm: Millimetres | None = Field(None, description="Where such a part usually ends.")
    clock: Annotated[float, Field(ge=0, le=12)] | None = Field(None, description="The hour of a part on the hoop.")
    side: Literal["", "left", "right"] = Field("", description="The one side that it lies on, where it has no pair.")
    pieces: Count | None = Field(None, description="How many equal pieces.")
    length_mm: Millimetres | None = Field(None, description="Length of each piece.")
    mass_g: Grams | None = None
    mass_uncertainty_g: Grams | None = Field(None, description="Standard uncertainty of the mass.")
    note: Text = Field("", description="What was noted of it.")
    source: Sources | None = None


class HandleData(ExchangeData):
    """How the handle is built up."""

    circumference_mm: Millimetres | None = Field(None, description="The way round it.")
    measured_over: Line = Field("", description="Over which grip that was measured.")
    shape: Line = Field("", description="The shape of the handle.")
    sleeves: Count | None = Field(None, description="How many sleeves.")
    overgrip_wound: Line = Field("", description="For which hand the overgrip is wound.")
    overgrip_from: Line = Field("", description="From which end.")
    overgrip_overlap_mm: Millimetres | None = Field(None, description="How far each turn lies over the last.")
    covered_to_mm: Millimetres | None = Field(None, description="Where the grips end.")


class SetupData(ExchangeData):
    """The setup of one frame. The description of each key names what it holds; its end names the unit."""

    schema_: Line = Field("", alias="$schema", description="Where this description stands, seen from the file.")
    format: Literal[3] = Field(description="The version of this format.")
    workshop: Line = Field("", description="The workshop that kept the frame.")
    number: Line = Field(description="The frame's passport number there.")
    label: Line = Field("", description="What its player calls it.")
    status: Line | None = Field(None, description="Active, broken or retired, where the record says so.")
    state: Line = Field("", description="Whether it is strung.")
    sport: Sport
    frame: IdentityData = IdentityData()
    length_mm: Millimetres | None = Field(None, description="The frame's overall length, where it is recorded.")
    pattern: PatternData | None = None
    geometry: GeometryData | None = None
    strings: StringingData | None = None
    string_path: dict[str, Any] | None = Field(
        None, description="The string hole by hole, where that is known: its pieces in order, lengths in mm."
    )
    finished: FinishedData = FinishedData()
    build: list[FittedData] | None = Field(
        None, max_length=100, description="The parts on the frame; an empty list says that there are none."
    )
    handle: HandleData | None = None
    middle_of_mass_towards_3_mm: Number | None = Field(
        None, description="How far what lies on one side of the hoop only moves the middle of mass."
    )
    updated: Day | None = Field(None, description="The day of the newest change.")


def schema() -> dict[str, Any]:
    """The JSON Schema of the format."""
    made = SetupData.model_json_schema(by_alias=True)
    return {"$schema": DIALECT, "$id": f"urn:racquet-passport:setup:{FORMAT}", **made}
