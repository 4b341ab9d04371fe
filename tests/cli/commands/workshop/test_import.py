"""``passport import``: a past spreadsheet into the records, shown first, and never twice."""

import re

import pytest
import smallshop
from commandline import full_disk, passport, refused, tree
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.cli.commands.workshop.import_ import EXAMPLE
from passport.records.load import load

MAP = """\
date: Date
dates: day.month.year
frame: Card
columns: {string: String, tension: Tension, mass: Mass, ring: Ring, minutes: Min, fit: Fitted, note: Remarks}
units: {tension: kg, mass: g, ring: Hz}
words: {string: {R: reed-125, F: flint-120}}
"""
HEAD = "Card;Date;String;Tension;Mass;Ring;Min;Fitted;Remarks\n"
NUMBER = smallshop.NUMBERS["main"]
GOOD = f"""\
{NUMBER};10.03.2026;;;331,2;;;;in between
{NUMBER};01.12.2025;R;23.5;;;;;before all
ada/twin;01.06.2026;F;23/22;;580;15;lead-tape @ 12 = 1 g;=SUM(A1)
ada new;02.06.2026;Reed;24;330;;;;
"""


@pytest.fixture
def content(tmp_path):
    """The small workshop with a mapping beside it."""
    (tmp_path / "map.yaml").write_text(MAP, encoding="utf-8")
    return smallshop.write(tmp_path / "content")


def bring(content, rows, *options, encoding="utf-8", head=HEAD):
    """An import of some rows."""
    (content.parent / "jobs.csv").write_bytes((head + rows).encode(encoding))
    return passport("import", content, content.parent / "jobs.csv", "--map", content.parent / "map.yaml", *options)


def dates(content, name):
    """The days of a frame's jobs, in their order."""
    return [job.date.isoformat() for job in load(content)[0].frames[name].record.jobs]


def test_a_dry_run_first(content):
    """Without --write it shows what would be written, row by row, and writes nothing."""
    before = tree(content)
    result = bring(content, GOOD)
    assert (result.exit_code, result.stderr) == (0, "")
    assert tree(content) == before
    assert "4 jobs of 3 frames to be written, 0 there already, 0 rows do not fit." in result.stdout
    assert "# row 2\n" in result.stdout
    assert "mains: {string: reed-125, tension: 23.5 kg}" in result.stdout
    assert "the same with --write" in result.stdout


def test_jobs_go_to_their_place(content):
    """Each job stands where its date belongs, every old line is as it was, and the records are sound."""
    before = {name: data.decode().splitlines() for name, data in tree(content).items()}
    result = bring(content, GOOD, "--write")
    assert (result.exit_code, result.stderr) == (0, "")
    assert "4 jobs of 3 frames written" in result.stdout
    assert dates(content, "ada/main") == ["2025-12-01", "2026-01-05", "2026-03-02", "2026-03-10", "2026-04-02"]
    job = load(content)[0].frames["ada/twin"].record.jobs[-1]
    assert job.strings
    assert [side.tension.text for side in job.strings.both] == ["23 kg", "22 kg"]
    assert (job.readings[0].ring.text, job.readings[0].age.text, job.note) == ("580 Hz", "15 min", "=SUM(A1)")
    for name, data in tree(content).items():
        rest = iter(data.decode().splitlines())
        assert all(line in rest for line in before[name]), name
    assert passport("check", content).exit_code == 0


def test_twice_adds_nothing_twice(content):
    """A second run finds everything there, also after a word was added by hand and in another order."""
    bring(content, GOOD, "--write")
    path = content / "players/ada/main.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("note: in between", "note: in between\n    price: £9"),
        encoding="utf-8",
    )
    before = tree(content)
    result = bring(content, "".join(reversed(GOOD.splitlines(keepends=True))), "--write")
    assert (result.exit_code, result.stderr) == (0, "")
    assert "0 jobs of 0 frames to be written, 4 there already" in result.stdout
    assert tree(content) == before


