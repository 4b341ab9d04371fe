"""A past spreadsheet as rows of what is said of jobs: a table in CSV and a mapping of its columns. Pure: bytes in.

A cell is text, whatever it looks like; ``=``, ``+``, ``-`` or ``@`` in front of it mean nothing.
"""

import csv
import io
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict

from passport.records.language.worded import worded
from passport.records.schema.base import Text, refuse
from passport.workshop.entry.job_from_text import FIELDS, Said
from passport.workshop.entry.phrases import Unclear, is_change

LARGEST = 20_000_000
LISTED = ("fit", "remove", "repair")
_DELIMITERS = ",;\t|"
_MARKED = re.compile(r"'(?=[=+@-])")
_FORMULA_TEXT = re.compile(r'="((?:[^"]|"")*)"')
_FIGURE = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?(?:\s*/\s*[0-9]+(?:[.,][0-9]+)?)?")
"""A bare figure, or two for mains and crosses."""
_TENSIONS = ("mains_tension", "crosses_tension")
_DATE_WORDS = {"year": "%Y", "yy": "%y", "month": "%m", "day": "%d"}


def _known_fields(columns: dict[str, str]) -> dict[str, str]:
    for name in columns:
        if name not in FIELDS:
            raise refuse(
                "unknown-key",
                worded("'{name}' is nothing that a job has.", name=name),
                worded("Use one of: {fields}.", fields=", ".join(FIELDS)),
            )
    return columns


def _date_form(text: str) -> str:
    parts = re.findall(r"[a-z]+", text)
    if sorted(parts) not in (["day", "month", "year"], ["day", "month", "yy"]):
        do = worded(
            "Write it as in 'day.month.year', 'month/day/year' or 'year-month-day'; 'yy' is a year of two digits."
        )
        raise refuse("bad-date", worded("'{text}' does not say how dates are written.", text=text[:40]), do)
    return text


Columns = Annotated[dict[str, Text], AfterValidator(_known_fields)]


class TableMap(BaseModel):
    """Which column holds what: our words on the left, the table's headings on the right.

    A frame is named by one column (``frame``: number or player/frame) or by two (``player`` and ``label``). ``units`` are
    those of bare figures, by field; ``words`` what a cell says and what is meant, by field.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)

    date: Text
    dates: Annotated[Text, AfterValidator(_date_form)] = "year-month-day"
    frame: Text = ""
    player: Text = ""
    label: Text = ""
    columns: Columns
    units: Columns = {}
    words: dict[str, dict[str, Text]] = {}
    delimiter: Text = ""
    encoding: Text = ""

    @property
    def headings(self) -> tuple[str, ...]:
        """The headings that the table must have."""
        return tuple(filter(None, (self.date, self.frame, self.player, self.label, *self.columns.values())))

    def unit(self, name: str) -> str:
        """The unit of a field's bare figures; that of ``tension`` stands for mains and crosses where they have none."""
        return self.units.get(name) or (self.units.get("tension", "") if name in _TENSIONS else "")


