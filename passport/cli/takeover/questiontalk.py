"""The review list of a table as a dialogue: what each name means, what an unclear row says. Each answer is kept at once."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

import click

from passport.cli.shared.dialogue import ask, choose
from passport.records.language.worded import unsaid, worded
from passport.workshop.entry.newcomers import SPORTS, gauge_of, head_of, material_of
from passport.workshop.entry.phrases import Unclear
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
)
from passport.workshop.takeover.fields import BY_NAME
from passport.workshop.takeover.folding import same_key
from passport.workshop.takeover.naming import NameQuestion
from passport.workshop.takeover.pastrows import PastRow
from passport.workshop.takeover.taking import Takeover

LATER = "later"
_ONE: Mapping[Asks, str] = {
    "players": unsaid("player"),
    "racquets": unsaid("frame model"),
    "strings": unsaid("string"),
    "frames": unsaid("frame"),
}
_BLANKS: Mapping[Asks, tuple[str, ...]] = {
    "players": (), "racquets": ("maker", "name", "sport", "head"), "strings": ("maker", "name", "gauge", "material"),
    "frames": (),
}  # fmt: skip
_EXAMPLES = {
    "sport": "tennis, squash, badminton, racketball",
    "head": "100 sq in",
    "material": "polyester, nylon, gut",
    "gauge": "1.25 mm",
}
_USUAL_FIELDS = ("date", "customer", "racquet", "label", "string", "tension")
Keep = Callable[[ImportDecisions], None]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def open_questions(found: Takeover, seen: Collection[str]) -> int:
    """How many questions are open and were not asked yet."""
    names = [_mark(kind, question.name) for kind in ASKS for question in found.questions.get(kind, ())]
    return len({*names, *(row.line for row in found.open_rows)} - set(seen))


def _mark(kind: Asks, name: str) -> str:
    return f"{kind}: {name}"


def answered(found: Takeover, decisions: ImportDecisions, keep: Keep, seen: set[str]) -> ImportDecisions:
    """Ask all that is open and was not ``seen``, names first; ``keep`` is given what is decided so far after each answer."""
    right: set[str] = set()
    for kind in ASKS:
        for question in found.questions.get(kind, ()):
            # Whose name another one was said to be is right itself, unless something else speaks against it then.
            if _mark(kind, question.name) in seen | right:
                continue
            seen.add(_mark(kind, question.name))
            made = _name(kind, question)
            if made:
                table = {**decisions.names.get(kind, {}), same_key(question.name): made}
                decisions = replace(decisions, names={**decisions.names, kind: table})
                right.add(_mark(kind, made.decide))
                keep(decisions)
    fields = {*_USUAL_FIELDS, *(column.field for guess in found.guesses for column in guess.columns)}
    for row in found.open_rows:
        if row.line in seen:
            continue
        seen.add(row.line)
        decided = _row(row, fields)
        if decided:
            decisions = replace(decisions, rows={**decisions.rows, row.line: decided})
            keep(decisions)
    return decisions


def _name(kind: Asks, question: NameQuestion) -> NameDecision | None:
    count = len(question.rows)
    click.secho(
        (
            worded(
                "\n{one} '{question}', in {count} rows",
                one=_capital(worded(_ONE[kind])),
                question=question.name,
                count=count,
            )
            if count > 1
            else worded(
                "\n{one} '{question}', in {count} row",
                one=_capital(worded(_ONE[kind])),
                question=question.name,
                count=count,
            )
        ),
        bold=True,
    )
    click.echo(f"  {question.why[:1].upper()}{question.why[1:]}.")
    ways = [
        *question.choices,
        (NEW, worded("a new {one}", one=worded(_ONE[kind]))),
        (LEAVE_OUT, worded("none of its rows")),
        (LATER, worded("ask again")),
    ]
    decide = choose(worded("Which is it"), ways, question.choices[0][0] if question.choices else NEW)
    if decide == LATER:
        return None
    new = {}
    if decide == NEW:
        said = {blank: question.new[blank] for blank in _BLANKS[kind] if question.new.get(blank)}
        offered = said.pop("sport", "")
        if said:
            click.echo(
                worded("  From the table: {said}", said=", ".join((f"{blank} {text}" for blank, text in said.items())))
            )
        # What the table says is not asked again; the review list has it to be changed.
        for blank in _BLANKS[kind]:
            offer = offered if blank == "sport" else ""
            new[blank] = said.get(blank) or ask(f"  {blank}", offer, read=_reader(blank), needed=True)
    return NameDecision(decide, new, name=question.name)


def _reader(blank: str) -> Callable[[str], object] | None:
    """What tries a blank of a new record; raises ValueError with what would fit."""
    known: Mapping[str, Callable[[str], str]] = {
        "sport": lambda text: SPORTS.get("".join(text.lower().split()), ""), "head": head_of, "material": material_of,
        "gauge": gauge_of,
    }  # fmt: skip
    if blank not in known:
        return None

    def read(text: str) -> str:
        if found := known[blank](text):
            return found
        raise Unclear(
            worded(
                "'{text}' is no {blank} here. Write it as in: {examples}.",
                text=text,
                blank=blank,
                examples=_EXAMPLES[blank],
            )
        )

    return read


def _row(row: PastRow, fields: Collection[str]) -> RowDecision | None:
    click.secho(worded("\nRow {number}: {line}", number=row.number, line=row.line), bold=True)
    for trouble in row.troubles:
        click.echo(f"  {trouble}")
    ways = [
        ("correct", worded("write what a cell means")), (LEAVE_OUT, worded("take nothing of it")), (AS_IT_IS, worded("it is right as it is")),
        (LATER, worded("ask again")),
    ]  # fmt: skip
    decide = choose(worded("What becomes of it"), ways, LATER)
    if decide == LATER:
        return None
    if decide != "correct":
        return RowDecision(decide)
    cells: dict[str, str] = {}
    while True:
        field = choose(
            worded("Which field"),
            [*((name, each.says) for name, each in BY_NAME.items() if name in fields), ("done", "")],
            "done",
        )
        if field == "done":
            return RowDecision(OPEN, cells) if cells else None
        cells[field] = ask(f"  {BY_NAME[field].says}", needed=True)
