"""What a person has decided of a table, remembered from run to run. A decision hangs on what was written, not on a row's
number, so that it still holds when rows were put in above."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from passport.workshop.takeover.dates import Order
from passport.workshop.takeover.folding import same_key

OPEN: Final = "open"
"""Stands where nobody has decided yet."""
NEW: Final = "new"
LEAVE_OUT: Final = "leave out"
AS_IT_IS: Final = "as it is"
"""A row that was asked about is right all the same."""
Asks = Literal["players", "racquets", "strings", "frames"]
ASKS: Final[tuple[Asks, ...]] = ("players", "racquets", "strings", "frames")


@dataclass(frozen=True, slots=True)
class NameDecision:
    """What a name of the table means: a record's name, another name of the table, `NEW` with what is said of it, or
    `LEAVE_OUT`. ``became`` is the record that was made for a new one, so that it is not made again."""

    decide: str = OPEN
    new: Mapping[str, str] = field(default_factory=dict)
    became: str = ""
    name: str = ""
    """The name as it was written when it was decided."""


@dataclass(frozen=True, slots=True)
class RowDecision:
    """What becomes of a row: `LEAVE_OUT`, `AS_IT_IS`, or other texts for some of its fields."""

    decide: str = OPEN
    cells: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SheetDecision:
    """How one sheet is read: whether at all, where its headings stand, its columns by their letters, how days are written
    by their sign, the units of bare figures by field."""

    use: bool = True
    heading: int | None = None
    columns: Mapping[str, str] = field(default_factory=dict)
    dates: Mapping[str, Order] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ImportDecisions:
    """All that was decided: ``agreed`` to how the columns are read, sheets, names by kind and key, rows by their text."""

    agreed: bool = False
    sheets: Mapping[str, SheetDecision] = field(default_factory=dict)
    names: Mapping[Asks, Mapping[str, NameDecision]] = field(default_factory=dict)
    rows: Mapping[str, RowDecision] = field(default_factory=dict)

    def name(self, kind: Asks, text: str) -> NameDecision:
        """What was decided of a name."""
        return self.names.get(kind, {}).get(same_key(text), NameDecision())

    def row(self, line: str) -> RowDecision:
        """What was decided of a row, by its line."""
        return self.rows.get(line, RowDecision())
