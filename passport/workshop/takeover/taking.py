"""A whole table taken over: its rows, what their names mean, what is ready to be written, and what a person must decide."""

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from passport.records.tables.cells import Sheet, Spreadsheet
from passport.workshop.entry.naming import folded as plain
from passport.workshop.entry.newcomers import SPORTS, gauge_of, head_of, material_of
from passport.workshop.takeover.columns import TableGuess, decided_ways, guessed
from passport.workshop.takeover.decisions import Asks, ImportDecisions, SheetDecision
from passport.workshop.takeover.fields import TENSIONS, WITH_UNITS
from passport.workshop.takeover.folding import gauge_in, same_key, with_gauge, without_gauge
from passport.workshop.takeover.frames import FrameMeant, KnownFrame, RowNames, frames_of, models_named
from passport.workshop.takeover.naming import KnownName, Meant, NameQuestion, NamesTold, WrittenName, told
from passport.workshop.takeover.pastrows import PastRow, rows_of

_BETWEEN = re.compile(r"\s*[/+&]\s*|\s+\|\s+")


@dataclass(frozen=True, slots=True)
class KnownShop:
    """What the records have that a table may name."""

    players: tuple[KnownName, ...] = ()
    racquets: tuple[KnownName, ...] = ()
    strings: tuple[KnownName, ...] = ()
    frames: tuple[KnownFrame, ...] = ()
    models: Mapping[str, str] = field(default_factory=dict)
    """The models' own names, by their names in the catalogue."""
    makers: tuple[str, ...] = ()
    sport: str = ""
    """The sport of all frame models, where they are all of one."""


@dataclass(frozen=True, slots=True)
class ReadyRow:
    """A row that is certain in all it says: its frame, and what the names of its strings mean."""

    row: PastRow
    player: Meant
    racquet: Meant | None
    frame: FrameMeant
    mains: Meant | None
    crosses: Meant | None


@dataclass(frozen=True, slots=True)
class Takeover:
    """What becomes of a table: how its sheets are read, the rows that are ready, and what waits for a person.

    ``open_rows`` are rows with what is not plain in them; ``waiting`` those that wait for the answer to a question about a
    name; ``left_out`` those that are none of a job, or that a person left out.
    """

    guesses: tuple[TableGuess, ...]
    skipped: tuple[Sheet, ...]
    ready: tuple[ReadyRow, ...]
    open_rows: tuple[PastRow, ...]
    waiting: tuple[PastRow, ...]
    left_out: tuple[PastRow, ...]
    questions: Mapping[Asks, tuple[NameQuestion, ...]]
    unsaid: tuple[tuple[str, str, str], ...]
    """What a person must say of a whole column: sheet, field or sign of days, and why."""

    @property
    def readable(self) -> bool:
        """Whether some sheet tells whose racquet was strung when."""
        return any(not guess.lacking for guess in self.guesses)

    @property
    def several(self) -> bool:
        """Whether rows of more than one sheet are taken, so that a row needs its sheet's name."""
        return len(self.guesses) > 1

    @property
    def rows(self) -> int:
        """How many rows hold something, headings and what stands above them left out."""
        return sum(len(rows) for rows in (self.ready, self.open_rows, self.waiting, self.left_out))


def take_over(book: Spreadsheet, decisions: ImportDecisions, known: KnownShop, today: date) -> Takeover:
    """What becomes of a table, by what has been decided so far."""
    guesses, skipped = _sheets(book, decisions)
    seen: Counter[str] = Counter()
    rows = [row for guess in guesses if not guess.lacking for row in rows_of(guess, decisions, today, seen)]
    plain = [row for row in rows if not row.left_out and not row.troubles]
    # A row that is not plain tells how names are written all the same.
    telling = [row for row in rows if not row.left_out]
    names = {
        "players": _players(telling, known, decisions),
        "racquets": _racquets(telling, known, decisions),
        "strings": _strings(telling, known, decisions),
    }
    ready, waiting, left, asked = _joined(plain, names, known, decisions)
    troubled = [row for row in rows if row.troubles and not row.left_out]
    ready, doubled = _once(ready)
    questions: dict[Asks, tuple[NameQuestion, ...]] = {
        "players": names["players"].questions, "racquets": names["racquets"].questions,
        "strings": names["strings"].questions, "frames": tuple(asked),
    }  # fmt: skip
    return Takeover(
        guesses, skipped, tuple(ready), tuple(sorted([*troubled, *doubled], key=_place)), tuple(waiting),
        tuple(sorted([*left, *(row for row in rows if row.left_out)], key=_place)), questions,
        tuple(unsaid for guess in guesses for unsaid in _unsaid(guess, decisions)),
    )  # fmt: skip


def _place(row: PastRow) -> tuple[str, int]:
    return row.sheet, row.number


