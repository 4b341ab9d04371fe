"""The workshop's own record: who it is, where its pages stand, its tolerances and its instruments."""

import re
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import AfterValidator, Field, field_validator, model_validator

from passport.records.language.worded import worded
from passport.records.schema.base import Colour, Day, OneOrMore, Record, Text, WebAddress, refuse
from passport.records.schema.quantities import (
    INERTIA,
    LENGTH,
    MASS,
    Anything,
    Inertia,
    Length,
    Mass,
    Minutes,
    Percent,
    Seconds,
    Spot,
    TensionSpread,
    parse,
)
from passport.records.schema.visibility import Private, Public
from passport.records.target import EXAMPLE, HOSTS, BadTarget, is_host, target_of

InstrumentKind = Literal["scale", "balance board", "swing machine", "tension head", "ring reader"]

PLACEHOLDER = "https://passports.example"
"""The address of a new workshop that has not said its own; names under .example lead nowhere (RFC 2606)."""


def _asked_by(text: str) -> str:
    if text and text not in ASKED_BY and not re.fullmatch(r"https?://[^\s\"'<>]+", text):
        do = worded("Write 'mail', 'sms', 'phone', or the address of a booking, as in 'https://book.shop.example'.")
        raise refuse(
            "unknown-word", worded("'{text}' is no way in which a player may ask for a restring.", text=text[:60]), do
        )
    return text


ASKED_BY = ("mail", "sms", "phone")
"""Ways in which a player may ask for a restring, beside the address of a booking."""


class Contact(Record):
    """How a player reaches the workshop; all of it is printed on pages and cards.

    ``ask`` is how a player asks for a restring: by ``mail``, ``sms`` or ``phone`` with the address or number given here, or
    at a web address for bookings; without it by mail, or where there is none by telephone.
    """

    email: Public[Text] = ""
    phone: Public[Text] = ""
    visit: Public[Text] = ""
    hours: Public[Text] = ""
    ask: Public[Annotated[Text, AfterValidator(_asked_by)]] = ""

    @model_validator(mode="after")
    def _can_be_reached(self) -> Self:
        needed = {"mail": "email", "sms": "phone", "phone": "phone"}.get(self.ask)
        if needed and not getattr(self, needed):
            do = worded("Write '{needed}' beside it, or choose another way.", needed=needed)
            raise refuse(
                "no-value", worded("'ask: {ask}' needs the workshop's {needed}.", ask=self.ask, needed=needed), do
            )
        return self


class Tolerances(Record):
    """What counts as equal where a frame's setup names no tolerance of its own."""

    mass: Public[Mass] = parse("1 g", MASS)
    balance: Public[Length] = parse("2 mm", LENGTH)
    swingweight: Public[Inertia] = parse("1.5 kgcm2", INERTIA)
    twistweight: Public[Inertia] = parse("0.5 kgcm2", INERTIA)
    batch: Public[TensionSpread | None] = None


class Rod(Record):
    """A uniform rod as a known piece: ``width`` of a square bar or ``diameter`` of a round one, ``start`` from the butt."""

    mass: Public[Mass]
    length: Public[Length]
    width: Public[Length | None] = None
    diameter: Public[Length | None] = None
    start: Public[Spot | None] = None


class PlayingTime(Record):
    """How long strings of a material are played before they are renewed, where the workshop has a view on it."""

    nylon: Public[Minutes | None] = None
    polyester: Public[Minutes | None] = None
    aramid: Public[Minutes | None] = None
    gut: Public[Minutes | None] = None
    other: Public[Minutes | None] = None


class Restring(Record):
    """When strings are due, beside the rule of how often the player plays: at a loss of tension, at hours of play.

    ``loss`` is the share of the fresh tension that may be lost. What is not stated makes no string due.
    """

    loss: Public[Percent | None] = None
    hours: Public[PlayingTime] = PlayingTime.model_construct()


class Assumed(Record):
    """What is taken where nothing was measured, each as the shop finds it: standard deviations as a share, and a reach.

    ``listed_mass`` of a part by its catalogue or of tape by its length; ``string`` of a weighed string's mass per length;
    ``string_outside`` of the string through and round the hoop; ``placing`` within which a thing lies where it should.
    """

    listed_mass: Public[Percent | None] = None
    string: Public[Percent | None] = None
    string_outside: Public[Percent | None] = None
    placing: Public[Length | None] = None


