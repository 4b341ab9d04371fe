"""A whole table: which rows are ready, which wait for an answer, which are none of a job."""

from datetime import date

import pytest

from passport.records.tables.csvtable import read_csv
from passport.workshop.takeover.decisions import NEW, ImportDecisions, NameDecision, RowDecision, SheetDecision
from passport.workshop.takeover.folding import same_key
from passport.workshop.takeover.frames import KnownFrame
from passport.workshop.takeover.naming import KnownName
from passport.workshop.takeover.taking import KnownShop, take_over

TODAY = date(2026, 11, 25)
SHOP = KnownShop(
    players=(KnownName("ada", "Ada Kern", ("Ada Kern",)),),
    racquets=(KnownName("larch-98", "Tarn Larch 98", ("Larch 98", "Tarn Larch 98")),),
    strings=(KnownName("reed-125", "Oxbow Reed", ("Reed 1.25", "Oxbow Reed 1.25")), KnownName("flint-120", "Oxbow Flint", ("Flint 1.20",))),
    frames=(KnownFrame("ada/main", "ada", "larch-98", "Main", "TL-1", "2001-5"),),
    models={"larch-98": "Larch 98"}, makers=("Oxbow", "Tarn"), sport="tennis",
)  # fmt: skip
HEAD = "Date;Customer;Racket;Racket no;Serial;String;Tension (kg);Remarks"


def table(*rows, head=HEAD, decisions=None):
    """What becomes of some rows."""
    return take_over(read_csv("\n".join([head, *rows]).encode(), "S"), decisions or ImportDecisions(), SHOP, TODAY)


@pytest.mark.parametrize(
    ("cells", "frame"),
    [
        ("Larch 98;Main;", "ada/main"),
        ("tarn larch 98;MAIN;", "ada/main"),
        ("Larch 98;;TL-1", "ada/main"),
        ("Larch 98;;tl-1", "ada/main"),
    ],
)
def test_a_frame_that_is_there_is_known_by_its_mark_or_serial(cells, frame):
    """Whatever the case."""
    (ready,) = table(f"5.3.24;Ada Kern;{cells};Reed 125;24;").ready
    assert ready.frame.ref == frame


def test_without_a_mark_a_frame_of_that_model_is_asked_about():
    """With the frames of the player to choose from; the answer may be a new one."""
    found = table("5.3.24;Ada Kern;Larch 98;;;Reed 125;24;")
    (question,) = found.questions["frames"]
    assert (question.choices, found.ready) == ((("ada/main", "Main 2001-5"),), ())
    for decide, ref in (("ada/main", "ada/main"), (NEW, "+ada kern larch 98")):
        decisions = ImportDecisions(names={"frames": {same_key(question.name): NameDecision(decide)}})
        (ready,) = table("5.3.24;Ada Kern;Larch 98;;;Reed 125;24;", decisions=decisions).ready
        assert ready.frame.ref == ref


def test_a_frame_of_another_player_is_no_answer():
    """However it was decided: whose racquet it is, the row says."""
    decisions = ImportDecisions(names={"frames": {same_key("Cy / Larch 98"): NameDecision("ada/main")}})
    found = table("5.3.24;Cy;Larch 98;;;Reed 125;24;", decisions=decisions)
    assert not found.ready
    assert "no frame of this player" in found.questions["frames"][0].problem


def test_rows_without_a_racquet_wait():
    """A customer's only racquet is not guessed."""
    found = table("5.3.24;Ada Kern;;;;Reed 125;24;")
    assert [question.why for question in found.questions["frames"]] == ["no racquet is named"]


def test_marks_make_frames_of_one_model_several():
    """A row without a mark among marked ones may be of either."""
    found = table(
        "5.3.24;Cy;Larch 98;1;;Reed 125;24;", "6.3.24;Cy;Larch 98;2;;Reed 125;24;", "7.3.24;Cy;Larch 98;;;Reed 125;24;"
    )
    assert [each.frame.label for each in found.ready] == ["1", "2"]
    (question,) = found.questions["frames"]
    assert [choice for choice, _ in question.choices] == ["Cy / Larch 98 / 1", "Cy / Larch 98 / 2"]


@pytest.mark.parametrize(
    ("cell", "strings"),
    [("Reed 125", ("reed-125", "")), ("Oxbow Reed 1,25mm", ("reed-125", "")), ("Reed 125 / Flint 120", ("reed-125", "flint-120")),
     ("Reed 1.25+Flint 1.20", ("reed-125", "flint-120")), ("Reed 125 & Reed 1.25", ("reed-125", ""))],
)  # fmt: skip
def test_one_string_or_two_in_a_cell(cell, strings):
    """Mains stand first."""
    (ready,) = table(f"5.3.24;Cy;Larch 98;;;{cell};24;").ready
    assert tuple(meant.ref if meant else "" for meant in (ready.mains, ready.crosses)) == strings