def test_the_same_row_twice_is_one_job(content):
    """A row that stands twice in the table is written once."""
    line = GOOD.splitlines(keepends=True)[0]
    assert "1 job of 1 frame written, 1 there already" in bring(content, line * 2, "--write").stdout


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("9999;10.03.2026;R;24;;;;;", "There is no frame '9999' in the records."),
        (f"{NUMBER};31.02.2026;R;24;;;;;", "'31.02.2026' is not a date written as day.month.year."),
        (f"{NUMBER};10.03.2026;Rope;24;;;;;", "The string 'Rope' is not in the catalogue."),
        (f"{NUMBER};10.03.2026;R;;;;;;", "tension"),
        (f"{NUMBER};10.03.2026;;24;;;;;", "Name the string"),
        (f"{NUMBER};10.03.2026;R;tight;;;;;", "'tight' is not a tension."),
        (f"{NUMBER};10.03.2036;R;24;;;;;", "in the future"),
        (f"{NUMBER};02.03.2026;R;23;;;;;", "was strung otherwise on 2026-03-02"),
        (f"{NUMBER};10.03.2026;;;;;;;", "nothing that could be recorded"),
        (f"{NUMBER};10.03.2026;;;33000;;;;", "cannot be right"),
        (f"{NUMBER};10.03.2026;;;;;;chalk @ 12;", "The part 'chalk' is not in the catalogue."),
        (f"{NUMBER};10.03.2026;;;;;;chalk;", "does not say what was fitted where"),
        (f"{NUMBER};10.03.2026;R;24;;;15;;", "say what it was"),
    ],
)
def test_a_row_that_does_not_fit_has_its_reason(content, row, reason):
    """Each row that does not fit is named by its number with its reason; the others are written, and the code is 1."""
    other = f"{NUMBER};11.03.2026;;;331;;;;\n"
    result = bring(content, f"{other}{row}\n", "--write")
    assert result.exit_code == 1
    assert re.search(rf"jobs\.csv, row 3: .*{re.escape(reason)}", result.stderr)
    assert "1 job of 1 frame written, 0 there already, 1 row does not fit." in result.stdout
    assert "2026-03-11" in dates(content, "ada/main")
    assert passport("check", content).exit_code == 0


def test_old_faults_do_not_stand_in_the_way(content):
    """Faults that other records have are nobody's row."""
    (content / "players/bo/only.yaml").write_text("lable: x\n", encoding="utf-8")
    result = bring(content, GOOD, "--write")
    assert (result.exit_code, result.stderr) == (0, "")


def test_another_encoding_is_told(content):
    """A table in Windows-1252 is read, and said to be, so that somebody looks."""
    result = bring(content, f"{NUMBER};10.03.2026;;;331;;;;Größe 4\n", "--write", encoding="cp1252")
    assert result.exit_code == 0
    assert "cp1252" in result.stderr
    assert load(content)[0].frames["ada/main"].record.jobs[2].note == "Größe 4"


def test_many_jobs_are_not_all_shown(content):
    """The first twenty are shown and the rest counted, unless all are wanted."""
    rows = "".join(f"{NUMBER};{day:02}.05.2026;;;331;;;;\n" for day in range(1, 31))
    result = bring(content, rows)
    assert result.stdout.count("# row") == 20
    assert "… and 10 more; --all shows them." in result.stdout
    assert bring(content, rows, "--all").stdout.count("# row") == 30


@pytest.mark.parametrize(
    ("mapping", "code", "words"),
    [
        (MAP.replace("tension: Tension", "tention: Tension"), 1, "tention"),
        (MAP.replace("date: Date\n", ""), 1, "missing-key"),
        (MAP.replace("frame: Card\n", ""), 1, "name the column of the frame"),
        (MAP.replace("Card", "Ticket"), 1, "no column 'Ticket'"),
        ("date: [\n", 1, "yaml-syntax"),
        ("just text\n", 1, "missing"),
    ],
)
def test_a_mapping_with_a_slip(content, mapping, code, words):
    """A mapping that cannot be used is refused with its fault, and nothing is written."""
    (content.parent / "map.yaml").write_text(mapping, encoding="utf-8")
    before = tree(content)
    result = bring(content, GOOD, "--write")
    assert result.exit_code == code
    assert words in result.stderr
    assert tree(content) == before