def _sheets(book: Spreadsheet, decisions: ImportDecisions) -> tuple[tuple[TableGuess, ...], tuple[Sheet, ...]]:
    """The sheets that are read, each with how; and those that hold something and are not."""
    guesses, skipped = [], []
    for sheet in book.sheets:
        decided = decisions.sheets.get(sheet.name)
        if not sheet.rows:
            continue
        said = decided or SheetDecision()
        guess = guessed(sheet, heading=said.heading, said=dict(said.columns), units=dict(said.units))
        use = said.use if decided else not sheet.hidden and (not guess.lacking or len(book.sheets) == 1)
        if use:
            guesses.append(guess)
        else:
            skipped.append(sheet)
    if not guesses:
        first = max(skipped, key=lambda sheet: len(sheet.rows), default=None)
        guesses = [guessed(first)] if first else []
    return tuple(guesses), tuple(sheet for sheet in skipped if all(sheet != guess.sheet for guess in guesses))


def _unsaid(guess: TableGuess, decisions: ImportDecisions) -> Iterator[tuple[str, str, str]]:
    name = guess.sheet.name
    decided = decisions.sheets.get(name, SheetDecision())
    for field_name in WITH_UNITS:
        if field_name in guess.units and not guess.units[field_name]:
            lent = field_name in TENSIONS[1:] and guess.units.get("tension")
            if not lent:
                yield name, field_name, "bare figures, and nothing tells their unit"
    for sign, order, why in decided_ways(guess, dict(decided.dates)):
        if order is None and not why.startswith("both"):
            yield name, sign, why


# --- names ----------------------------------------------------------------------------------------------------------


def _written(
    rows: Sequence[PastRow], texts: Callable[[PastRow], Iterable[str]], fields: Sequence[str]
) -> list[WrittenName]:
    """Each name that rows have, empty ones left out: where it stands, and what the rows say of it in some other fields."""
    places: dict[str, list[int]] = defaultdict(list)
    said: dict[str, dict[str, str]] = defaultdict(dict)
    for row in rows:
        for text in filter(None, texts(row)):
            places[text].append(row.number)
            said[text] |= {name: row.says(name) for name in fields if row.says(name)}
    return [WrittenName(text, tuple(numbers), said[text]) for text, numbers in places.items()]


def _players(rows: Sequence[PastRow], known: KnownShop, decisions: ImportDecisions) -> NamesTold:
    def fresh(name: WrittenName, more: Mapping[str, str]) -> tuple[dict[str, str], list[str]]:
        return {"name": name.text, **name.said, **more}, []

    written = _written(rows, lambda row: [row.customer], ("email", "phone"))
    return told(written, known.players, lambda text: decisions.name("players", text), fresh)


def racquet_text(row: PastRow) -> str:
    """What a row calls the racquet, with the maker of its own column before it."""
    racquet, maker = row.says("racquet"), row.says("maker")
    return f"{maker} {racquet}" if maker and racquet and not same_key(racquet).startswith(same_key(maker)) else racquet


def _racquets(rows: Sequence[PastRow], known: KnownShop, decisions: ImportDecisions) -> NamesTold:
    def fresh(name: WrittenName, more: Mapping[str, str]) -> tuple[dict[str, str], list[str]]:
        maker = name.said.get("maker") or _maker_in(name.text, known.makers)
        own = name.said.get("racquet") or name.text
        new = {
            "maker": maker,
            "name": own,
            "sport": name.said.get("sport", ""),
            "head": name.said.get("head", ""),
            **more,
        }
        new["name"] = _own_name(new["name"], new["maker"])
        new |= {"sport": SPORTS.get(plain(new["sport"]), ""), "head": head_of(new["head"])}
        lacking = [each for each in ("maker", "name", "sport", "head") if not new.get(each)]
        # A shop of one sport has it offered; it is no fact until somebody agrees.
        return {**new, "sport": new["sport"] or known.sport}, lacking

    written = _written(rows, lambda row: [racquet_text(row)], ("maker", "sport", "head", "racquet"))
    return told(written, known.racquets, lambda text: decisions.name("racquets", text), fresh)


def _own_name(name: str, maker: str) -> str:
    """A name without its maker's before it."""
    begins = maker and same_key(name).startswith(f"{same_key(maker)} ")
    return name[len(maker) :].strip(" -,") if begins else name


def _maker_in(text: str, makers: Sequence[str]) -> str:
    key = same_key(text)
    return max((maker for maker in makers if key.startswith(f"{same_key(maker)} ")), key=len, default="")


# --- strings --------------------------------------------------------------------------------------------------------


def string_key(text: str) -> str:
    """A string's name as it is compared: without case and punctuation, its thickness in one way."""
    name, gauge = same_key(without_gauge(text)), gauge_in(text)
    return f"{name} {gauge}".strip() if gauge else same_key(with_gauge(text))


