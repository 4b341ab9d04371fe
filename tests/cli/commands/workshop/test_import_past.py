"""``passport import`` of a past table: shown first, asked about once, written whole, never twice."""

import io

import pytest
import smallshop
import workbooks
import yaml
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, full_disk, passport, refused, tree
from openpyxl import Workbook

from passport.cli.main import main
from passport.records.load import load

HEAD = "Date;Customer;Racket;String;Tension (kg);Remarks;Phone\n"
GOOD = """\
05.03.2024;Ines Holm;Larch 98;Reed 1.25;24/23;late payer;01632 960455
19.3.24;INES HOLM;larch 98;Reed 125;24,5;;
2024-04-02;Bo;Larch 98;Flint 120;23x22;;
"""


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def bring(content, rows, *options, head=HEAD, name="past.csv"):
    """An import of some rows."""
    path = content.parent / name
    path.write_bytes(rows if isinstance(rows, bytes) else (head + rows).encode())
    return passport("import", content, path, *options)


def review(content, name="past.csv"):
    """The review list."""
    return content.parent / f"{name}.review.yaml"


def decide(content, **changes):
    """Answer in the review list, as in an editor: ``name=answer`` for names, a dict for what is new."""
    text = review(content).read_text(encoding="utf-8")
    data = yaml.load(text, yaml.BaseLoader)
    for kind in ("players", "racquets", "strings", "frames"):
        for entry in data.get(kind) or []:
            answer = changes.get(entry["name"].replace(" ", "_"))
            if isinstance(answer, dict) or "," in (answer or ""):
                entry["decide"], entry["new"] = "new", answer
            elif answer:
                entry["decide"] = answer
    for entry in data.get("rows") or []:
        answer = changes.get(f"row_{entry.get('row')}")
        if isinstance(answer, dict):
            entry["cells"] = answer
        elif answer:
            entry["decide"] = answer
    review(content).write_text(yaml.safe_dump(data, allow_unicode=True), encoding="utf-8")


def jobs(content, frame):
    """Days and strings of a frame's jobs."""
    record = load(content)[0].frames[frame].record
    return [
        (job.date.isoformat(), *(f"{s.string} {s.tension.text}" for s in job.strings.both))
        for job in record.jobs
        if job.strings
    ]


def test_shown_first_and_nothing_written(content):
    """Columns, ways of days, units and what would be written are shown; only the review list is made, for its owner alone."""
    before = tree(content)
    result = bring(content, GOOD)
    assert result.exit_code == 1  # the frame of Bo is asked about
    assert tree(content) == before
    for words in ("who the racquet belongs to", "day first", "as A3 '19.3.24' tells", "mains and crosses, in that order",
                  "New player: Ines H.", "# row 2: ", "the same with --write"):  # fmt: skip
        assert words in result.stdout
    assert review(content).stat().st_mode & 0o077 == 0
    assert "agreed: no" in review(content).read_text(encoding="utf-8")


def test_written_once_and_taken_back_with_one_command(content):
    """Players and frames that are not there are made, without numbers; a second run adds nothing; one undo undoes it."""
    before = tree(content)
    result = bring(content, GOOD, "--yes", "--write")
    assert "2 jobs of 1 frame written" in result.stdout
    assert jobs(content, "ines-holm/larch-98") == [
        ("2024-03-05", "reed-125 24 kg", "reed-125 23 kg"), ("2024-03-19", "reed-125 24.5 kg", "reed-125 24.5 kg"),
    ]  # fmt: skip
    records = load(content)[0]
    player, frame = records.players["ines-holm"].record, records.frames["ines-holm/larch-98"].record
    assert (player.name, player.full_name) == ("Ines H.", "Ines Holm")  # full names are private
    assert (player.contact.phone, player.key, frame.number, frame.since) == (
        "01632 960455",
        "",
        "",
        None,
    )
    assert (frame.jobs[0].private_note, frame.jobs[0].note) == ("late payer", "")
    assert passport("check", content).exit_code == 0
    after = tree(content)
    assert "0 jobs of 0 frames" in bring(content, GOOD, "--write").stdout
    assert tree(content) == after
    assert passport("undo", content, "--yes").exit_code == 0
    assert tree(content) == before


