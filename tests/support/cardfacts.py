"""Facts of invented frames for the tests of the card: an ordinary one, one with everything too long, one bare."""

from dataclasses import replace
from datetime import date

from passport.physics import units
from passport.physics.geometry import RacquetShape
from passport.records.schema.catalogue import PartKind
from passport.records.schema.places import parse_place
from passport.workshop.facts.facts import (
    BedReading,
    FrameFacts,
    PartFacts,
    ShopFacts,
    SpecFacts,
    StringingFacts,
    StrungFacts,
    Verdict,
)

DAY = date(2026, 10, 12)
KEY = "7Q3MZK9V2XB4T8RWD5NHC6YFJA"

SHOP = ShopFacts(
    name="Halyard & Pine",
    tagline="Racquets set up by hand",
    address="https://cards.halyard-pine.example",
    language="en",
    email="bench@halyard-pine.example",
    phone="01632 960417",
    visit="Unit 4, The Old Ropewalk, Tarnmouth",
    hours="Tue to Sat, 10 to 6",
    since="2009",
)
LONG_SHOP = replace(
    SHOP,
    name="Halyard, Pine & Daughters Racquet Workshop",
    address="https://passports.halyard-pine-and-daughters-racquets.example",
    email="the-bench-in-the-back@halyard-pine-and-daughters-racquets.example",
    phone="01632 960417 or 01632 960418, mornings",
    visit="Unit 4, Third Floor, The Old Ropewalk, Cordwainers' Row 118, Tarnmouth-under-Edge, by the harbour",
)
SQUASH = RacquetShape(
    length=686, head_length=340, head_width=185, rim=11, handle=200, handle_width=27, throat="open", mains=14, crosses=18
)  # fmt: skip
TENNIS = RacquetShape(
    length=685.8, head_length=340, head_width=255, rim=13, handle=190, handle_width=31, throat="open", mains=16, crosses=19
)  # fmt: skip


def strung(name: str, maker: str, gauge: float, lb: float, written: str, prestretch: float = 0.0) -> StrungFacts:
    """Mains or crosses."""
    tension = units.newtons_from_lb(lb)
    return StrungFacts(name.lower(), name, maker, "nylon", "", gauge, tension, written, prestretch, "reel", "")


def part(
    name: str, kind: PartKind, place: str, mass: float | None, *, hour: float | None = None,
    span: tuple[float, float] = (0, 180), length: float = 0.0,
) -> PartFacts:  # fmt: skip
    """A fitted part; at an hour a pair."""
    where = parse_place(place)
    assert where.hour == hour
    return PartFacts(name, kind, "", where, *span, length, mass, 1 if hour is None else 2, DAY)


def specs(*figures: tuple[float | None, float | None, float, Verdict]) -> tuple[SpecFacts, ...]:
    """Mass, balance, swingweight and twistweight, as many as given: value, target, tolerance, verdict."""
    names = ("mass", "balance", "swingweight", "twistweight")
    return tuple(SpecFacts(n, v, DAY, t, tol, verdict) for n, (v, t, tol, verdict) in zip(names, figures, strict=False))


PARTS = (
    part("Lead-free tape 6 mm", "tape", "10 and 2", 2.4, hour=2, span=(640, 640), length=90),
    part("Tungsten tape", "tape", "3 and 9", 1.6, hour=3, span=(505, 505), length=60),
    part("Handle silicone", "silicone", "inside the handle", 4.0, span=(10, 45)),
    part("Dry overgrip", "overgrip", "along the handle", 5.5),
)
MAINS = strung("Tessera Soft", "Lintwhite", 1.20, 27, "27 lb")
BED = StringingFacts(
    date=DAY,
    mains=MAINS,
    crosses=replace(MAINS, tension=units.newtons_from_lb(25), written="25 lb"),
    hybrid=False,
    pieces=1,
    knots=2,
    mains_start="throat",
    crosses_start="head",
    skips="7T 9T, 7H 9H",
    tie_offs="8T, 5H",
    stencil="fan",
    ink="white",
    readings=(BedReading(612, "Hz", 5, DAY),),
)
FRAME = FrameFacts(
    name="mara/match-1",
    number="1042-9",
    key=KEY,
    status="active",
    language="en",
    player="Mara T.",
    player_key="",
    label="Match 1",
    set="Match set",
    sport="squash",
    maker="Corvina",
    model="Aria 130",
    serial="",
    grip="",
    since=date(2024, 5, 4),
    shape=SQUASH,
    colour="",
    tension_low=units.newtons_from_lb(22),
    tension_high=units.newtons_from_lb(30),
    note="",
    stringing=BED,
    specs=specs(
        (152.4, 152.0, 1.0, "inside"), (352.5, 352.0, 2.0, "inside"), (165.9, 164.0, 1.5, "outside"),
        (None, None, 0.5, "open"),
    ),
    parts=PARTS,
    jobs=(),
    updated=DAY,
    plays_a_week=3,
    due=date(2027, 2, 11),
)  # fmt: skip
LONG_MAINS = strung("Corvo Octagonal Twisted Polyester Black", "Harrow Cordage Company", 1.25, 52, "23.6 kg", 10.0)
LONG_CROSSES = strung("Lanolin Multifilament Ultra Soft Natural", "Lintwhite String Works", 1.30, 54, "24.5 kg", 5.0)
LONG = replace(
    FRAME,
    number="10420017-X",
    label="The one with the blue bumper from Bergen",
    player="Maximiliana-Theodora Oberwalder-Castellano",
    sport="tennis",
    maker="Brannock & Sons Racquetworks",
    model="Field Ninety-Eight Tour Extended 2026",
    grip="L3 and a half",
    shape=TENNIS,
    note="Balance first, then swingweight; the player would rather have it a gram heavy than a point off. " * 3,
    stringing=replace(
        BED, mains=LONG_MAINS, crosses=LONG_CROSSES, hybrid=True, pieces=2, knots=4,
        skips="7T 9T, 7H 9H and 11H 12H on the left-hand side", tie_offs="8T, 5H, 11H; shared hole 6T, starting clamp",
    ),
    specs=specs(
        (318.2, 318.0, 1.0, "inside"), (320.5, 320.0, 2.0, "inside"), (322.1, 322.0, 1.5, "undecided"),
        (21.4, 14.0, 0.5, "outside"),
    ),
    parts=(
        *PARTS,
        part("Heat-shrink sleeve, one size up, extra thick", "sleeve", "along the handle", 11.3),
        part("Butt cap with trapdoor and cotton wool wad", "butt cap", "butt cap", 14.5, span=(0, 10)),
    ),
)  # fmt: skip
CROWDED = replace(
    LONG, parts=LONG.parts + tuple(part(f"Strip {i}", "tape", "12", 0.1 * i, hour=0.0, length=20) for i in range(1, 7))
)
BARE = replace(
    FRAME,
    number="0003-6",
    label="3",
    player="Li",
    maker="",
    model="Swift",
    tension_low=None,
    tension_high=None,
    stringing=None,
    specs=specs((None, None, 1.0, "open"), (None, None, 2.0, "open"), (None, None, 1.5, "open"), (None, None, 0.5, "open")),
    parts=(),
    updated=None,
    due=None,
)  # fmt: skip
EXTREMES = {"ordinary": (FRAME, SHOP), "long": (LONG, LONG_SHOP), "crowded": (CROWDED, LONG_SHOP), "bare": (BARE, SHOP)}
