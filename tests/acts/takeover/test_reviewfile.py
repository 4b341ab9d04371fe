"""The review list as a file: whatever was decided is read back, whatever the table holds stands in it harmlessly."""

from datetime import date

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.acts.refused import Faulty, Refused
from passport.acts.takeover.importing import TakenOver
from passport.acts.takeover.reviewfile import keep_review, review_at, review_beside, review_text
from passport.records.tables.cells import Spreadsheet as Book
from passport.records.tables.cells import TableCell, sheet_of
from passport.workshop.takeover.decisions import NEW, ImportDecisions, NameDecision, RowDecision, SheetDecision
from passport.workshop.takeover.folding import same_key
from passport.workshop.takeover.taking import KnownShop, take_over

TODAY = date(2026, 11, 25)
HEAD = ("Date", "Customer", "Racket", "String", "kg")
TEXTS = (
    st.text(st.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp", "Co", "Cn")), min_size=1, max_size=20)
    .map(lambda t: " ".join(t.split()))
    .filter(bool)
)


def outcome(*rows, decisions=None, name="S"):
    """What becomes of some rows."""
    sheet = sheet_of(name, [[TableCell(text) for text in row] for row in (HEAD, *rows)])
    return TakenOver(take_over(Book((sheet,)), decisions or ImportDecisions(), KnownShop(), TODAY))


@settings(max_examples=40)
@given(TEXTS, TEXTS, TEXTS, TEXTS)
def test_whatever_a_table_holds_stands_in_the_list_as_text(tmp_path_factory, who, racquet, string, sheet):
    """Names, lines and remarks of any signs: the file is read as it was written, and nothing in it is a decision yet."""
    path = tmp_path_factory.mktemp("review") / "list.yaml"
    taken = outcome(("5.3.24", who, racquet, string, "24"), ("6.3.24", "", racquet, string, string), name=sheet)
    keep_review(path, who, taken, ImportDecisions())
    data = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)
    assert data["sheets"][0]["name"] == sheet
    for kind, text in (("racquets", racquet), ("strings", string)):
        assert all(entry["decide"] == "open" for entry in data.get(kind) or [])
        asked = {same_key(entry["name"]) for entry in data.get(kind) or []}
        assert not asked or same_key(text) in asked or any(part in text for part in "/+&|")
    read = review_at(path)
    assert read.sheets[sheet].columns == {"A": "date", "B": "customer", "C": "racquet", "D": "string", "E": "tension"}
    assert not read.agreed


@settings(max_examples=30)
@given(st.dictionaries(TEXTS, TEXTS, max_size=3), st.dictionaries(TEXTS, TEXTS, max_size=3), st.booleans())
def test_what_was_decided_is_kept_though_nothing_asks_for_it(tmp_path_factory, names, rows, agreed):
    """Decisions on names and rows that this table does not hold stay in the list, for one that does."""
    path = tmp_path_factory.mktemp("review") / "list.yaml"
    decisions = ImportDecisions(
        agreed, {"S": SheetDecision(True, 1, {"A": "date"}, {"/": "day first"}, {"tension": "kg"})},
        {"players": {same_key(name): NameDecision(text, {}, "", name) for name, text in names.items() if same_key(name)}},
        {line: RowDecision("open", {"customer": text}) for line, text in rows.items()},
    )  # fmt: skip
    keep_review(path, "t", outcome(("5.3.24", "Ada", "Larch", "Reed", "24"), decisions=decisions), decisions)
    read = review_at(path)
    assert read.agreed == agreed
    assert read.names["players"] == decisions.names["players"]
    assert {line: made for line, made in read.rows.items() if line in decisions.rows} == decisions.rows


def test_a_new_one_in_a_line(tmp_path):
    """As at the counter; a line with too much in it is refused with its name."""
    path = tmp_path / "list.yaml"
    path.write_text("strings:\n  - {name: T, decide: new, new: 'Oxbow, Twist, 1,25, poly'}\n", encoding="utf-8")
    found = review_at(path).name("strings", "T")
    assert (found.decide, dict(found.new)) == (
        NEW,
        {"maker": "Oxbow", "name": "Twist", "gauge": "1.25 mm", "material": "polyester"},
    )
    path.write_text("racquets:\n  - {name: T, decide: new, new: 'A, B, C, D, E, F'}\n", encoding="utf-8")
    with pytest.raises(Refused, match="review list says of 'T'"):
        review_at(path)


@pytest.mark.parametrize(
    "text", ["- a\n", "just words\n", "agreed: [\n", "nothing: yes\n", "rows: [{row: 7}]\n", "a: *b\n"]
)
def test_what_is_no_review_list_is_told_with_its_line(tmp_path, text):
    """As faults of a record are."""
    path = tmp_path / "list.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Faulty) as faulty:
        review_at(path)
    assert all(fault.place.file == str(path) and fault.do for fault in faulty.value.faults)


def test_the_list_stands_beside_the_table_for_its_owner_alone(tmp_path):
    """It holds customers' names."""
    path = review_beside(tmp_path / "past.xlsx")
    assert path == tmp_path / "past.xlsx.review.yaml"
    assert review_at(path) == ImportDecisions()
    keep_review(path, "past.xlsx", outcome(), ImportDecisions())
    assert path.stat().st_mode & 0o077 == 0


def test_as_it_is_is_offered_only_where_it_can_be():
    """A day that cannot be read is not right as it is."""
    text = review_text("t", outcome(("x", "Ada", "Larch", "Reed", "24"), ("", "", "", "Total", "9")), ImportDecisions())
    assert "decide: open   # leave out; or" in text
    assert "decide: leave out   # as it is, leave out; or" in text