class InstrumentCheck(Record):
    """An instrument held against something known; ``known`` and ``reads`` are in the instrument's own unit.

    For a swing machine or a balance board a ``rod`` may stand in place of ``known``, which is then worked out. A swing
    machine's cradle is checked ``of: twistweight``, by something known or by a rod laid across it, its middle in line.
    """

    date: Public[Day]
    of: Public[Literal["swingweight", "twistweight"]] = "swingweight"
    known: Public[Anything | None] = None
    rod: Public[Rod | None] = None
    reads: Public[Anything]
    against: Public[Text] = ""

    @model_validator(mode="after")
    def _one_known(self) -> Self:
        if (self.known is None) == (self.rod is None):
            do = worded("Write 'known: 285.4 kgcm2', or 'rod: {mass: 276.2 g, length: 700 mm, diameter: 8 mm}'.")
            raise refuse("check-against", worded("A check names one thing that the instrument was held against."), do)
        return self


class Instrument(Record):
    """An instrument on the bench, its resolution and its checks, oldest first.

    ``repeatability`` is the standard deviation of repeated readings of one thing; ``check_every`` the time after which
    a check is overdue.
    """

    kind: Public[InstrumentKind]
    name: Public[Text]
    resolution: Public[Anything]
    repeatability: Public[Anything | None] = None
    check_every: Public[Minutes | None] = None
    serial: Private[Text] = ""
    checks: Public[Annotated[tuple[InstrumentCheck, ...], OneOrMore]] = ()


class Fonts(Record):
    """The shop's own typefaces for its pages: names of files in the content's ``fonts`` folder."""

    text: Public[Text] = ""
    strong: Public[Text] = ""
    display: Public[Text] = ""


class Texts(Record):
    """Words of the shop's own at set places: under every page, on each passport, on the page of a lost racquet."""

    footer: Public[Text] = ""
    passport: Public[Text] = ""
    lost: Public[Text] = ""


Ready = Literal["weave", "almanac", "gauge", "pennant"]
READY: dict[Ready, tuple[str, str]] = {
    "weave": ("", ""),
    "almanac": ("#7a2b1d", "#22506b"),
    "gauge": ("#2b3a4a", "#9a3412"),
    "pennant": ("#17552f", "#8a1f4b"),
}
"""The ready looks, each with the two colours that it has where the shop names none of its own; the first is the usual one."""


class Look(Record):
    """How pages, cards and sheets look: which of the ``ready`` looks, and above it the shop's own colours, logo (a file in
    the content's ``style`` folder), typefaces and words. The name of a ready look alone may stand for all of it.
    """

    in_short: ClassVar[str] = "almanac"

    ready: Public[Ready | None] = None
    accent: Public[Colour] = ""
    second: Public[Colour] = ""
    logo: Public[Text] = ""
    fonts: Public[Fonts] = Fonts.model_construct()
    texts: Public[Texts] = Texts.model_construct()

    @model_validator(mode="before")
    @classmethod
    def _by_one_word(cls, data: Any) -> Any:
        if not isinstance(data, str):
            return data
        if data.strip() not in READY:
            do = worded(
                "Write one of {ready}, or what is your own, as in 'look: {{accent: \"#0d5566\"}}'.",
                ready=", ".join(READY),
            )
            raise refuse("unknown-word", worded("'{data}' is no ready look.", data=data[:40]), do)
        return {"ready": data.strip()}


FORMAT = 1
"""The form of the records that this program reads and writes; those without a ``format`` are of the first."""


class Method(Record):
    """How strings are pulled: the machine and its ``speed``, how long a pull is held (``dwell``), how much more tie-offs get.

    In the workshop it is how every job is done, or every one from ``since`` on; a job's own says what was otherwise there.
    """

    since: Public[Day | None] = None
    machine: Public[Literal["constant pull", "lockout", "drop weight"] | None] = None
    speed: Public[Text] = ""
    dwell: Public[Seconds | None] = None
    tie_offs: Public[Percent | None] = None
    prestretch: Public[Literal["by machine", "by hand"] | None] = None
    start: Public[Literal["starting knot", "starting clamp"] | None] = None
    knots: Public[Text] = ""
    crosses: Public[Literal["woven ahead", "one by one"] | None] = None
    supports: Public[Text] = ""


