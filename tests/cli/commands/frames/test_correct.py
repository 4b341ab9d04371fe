"""``passport correct``: a job, a reading, the setup, a contact changed or taken out, and every other line as it was."""

import re
from collections import Counter

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, passport, refused, tree

from passport.cli.main import main
from passport.records.load import load

MAIN, ADA = "players/ada/main.yaml", "players/ada/player.yaml"
NUMBER = smallshop.NUMBERS["main"]


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def changed(content, *arguments, file=MAIN, code=0):
    """The lines of a file that went and that came; no other file differs."""
    before = tree(content)
    result = passport("correct", content, *arguments, "--yes")
    assert result.exit_code == code, result.output
    after = tree(content)
    assert {name for name in before if before[name] != after[name]} <= {file}
    old, new = before[file].decode().splitlines(), after[file].decode().splitlines()
    return list((Counter(old) - Counter(new)).elements()), list((Counter(new) - Counter(old)).elements())


def jobs(content, name="ada/main"):
    """The jobs of a frame as they are now."""
    return load(content)[0].frames[name].record.jobs


def test_a_tension_is_corrected_in_its_line(content):
    """One line differs; the change can be taken back."""
    before = tree(content)[MAIN]
    gone, come = changed(content, NUMBER, "--job", "2", "--set", "mains.tension=24.5 kg")
    assert (len(gone), len(come)) == (1, 1)
    assert come[0] == gone[0].replace("24 kg", "24.5 kg")
    assert passport("undo", content, "--yes").exit_code == 0
    assert tree(content)[MAIN] == before


def test_a_reading_is_corrected_and_taken_out(content):
    """A reading goes with its line alone."""
    count = len(jobs(content)[1].readings)
    gone, come = changed(content, "ada/main", "--job", "2", "--reading", "last", "--set", "mass=331.5 g")
    assert len(come) == 1
    assert "331.5 g" in come[0]
    gone, come = changed(content, "ada/main", "--job", "2", "--reading", "last", "--remove")
    assert come == []
    assert "331.5 g" in gone[0]
    assert len(jobs(content)[1].readings) == count - 1


def test_a_job_is_taken_out_to_the_byte(content):
    """What 'log' wrote by mistake goes as if it had never been."""
    before = tree(content)
    assert passport("log", content, "ada/main", "--mass", "331 g", "--no-build").exit_code == 0
    result = passport("correct", content, "ada/main", "--job", smallshop.TODAY.isoformat(), "--remove", "--yes")
    assert result.exit_code == 0
    assert "  -   - date: 2026-11-25" in result.stdout
    assert {name: data for name, data in tree(content).items() if name in before} == before


def test_a_job_of_another_day_goes_to_its_place(content):
    """The jobs stay in order, and every line is there."""
    assert passport("log", content, "ada/main", "--mass", "331 g", "--no-build").exit_code == 0
    gone, come = changed(content, "ada/main", "--job", "last", "--set", "date=2026-03-01")
    assert (gone, come) == (["  - date: 2026-11-25"], ["  - date: 2026-03-01"])
    days = [job.date for job in jobs(content)]
    assert days == sorted(days)
    assert passport("check", content).exit_code == 0


def test_setup_contact_and_frame(content):
    """Whatever is typed by hand elsewhere is corrected here."""
    changed(content, "ada/main", "--setup", "--set", "mass=331 g ± 1 g")
    changed(content, "ada/main", "--frame", "--set", "grip=L4", "--unset", "private-note")
    changed(content, "ada", "--player", "--set", "phone=01632 960555", "--unset", "contact.address", file=ADA)
    records, _ = load(content)
    frame, ada = records.frames["ada/main"].record, records.players["ada"].record
    assert (frame.setup.mass.text, frame.grip, frame.private_note) == ("331 g ± 1 g", "L4", "")
    assert (ada.contact.phone, ada.contact.address) == ("01632 960555", "")
    assert ada.contact.email == "secret-mail@ada.example"