def test_numbers_where_they_are_wanted(content):
    """With --numbers every new frame has its number and page at once."""
    bring(content, GOOD, "--yes", "--write", "--numbers")
    records = load(content)[0]
    frame = records.frames["ines-holm/larch-98"].record
    assert frame.number and frame.key and records.players["ines-holm"].record.key
    assert passport("addresses", content).exit_code == 0


def test_nobody_agreed_to_the_columns(content):
    """Without a yes nothing is written; 'agreed: yes' in the review list is one."""
    before = tree(content)
    refused(bring(content, GOOD, "--write"), "nobody has agreed", "--yes")
    assert tree(content) == before
    text = review(content).read_text(encoding="utf-8") if review(content).exists() else ""
    assert not text or "agreed: no" in text
    bring(content, GOOD)
    review(content).write_text(
        review(content).read_text(encoding="utf-8").replace("agreed: no", "agreed: yes"), encoding="utf-8"
    )
    assert "2 jobs of 1 frame written" in bring(content, GOOD, "--write").stdout


UNSURE = """\
05.03.2024;Maëlle Lorne;Larch 98;Reed 125;24;;
06.03.2024;Maëlle Lorne;Larch 98;Reed 125;24;;
07.03.2024;Maelle Lorne;Larch 98;Reed 125;24;;
08.03.2024;Ada;Larch 98;Reed 125;24;;
09.03.2024;Cy Umber;Elm 100;Twist 125;25;;
10.03.2024;;Larch 98;Reed 125;24;;
11.03.2024;Cy Umber;Larch 98;Reed 125;24 softer;;
;;;Total;;99;
"""


def test_everything_uncertain_stands_in_one_list_and_is_decided_once(content):
    """Names, frames, new models and strings, and rows: decided in the file, then written, and remembered."""
    first = bring(content, UNSURE, "--yes", "--write")
    assert first.exit_code == 1
    assert "2 jobs of 1 frame written" in first.stdout
    text = review(content).read_text(encoding="utf-8")
    for words in ("name: Maelle Lorne", "name: Ada / Larch 98", "ada/main", "name: Elm 100", "name: Twist 125", "B7: no customer",
                  "'24 softer' is no tension", "not taken: a sum"):  # fmt: skip
        assert words in text, words
    decide(
        content, Maelle_Lorne="maelle-lorne", row_7={"customer": "Cy Umber"}, row_8={"tension": "24 kg"},
        Elm_100={"maker": "Tarn", "name": "Elm 100", "sport": "tennis", "head": "100 sq in"},
        Twist_125="Oxbow, Twist, 1.25, poly",
        **{"Ada_/_Larch_98": "ada/main"},
    )  # fmt: skip
    second = bring(content, UNSURE, "--write")
    assert second.exit_code == 0, second.output
    assert "5 jobs of 4 frames written, 2 there already" in second.stdout
    assert [day for day, *_ in jobs(content, "maelle-lorne/larch-98")] == ["2024-03-05", "2024-03-06", "2024-03-07"]
    assert jobs(content, "cy-umber/elm-100") == [("2024-03-09", "twist-125 25 kg", "twist-125 25 kg")]
    assert len(jobs(content, "cy-umber/larch-98")) == 2
    assert ("2024-03-08", "reed-125 24 kg", "reed-125 24 kg") in jobs(content, "ada/main")
    third = bring(content, UNSURE, "--write")
    assert third.exit_code == 0
    assert "0 jobs of 0 frames to be written, 7 there already" in third.stdout