class Units(Record):
    """The shop's units: what a bare figure means where somebody is asked or types an option, and what is shown first.

    ``metric`` and ``imperial`` are short for both. What is not said is shown as it was recorded, and a bare figure has
    no meaning there. In records a unit is always written.
    """

    in_short: ClassVar[str] = "metric"

    tension: Public[Literal["lb", "kg"] | None] = None
    balance: Public[Literal["mm", "in", "points"] | None] = None

    @model_validator(mode="before")
    @classmethod
    def _by_one_word(cls, data: Any) -> Any:
        if not isinstance(data, str):
            return data
        both = {"metric": {"tension": "kg", "balance": "mm"}, "imperial": {"tension": "lb", "balance": "in"}}
        if data.strip() not in both:
            do = worded("Write 'metric', 'imperial', or each, as in 'units: {tension: lb, balance: mm}'.")
            raise refuse("unknown-word", worded("'{data}' names no units.", data=data[:40]), do)
        return both[data.strip()]


class MailServer(Record):
    """The shop's own server for mail to players; its password stands in no file.

    ``security`` is ``starttls`` (usually port 587), ``tls`` (465), or ``none`` on this computer alone.
    """

    server: Private[Text] = ""
    port: Private[Annotated[int, Field(ge=1, le=65535)] | None] = None
    security: Private[Literal["starttls", "tls", "none"] | None] = None
    user: Private[Text] = ""
    sender: Private[Text] = ""


class Publishing(Record):
    """Where 'passport publish' puts the site, so that it stands at the workshop's address; no password stands here.

    ``to`` alone may stand for all of it. ``key`` is the file of an SSH key, ``fingerprint`` the server's own as the host
    tells it (``SHA256:…``); ``branch`` of a repository (``pages`` unless said); ``endpoint`` and ``region`` of a storage
    for ``s3``; ``user`` where the address does not name one.
    """

    in_short: ClassVar[str] = EXAMPLE

    to: Private[Text] = ""
    user: Private[Text] = ""
    key: Private[Text] = ""
    fingerprint: Private[Text] = ""
    branch: Private[Text] = ""
    endpoint: Private[Text] = ""
    region: Private[Text] = ""

    @model_validator(mode="before")
    @classmethod
    def _to_alone(cls, data: Any) -> Any:
        return {"to": data} if isinstance(data, str) else data

    @field_validator("to")
    @classmethod
    def _a_place(cls, text: str) -> str:
        try:
            target_of(text)
        except BadTarget as error:
            raise refuse("bad-address", error.what, error.do) from None
        return text

    @field_validator("endpoint")
    @classmethod
    def _encrypted(cls, text: str) -> str:
        if text and not re.match(r"https://|http://(localhost|127\.0\.0\.1)(:\d+)?(/|$)", text):
            do = worded(
                "Write the storage's address as in 'https://s3.web.example'; 'http://' is for this computer alone."
            )
            raise refuse("bad-address", worded("'{text}' is no encrypted address.", text=text[:80]), do)
        if text and not is_host(host := text.split("/")[2].partition(":")[0]):
            raise refuse("bad-address", worded("'{host}' names no host.", host=host[:80]), worded(HOSTS))
        return text

    @field_validator("branch")
    @classmethod
    def _a_branch(cls, text: str) -> str:
        if text and not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._-]*(/[A-Za-z0-9][A-Za-z0-9._-]*)*", text):
            raise refuse(
                "bad-address",
                worded("'{text}' is no name of a branch.", text=text[:40]),
                worded("Write it as in 'branch: pages'."),
            )
        return text


class Workshop(Record):
    """The whole of workshop.yaml. ``format`` is the form of all records of the folder; ``show_checks`` has the home page
    say when each instrument was last checked; ``two_languages: no`` that a player's pages are in the player's language alone.

    ``label_roll`` is the roll in the label printer. ``commit_changes`` says that a content folder under git gets one commit for each change that a command writes.
    """

    format: Public[Annotated[int, Field(ge=1, le=FORMAT)]] = 1
    name: Public[Text]
    tagline: Public[Text] = ""
    address: Public[WebAddress]
    language: Public[Text] = "en"
    contact: Public[Contact] = Contact.model_construct()
    since: Public[Text] = ""
    tolerances: Public[Tolerances] = Tolerances.model_construct()
    restring: Public[Restring] = Restring.model_construct()
    assumed: Public[Assumed] = Assumed.model_construct()
    units: Public[Units] = Units.model_construct()
    method: Public[Method] = Method.model_construct()
    instruments: Public[Annotated[tuple[Instrument, ...], OneOrMore]] = ()
    show_checks: Public[bool] = False
    two_languages: Public[bool] = True
    look: Public[Look] = Look.model_construct()
    label_roll: Public[Literal["62 mm", "29 mm"] | None] = None
    commit_changes: Public[bool] = False
    mail: Private[MailServer] = MailServer.model_construct()
    publish: Private[Publishing] = Publishing.model_construct()
    private_note: Private[Text] = ""
