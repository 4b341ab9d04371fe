"""``passport log``: a job on record in one line, and every other line as it was."""

import pytest
import smallshop
from commandline import full_disk, passport, refused, tree
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.records.load import load
from passport.records.schema.frame import Frame
from passport.records.transaction import lock

MAIN = "players/ada/main.yaml"
NUMBER = smallshop.NUMBERS["main"]


@pytest.fixture
def content(tmp_path):
    """The small workshop, with a remark at the end of one record."""
    text = smallshop.FILES[MAIN].replace("private_note: SECRET-FRAME", "# bench only\nprivate_note: SECRET-FRAME  # !")
    return smallshop.write(tmp_path / "content", {MAIN: text})


def log(content, *arguments):
    """A job without a card."""
    return passport("log", content, *arguments, "--no-build")


def frame(content, name="ada/main") -> Frame:
    """The record as it is now."""
    return load(content)[0].frames[name].record


def test_again_repeats_the_last_stringing(content):
    """The last strings, tensions and stencil are written with today's date, behind the other jobs and nowhere else."""
    before, text = tree(content), (content / MAIN).read_text(encoding="utf-8")
    result = log(content, NUMBER, "--again")
    assert (result.exit_code, result.stderr) == (0, "")
    old, new = frame(content).jobs[1], frame(content).jobs[-1]
    assert (new.date, new.strings, new.stencil, new.readings) == (smallshop.TODAY, old.strings, old.stencil, ())
    after = tree(content)
    added = """\

  - date: 2026-11-25
    strings:
      mains: {string: reed-125, tension: 24 kg}
      crosses: {string: flint-120, tension: 23 kg}
      pieces: 2
    stencil: {shape: Ring, ink: red}
"""
    assert after.pop(MAIN).decode() == text.replace("# bench only", added.removeprefix("\n") + "# bench only")
    assert {**after, MAIN: b""} == {**before, MAIN: b""}
    assert added.strip("\n") in result.stdout
    assert "Written to" in result.stdout


def test_parts_of_the_recipe_are_changed_by_name(content):
    """Any part of the recipe can be said; the rest stays as it was."""
    log(content, NUMBER, "--tension", "25/24 kg", "--batch", "B7", "--ink", "white", "--prestretch", "10 %")
    job = frame(content).jobs[-1]
    assert job.strings
    mains, crosses = job.strings.both
    assert (mains.tension.text, crosses.tension.text) == ("25 kg", "24 kg")
    assert (mains.string, crosses.string, mains.batch, job.strings.pieces) == ("reed-125", "flint-120", "B7", 2)
    assert job.stencil
    assert (job.stencil.shape, job.stencil.ink) == ("Ring", "white")


