"""What a walk-in's form says: who and what is there already, what is new and what of it is lacking; told at its field."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from passport.acts.adding.everybody import Everybody
from passport.acts.adding.walkin import WalkIn
from passport.acts.change import Base
from passport.acts.clock import today
from passport.acts.frames.log import units_of
from passport.browser.bench import formats
from passport.browser.counter.meeting import (
    NEW,
    Meeting,
    met,
    model_met,
    model_parts,
    string_met,
    string_parts,
    usual_sport,
)
from passport.browser.filled import Filled
from passport.workshop.entry.bare import lent, unit_of
from passport.workshop.entry.job_from_text import SIDES
from passport.workshop.entry.newcomers import (
    NewModel,
    NewPlayer,
    NewString,
    gauge_read,
    head_read,
    material_read,
    reach_of,
    sport_of,
)
from passport.workshop.entry.phrases import Unclear, reader
from passport.workshop.entry.spoken import coming_day

WHO = ("player", "full_name", "reach", "language", "plays")
STRING_PARTS = ("maker", "name", "gauge", "material")
MODEL_PARTS = ("maker", "name", "sport", "head")
FRAME = ("which", "model", *(f"model_{part}" for part in MODEL_PARTS), "label", "grip", "serial")
STRUNG = tuple(
    name for side in SIDES for name in (side, f"{side}_tension", *(f"{side}_{part}" for part in STRING_PARTS))
)
WORK = ("done", "asked", "promised", "note", "price")
FIELDS = (*WHO, *FRAME, *STRUNG, *WORK, *(f"{name}_meant" for name in ("player", "model", *SIDES)))


@dataclass(kw_only=True)
class WalkInForm(Filled):
    """What the screen shows: who and what is there already by field, and the frames of a player who is."""

    base: Base
    met: dict[str, Meeting]
    frames: list[tuple[str, str]]
    first_label: str
    """What a new frame is called where nobody says it: the first free count of the player's frames."""
    understood: Mapping[str, Mapping[str, str]]
    """What the line in a field says of something new, by its part."""

    @property
    def done(self) -> bool:
        """Whether the work is done already."""
        return self.values["done"] == "done"

    @property
    def frame(self) -> str:
        """The frame that came in, where it is there already."""
        return self.values["which"] if self.values["which"] in dict(self.frames) else ""


def form_of(known: Everybody, said: Mapping[str, str]) -> WalkInForm:
    """The form with what was said so far, and what of it is there already. Raises Faulty."""
    values = {**dict.fromkeys(FIELDS, ""), "done": "order", **said}
    who = values["player"].strip()
    person = met(who, known.ways(who) if who else {}, known.shown, values["player_meant"])
    base = known.base(person.name)
    records = base.records
    meetings = {"player": person, "model": model_met(records, values["model"].strip(), values["model_meant"])}
    meetings |= {side: string_met(records, values[side].strip(), values[f"{side}_meant"]) for side in SIDES}
    mine = list(records.frames_of(person.name)) if person.name else []
    frames = [(e.name, f"{e.record.number} {e.record.label}".strip()) for e in mine if e.record.status == "active"]
    if len(frames) == 1 and not values["which"]:
        values["which"] = frames[0][0]
    values["model_sport"] = values["model_sport"] or usual_sport(records)
    unit = unit_of("tension", units_of(records))
    parts = (("model", model_parts), *((side, string_parts) for side in SIDES))
    understood = {name: read(values[name] if meetings[name].new else "") for name, read in parts}
    return WalkInForm(
        values=values,
        units={f"{side}_tension": unit for side in SIDES if unit},
        base=base,
        met=meetings,
        frames=frames,
        first_label=str(len(mine) + 1),
        understood=understood,
    )


def walk_in_said(form: WalkInForm, *, looking: bool) -> WalkIn:
    """What was said. What cannot be read is told at its field; so is what is lacking, unless it is only looked at."""
    return _SaidOnForm(form, looking).walk_in()


