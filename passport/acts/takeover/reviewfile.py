"""The review list of a table: a file in which a person decides what is not certain, kept from run to run.

It stands beside the table, not among the records, since it holds customers' names as the table has them. What is only
there to be read stands in it as a remark, so that every value in it is a decision.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, ValidationError

from passport.acts.frames.import_jobs import table_bytes
from passport.acts.refused import Faulty, Refused
from passport.acts.takeover.importing import TakenOver
from passport.records.schema.base import OneOrMore, Text, refuse
from passport.records.tables.cells import column_of
from passport.records.transaction import atomic
from passport.records.yaml import yamltext
from passport.records.yaml.validation_messages import closest, faults_of
from passport.records.yaml.yamlwrite import flow_map, scalar
from passport.workshop.entry.newcomers import model_of, string_of
from passport.workshop.entry.phrases import Unclear
from passport.workshop.takeover.columns import TableGuess, decided_ways
from passport.workshop.takeover.dates import ORDERS
from passport.workshop.takeover.decisions import (
    AS_IT_IS,
    ASKS,
    LEAVE_OUT,
    NEW,
    OPEN,
    Asks,
    ImportDecisions,
    NameDecision,
    RowDecision,
    SheetDecision,
)
from passport.workshop.takeover.fields import BY_NAME, IGNORED, TENSIONS, WITH_UNITS
from passport.workshop.takeover.figures import TENSION_UNITS
from passport.workshop.takeover.folding import same_key
from passport.workshop.takeover.naming import NameQuestion
from passport.workshop.takeover.pastrows import PastRow
from passport.workshop.takeover.taking import Takeover, string_key

_STRICT = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True)
_NEW_OF: Mapping[Asks, tuple[str, ...]] = {
    "players": ("name", "shown", "email", "phone"), "racquets": ("maker", "name", "sport", "head"),
    "strings": ("maker", "name", "gauge", "material"), "frames": (),
}  # fmt: skip


def _columns(columns: dict[str, str]) -> dict[str, str]:
    for letters, held in columns.items():
        if column_of(letters) is None:
            raise refuse("bad-value", f"'{letters[:20]}' is no column.", "Write its letters, as in 'B' or 'AA'.")
        if held not in BY_NAME and held != IGNORED:
            do = f"{closest(held, list(BY_NAME))} Use one of: {', '.join(BY_NAME)}; or {IGNORED}.".strip()
            raise refuse("unknown-word", f"'{held[:40]}' is nothing that a column holds.", do)
    return {letters.upper(): held for letters, held in columns.items()}


def _dates(dates: dict[str, str]) -> dict[str, str]:
    for order in dates.values():
        if order not in (*ORDERS, OPEN):
            raise refuse(
                "unknown-word", f"'{order[:40]}' is no order of day and month.", f"Write {' or '.join(ORDERS)}."
            )
    return dates


def _units(units: dict[str, str]) -> dict[str, str]:
    for name, unit in units.items():
        if name not in WITH_UNITS:
            raise refuse("unknown-word", f"'{name[:40]}' has no unit.", f"Use: {', '.join(WITH_UNITS)}.")
        if name in TENSIONS and unit not in (*TENSION_UNITS, OPEN):
            raise refuse("unknown-word", f"'{unit[:40]}' is no unit of a tension.", f"Use: {', '.join(TENSION_UNITS)}.")
    return units


def _cells(cells: dict[str, str | None]) -> dict[str, str | None]:
    for name in cells:
        if name not in BY_NAME:
            do = f"{closest(name, list(BY_NAME))} Use one of: {', '.join(BY_NAME)}.".strip()
            raise refuse("unknown-word", f"'{name[:40]}' is nothing that a row says.", do)
    return cells


def _row_decided(decide: str) -> str:
    if decide not in (OPEN, AS_IT_IS, LEAVE_OUT):
        do = f"Write {AS_IT_IS}, {LEAVE_OUT}, or {OPEN}; other texts for its cells go into 'cells'."
        raise refuse("unknown-word", f"'{decide[:40]}' is no decision on a row.", do)
    return decide


class ReviewedSheet(BaseModel):
    """How one sheet is read."""

    model_config = _STRICT
    name: str
    use: bool = True
    headings: int | None = None
    columns: Annotated[dict[str, str], AfterValidator(_columns)] = {}
    dates: Annotated[dict[str, str], AfterValidator(_dates)] = {}
    units: Annotated[dict[str, str], AfterValidator(_units)] = {}


class ReviewedName(BaseModel):
    """What one name means."""

    model_config = _STRICT
    name: Text
    decide: Text = OPEN
    new: dict[str, Text | None] | Text = {}
    became: Text = ""


class ReviewedRow(BaseModel):
    """What becomes of one row."""

    model_config = _STRICT
    row: int = 0
    sheet: str = ""
    line: str
    decide: Annotated[str, AfterValidator(_row_decided)] = OPEN
    cells: Annotated[dict[str, Text | None], AfterValidator(_cells)] = {}


class ReviewList(BaseModel):
    """The whole review list."""

    model_config = _STRICT
    agreed: bool = False
    sheets: Annotated[tuple[ReviewedSheet, ...], OneOrMore] = ()
    players: Annotated[tuple[ReviewedName, ...], OneOrMore] = ()
    racquets: Annotated[tuple[ReviewedName, ...], OneOrMore] = ()
    strings: Annotated[tuple[ReviewedName, ...], OneOrMore] = ()
    frames: Annotated[tuple[ReviewedName, ...], OneOrMore] = ()
    rows: Annotated[tuple[ReviewedRow, ...], OneOrMore] = ()


def review_at(path: Path) -> ImportDecisions:
    """What a person decided so far; nothing where there is no file yet. Raises Refused, or Faulty with its faults."""
    if not path.exists():
        return ImportDecisions()
    data, source, faults = yamltext.read(table_bytes(path).decode("utf-8-sig", errors="replace"), str(path))
    listed = ReviewList()
    if not faults and not isinstance(data, dict):
        faults = [yamltext.no_record(source)]
    if not faults:
        try:
            listed = ReviewList.model_validate(data)
        except ValidationError as error:
            faults = [*faults, *faults_of(error, ReviewList, source, ())]
    if faults:
        raise Faulty(faults, "The review list cannot be used, so nothing was written. Nothing in it was changed.")
    return _decisions(listed)


def _decisions(listed: ReviewList) -> ImportDecisions:
    names: dict[Asks, dict[str, NameDecision]] = {
        kind: {
            same_key(each.name): NameDecision(each.decide, _new(kind, each), each.became, each.name)
            for each in getattr(listed, kind)
        }
        for kind in ASKS
    }
    sheets = {
        each.name: SheetDecision(
            each.use, each.headings, each.columns, {s: o for s, o in each.dates.items() if o != OPEN},  # type: ignore[misc]
            {name: unit for name, unit in each.units.items() if unit != OPEN},
        )
        for each in listed.sheets
    }  # fmt: skip
    rows = {
        each.line: RowDecision(each.decide, {name: text or "" for name, text in each.cells.items()})
        for each in listed.rows
    }
    return ImportDecisions(listed.agreed, sheets, names, rows)


def review_beside(table: Path) -> Path:
    """Where the review list of a table stands unless it is named: beside it."""
    return table.with_name(f"{table.name}.review.yaml")


def keep_review(path: Path, table: str, outcome: TakenOver, decisions: ImportDecisions) -> None:
    """Write the review list anew, in one step, for its owner alone. Raises OSError."""
    atomic.write(path, review_text(table, outcome, decisions).encode("utf-8"), mode=0o600)


def _new(kind: Asks, each: ReviewedName) -> dict[str, str]:
    """What is said of a new one: by its blanks, or in a line as at the counter, ``maker, name, gauge, material``."""
    if isinstance(each.new, dict):
        return {name: text for name, text in each.new.items() if text}
    try:
        if kind == "racquets":
            said = asdict(model_of(each.new))
        else:
            said = asdict(string_of(each.new)) if kind == "strings" else {"name": each.new}
    except Unclear as unclear:
        raise Refused(f"The review list says of '{each.name}': {unclear}") from None
    return {name: text for name, text in said.items() if text}


# --- writing it -----------------------------------------------------------------------------------------------------


def review_text(table: str, outcome: TakenOver, decisions: ImportDecisions) -> str:
    """The review list anew: what was decided, and what is open."""
    found = outcome.takeover
    if found is None:
        raise Refused("The table was not read.")
    lines = [
        f"# What 'passport import' asks about {table}. Decide, save, and run the same command again.",
        f"# '{OPEN}' is not decided yet; '{LEAVE_OUT}' takes nothing of it. Nothing here is ever shown on a page.",
        f"agreed: {'yes' if decisions.agreed else 'no'}   # yes: the columns below hold what stands there",
        "",
        *_sheets(found, decisions),
    ]
    for kind in ASKS:
        lines += _names(kind, found.questions.get(kind, ()), decisions.names.get(kind, {}), outcome)
    lines += _rows(found, decisions)
    return "\n".join(lines) + "\n"


def _sheets(found: Takeover, decisions: ImportDecisions) -> Iterator[str]:
    yield "sheets:"
    for guess in found.guesses:
        yield f"  - name: {scalar(guess.sheet.name)}"
        yield "    use: yes"
        yield f"    headings: {guess.heading}   # the row that they stand in; 0 where there are none"
        yield "    columns:"
        for column in guess.columns:
            seen = ", ".join(column.samples) or "empty"
            yield f"      {column.letters}: {column.field}   # {_harmless(column.heading) or 'no heading'}: {_harmless(seen)}"
        yield from _ways(guess, decisions)
    for sheet in found.skipped:
        yield f"  - name: {scalar(sheet.name)}   # {len(sheet.rows)} rows, in which no day and customer were found"
        yield "    use: no"
    yield f"# A column holds one of: {', '.join(BY_NAME)}; or {IGNORED}."
    yield ""


def _ways(guess: TableGuess, decisions: ImportDecisions) -> Iterator[str]:
    decided = decisions.sheets.get(guess.sheet.name, SheetDecision())
    ways = decided_ways(guess, dict(decided.dates))
    if ways:
        yield "    dates:"
        for sign, order, why in ways:
            yield f'      "{sign}": {order or OPEN}   # {_harmless(why)}'
    if guess.units:
        yield "    units:   # of figures that stand there bare"
        for name, unit in guess.units.items():
            lent = name in TENSIONS[1:] and guess.units.get("tension")
            hint = f"   # {', '.join(TENSION_UNITS)}" if name in TENSIONS else ""
            yield f"      {name}: {scalar(unit or lent or OPEN)}{hint}"


def _names(
    kind: Asks, asked: Sequence[NameQuestion], decided: Mapping[str, NameDecision], outcome: TakenOver
) -> Iterator[str]:
    if not asked and not decided:
        return
    shown = (
        "   # 'shown' is the name on the pages; left empty, the first name and an initial" if kind == "players" else ""
    )
    yield f"{kind}:{shown}"
    open_keys = set()
    for question in asked:
        key = same_key(question.name)
        open_keys.add(key)
        before = decided.get(key, NameDecision())
        yield f"  - name: {scalar(question.name)}"
        yield f"    # {_rows_said(question.rows)}: {_harmless(question.why)}"
        for choice, words in question.choices:
            yield f"    #   {_harmless(scalar(choice))}: {_harmless(words)}"
        if question.problem:
            yield f"    # not done: {_harmless(question.problem)}"
        yield f"    decide: {scalar(before.decide)}   # {_ways_to_decide(question)}"
        if _NEW_OF[kind]:
            new = {name: before.new.get(name) or question.new.get(name, "") for name in _NEW_OF[kind]}
            yield f"    new: {_blanks(new)}"
    for key, before in decided.items():
        if key in open_keys:
            continue
        yield f"  - name: {scalar(before.name or key)}"
        yield f"    decide: {scalar(before.decide)}"
        if before.new:
            yield f"    new: {flow_map(dict(before.new))}"
        became = before.became or _became(kind, before.name or key, outcome)
        if before.decide == NEW and became:
            yield f"    became: {scalar(became)}"
    yield ""


def _became(kind: Asks, name: str, outcome: TakenOver) -> str:
    return outcome.made.get(kind, {}).get(string_key(name) if kind == "strings" else same_key(name), "")


def _ways_to_decide(question: NameQuestion) -> str:
    first = question.choices[0][0] if question.choices else ""
    return ", ".join(filter(None, (_harmless(scalar(first)) if first else "", NEW, LEAVE_OUT)))


def _blanks(new: Mapping[str, str]) -> str:
    return "{" + ", ".join(f"{name}: {scalar(text, flow=True) if text else ''}" for name, text in new.items()) + "}"


def _rows_said(rows: Sequence[int]) -> str:
    some = ", ".join(map(str, rows[:8]))
    return f"row{'s' if len(rows) > 1 else ''} {some}{f' and {len(rows) - 8} more' if len(rows) > 8 else ''}"


def _rows(found: Takeover, decisions: ImportDecisions) -> Iterator[str]:
    listed: list[tuple[PastRow, Sequence[str]]] = [(row, row.troubles) for row in found.open_rows]
    listed += [(row, (f"not taken: {row.left_out}",)) for row in found.left_out if "you left out" not in row.left_out]
    seen = {row.line for row, _ in listed}
    decided = [line for line, made in decisions.rows.items() if line not in seen and made != RowDecision()]
    if not listed and not decided:
        return
    yield "rows:"
    for row, whys in sorted(listed, key=lambda pair: (pair[0].sheet, pair[0].number)):
        before = decisions.row(row.line)
        yield f"  - row: {row.number}"
        if found.several:
            yield f"    sheet: {scalar(row.sheet)}"
        yield f"    line: {scalar(row.line)}"
        yield from (f"    # {_harmless(why)}" for why in whys)
        own = LEAVE_OUT if row.left_out else before.decide
        # Of what cannot be read nobody can say that it is right as it is.
        agreeing = row.left_out or any(AS_IT_IS in why for why in whys)
        ways = ", ".join((AS_IT_IS, LEAVE_OUT) if agreeing else (LEAVE_OUT,))
        yield f"    decide: {own}   # {ways}; or what is meant, in 'cells: {{customer: …, tension: …}}'"
        if before.cells:
            yield f"    cells: {flow_map(dict(before.cells))}"
    for line in decided:
        made = decisions.rows[line]
        yield f"  - line: {scalar(line)}"
        yield f"    decide: {made.decide}"
        if made.cells:
            yield f"    cells: {flow_map(dict(made.cells))}"


def _harmless(text: Any) -> str:
    """A text that can stand behind ``#``: on one line, without what would act on a terminal."""
    return " ".join("".join(c if c.isprintable() else " " for c in str(text)).split())