def test_readings_parts_and_notes_at_once(content):
    """Readings before and after, a part fitted and one taken off, a repair, notes and a price go in with one line."""
    result = log(
        content, "ada/main", "--again", "--date", "2026-11-20",
        "--mass", "333.4 g", "--balance", "330 mm", "--swingweight", "322 kgcm2", "--ring", "584 Hz", "--minutes", "15",
        "--before-ring", "533 Hz", "--fit", "Lead tape @ 12 = 2 g [80 mm]", "--remove", "lead-tape", "--repair", "grommets: two",
        "--note", "Told you: fine.", "--private-note", "owes", "--price", "£20",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    job = frame(content).jobs[-1]
    before, after = job.readings
    assert (before.when, before.age.text, after.age.text, after.mass.text) == ("before", "263 d", "15 min", "333.4 g")
    assert [(f.part, f.place.text, f.mass.text, f.length.text) for f in job.fitted] == [
        ("lead-tape", "12", "2 g", "80 mm")
    ]
    assert [(r.part, r.place.text) for r in job.removed] == [("lead-tape", "3 and 9")]
    assert (job.note, job.private_note, job.price) == ("Told you: fine.", "owes", "£20")
    assert job.repairs[0].note == "two"
    assert passport("check", content).exit_code == 0


def test_a_job_of_the_past_goes_to_its_place(content):
    """A job dated before others stands before them, so that the record stays in order."""
    log(content, NUMBER, "--mass", "331 g", "--date", "2026-03-10", "--sure")
    assert [job.date.isoformat() for job in frame(content).jobs] == [
        "2026-01-05",
        "2026-03-02",
        "2026-03-10",
        "2026-04-02",
    ]


@pytest.mark.parametrize(
    "called", [NUMBER, NUMBER.partition("-")[0], NUMBER.replace("-", " "), "ada/main", "tl-1", "Ada Main", "main"]
)
def test_a_frame_by_any_of_its_names(content, called):
    """Number with or without its check character, folder and file, serial, player and label all find the frame."""
    assert log(content, called, "--mass", "331 g").exit_code == 0
    assert len(frame(content).jobs) == 4


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("9999", "--again"), "There is no frame '9999'"),
        (("2001-9", "--again"), "typo"),
        (("ada/mian", "--again"), "Did you mean 'ada/main'?"),
        (("bo/only", "--string", "rede-125"), "Did you mean 'reed-125'?"),
        ((NUMBER, "--mass", "33 g", "--balance", "330 mm", "--swingweight", "322 kgcm2"), "impossible-body"),
        ((NUMBER, "--mass", "331 g", "--date", "2026-12-01"), "future-date"),
        ((NUMBER, "--pieces", "1"), "one piece"),
        ((NUMBER, "--supply", "shop"), "reel"),
        ((NUMBER, "--fit", "chalk @ 12"), "unknown-part"),
        ((NUMBER, "--remove", "silicone @ butt cap"), "was not on the frame"),
        ((NUMBER, "--remove", "silicone"), "On the frame:"),
        (("ada/new", "--again"), "nothing to repeat"),
        (("ada/gone", "--mass", "331 g"), "marked lost"),
        (("ada/split", "--again"), "A cracked frame must not be strung"),
        (("ada/done", "--again"), "marked retired"),
    ],
)
def test_what_would_be_wrong_is_not_written(content, arguments, words):
    """A new error of any kind is told with its place, and the record stays as it was."""
    before = tree(content)
    refused(log(content, *arguments), words)
    assert tree(content) == before


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "Say what was done"),
        (("--tension", "51"), "--tension: '51' has no unit"),
        (("--mass", "330 lb"), "--mass:"),
        (("--fit", "lead-tape"), "--fit:"),
        (("--date", "20.11.2026", "--again"), "--date:"),
        (("--before-ring", "loud"), "--before-ring:"),
    ],
)
def test_a_slip_in_an_option_is_wrong_usage(content, arguments, words):
    """What cannot be read is named by its option, with how to write it, before anything else."""
    before = tree(content)
    result = log(content, NUMBER, *arguments)
    assert result.exit_code == 2
    assert words in result.stderr
    assert tree(content) == before


def test_a_frame_comes_off_the_rack(content):
    """What was wanted of a frame that waited is taken out with the job, unless more is to be done; its comment stays."""
    text = (
        (content / MAIN)
        .read_text(encoding="utf-8")
        .replace("set: pair", "set: pair\nrack: restring, as before   # by Friday")
    )
    (content / MAIN).write_text(text, encoding="utf-8")
    assert log(content, NUMBER, "--mass", "331 g", "--keep-on-rack").exit_code == 0
    assert frame(content).rack == "restring, as before"
    result = log(content, NUMBER, "--again")
    assert "Off the rack: restring, as before" in result.stdout
    assert frame(content).rack == ""
    assert "set: pair\n# by Friday\n" in (content / MAIN).read_text(encoding="utf-8")


def test_a_broken_frame_can_be_measured(content):
    """A frame that is broken takes no strings, but a reading."""
    assert log(content, "ada/split", "--mass", "320 g").exit_code == 0


def test_warnings_are_shown_and_written_all_the_same(content):
    """Where nobody can be asked a warning is shown, and the job is written."""
    result = log(content, NUMBER, "--tension", "27/26.2 kg")
    assert result.exit_code == 0
    assert "tension-limit" in result.stderr
    assert len(frame(content).jobs) == 4


def test_old_faults_are_not_told_again(content):
    """Faults that the records had before do not stand in the way and are not repeated."""
    (content / "players/bo/only.yaml").write_text("lable: x\n", encoding="utf-8")
    result = log(content, NUMBER, "--again")
    assert (result.exit_code, result.stderr) == (0, "")


def test_a_dry_run_writes_nothing(content):
    """``--dry-run`` shows what would be written."""
    before = tree(content)
    result = log(content, NUMBER, "--again", "--dry-run")
    assert result.exit_code == 0
    assert "- date: 2026-11-25" in result.stdout
    assert tree(content) == before


