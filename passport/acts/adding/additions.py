"""New players, frames, frame models and strings, gathered into one change of records and ledger.

A walk-in adds one of each, a spreadsheet hundreds: what is added is known at once to what is added after it. Names of
folders, files and entries are made here, and nobody is asked for them.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.frames.issue import FIRST, SITE, highest_issued
from passport.acts.refused import Refused
from passport.records.disk import walking
from passport.records.language.worded import worded
from passport.records.ledger.ledger import ISSUED, LedgerLine
from passport.records.schema import numbers
from passport.records.schema.as_printed import read_gauge
from passport.records.yaml.appending import with_entry
from passport.records.yaml.edit import with_first_lines
from passport.records.yaml.newrecord import frame_text, frame_values, player_text
from passport.workshop.entry.naming import latin, made_name
from passport.workshop.entry.newcomers import NewFrame, NewModel, NewPlayer, NewString

STRINGS, MODELS = "catalogue/strings.yaml", "catalogue/frames.yaml"
_RESERVED = "player"
"""The file beside a player's frames that is the player's own."""


@dataclass
class FreshKeys:
    """Fresh keys by what they are for, the same each time a change is worked out."""

    make: Callable[[], str] = numbers.new_key
    _known: dict[str, str] = field(default_factory=dict)

    def of(self, what: str) -> str:
        """The key of a player or a frame, by its folder or its ``player/frame``."""
        if what not in self._known:
            self._known[what] = self.make()
        return self._known[what]


@dataclass
class Additions:
    """What is added to the records, worked out from ``base``; ``site`` is the last one, which knows numbers too.

    Each method returns the name that it made, under which what is added later can speak of it. Raises Refused where the
    records cannot take it, and `CannotEdit`.
    """

    base: Base
    keys: FreshKeys
    site: Path = SITE
    files: dict[str, str] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)
    """What is added, a line each, for a person to look at."""
    _lines: list[LedgerLine] = field(default_factory=list)
    _names: dict[str, set[str]] = field(default_factory=dict)
    _last: int | None = None
    """The running number that was given out last."""

    def string(self, new: NewString) -> str:
        """Add a string to the catalogue. All four of its fields are needed."""
        _refuse_lacking("string", new.lacking)
        name = self._made(STRINGS, string_words(new), "string", self.base.records.strings)
        tree = {"maker": new.maker, "name": new.name, "material": new.material, "gauge": new.gauge}
        self._enter(STRINGS, name, tree)
        self.said.append(
            worded(
                "New string: {maker} {new}, {gauge}, {material}",
                maker=new.maker,
                new=new.name,
                gauge=new.gauge,
                material=new.material,
            )
        )
        return name

    def model(self, new: NewModel) -> str:
        """Add a frame model to the catalogue, with what is printed on it and nothing else."""
        _refuse_lacking(worded("frame model"), new.lacking)
        name = self._made(MODELS, f"{new.maker} {new.name}", "frame", self.base.records.models)
        self._enter(MODELS, name, {"maker": new.maker, "name": new.name, "sport": new.sport, "head": new.head})
        self.said.append(
            worded(
                "New frame model: {maker} {new}, {sport}, {head}",
                maker=new.maker,
                new=new.name,
                sport=new.sport,
                head=new.head,
            )
        )
        return name

    def player(self, new: NewPlayer, *, published: bool = True, folder: str = "") -> str:
        """Add a player with the key of the player's page; the folder is named after the name, or after ``folder``.

        One who is not ``published`` has no key, and so no page, until a frame of theirs gets its number.
        """
        if not new.name.strip():
            raise Refused(worded("A player has a name: write it as the pages are to show it."))
        name = self._made("players", folder or new.name, "player", self._folders())
        path, key = f"players/{name}/player.yaml", self.keys.of(name) if published else ""
        self._text(path)
        self.files[path] = player_text(
            new.name, key, new.language, full_name=new.full_name,
            contact={"email": new.email, "phone": new.phone}, plays_a_week=new.plays_a_week,
        )  # fmt: skip
        if published:
            self._lines.append(LedgerLine(ISSUED, key, "player", address=self._address))
        reach = ", ".join(filter(None, (new.email, new.phone)))
        self.said.append(", ".join(filter(None, (worded("New player: {new}", new=new.name), reach))))
        return name

    def frame(self, new: NewFrame) -> str:
        """Add a frame of a player who is there, or was added before: with its number and key, ``player/frame``."""
        player = new.player
        self._player_key(player)
        record = made_name(new.label, self._frames_of(player), "frame")
        self._names[player].add(record)
        name, number = f"{player}/{record}", self._next_number()
        path, key = f"players/{name}.yaml", self.keys.of(name)
        self._text(path)
        values = frame_values(
            number, key, model=new.model, label=new.label, serial=new.serial, grip=new.grip, since=today()
        )
        self.files[path] = frame_text(values)
        self._lines.append(LedgerLine(ISSUED, key, "frame", number, self._address))
        self.said.append(
            worded("New frame: {number} {label} ({model})", number=number, label=new.label, model=new.model)
        )
        return name

    def past_frame(self, new: NewFrame) -> str:
        """Add a frame that was here once, ``player/frame``: without a number, and so without a page, until it comes again.
        Since when it is its player's nobody said."""
        record = made_name(new.label, self._frames_of(new.player), "frame")
        self._names[new.player].add(record)
        name = f"{new.player}/{record}"
        self._text(f"players/{name}.yaml")
        values = frame_values("", "", model=new.model, label=new.label, serial=new.serial, grip=new.grip)
        self.files[f"players/{name}.yaml"] = frame_text(values)
        self.said.append(worded("New frame: {name} {label} ({model})", name=name, label=new.label, model=new.model))
        return name

    def number_of(self, name: str) -> str:
        """The passport number that a frame added here has."""
        key = self.keys.of(name)
        return next(line.number for line in self._lines if line.key == key)

    def text(self, path: str) -> str:
        """A file below the content folder as it will be, empty where there is none."""
        return self._text(path)

    def put(self, path: str, text: str) -> None:
        """Have a file say something else than it would: what comes of a frame that was added, such as its first job."""
        self._text(path)
        self.files[path] = text

    def ledger_lines(self) -> tuple[LedgerLine, ...]:
        """Lines for the ledger: what is given out here, and whatever the content has that the ledger lacks."""
        if not self._lines:
            return ()
        known = self.base.ledger()
        fresh = [*known.unlisted(self.base.records), *self._lines]
        return tuple({line.key: line for line in fresh}.values())

    def change(self, summary: str, shown: Iterable[str] = ()) -> Change:
        """All of it as one change; ``shown`` are lines for a person behind those of what is added."""
        order = sorted(self.files, key=lambda path: (not path.startswith("catalogue/"), "/player.yaml" not in path))
        files = {path: self.files[path] for path in order}
        return Change(files, "\n".join([*self.said, *shown]), issued=self.ledger_lines(), summary=summary)

    # --- what is there -----------------------------------------------------------------------------------------

    @property
    def _address(self) -> str:
        workshop = self.base.records.workshop
        return workshop.record.address if workshop else ""

    def _text(self, path: str) -> str:
        """What a file will say so far; it is remembered as read, so that nobody else's change of it is lost."""
        there = self.base.text(path)
        return self.files.get(path, there or "")

    def _enter(self, path: str, name: str, tree: dict[str, str]) -> None:
        self.files[path] = with_entry(self._text(path), name, tree)

    def _made(self, kind: str, words: str, otherwise: str, there: Collection[str]) -> str:
        taken = self._names.setdefault(kind, {*there, *self._unread(kind)})
        name = made_name(words, taken, otherwise)
        taken.add(name)
        return name

    def _unread(self, kind: str) -> set[str]:
        """Names of the catalogue that stand in its file but could not be read."""
        word = {STRINGS: "string ", MODELS: "model "}.get(kind)
        return {name.removeprefix(word) for name in self.base.records.unread if word and name.startswith(word)}

    def _folders(self) -> set[str]:
        """Every folder of a player, those that were not read among them."""
        return {path.name.lower() for path in walking.listed(self.base.records.root / "players")}

    def _frames_of(self, player: str) -> set[str]:
        return self._names.setdefault(player, frame_names(self.base.records.root, player))

    def _player_key(self, player: str) -> None:
        """See to it that a player has a key, as the player's page has none otherwise. Raises Refused."""
        path = f"players/{player}/player.yaml"
        if path in self.files:
            return
        owner = self.base.records.players.get(player)
        if owner is None:
            raise Refused(
                worded("The record of the player '{player}' cannot be read. Run 'passport check' first.", player=player)
            )
        if not owner.record.key:
            self.files[path] = with_first_lines(self._text(path), {"key": self.keys.of(player)})
            self._lines.append(LedgerLine(ISSUED, self.keys.of(player), "player", address=self._address))

    def _next_number(self) -> str:
        if self._last is None:
            used = numbers.highest(e.record.number for e in self.base.records.frames.values())
            self._last = max(used, highest_issued(self.base, self.site), FIRST - 1)
        self._last += 1
        return numbers.with_check(self._last)


def frame_names(root: Path, player: str) -> set[str]:
    """The names that files in a player's folder have, and those that no frame may have."""
    folder = root / "players" / player
    return {_RESERVED, *(path.stem.lower() for path in (walking.listed(folder) if folder.is_dir() else ()))}


def string_words(new: NewString) -> str:
    """What a string's name in the catalogue is made of: its own name and its thickness, in hundredths of a mm."""
    spelled = latin(new.name)
    hundredths = str(round(100 * read_gauge(new.gauge).value))
    shown = (hundredths, f"{hundredths[:-2]}-{hundredths[-2:]}")
    for form in shown:
        if spelled.endswith(f"-{form}"):
            spelled = spelled.removesuffix(f"-{form}")
    return f"{spelled} {hundredths}"


def _refuse_lacking(what: str, lacking: Collection[str]) -> None:
    if lacking:
        raise Refused(
            worded(
                "A {what} that is not in the catalogue needs {lacking} too.", what=what, lacking=" and ".join(lacking)
            )
        )
