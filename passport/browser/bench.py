"""What the screens share: the workshop's folder, its language, one thing at a time, and how a screen is rendered."""

import re
import secrets
import threading
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

from markupsafe import Markup
from pydantic_core import PydanticCustomError
from starlette.requests import Request

from passport.acts.amending.undo import changes
from passport.acts.clock import now, today
from passport.acts.frames.issue import SITE
from passport.acts.frames.knots import knots
from passport.acts.rebuilding.whole import WholeRecords
from passport.acts.refused import Refused
from passport.browser.asking import AtTheScreen
from passport.browser.keys import Keys
from passport.browser.who import WHO, Room
from passport.publish.cache import frame_index
from passport.records.language.worded import spoken, worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.records.schema.places import parse_place
from passport.render.drawing.ornament import band
from passport.render.faces.direction import ordered
from passport.render.theme import bed_words
from passport.render.theme.assets import templates
from passport.render.theme.formats import BenchFormats, Formats, raised
from passport.render.theme.palette import CSS_PAINT
from passport.render.theme.templating import Environment, speak
from passport.render.theme.wording import place


class NoSuchFrame(Exception):
    """An address names a frame that is not in the records."""


@dataclass(frozen=True, slots=True)
class Clock:
    """A bed whose last knot was tied: its frame and how it is called, since when, and how many whole minutes that is."""

    name: str
    called: str
    since: datetime
    minutes: int


@dataclass(frozen=True, slots=True)
class Saved:
    """What was written: the frame and its number, what is told of it, and the change that takes it back."""

    name: str
    number: str
    shown: str
    said: tuple[str, ...]
    change: int


_MOST = 200
"""Forms that are remembered, and texts that forms were worked out from."""


@dataclass
class Bench:
    """One workshop's bench; what its screens do they do one after the other."""

    root: Path
    keys: Keys
    site: Path = SITE
    """The folder of the site that is built from the records."""
    room: Room | None = None
    """How devices in the room reach it; None where it answers this computer alone."""
    lock: threading.RLock = field(default_factory=threading.RLock)
    saved: dict[str, Saved] = field(default_factory=dict)
    """What became of each form by the mark that it carries, so that one that is sent twice writes once."""
    whole: WholeRecords = field(init=False, repr=False)
    """All records, for what is worked out from all of them."""
    texts: dict[str, str] = field(default_factory=dict, repr=False)
    """The records that open forms were worked out from, by their marks."""

    def __post_init__(self) -> None:
        """Nothing is read yet."""
        self.whole = WholeRecords(self.root)

    @cached_property
    def _environment(self) -> Environment:
        """The shipped templates alone: a shop's own ones are for what others see."""
        found = Environment([templates()])
        found.filters.update(bed_words.FILTERS)
        found.filters |= {"place": place, "at_place": _at_place}
        found.filters["tongue"] = tongue
        found.filters["clock"] = lambda when: f"{when.astimezone():%H:%M}"
        return found

    def name(self, request: Request) -> str:
        """The frame that an address names, ``player/frame``; one of the records' own. Raises NoSuchFrame."""
        name = f"{request.path_params['player']}/{request.path_params['frame']}"
        if not frame_index.known(self.root, name):
            raise NoSuchFrame(name)
        return name

    def frame(self, name: str, records: Content) -> Entry[Frame]:
        """The record of a frame. Raises Refused where it has errors."""
        found = records.frames.get(name)
        if found is None or name.partition("/")[0] not in records.players:
            raise Refused(
                worded("The record of this frame, or of its player, has errors: they stand on the first screen.")
            )
        return found

    def clocks(self) -> tuple[Clock, ...]:
        """The beds whose last knot was tied, the first tied first."""
        tied = knots(self.root)
        if not tied:
            return ()
        called = {one.name: f"{one.number} {one.label}".strip() for one in frame_index.frames(self.root)}
        return tuple(
            Clock(name, called[name], since, int((now() - since).total_seconds() // 60))
            for name, since in tied.items()
            if name in called
        )

    def note(self, once: str, name: str, after: Content, asking: AtTheScreen) -> None:
        """Note under a form's mark that it was just written: the frame that it is about, and the change that takes it back."""
        entry = next(iter(changes(self.root)), None)
        number = after.frames[name].record.number
        self.remember(once, Saved(name, number, asking.shown, tuple(asking.said), int(entry.name) if entry else 0))

    def remember(self, once: str, saved: Saved) -> None:
        """Note what became of a form."""
        self.saved[once] = saved
        _bounded(self.saved)

    def remember_text(self, mark: str, text: str) -> None:
        """Note what a form is worked out from."""
        self.texts[mark] = text
        _bounded(self.texts)

    def fresh(self) -> str:
        """The mark of a new form."""
        return secrets.token_urlsafe(16)

    def render(self, screen: str, records: Content | None, language: str = "", **shown: Any) -> bytes:
        """A screen in the shop's language, or the one that is named where there is no workshop."""
        shop = records.workshop.record if records and records.workshop else None
        f = formats(records) if shop else BenchFormats(language or "en")
        speak(f.words)
        with self.lock:
            body = self._environment.get_template(f"screens/{screen}.html.j2").render(
                f=f,
                lang=f.words.language,
                shop=shop,
                token=WHO.get().form,
                here=WHO.get().here,
                contacts=WHO.get().contacts,
                today=today(),
                now=now(),
                minute=timedelta(minutes=1),
                ornament=Markup(band("bench", paint=CSS_PAINT)),
                clocks=self.clocks() if shop else (),
                **{"search": "", **shown},
            )
        body = raised(body)
        return (_ordered(body) if f.direction == "rtl" else body).encode()

    def shut(self) -> bytes:
        """The page for whoever may not come in: it tells nothing of the workshop."""
        return self.render("shut", None)


_OTHER_LETTERS, _LAST_LATIN = ("ar", "ja", "zh"), "\u024f"
"""Languages that are written in letters of their own, and the last of those that English is among."""
_AS_WRITTEN = re.compile(
    r'<(textarea|option|pre|code|q)\b.*?</\1>|<(\w+)\b[^>]* (?:lang="en"|class="(?:slot-)?known")[^>]*>.*?</\2>',
    re.DOTALL,
)
"""What is sent back as it stands, is read sign by sign, or runs in an order of its own (see screens.css)."""


def _ordered(screen: str) -> str:
    """A screen in a language that runs from right to left, whose figures keep their units."""
    made, end = list[str](), 0
    for found in _AS_WRITTEN.finditer(screen):
        made += ordered(screen[end : found.start()], inside=True), found[0]
        end = found.end()
    return "".join((*made, ordered(screen[end:], inside=True)))


def tongue(text: str) -> str:
    """The language of a sentence that the shop's voice said: English where the shop's is written in other letters, of
    which it has none."""
    language = spoken()
    if language.partition("-")[0] in _OTHER_LETTERS and not any(sign > _LAST_LATIN and sign.isalpha() for sign in text):
        return "en"
    return language


def _at_place(text: str, f: Formats) -> str:
    """A place as the shop's language says it, or as it was written."""
    try:
        return place(parse_place(text), f)
    except PydanticCustomError:
        return text


def formats(records: Content | None) -> Formats:
    """The forms of the shop's language; English where there is no shop."""
    shop = records.workshop.record if records and records.workshop else None
    return BenchFormats(shop.language if shop else "en")


def _bounded(table: dict[str, Any]) -> None:
    """Forget the oldest entries of a table that holds too many."""
    while len(table) > _MOST:
        del table[next(iter(table))]
