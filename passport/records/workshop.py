"""The workshop's own record: who it is, where its pages stand, its tolerances and its instruments."""

from typing import Annotated, Literal

from passport.records.base import Colour, Day, OneOrMore, Record, Text, WebAddress
from passport.records.quantities import INERTIA, LENGTH, MASS, Anything, Inertia, Length, Mass, TensionSpread, parse
from passport.records.visibility import Private, Public

InstrumentKind = Literal["scale", "balance board", "swing machine", "tension head", "ring reader"]


class Contact(Record):
    """How a player reaches the workshop; all of it is printed on pages and cards."""

    email: Public[Text] = ""
    phone: Public[Text] = ""
    visit: Public[Text] = ""
    hours: Public[Text] = ""


class Tolerances(Record):
    """What counts as equal where a frame's setup names no tolerance of its own."""

    mass: Public[Mass] = parse("1 g", MASS)
    balance: Public[Length] = parse("2 mm", LENGTH)
    swingweight: Public[Inertia] = parse("1.5 kgcm2", INERTIA)
    twistweight: Public[Inertia] = parse("0.5 kgcm2", INERTIA)
    batch: Public[TensionSpread | None] = None


class InstrumentCheck(Record):
    """An instrument held against something known; ``known`` and ``reads`` are in the instrument's own unit."""

    date: Public[Day]
    known: Public[Anything]
    reads: Public[Anything]
    against: Public[Text] = ""


class Instrument(Record):
    """An instrument on the bench, its resolution and its checks, oldest first."""

    kind: Public[InstrumentKind]
    name: Public[Text]
    resolution: Public[Anything]
    serial: Private[Text] = ""
    checks: Public[Annotated[tuple[InstrumentCheck, ...], OneOrMore]] = ()


class Look(Record):
    """The shop's own colours."""

    accent: Public[Colour] = ""
    second: Public[Colour] = ""


class Workshop(Record):
    """The whole of workshop.yaml."""

    name: Public[Text]
    tagline: Public[Text] = ""
    address: Public[WebAddress]
    language: Public[Text] = "en"
    contact: Public[Contact] = Contact()
    since: Public[Text] = ""
    tolerances: Public[Tolerances] = Tolerances()
    instruments: Public[Annotated[tuple[Instrument, ...], OneOrMore]] = ()
    look: Public[Look] = Look()
    private_note: Private[Text] = ""