@dataclass(frozen=True, slots=True)
class _SaidOnForm:
    form: WalkInForm
    looking: bool

    def walk_in(self) -> WalkIn:
        """All of it."""
        _ = formats(self.form.base.records).words.gettext
        form, frame = self.form, self.form.frame
        for name, meeting in form.met.items():
            if meeting.undecided and not (name == "model" and frame):
                self._lacking(name, _("Say which one is meant."))
        if form.frames and not frame and form.values["which"] != NEW:
            self._lacking("which", _("Say which frame it is."))
        player, strings = self._player(), dict[str, NewString]()
        words = dict(self._strings(strings))
        if words and not frame and not self._text("mains_tension"):
            self._lacking("mains_tension", _("A tension is needed."))
        words |= dict(self._rest())
        if frame:
            return WalkIn(player, "", "", words=words, strings=strings, frame=frame)
        label = self._text("label") or form.first_label
        return WalkIn(player, self._model(), label, self._text("grip"), self._text("serial"), words, strings)

    def _player(self) -> str | NewPlayer:
        form = self.form
        if form.met["player"].name:
            return form.met["player"].name
        self._needed("player", self._text("player"))
        email = phone = ""
        try:
            email, phone = reach_of(self._text("reach"))
        except Unclear as unclear:
            form.unclear("reach", unclear)
        shop = form.base.records.workshop
        language = self._text("language") or (shop.record.language if shop else "en")
        plays = self._text("plays").replace(",", ".")
        return NewPlayer(self._text("player"), self._text("full_name"), language, email, phone, plays)

    def _model(self) -> str | NewModel:
        meeting = self.form.met["model"]
        if meeting.name:
            return meeting.name
        if not meeting.new:
            self._needed("model", self._text("model"))
            return ""
        parts = self._parts("model", MODEL_PARTS)
        return NewModel(
            parts["maker"],
            parts["name"],
            self._read("model_sport", parts["sport"], sport_of),
            self._read("model_head", parts["head"], head_read),
        )

    def _strings(self, new: dict[str, NewString]) -> Iterator[tuple[str, str]]:
        """Strings and tensions under the names that a job has, what both sides share said once; strings that are not in
        the catalogue are put into ``new``."""
        named = {side: self._string(side) for side in SIDES if self._text(side)}
        sides = ("string",) if set(named) == {"mains"} or len(set(named.values())) == 1 else tuple(named)
        for field_, string in zip(sides, named.values(), strict=False):
            if isinstance(string, NewString):
                new[field_] = string
            yield field_, string.name if isinstance(string, NewString) else string
        pulls = {f"{side}_tension": self._tension(f"{side}_tension") for side in SIDES}
        pulls = {name: text for name, text in pulls.items() if text}
        both = set(pulls) == {"mains_tension"} or len(set(pulls.values())) == 1
        yield from [("tension", next(iter(pulls.values())))] if pulls and both else pulls.items()

    def _string(self, side: str) -> str | NewString:
        meeting = self.form.met[side]
        if meeting.name or not meeting.new:
            return meeting.name or self._text(side)
        parts = self._parts(side, STRING_PARTS)
        gauge = self._read(f"{side}_gauge", parts["gauge"], gauge_read)
        return NewString(
            parts["maker"], parts["name"], gauge, self._read(f"{side}_material", parts["material"], material_read)
        )

    def _tension(self, name: str) -> str:
        text = self._text(name)
        read = reader("tension")
        assert read, "tensions are read"
        return self._read(name, lent(text, self.form.units.get(name, "")), read)

    def _rest(self) -> Iterator[tuple[str, str]]:
        """What else is said of a job that is done, or of an order."""
        for name in ("note", "price") if self.form.done else ("asked", "promised", "price"):
            text = self._text(name)
            if text and name == "promised":
                self._read(name, text, lambda said: coming_day(said, today()))
            if text:
                yield name, text

    # --- one field -----------------------------------------------------------------------------------------------

    def _text(self, name: str) -> str:
        return " ".join(self.form.values.get(name, "").split())

    def _parts(self, name: str, keys: tuple[str, ...]) -> dict[str, str]:
        """What is said of something new, by its part: in a field of its own, or in the line that names it; all is needed."""
        parts = {key: self._text(f"{name}_{key}") or self.form.understood[name].get(key, "") for key in keys}
        if name == "model" and (said := self.form.understood[name].get("sport")):
            parts["sport"] = said
        for key, text in parts.items():
            self._needed(f"{name}_{key}", text)
        return parts

    def _read(self, name: str, text: str, read: Callable[[str], object]) -> str:
        """What a field says, as it is written down; empty, and told, where it cannot be read."""
        try:
            found = read(text) if text else ""
            return found if isinstance(found, str) else text
        except Unclear as unclear:
            self.form.unclear(name, unclear)
            return ""

    def _needed(self, name: str, text: str) -> None:
        if not text:
            self._lacking(name, formats(self.form.base.records).words.gettext("This is needed."))

    def _lacking(self, name: str, words: str) -> None:
        if not self.looking:
            self.form.say(name, "bad", words, english=False)
