"""The rows of a table: what each says of one job, or why it cannot be told, with the cell and what would fit."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from passport.records.tables.cells import EMPTY, TableCell, letters
from passport.workshop.takeover.columns import TableGuess, decided_ways, is_heading
from passport.workshop.takeover.dates import Order, Unsure, read_day
from passport.workshop.takeover.decisions import AS_IT_IS, LEAVE_OUT, ImportDecisions, RowDecision, SheetDecision
from passport.workshop.takeover.fields import BY_NAME, DITTO, SUM_WORDS, TENSIONS, WITH_UNITS
from passport.workshop.takeover.figures import figure, tensions
from passport.workshop.takeover.folding import folded, turned

TEXTS = ("racquet", "maker", "label", "serial", "grip", "sport", "head", "string", "mains", "crosses",
         "string_maker", "gauge", "material", "price", "email", "phone", "number")  # fmt: skip
_NUMBERS_TOO = (
    "label",
    "serial",
    "grip",
    "head",
    "gauge",
    "price",
    "phone",
    "number",
    "racquet",
    "string",
    "mains",
    "crosses",
)
MEASURES = ("mass", "balance", "swingweight", "ring")


@dataclass(frozen=True, slots=True)
class PastRow:
    """One row: where it stands, its whole text, and what it says.

    ``troubles`` are sentences on what is not plain; ``left_out`` says why a row is none of a job, as a sum or headings
    that stand again; ``sure`` that a person has looked at it and agreed.
    """

    sheet: str
    number: int
    line: str
    customer: str = ""
    day: date | None = None
    texts: Mapping[str, str] = field(default_factory=dict)
    tensions: tuple[str, str] = ("", "")
    measures: Mapping[str, str] = field(default_factory=dict)
    remark: str = ""
    note: str = ""
    troubles: tuple[str, ...] = ()
    left_out: str = ""
    sure: bool = False
    marked: bool = False
    """Whether a person has given its racquet a mark, which then is one of its own."""

    def says(self, name: str) -> str:
        """The text of a field; empty where the row says nothing."""
        return self.texts.get(name, "")


def rows_of(guess: TableGuess, decisions: ImportDecisions, today: date, seen: Counter[str]) -> Iterator[PastRow]:
    """The rows below the headings of a sheet, empty ones left out; ``seen`` counts the lines of all sheets so far."""
    decided = decisions.sheets.get(guess.sheet.name, SheetDecision())
    ways = {sign: order for sign, order, _ in decided_ways(guess, dict(decided.dates))}
    for number in range(guess.heading + 1, len(guess.sheet.rows) + 1):
        cells = guess.sheet.rows[number - 1]
        if not any(cell.text for cell in cells):
            continue
        line = line_of(cells)
        seen[line] += 1
        # Rows that say the same to the letter are told apart by their order.
        line = line if seen[line] == 1 else f"{line} [{seen[line]}]"
        yield _RowReader(guess, number, line, decisions.row(line), ways, today).row()


def line_of(cells: tuple[TableCell, ...]) -> str:
    """A row's text on one line, as it is shown and remembered."""
    return " | ".join(" ".join(cell.text.split()) for cell in cells)[:400]