def test_a_string_without_its_thickness_is_asked_about():
    """Since it may be another one of that name."""
    (question,) = table("5.3.24;Cy;Larch 98;;;Reed;24;").questions["strings"]
    assert question.choices[0][0] == "reed-125"


def test_a_new_model_needs_what_its_record_needs():
    """Where the table's columns have all of it, it is made; what they lack is asked; a shop's one sport is only offered."""
    head = "Date;Customer;Brand;Model;Sport;Head size;String;kg"
    (ready,) = table("5.3.24;Cy;Ropewalk;Elm;Tennis;100;Reed 125;24", head=head).ready
    assert ready.racquet and ready.racquet.new == {
        "maker": "Ropewalk",
        "name": "Elm",
        "sport": "tennis",
        "head": "100 sq in",
    }
    (question,) = table("5.3.24;Cy;Ropewalk;Elm;;;Reed 125;24", head=head).questions["racquets"]
    assert question.new == {"maker": "Ropewalk", "name": "Elm", "sport": "tennis", "head": ""}


def test_a_maker_before_the_name_is_no_part_of_it():
    """Whether the table or a person says who made it."""
    said = {"maker": "Ropewalk", "sport": "tennis", "head": "100"}
    decisions = ImportDecisions(names={"racquets": {same_key("Ropewalk Elm 100"): NameDecision(NEW, said)}})
    (ready,) = table("5.3.24;Cy;Ropewalk Elm 100;;;Reed 125;24;", decisions=decisions).ready
    assert ready.racquet and ready.racquet.new
    assert (ready.racquet.new["maker"], ready.racquet.new["name"]) == ("Ropewalk", "Elm 100")


def test_what_is_no_job_is_left_out_and_said():
    """Sums, headings again, a title; each is counted, and a person can have it otherwise."""
    rows = (";;;;;Total;48;", HEAD, "March 2024;;;;;;;", "5.3.24;Cy;Larch 98;;;Reed 125;24;")
    found = table(*rows)
    assert [(row.number, row.left_out) for row in found.left_out] == [
        (2, "a sum"),
        (3, "the headings again"),
        (4, "one cell alone"),
    ]
    assert len(found.ready) == 1
    line = found.left_out[0].line
    decided = ImportDecisions(
        rows={
            line: RowDecision(
                cells={"date": "2024-03-06", "customer": "Cy", "racquet": "Larch 98", "string": "Reed 125"}
            )
        }
    )
    assert len(table(*rows, decisions=decided).open_rows) == 1  # 48 kg is no tension


def test_a_day_that_two_rows_share():
    """Two stringings of one unmarked model on a day mean two racquets, so none of that model is certain."""
    rows = [
        "5.3.24;Cy;Larch 98;;;Reed 125;24;a",
        "5.3.24;Cy;Larch 98;;;Reed 125;24;b",
        "9.3.24;Cy;Larch 98;;;Reed 125;24;c",
    ]
    found = table(*rows)
    assert (found.ready, len(found.waiting)) == ((), 3)
    assert "2024-03-05" in found.questions["frames"][0].why


def test_nothing_is_lost():
    """Each row that holds something is ready, open, waiting or left out."""
    rows = [f"{day}.3.24;{who};{racquet};;;{string};{pulled};" for day, who, racquet, string, pulled in [
        (1, "Cy", "Larch 98", "Reed 125", 24), (2, "", "Larch 98", "Reed 125", 24), (3, "Cy", "Elm", "Reed 125", 24),
        (4, "Dee", "Larch 98", "Reed", "x"), (5, "Ada Kern", "Larch 98", "Reed 125", 24),
    ]]  # fmt: skip
    found = table(*rows, ";;;;;Total;9;")
    parts = (found.open_rows, found.waiting, found.left_out, [each.row for each in found.ready])
    assert sorted(row.number for part in parts for row in part) == [2, 3, 4, 5, 6, 7]


def test_units_and_days_that_a_person_says():
    """For a whole column, once."""
    rows = ("3/4/24;Cy;Larch 98;;;Reed 125;24;",)
    head = HEAD.replace(" (kg)", "")
    found = table(*rows, head=head)
    assert {what for _, what, _ in found.unsaid} == {"tension", "/"}
    decided = ImportDecisions(sheets={"S": SheetDecision(dates={"/": "month first"}, units={"tension": "kg"})})
    (ready,) = table(*rows, head=head, decisions=decided).ready
    assert (ready.row.day, ready.row.tensions) == (date(2024, 3, 4), ("24 kg", ""))