def test_a_row_that_was_put_in_above_changes_no_decision(content):
    """Decisions hang on what stands in a row, not on its number."""
    bring(content, UNSURE, "--yes", "--write")
    decide(content, row_8="leave out", row_7={"customer": "Maëlle Lorne"})
    above = "01.03.2024;Maëlle Lorne;Larch 98;Reed 125;24;;\n"
    result = bring(content, above + UNSURE, "--write")
    assert "2 jobs of 1 frame written" in result.stdout
    assert "row 9:" not in result.stderr


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("5.3.24;;Larch 98;Reed 125;24;;", "B2: no customer is named, and an owner is never guessed."),
        ("31.2.24;Ines;Larch 98;Reed 125;24;;", "A2: There is no day '31.2.24' in the calendar."),
        (";Ines;Larch 98;Reed 125;24;;", "A2: It has no date."),
        ("5.3.62;Ines;Larch 98;Reed 125;24;;", "too long ago"),
        ("5.3.24;Ines;Larch 98;Reed 125;24 or so;;", "E2: '24 or so' is no tension."),
        ("5.3.24;Ines;Larch 98;Reed 125;53;;", "E2: 53 kg cannot be the tension of a racquet; 53 lb would."),
        ("5.3.24;Ines;Larch 98;;24;;", "a tension, but no string"),
        ("5.3.24;Ines;Larch 98;Reed 125;;;", "but no tension"),
        ("5.3.24;Ines;Larch 98;Reed 125;=D2+1;;", "E2: a formula, '=D2+1', of which the file holds no result."),
        ("5.3.24;Ines;Larch 98;Reed 125;#REF!;;", "E2: the error '#REF!' stands here."),
        ('5.3.24;"""";Larch 98;Reed 125;24;;', "says: as above"),
        ("5.3.24;Ines;Larch 98;Reed 125;14;;", "far below"),
        ("2.3.26;Bo;Larch 98;Reed 125;24;\x07;", "control character"),
    ],
)  # fmt: skip
def test_a_row_that_is_not_plain_names_its_cell(content, row, reason):
    """Each row names itself, the cell and what would fit; the others are taken all the same."""
    if "Bo" in row:
        (content / "players/bo/only.yaml").unlink()
    result = bring(content, f"{row}\n6.3.24;Ines;Larch 98;Reed 125;24;;\n", "--yes", "--write")
    assert result.exit_code == 1
    assert "past.csv, row 2: " in result.stderr
    assert reason in result.stderr
    assert "1 job of 1 frame written" in result.stdout
    assert [day for day, *_ in jobs(content, "ines/larch-98")] == ["2024-03-06"]


def test_what_is_far_from_usual_is_written_once_a_person_is_sure(content):
    """'as it is' writes it, with the remark that somebody was sure."""
    row = "5.3.24;Ines;Larch 98;Reed 125;14;;\n"
    bring(content, row, "--yes", "--write")
    decide(content, row_2="as it is")
    assert "1 job of 1 frame written" in bring(content, row, "--write").stdout
    assert "14 kg" in load(content)[0].frames["ines/larch-98"].record.jobs[0].sure
    assert passport("check", content).stdout.count("warning") <= 1
    assert "1 there already" in bring(content, row, "--write").stdout


def test_the_same_row_twice_is_asked_about(content):
    """It may be a slip, or two racquets: the first is not certain either, since there are two of that model."""
    row = "5.3.24;Ines;Larch 98;Reed 125;24;;\n"
    result = bring(content, row + row, "--yes", "--write")
    assert "0 jobs" in result.stdout
    assert "two of them were strung on 2024-03-05" in review(content).read_text(encoding="utf-8")
    decide(content, **{"Ines_/_Larch_98": "new"})
    assert "1 job of 1 frame written" in bring(content, row + row, "--write").stdout
    decide(content, row_3={"label": "II"})
    assert "1 job of 1 frame written, 1 there already" in bring(content, row + row, "--write").stdout
    assert len(jobs(content, "ines/ii")) == 1


def test_units_that_nothing_tells_are_said_once(content):
    """Bare figures under a heading without a unit wait until the review list says which it is."""
    head = HEAD.replace(" (kg)", "")
    result = bring(content, "5.3.24;Ines;Larch 98;Reed 125;24;;\n", "--yes", "--write", head=head)
    assert "0 jobs" in result.stdout
    assert "has no unit" in result.stderr
    text = review(content).read_text(encoding="utf-8")
    assert "tension: open   # kg, lb, by size" in text
    review(content).write_text(text.replace("tension: open", "tension: kg"), encoding="utf-8")
    assert (
        "1 job of 1 frame written"
        in bring(content, "5.3.24;Ines;Larch 98;Reed 125;24;;\n", "--write", head=head).stdout
    )


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("A: date", "A: dat", "'dat' is nothing that a column holds."),
        ("agreed: no", "agreed: perhaps", "agreed"),
        ("use: yes", "used: yes", "used"),
        ('".": day first', '".": first', "no order of day and month"),
        ("tension: kg", "tension: stone", "no unit of a tension"),
        ("sheets:", "sheets: [", "yaml-syntax"),
        ("decide: open", "decide: what", "no frame of this player in the records"),
    ],
)
def test_a_slip_in_the_review_list(content, old, new, words):
    """It is named with its line, and neither the records nor the list are touched."""
    bring(content, "2.4.24;Bo;Larch 98;Flint 120;23;;\n")
    text = review(content).read_text(encoding="utf-8").replace(old, new, 1)
    review(content).write_text(text, encoding="utf-8")
    before = tree(content)
    result = bring(content, "2.4.24;Bo;Larch 98;Flint 120;23;;\n", "--write", "--yes")
    assert result.exit_code == 1
    assert tree(content) == before
    assert words in result.stderr + review(content).read_text(encoding="utf-8")
    if "what" not in new:
        assert review(content).read_text(encoding="utf-8") == text