def test_a_broken_frame_is_put_back_into_play(content):
    """No line has to be cut out by hand where a status was a mistake, or a successor."""
    assert passport("issue", content, "ada/heir", "--replaces", "ada/main", "--yes").exit_code == 0
    changed(content, "ada/main", "--frame", "--set", "status=active", "--unset", "replaced_by")
    frame = load(content)[0].frames["ada/main"].record
    assert (frame.status, frame.replaced_by) == ("active", "")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("ada/main", "--job", "2", "--set", "tension=25 kg"), ("'strings.mains.tension', 'strings.crosses.tension'",)),
        (("ada/main", "--job", "2026-01-01", "--remove"), ("There is no job of 2026-01-01", "The jobs are of")),
        (("ada/main", "--frame", "--set", "number=1042-9"), ("passport issue",)),
        (("ada/main", "--frame", "--unset", "secret"), ("passport seal",)),
        (("ada/main", "--job", "2", "--set", "mains.tension=about 20"), ("tension", "Nothing was written")),
        (("ada/main", "--job", "2", "--set", "colour=red"), ("'colour' is not known",)),
        (("ada/main", "--job", "2", "--unset", "colour"), ("nothing to take out",)),
        (("ada/main", "--job", "2", "--set", "date=2026-03-02"), ("says that already",)),
        (("ada/new", "--job", "last", "--remove"), ("no job to correct",)),
        (("nobody", "--frame", "--set", "grip=L3"), ("There is no frame",)),
    ],
)
def test_what_cannot_be_done_is_refused(content, arguments, words):
    """With the reason, and nothing is written."""
    before = tree(content)
    refused(passport("correct", content, *arguments, "--yes"), *words)
    assert tree(content) == before


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("--job", "2"),
        ("--job", "2", "--remove", "--set", "note=x"),
        ("--job", "9", "--remove"),
        ("--job", "2", "--reading", "7", "--remove"),
        ("--setup", "--player", "--set", "note=x"),
        ("--frame", "--remove"),
        ("--frame", "--set", "grip"),
        ("--frame", "--set", "a..b=1"),
    ],
)
def test_what_makes_no_sense_is_wrong_usage(content, arguments):
    """Code 2, and nothing is written."""
    before = tree(content)
    assert passport("correct", content, "ada/main", *arguments, "--yes").exit_code == 2
    assert tree(content) == before


def test_nobody_is_there_to_agree(content):
    """Without --yes nothing is written by a script; with --dry-run it is only shown."""
    before = tree(content)
    arguments = ("correct", content, "ada/main", "--frame", "--set", "grip=L4")
    refused(passport(*arguments), "nobody is here to agree")
    assert "+ grip: L4" in passport(*arguments, "--dry-run").stdout
    assert tree(content) == before


# --- the dialogue ----------------------------------------------------------------------------------------------


@pytest.fixture
def talked(monkeypatch, content):
    """Runs the dialogue on a frame with some lines typed."""
    as_a_person(monkeypatch)

    def run(name, *lines):
        runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
        result = runner.invoke(main, ["correct", str(content), name], input="".join(f"{line}\n" for line in lines))
        assert result.exit_code == 0, result.output
        return result.output

    return run


def test_a_job_is_chosen_and_a_value_typed(content, talked):
    """The list names the jobs, the next one their values; the old value is offered."""
    said = talked("ada/main", "job 2", "strings.mains.tension", "24.5 kg", "n", "y")
    assert "What is wrong" in said
    assert "What it should say ('-' takes it out) [24 kg]" in said
    assert jobs(content)[1].strings.mains.tension.text == "24.5 kg"


def test_a_value_that_is_not_there_yet_and_one_taken_out(content, talked):
    """Both in one go, written together."""
    talked("ada/main", "player", "something else", "plays_a_week", "2", "y", "contact.phone", "-", "n", "y")
    ada = load(content)[0].players["ada"].record
    assert (ada.plays_a_week, ada.contact.phone) == (2, "")


def test_a_job_and_a_reading_are_taken_out(content, talked):
    """Each by its line in the list; no leaves all as it was."""
    before = tree(content)
    talked("ada/main", "job 2", "all of it", "n")
    assert {n: d for n, d in tree(content).items() if n in before} == before
    count = len(jobs(content)[1].readings)
    talked("ada/main", "job 2", "reading 1", "y")
    assert len(jobs(content)[1].readings) == count - 1
    talked("ada/main", "job 3", "all of it", "y")
    assert len(jobs(content)) == 2


def test_a_chosen_blank_is_asked_about(content, talked):
    """What is no frame but one thing in stock or in the catalogue is found by its name."""
    talked("larch-a", "location", "Shelf 2", "n", "y")
    assert load(content)[0].blanks["larch-a"].record.location == "Shelf 2"
    talked("Oxbow Reed", "gauge", "1.26 mm", "n", "y")
    assert load(content)[0].strings["reed-125"].record.gauge.text == "1.26 mm"