@dataclass(frozen=True, slots=True)
class JobRow:
    """One row: its number as a spreadsheet counts, the frame as it is named there, the day, and what is said.

    ``problem`` says why it does not fit, in a sentence; the rest is then empty.
    """

    number: int
    frame: str = ""
    day: date | None = None
    phrases: Said | None = None
    problem: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table that was read: its rows, and how it was read."""

    rows: tuple[JobRow, ...]
    encoding: str
    delimiter: str


def read_table(data: bytes, wanted: TableMap) -> Table:
    """Read a table. Raises `Unclear` where it cannot be read as one, or lacks a heading."""
    if len(data) > LARGEST:
        raise Unclear(
            worded(
                "The table is {data:.0f} MB large; at most {largest:.0f} MB are read. Split it.",
                data=len(data) / 1e6,
                largest=LARGEST / 1e6,
            )
        )
    text, encoding = _decoded(data, wanted.encoding)
    delimiter = wanted.delimiter.replace("tab", "\t") or _delimiter(text, wanted)
    try:
        cells = [list(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=False)]
    except (csv.Error, TypeError) as error:
        raise Unclear(worded("The table cannot be read: {error}.", error=error)) from None
    if not cells:
        raise Unclear(worded("The table is empty."))
    places = _places(cells[0], wanted)
    rows = (
        _row(n, row, len(cells[0]), places, wanted)
        for n, row in enumerate(cells[1:], start=2)
        if any(map(str.strip, row))
    )
    return Table(tuple(rows), encoding, delimiter)


def _decoded(data: bytes, encoding: str) -> tuple[str, str]:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encoding = "utf-16"
    for name in [encoding] if encoding else ["utf-8-sig", "cp1252"]:
        try:
            return data.decode(name), name.removesuffix("-sig")
        except (UnicodeDecodeError, LookupError):
            continue
    raise Unclear(
        worded(
            "The table is not text in {value}. Name its encoding in the mapping.",
            value=encoding or worded("UTF-8 or Windows-1252"),
        )
    )


def _delimiter(text: str, wanted: TableMap) -> str:
    """The sign between cells under which most of the headings that are wanted are found."""
    first = next(iter(text.splitlines()), "")
    known = {_folded(heading) for heading in wanted.headings}

    def found(sign: str) -> int:
        return len(known & {_folded(cell) for cell in next(csv.reader([first], delimiter=sign), [])})

    return max(_DELIMITERS, key=found)


def _places(head: list[str], wanted: TableMap) -> dict[str, int]:
    folded = [_folded(cell) for cell in head]
    for heading in wanted.headings:
        count = folded.count(_folded(heading))
        if count != 1:
            have = ", ".join(f"'{cell.strip()}'" for cell in head if cell.strip())
            what = worded("no column") if count == 0 else worded("more than one column")
            raise Unclear(
                worded("The table has {what} '{heading}'. It has: {have}.", what=what, heading=heading, have=have[:400])
            )
    return {heading: folded.index(_folded(heading)) for heading in wanted.headings}


def _folded(text: str) -> str:
    return " ".join(text.removeprefix("\ufeff").split()).casefold()


def _row(number: int, cells: list[str], width: int, places: Mapping[str, int], wanted: TableMap) -> JobRow:
    if len(cells) > width and any(map(str.strip, cells[width:])):
        return JobRow(number, problem=f"It has {len(cells)} cells under {width} headings: a cell may lack its quotes.")

    def cell(heading: str) -> str:
        place = places[heading]
        return _clean(cells[place]) if place < len(cells) else ""

    name = cell(wanted.frame) if wanted.frame else f"{cell(wanted.player)} {cell(wanted.label)}".strip()
    if not name:
        return JobRow(number, problem="It names no frame.")
    try:
        day = _day(cell(wanted.date), wanted.dates)
        phrases = dict(_said(wanted, cell))
    except Unclear as unclear:
        return JobRow(number, name, problem=str(unclear))
    return JobRow(number, name, day, phrases)


def _clean(cell: str) -> str:
    """A cell as text: the quotes by which spreadsheets keep a figure from being counted are taken away."""
    text = cell.strip().replace("\r\n", "\n")
    quoted = _FORMULA_TEXT.fullmatch(text)
    return quoted[1].replace('""', '"') if quoted else _MARKED.sub("", text, count=1)


def _day(text: str, form: str) -> date:
    bare = re.sub(r"[T ]00:00(:00(\.0+)?)?$", "", text)
    pattern = re.sub("[a-z]+", lambda word: _DATE_WORDS[word[0]], form)
    try:
        return datetime.strptime(bare, pattern).date()  # a day has no time zone
    except ValueError:
        raise Unclear(
            worded("'{text}' is not a date written as {form}.", text=text[:40], form=form)
            if text
            else worded("It has no date.")
        ) from None


def _said(wanted: TableMap, cell: Callable[[str], str]) -> Iterator[tuple[str, str | list[str]]]:
    for name, heading in wanted.columns.items():
        text = cell(heading)
        meant = {_folded(word): value for word, value in wanted.words.get(name, {}).items()}
        text = meant.get(_folded(text), text)
        unit = wanted.unit(name)
        if unit and _FIGURE.fullmatch(text):
            text = f"{text.replace(',', '.')} {unit}"
        if is_change(text) and name.endswith("tension"):  # said over a counter; in a table it is more likely a slip
            raise Unclear(
                worded("'{text}' is no tension but what one changes by. Write the tension itself.", text=text[:40])
            )
        if text and name in LISTED:
            yield name, [part.strip() for part in text.split(";") if part.strip()]
        elif text:
            yield name, text