def test_a_table_that_tells_of_no_job(content):
    """What is lacking is said, with where to say it; a file that is no table is refused with its name."""
    result = bring(content, "5.3.24;Reed\n", "--yes", head="Date;String\n")
    refused(result, "No column tells whose racquet it is.", "past.csv.review.yaml")
    refused(bring(content, b"%PDF-1.4"), "past.csv: This is a PDF")
    refused(bring(content, b""), "The table is empty")
    assert passport("import", content, content.parent / "none.csv").exit_code == 2


def test_a_list_among_the_records_is_refused(content):
    """The review list is private and no record: it may not stand among them."""
    refused(passport("import", content, content / "workshop.yaml"), "--review")


def test_a_workbook_with_a_sheet_a_year(content):
    """Sheets that tell of jobs are all read, and a row is named with its sheet; the others are named, too."""
    book = Workbook()
    for number, year in enumerate(("2023", "2024")):
        sheet = book.active if not number else book.create_sheet()
        sheet.title = year
        for row in (
            ["Date", "Customer", "Racket", "String", "kg"],
            [f"{year}-03-05", "Ines", "Larch 98", "Reed 125", 24],
            [f"{year}-03-07", None, "Larch 98", "Reed 125", 24],
        ):
            sheet.append(row)
    book.create_sheet("Prices").append(["Reed", 12])
    held = io.BytesIO()
    book.save(held)
    result = bring(content, held.getvalue(), "--yes", "--write", name="past.xlsx")
    assert "2 jobs of 1 frame written" in result.stdout
    assert "Not read: the sheet 'Prices'" in result.stdout
    assert "sheet '2024', row 3: B3: no customer" in result.stderr


def test_a_full_disk(content, monkeypatch):
    """Nothing of it is written, and the error says why."""
    before = tree(content)
    monkeypatch.setattr("os.fsync", full_disk)
    result = bring(content, GOOD, "--yes", "--write")
    monkeypatch.undo()
    refused(result, "No space left on device")
    assert tree(content) == before


def test_asked_at_the_terminal(content, monkeypatch):
    """The columns are agreed to once one is set right, then all that is open is asked; each answer stands in the list."""
    as_a_person(monkeypatch)
    rows = """\
05.03.2024;Maëlle Lorne;Larch 98;Reed 125;24;;1
06.03.2024;Maëlle Lorne;Larch 98;Reed 125;24;;2
07.03.2024;M. Lorne;Larch 98;Reed 125;24;;3
08.03.2024;Ada;Larch 98;Reed 125;24;;4
09.03.2024;Maëlle Lorne;Larch 98;Reed 125;25 softer;;5
10.03.2024;Maëlle Lorne;Larch 98;Twist 125;25;;6
"""
    (content.parent / "past.csv").write_text(HEAD + rows, encoding="utf-8")
    columns = ["n", "G", "ignore", "y"]  # not right, the telephones; then right
    names = [
        "y",
        "1",
        "new",
        "Oxbow",
        "Twist",
        "1.25",
        "rubber",
        "polyester",
        "leave out",
    ]  # M. Lorne; Twist; Ada's frame
    cells = ["correct", "tension", "24", "done"]
    typed = "\n".join([*columns, *names, *cells]) + "\n"
    arguments = ["import", str(content), str(content.parent / "past.csv"), "--write"]
    result = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH}).invoke(main, arguments, input=typed)
    assert result.exit_code == 0, result.output
    assert "Is that what the columns hold?" in result.stdout
    assert "'rubber' is no material here" in result.stdout
    assert "5 jobs of 1 frame written" in result.stdout
    text = review(content).read_text(encoding="utf-8")
    for words in ("agreed: yes", "G: ignore", "decide: Maëlle Lorne", "became: twist-125", "tension: 24"):
        assert words in text, words
    again = passport(*arguments)
    assert "5 there already" in again.stdout