@pytest.mark.parametrize(
    ("file", "arguments", "come"),
    [
        ("blanks/larch-a.yaml", ("larch-a", "--blank", "--set", "grip=L2"), ["grip: L2"]),
        ("catalogue/parts.yaml", ("Lead tape", "--part", "--set", "per_length=21 g/m"), None),
        ("catalogue/parts.yaml", ("silicone", "--part", "--set", "note=Two tubes"), None),
        ("catalogue/frames.yaml", ("Tarn Larch 98", "--model", "--set", "pattern.crosses=20"), None),
        ("catalogue/strings.yaml", ("flint-120", "--string", "--unset", "weighed"), None),
        ("workshop.yaml", ("--workshop", "--set", "contact.phone=01632 960002"), None),
        ("workshop.yaml", ("--workshop", "--set", "instruments.1.name=Old scale"), None),
    ],
)
def test_stock_catalogue_and_workshop_are_corrected_and_taken_back(content, file, arguments, come):
    """One line differs, and undo puts it back to the byte."""
    before = tree(content)
    gone, came = changed(content, *arguments, file=file)
    assert came == come if come else len(gone) == len(came) == 1
    assert passport("undo", content, "--yes").exit_code == 0
    assert {name: data for name, data in tree(content).items() if name in before} == before


def test_a_blank_and_an_entry_are_taken_out_and_come_back(content):
    """A blank goes with its file, an entry of the catalogue with its lines; one that is in use does not go."""
    parts = content / "catalogue/parts.yaml"
    parts.write_text(f"{parts.read_text(encoding='utf-8')}spare: {{kind: tape, name: Spare}}\n", encoding="utf-8")
    before = tree(content)
    assert passport("correct", content, "larch-a", "--blank", "--remove", "--yes").exit_code == 0
    assert "blanks/larch-a.yaml" not in tree(content)
    assert passport("correct", content, "spare", "--part", "--remove", "--yes").exit_code == 0
    assert list(load(content)[0].parts) == ["lead-tape", "thin-overgrip", "silicone"]
    for _ in range(2):
        assert passport("undo", content, "--yes").exit_code == 0
    assert {name: data for name, data in tree(content).items() if name in before} == before
    result = passport("correct", content, "reed-125", "--string", "--remove", "--yes")
    assert result.exit_code == 1 and "unknown-string" in result.stderr
    assert {name: data for name, data in tree(content).items() if name in before} == before


def test_what_is_not_in_stock_is_refused(content):
    """With the nearest name."""
    refused(passport("correct", content, "reed-15", "--string", "--set", "note=x"), "reed-125")


def test_a_correction_that_is_a_slip_takes_somebody_who_is_sure(content):
    """It is asked about like a new value; the remark goes where the value is, and goes with it."""
    words = ("ada/main", "--job", "2", "--set", "mains.tension=24 lb", "--yes")
    before = tree(content)
    refused(passport("correct", content, *words), "--sure")
    assert tree(content) == before
    assert passport("correct", content, *words, "--sure").exit_code == 0
    assert "24 lb is not what tennis frames are strung with." in jobs(content)[1].sure and not jobs(content)[0].sure
    assert "unlikely" not in passport("check", content).stderr
    assert passport("correct", content, "ada/main", "--job", "2", "--set", "note=Soft", "--yes").exit_code == 0
    assert jobs(content)[1].sure  # a note has nothing to do with it
    changed(content, "ada/main", "--job", "2", "--set", "mains.tension=24 kg")
    assert jobs(content)[1].sure == ""


@pytest.mark.parametrize(
    ("arguments", "file"),
    [
        (("bo/only", "--frame", "--set", "serial=tl-1"), "players/bo/only.yaml"),
        (("ada", "--player", "--set", "contact.email=not a mail"), ADA),
        (("larch-98", "--model", "--set", "tension.high=26 kg", "--set", "tension.low=12 kg"), "catalogue/frames.yaml"),
        (("ada/main", "--setup", "--set", "twistweight=133 kgcm2"), MAIN),
    ],
)
def test_who_is_sure_of_a_serial_a_contact_or_a_target_has_it_noted(content, arguments, file):
    """Another player's serial, no address of mail, a target that no frame has: refused, and noted where somebody is sure."""
    refused(passport("correct", content, *arguments, "--yes"), "--sure")
    assert passport("correct", content, *arguments, "--yes", "--sure").exit_code == 0
    assert re.search(r"^ *sure: ", (content / file).read_text(encoding="utf-8"), re.M)
    assert not {"serial-twice", "bad-contact", "unlikely"} & set(passport("check", content).stderr.split())