@dataclass(slots=True)
class _RowReader:
    guess: TableGuess
    number: int
    line: str
    decision: RowDecision
    ways: Mapping[str, Order | None]
    today: date
    troubles: list[str] = field(default_factory=list)

    def row(self) -> PastRow:
        sheet = self.guess.sheet.name
        if self.decision.decide == LEAVE_OUT:
            return PastRow(sheet, self.number, self.line, left_out="you left it out")
        sure = self.decision.decide == AS_IT_IS
        if not self.decision.cells and not sure and (why := self._no_job()):
            return PastRow(sheet, self.number, self.line, left_out=why)
        customer, day = self._customer(), self._day()
        texts = {name: text for name in TEXTS if (text := self._text(name))}
        pulled, measures = self._tensions(), self._measures()
        remark, note = self._joined("remark"), self._joined("note")
        self._whole(texts, pulled, any((measures, remark, note)))
        return PastRow(
            sheet, self.number, self.line, customer, day, texts, pulled, measures, remark, note, tuple(self.troubles),
            sure=sure, marked=bool({"label", "serial"} & self.decision.cells.keys()),
        )  # fmt: skip

    def _no_job(self) -> str:
        """Why a row is none of a job; empty where it may be one."""
        cells = self.guess.sheet.rows[self.number - 1]
        filled = [cell for cell in cells if cell.text and not cell.spread]
        if is_heading(cells):
            return "the headings again"
        words = {(folded(cell.text).split() or [""])[0] for cell in filled} | {folded(cell.text) for cell in filled}
        dated = any(self._cell(column.at).text for column in self.guess.at("date"))
        if words & SUM_WORDS and not dated:
            return "a sum"
        if len(filled) == 1 and filled[0].kind != "formula":
            return "one cell alone"
        return ""

    def _cell(self, at: int) -> TableCell:
        return self.guess.sheet.cell(self.number, at)

    def _found(self, name: str) -> tuple[TableCell, str]:
        """A field's cell, as decided or as it stands, and its place for a message."""
        for column in self.guess.at(name):
            place = f"{letters(column.at)}{self.number}"
            if name in self.decision.cells:
                return TableCell(self.decision.cells[name]), place
            cell = self._cell(column.at)
            if cell.text or not BY_NAME[name].many:
                return cell, place
        return TableCell(self.decision.cells.get(name, "")), f"row {self.number}"

    def _trouble(self, place: str, what: str) -> None:
        self.troubles.append(f"{place}: {what}")

    def _usable(self, name: str) -> tuple[TableCell, str] | None:
        """A field's cell where it holds something that can be read; a trouble where it holds a formula, an error, a ditto."""
        cell, place = self._found(name)
        if not cell.text:
            return None
        says = BY_NAME[name].says
        if cell.kind == "formula":
            self._trouble(
                place, f"a formula, '{cell.text[:40]}', of which the file holds no result. Write {says} itself."
            )
        elif cell.kind == "error":
            self._trouble(place, f"the error '{cell.text[:20]}' stands here. Write {says}.")
        elif cell.text.casefold() in DITTO:
            self._trouble(place, f"'{cell.text}' says: as above. Write {says} itself.")
        else:
            return cell, place
        return None

    def _customer(self) -> str:
        before = len(self.troubles)
        parts = []
        for name in (
            ("customer",)
            if self.guess.at("customer") or "customer" in self.decision.cells
            else ("first_name", "last_name")
        ):
            found = self._usable(name)
            if found and (found[0].kind == "number" or found[0].day):
                self._trouble(found[1], f"'{found[0].text}' is a figure, and no customer. Write whose racquet it is.")
            elif found:
                parts.append(found[0].text)
        if not parts and len(self.troubles) == before:
            _, place = self._found("customer" if self.guess.at("customer") else "last_name")
            self._trouble(place, "no customer is named, and an owner is never guessed. Write whose racquet it is.")
        return turned(" ".join(parts))

    def _day(self) -> date | None:
        cell, place = self._found("date")
        if cell.kind in ("formula", "error"):
            self._usable("date")
            return None
        try:
            return read_day(cell if cell.text else EMPTY, self.ways, self.today)
        except Unsure as unsure:
            self._trouble(place, str(unsure))
            return None

    def _text(self, name: str) -> str:
        found = self._usable(name)
        if not found:
            return ""
        cell, place = found
        if cell.day or (cell.kind == "number" and name not in _NUMBERS_TOO):
            self._trouble(place, f"'{cell.text}' is a {'day' if cell.day else 'figure'}. Write {BY_NAME[name].says}.")
            return ""
        return " ".join(cell.text.split())

    def _tensions(self) -> tuple[str, str]:
        pulled = {}
        for name in TENSIONS:
            found = self._usable(name)
            if found:
                try:
                    pulled[name] = tensions(found[0], self.guess.units.get(name) or self.guess.units.get("tension", ""))
                except Unsure as unsure:
                    self._trouble(found[1], str(unsure))
        both, mains, crosses = (pulled.get(name) for name in TENSIONS)
        if both and not (mains or crosses):
            return both.mains, both.crosses
        one = mains or both
        if one and one.crosses and crosses:
            self._trouble(f"row {self.number}", "the crosses' tension stands here twice. Write it once.")
        if not one and crosses:
            self._trouble(f"row {self.number}", "only the crosses have a tension. Write that of the mains, too.")
        return (one.mains if one else ""), (crosses.mains if crosses else one.crosses if one else "")

    def _measures(self) -> dict[str, str]:
        said = {}
        for name in MEASURES:
            found = self._usable(name)
            if found:
                try:
                    said[name] = figure(found[0], self.guess.units.get(name, ""), WITH_UNITS[name])
                except Unsure as unsure:
                    self._trouble(found[1], str(unsure))
        return said

    def _joined(self, name: str) -> str:
        """The texts of all columns of a field, each with its heading where there are several."""
        if name in self.decision.cells:
            return self.decision.cells[name]
        columns = self.guess.at(name)
        found = [(column.heading, self._cell(column.at)) for column in columns]
        texts = [(heading, cell.text) for heading, cell in found if cell.text and cell.kind not in ("formula", "error")]
        if len(columns) == 1:
            return texts[0][1] if texts else ""
        return "; ".join(f"{heading}: {text}" if heading else text for heading, text in texts)

    def _whole(self, texts: Mapping[str, str], pulled: tuple[str, str], more: bool) -> None:
        """A job of strings has a string and a tension; a row that says neither must say something else."""
        string = texts.get("string") or texts.get("mains")
        place = f"row {self.number}"
        if self.troubles:
            return  # what is missing may be what could not be read
        if string and not pulled[0]:
            self._trouble(place, f"a string, '{string[:40]}', but no tension. Write it, as in 24.5 kg.")
        elif pulled[0] and not string:
            self._trouble(place, "a tension, but no string. Write which string it was.")
        elif texts.get("crosses") and self.guess.at("crosses_tension") and not pulled[1]:
            self._trouble(place, "another string in the crosses, whose tension has a column and is not said. Write it.")
        elif texts.get("crosses") and not string:
            self._trouble(place, "the crosses' string alone. Write that of the mains, too.")
        elif not string and not more:
            self._trouble(place, "it says nothing that could be recorded.")