def test_leaving_the_dialogue_loses_no_answer(content, monkeypatch):
    """Whoever stops in the middle finds in the list what was answered so far, and the records as they were."""
    as_a_person(monkeypatch)
    before = tree(content)
    rows = "5.3.24;Cy;Elm 100;Reed 125;24;;\n6.3.24;Dee;Ash 90;Reed 125;24;;\n"
    (content.parent / "past.csv").write_text(HEAD + rows, encoding="utf-8")
    typed = "\n".join(["y", "y", "new", "Tarn", "", "100", ""])
    arguments = ["import", str(content), str(content.parent / "past.csv"), "--write"]
    result = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH}).invoke(main, arguments, input=typed)
    assert result.exit_code == 1
    assert tree(content) == before
    assert "head: '100'" in review(content).read_text(encoding="utf-8") or "head: 100" in review(content).read_text(
        encoding="utf-8"
    )
    monkeypatch.undo()
    assert "1 job of 1 frame written" in passport(*arguments).stdout


def test_mains_and_crosses_and_measures_in_columns_of_their_own(content):
    """Each with its unit; a crosses' tension that has a column and is blank is not that of the mains."""
    head = "Datum;Kunde;Schläger;Saite längs;Saite quer;kg längs;kg quer;Masse;Balance;Hz\n"
    rows = """\
5.3.24;Ines;Larch 98;Reed 1.25;Flint 1.20;24,5;23,5;331;32,5;582
9.4.24;Ines;Larch 98;Reed 1.25;Flint 1.20;24,5;;331;;
10.5.24;Ines;Larch 98;Reed 1.25;;24,5;;331;;
"""
    result = bring(content, rows, "--yes", "--write", head=head)
    assert jobs(content, "ines/larch-98") == [
        ("2024-03-05", "reed-125 24.5 kg", "flint-120 23.5 kg"), ("2024-05-10", "reed-125 24.5 kg", "reed-125 24.5 kg"),
    ]  # fmt: skip
    reading = load(content)[0].frames["ines/larch-98"].record.jobs[0].readings[0]
    assert [reading.mass.text, reading.balance.text, reading.ring.text] == ["331 g", "32.5 cm", "582 Hz"]
    assert "row 3: another string in the crosses" in result.stderr


def test_a_table_of_passport_numbers_alone_leads_to_the_mapping(content):
    """Where no customer is named, but cards are."""
    refused(bring(content, "2001-0;5.3.24;Reed 125;24\n", "--yes", head="Card;Date;String;kg\n"), "--map")


def test_a_customer_over_merged_rows_is_named_for_each_of_them(content):
    """The file says so; a blank cell that is not merged stays one without a customer."""
    rows = [
        ["Date", "Customer", "Racket", "String", "kg"], ["5.3.24", "Ines Holm", "Larch 98", "Reed 125", 24],
        ["6.3.24", None, "Larch 98", "Reed 125", 25], ["7.3.24", None, "Larch 98", "Reed 125", 25],
    ]  # fmt: skip
    result = bring(content, workbooks.xlsx(rows, merge=["B2:B3"]), "--yes", "--write", name="past.xlsx")
    assert [day for day, *_ in jobs(content, "ines-holm/larch-98")] == ["2024-03-05", "2024-03-06"]
    assert "row 4: B4: no customer is named" in result.stderr


def test_workbooks_of_both_forms_are_the_same(content):
    """The same rows in .xlsx and .ods come to the same records."""
    rows = [["Date", "Customer", "Racket", "String", "kg"], ["5.3.24", "Ines", "Larch 98", "Reed 125", 24.5]]
    bring(content, workbooks.xlsx(rows), "--yes", "--write", name="past.xlsx")
    after = tree(content)
    result = bring(content, workbooks.ods(rows), "--yes", "--write", name="past.ods")
    assert "1 there already" in result.stdout
    assert tree(content) == after