def string_texts(row: PastRow, known: set[str]) -> tuple[str, str]:
    """The strings of mains and crosses as a row names them; the second is empty where one serves for both.

    ``known`` are keys of whole names, in which a stroke is no sign between two.
    """
    mains, crosses = row.says("mains") or row.says("string"), row.says("crosses")
    parts = [part for part in _BETWEEN.split(mains) if re.search(r"[^\W\d_]", part)]
    if not crosses and string_key(mains) not in known and len(parts) == 2 and len(_BETWEEN.split(mains)) == 2:
        mains, crosses = parts
    whole = [_whole_name(row, text) if text else "" for text in (mains, crosses)]
    return whole[0], whole[1] if string_key(whole[1]) != string_key(whole[0]) else ""


def _whole_name(row: PastRow, text: str) -> str:
    """A string's name with the thickness and maker of their own columns."""
    maker, gauge = row.says("string_maker"), row.says("gauge")
    if maker and not same_key(text).startswith(same_key(maker)):
        text = f"{maker} {text}"
    found = gauge_in(gauge)
    return f"{text} {found.removesuffix(' mm')}" if found and not gauge_in(text) else text


def _strings(rows: Sequence[PastRow], known: KnownShop, decisions: ImportDecisions) -> NamesTold:
    keys = _known_keys(known)

    def fresh(name: WrittenName, more: Mapping[str, str]) -> tuple[dict[str, str], list[str]]:
        maker = name.said.get("string_maker") or _maker_in(name.text, known.makers)
        own = without_gauge(name.text) or name.text
        new = {
            "maker": maker,
            "name": own,
            "material": name.said.get("material", ""),
            "gauge": gauge_in(name.text) or name.said.get("gauge", ""),
            **more,
        }
        new["name"] = _own_name(new["name"], new["maker"])
        new |= {"material": material_of(new["material"]), "gauge": gauge_of(new["gauge"])}
        return new, [each for each in ("maker", "name", "material", "gauge") if not new.get(each)]

    written = _written(rows, lambda row: string_texts(row, keys), ("string_maker", "material", "gauge"))
    return told(written, known.strings, lambda text: decisions.name("strings", text), fresh, string_key)


def _known_keys(known: KnownShop) -> set[str]:
    return {string_key(form) for each in known.strings for form in each.called}


# --- all of it together ---------------------------------------------------------------------------------------------


def _joined(
    rows: Sequence[PastRow], names: Mapping[str, NamesTold], known: KnownShop, decisions: ImportDecisions
) -> tuple[list[ReadyRow], list[PastRow], list[PastRow], list[NameQuestion]]:
    """The rows whose names are all certain, those that wait, those left out, and what is asked about their frames."""
    keys = _known_keys(known)
    sure: list[tuple[RowNames, Meant | None, Meant | None]] = []
    waiting: list[PastRow] = []
    left: list[PastRow] = []
    for row in rows:
        strings = string_texts(row, keys)
        found = [
            names["players"].meant.get(same_key(row.customer)),
            names["racquets"].meant.get(same_key(racquet_text(row))) if racquet_text(row) else Meant(),
            *(names["strings"].meant.get(string_key(text)) if text else Meant() for text in strings),
        ]
        whole = [each for each in found if each is not None]
        if any(each.left for each in whole):
            left.append(replace(row, left_out="you left out a name in it"))
        elif len(whole) < len(found):
            waiting.append(row)
        else:
            player, racquet, mains, crosses = whole
            model = models_named(known.models, racquet) if racquet.ref else ""
            sure.append(
                (
                    RowNames(row, player, racquet if racquet.ref else None, model),
                    mains if mains.ref else None,
                    crosses if crosses.ref else None,
                )
            )
    frames, asked = frames_of([each for each, _, _ in sure], known.frames, decisions)
    ready = []
    for each, mains_of, crosses_of in sure:
        frame = frames.get(each.row.line)
        if frame is None:
            waiting.append(each.row)
        elif frame.left:
            left.append(replace(each.row, left_out="you left out its frame"))
        else:
            ready.append(ReadyRow(each.row, each.player, each.racquet, frame, mains_of, crosses_of))
    return ready, sorted(waiting, key=_place), left, asked


def _once(rows: Sequence[ReadyRow]) -> tuple[list[ReadyRow], list[PastRow]]:
    """Of rows that string one frame twice on a day the first; the others with that as what is not plain in them."""
    seen: dict[tuple[str, date | None], PastRow] = {}
    kept, doubled = [], []
    for each in rows:
        row, place = each.row, (each.frame.ref, each.row.day)
        first = seen.get(place) if row.tensions[0] else None
        if first is None:
            if row.tensions[0]:
                seen[place] = row
            kept.append(each)
            continue
        same = (first.tensions, first.texts.get("string")) == (row.tensions, row.texts.get("string"))
        what = "says the same as" if same else "is another stringing of this frame on the day of"
        do = "Leave it out, or give another racquet a mark of its own: {label: II}."
        doubled.append(replace(row, troubles=(f"row {row.number}: it {what} row {first.number}. {do}",)))
    return kept, doubled