def test_line_ends_and_marks_of_the_file_stay(content):
    """A record with Windows line ends and a byte order mark keeps both."""
    data = b"\xef\xbb\xbf" + (content / MAIN).read_bytes().replace(b"\n", b"\r\n")
    (content / MAIN).write_bytes(data)
    assert log(content, NUMBER, "--again").exit_code == 0
    after = (content / MAIN).read_bytes()
    assert after.startswith(data[: data.index(b"# bench only")])
    assert after.endswith(data[data.index(b"# bench only") :])
    assert after.count(b"\n") == after.count(b"\r\n")


def test_a_record_that_cannot_be_added_to_is_refused(content):
    """A record in one pair of brackets is left to a person."""
    (content / "players/bo/only.yaml").write_text("{model: larch-98, label: Only}\n", encoding="utf-8")
    before = tree(content)
    refused(log(content, "bo/only", "--mass", "330 g"), "pair of brackets", "Nothing was written")
    assert tree(content) == before


def test_a_full_disk_leaves_the_old_record(content, monkeypatch):
    """When the record cannot be written it stays as it was, and the error says why."""
    before = tree(content)
    monkeypatch.setattr("os.fsync", full_disk)
    result = log(content, NUMBER, "--again")
    monkeypatch.undo()
    refused(result, "No space left on device")
    assert tree(content) == before


def test_a_folder_that_is_locked_for_long(content, monkeypatch):
    """When another command does not finish, nothing is written and it is named."""
    before = tree(content)
    held, short = lock.locked, lock.locked
    monkeypatch.setattr(lock, "locked", lambda folder, work, say: short(folder, work, wait=0.1, say=say))
    with held(content, "passport import"):
        result = log(content, NUMBER, "--again")
    refused(result, "passport import", "Nothing was written")
    assert "Waiting for 'passport import'" in result.stderr
    assert tree(content) == before


def test_the_card_is_made_at_once(content):
    """The card lies in the private bench folder beside the content, and what comes next is said."""
    from passport.render.print import pdf

    if pdf.available():
        pytest.skip("Pango is missing")
    result = passport("log", content, NUMBER, "--again")
    card = content.parent / f"bench/card-{NUMBER}.pdf"
    assert result.exit_code == 0
    assert card.read_bytes().startswith(b"%PDF")
    assert f"card-{NUMBER}.pdf" in result.stdout
    assert f"passport build {content}" in result.stdout


def test_no_card_without_a_number(content):
    """A frame that was not issued gets its job, and the advice to issue it."""
    result = passport("log", content, "ada/new", "--string", "reed-125", "--tension", "24 kg")
    assert result.exit_code == 0
    assert f"passport issue {content} ada/new" in result.stdout
    assert not (content.parent / "bench").exists()


def test_no_card_while_records_have_errors(content):
    """The job is written though another of the player's records is broken; the card waits until that is mended."""
    (content / "players/ada/twin.yaml").write_text("lable: x\n", encoding="utf-8")
    result = passport("log", content, NUMBER, "--again")
    assert result.exit_code == 0
    assert "passport check" in result.stderr
    assert len(frame(content).jobs) == 4


def test_without_pango_the_job_is_written(content, monkeypatch):
    """Where cards cannot be made the job is on record all the same, and the message says what to install."""
    monkeypatch.setattr("passport.render.print.pdf.available", lambda: "Cards need the Pango library.")
    result = passport("log", content, NUMBER, "--again")
    assert result.exit_code == 0
    assert "Pango" in result.stderr
    assert len(frame(content).jobs) == 4


def test_a_folder_without_a_workshop(tmp_path):
    """A folder that is not a content folder is refused."""
    refused(passport("log", tmp_path, "1042-9", "--again"), "no-workshop")


OPTIONS = st.fixed_dictionaries(
    {},
    optional={
        "--tension": st.sampled_from(["23 kg", "50/48 lb", "60 lb"]),
        "--string": st.sampled_from(["reed-125", "Flint", "none such"]),
        "--crosses": st.sampled_from(["reed-125", "flint-120"]),
        "--batch": st.text(st.characters(codec="ascii", exclude_categories=("Cc",)), min_size=1, max_size=8),
        "--mass": st.sampled_from(["330 g", "20 g"]),
        "--ring": st.just("580 Hz"),
        "--minutes": st.sampled_from(["15", "24 h"]),
        "--fit": st.sampled_from(["lead-tape @ 12 = 1 g", "thin-overgrip @ along the handle"]),
        "--repair": st.just("other: looked at"),
        "--note": st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), min_size=1, max_size=200),
        "--date": st.sampled_from(["2026-01-05", "2026-03-20", "2027-01-01"]),
    },
)