def test_a_file_that_is_not_there(content):
    """A table or a mapping that does not exist is wrong usage."""
    assert passport("import", content, content / "none.csv", "--map", content.parent / "map.yaml").exit_code == 2
    assert passport("import", content, content / "none.csv", "--map", content / "none.yaml").exit_code == 2


def test_a_full_disk(content, monkeypatch):
    """When a record cannot be written it stays as it was, and the error says why."""
    before = tree(content)
    monkeypatch.setattr("os.fsync", full_disk)
    result = bring(content, GOOD, "--write")
    monkeypatch.undo()
    refused(result, "No space left on device")
    assert tree(content) == before


def test_the_example_mapping_is_one(content):
    """The mapping that --example-map prints can be used as it is."""
    printed = passport("import", "--example-map")
    assert (printed.exit_code, printed.stdout) == (0, EXAMPLE)
    (content.parent / "map.yaml").write_text(EXAMPLE.replace("deep-petrol-125", "reed-125"), encoding="utf-8")
    head = "Card no.,Date,String,Tension,Mass,Reading,Minutes,Remarks\n"
    result = bring(content, f"{NUMBER},10.05.2026,dp 125,24,331,580,15,x\n", "--write", head=head)
    assert (result.exit_code, result.stderr) == (0, "")
    assert "2026-05-10" in dates(content, "ada/main")


CELLS = st.one_of(
    st.sampled_from(
        [NUMBER, "ada/twin", "ada new", "9999", "10.03.2026", "01.02.2026", "R", "F", "24", "24/23", "331,5", "15", "x"]
    ),
    st.text(st.characters(codec="utf-8", exclude_characters='\r\n;"\x00'), max_size=8),
    st.just(""),
)


@settings(max_examples=60)
@given(st.lists(st.lists(CELLS, min_size=9, max_size=9), max_size=4))
def test_whatever_the_table_holds(tmp_path_factory, table):
    """Any table leaves the records sound, is told row by row, and adds nothing at a second run."""
    root = tmp_path_factory.mktemp("any")
    (root / "map.yaml").write_text(MAP, encoding="utf-8")
    content = smallshop.write(root / "content")
    rows = "".join(";".join(cells) + "\n" for cells in table)
    first = bring(content, rows, "--write")
    assert first.exit_code in (0, 1)
    assert passport("check", content).exit_code == 0
    before = tree(content)
    second = bring(content, rows, "--write")
    assert second.exit_code == first.exit_code
    assert tree(content) == before


def test_a_missing_unit_leads_to_the_mapping(content):
    """A figure without a unit is named with how the mapping says it once for the whole column."""
    mapping = content.parent / "map.yaml"
    columns = "{string: String, mains_tension: Tension, mass: Mass}"
    mapping.write_text(f"date: Date\ndates: day.month.year\nframe: Card\ncolumns: {columns}\n", encoding="utf-8")
    result = bring(content, f"{NUMBER};10.03.2026;R;24;;;;;\n{NUMBER};11.03.2026;;;331;;;;\n")
    assert result.exit_code == 1
    assert "row 2: '24' has no unit." in result.stderr
    assert "'units: {tension: …}' in the mapping" in result.stderr
    assert "'units: {mass: …}' in the mapping" in result.stderr


def test_who_is_sure_of_a_table_has_it_noted_in_each_job(content):
    """Only in the jobs that were asked about; the same table again brings nothing."""
    rows = f"{NUMBER};10.03.2026;;;331,2;;;;\n{NUMBER};11.03.2026;;;3310;;;;\nada/twin;01.06.2026;F;11;;;;;\n"
    refused(bring(content, rows.replace("3310", "395"), "--write"), "--sure")
    result = bring(content, rows.replace("3310", "395"), "--write", "--sure")
    assert "3 jobs of 2 frames written" in result.stdout, result.output
    frames = load(content)[0].frames
    main = {job.date.isoformat(): job.sure for job in frames["ada/main"].record.jobs}
    assert "395" in main["2026-03-11"] and not main["2026-03-10"]
    assert "11 kg" in frames["ada/twin"].record.jobs[-1].sure
    assert "3 there already" in bring(content, rows.replace("3310", "395"), "--write").stdout