@st.composite
def layouts(draw):
    """The record of a frame as people lay it out: remarks between lines, lists at any depth, any line ends, no last one."""
    lines = smallshop.FILES[MAIN].splitlines()
    shift = draw(st.sampled_from([0, 0, 2]))
    jobs = lines.index("jobs:")
    last = len(lines) - 1 if draw(st.booleans()) else len(lines)
    lines = [line if not jobs < n < len(lines) - 1 else " " * shift + line for n, line in enumerate(lines)][:last]
    for place in draw(st.lists(st.integers(0, len(lines) - 1), max_size=4)):
        indent = len(lines[place]) - len(lines[place].lstrip(" "))
        lines.insert(place, " " * indent + draw(st.sampled_from(["# a remark", "#", "# key: value", "# - {a: b}"])))
    return draw(st.sampled_from(["\n", "\r\n"])).join(lines) + draw(st.sampled_from(["", "\n", "\n\n# the end\n"]))


@settings(max_examples=80)
@given(layouts(), OPTIONS, st.booleans())
def test_any_job_on_any_record(tmp_path_factory, text, options, again):
    """Whatever is said of a frame, its record gains one stretch of text that passes every check, or stays as it was."""
    content = smallshop.write(tmp_path_factory.mktemp("any") / "content")
    (content / MAIN).write_bytes(text.encode())
    words = [word for pair in options.items() for word in pair]
    result = log(content, "ada/main", *words, "--sure", *(["--again"] if again else []))
    after = (content / MAIN).read_bytes().decode()
    if result.exit_code:
        assert after == text
        return
    start = next((i for i, (a, b) in enumerate(zip(text, after, strict=False)) if a != b), len(text))
    assert after.endswith(text[start:])
    assert after.count("# a remark") >= text.count("# a remark")
    assert passport("check", content).exit_code == 0


def test_a_bare_figure_is_in_the_unit_of_the_shop(tmp_path):
    """With ``units`` in workshop.yaml a bare tension and balance are read; without it the unit is asked for, and the
    record has the unit in any case."""
    shop = smallshop.FILES["workshop.yaml"]
    content = smallshop.write(
        tmp_path / "content", {"workshop.yaml": f"{shop}units: {{tension: kg, balance: points}}\n"}
    )
    done = passport("log", content, "ada/main", "--again", "--tension", "24.5/23", "--balance", "4 HL", "--no-build")
    assert done.exit_code == 0, done.output
    job = load(content)[0].frames["ada/main"].record.jobs[-1]
    assert job.strings
    assert [part.tension.text for part in job.strings.both] == ["24.5 kg", "23 kg"]
    assert job.readings[0].balance
    assert job.readings[0].balance.points_light == 4
    bare = smallshop.write(tmp_path / "bare")
    refused = passport("log", bare, "ada/main", "--again", "--tension", "24.5", "--no-build")
    assert refused.exit_code == 2
    assert "has no unit" in refused.output


def test_how_it_felt_stays_at_the_bench_unless_the_player_lets_it_out(content, tmp_path):
    """What a player said of the strings is on record and shown at the bench; only what may stand on the page stands there.
    What is ordered of the frame goes on waiting, and undo takes the words back."""
    text = (content / MAIN).read_text(encoding="utf-8").replace("set: pair", "set: pair\nrack: restring, as before")
    (content / MAIN).write_text(text, encoding="utf-8")
    said = ("--felt", "QUIETWORDS stiff", "--felt-on-page", "LOUDWORDS lively")
    assert log(content, NUMBER, *said).exit_code == 0
    now = frame(content)
    assert (now.jobs[-1].felt, now.jobs[-1].felt_on_page) == said[1::2]
    assert now.jobs[-1].strings is None
    assert now.rack == "restring, as before"
    shown = passport("show", content, NUMBER).output
    assert all(word in shown for word in said[1::2])
    assert passport("build", content, "--out", tmp_path / "site").exit_code == 0
    pages = [path.read_text(encoding="utf-8") for path in (tmp_path / "site").rglob("*.html")]
    assert any("LOUDWORDS lively" in page for page in pages)
    files = [path.read_bytes() for path in (tmp_path / "site").rglob("*") if path.is_file()]
    assert not any(b"QUIETWORDS" in data for data in files)
    assert passport("undo", content, "--yes").exit_code == 0
    assert (content / MAIN).read_text(encoding="utf-8") == text
