"""``passport issue``: a number and a key for a record, and not a letter of it changed otherwise."""

import re

import pytest
import smallshop
from click.testing import CliRunner
from commandline import EPOCH, full_disk, passport, refused, tree

from passport.cli.main import main
from passport.records.ledger import ledger
from passport.records.ledger.ledger import CLOSED, ISSUED, LedgerLine
from passport.records.load import load
from passport.records.schema import numbers
from passport.records.transaction import ledger_file

NEW = "players/ada/new.yaml"
ADDRESS = "https://cards.bench-nine.example/p"
HIGHEST = max(map(numbers.running_number, smallshop.NUMBERS.values()))


@pytest.fixture
def content(tmp_path):
    """The small workshop, whose ledger knows no more than a number of long ago."""
    content = smallshop.write(tmp_path / "content")
    old = [
        LedgerLine(ISSUED, "V" * 26, "frame", numbers.with_check(1500), ADDRESS),
        LedgerLine(CLOSED, "V" * 26, "frame"),
    ]
    ledger_file.append(content, old, smallshop.TODAY)
    return content


def issued(text: str) -> tuple[str, str]:
    """The number and key of a record's text."""
    number, key = re.search(r"^number: (\S+)\r?$", text, re.M), re.search(r"^key: (\S+)\r?$", text, re.M)
    assert number
    assert key
    return number[1], key[1]


def test_the_record_gets_the_next_number_and_a_key(content):
    """The number is the next after the highest with its check character; the key is 26 unmistakable characters."""
    result = passport("issue", content, "ada/new")
    assert (result.exit_code, result.stderr) == (0, "")
    number, key = issued((content / NEW).read_text(encoding="utf-8"))
    assert number == numbers.with_check(HIGHEST + 1)
    assert numbers.problem(number) is None
    assert numbers.is_key(key)
    assert f"ada/new: passport {number}" in result.stdout
    assert f"https://cards.bench-nine.example/p/{key}/" in result.stdout
    assert passport("check", content).exit_code == 0


def test_what_cannot_be_known_is_said_before_anything_is_given_out(tmp_path):
    """Where no ledger, no site and nothing beside the folder tells, the number is the next of the records, and it is said
    that others may have been given out."""
    content = smallshop.write(tmp_path / "content")
    result = passport("issue", content, "ada/new", "--site", tmp_path / "site")
    assert result.exit_code == 0
    assert "There is no ledger.txt" in result.stderr
    assert f"the highest known is {numbers.with_check(HIGHEST)}" in result.stderr


def test_the_highest_number_of_a_site_counts(content, tmp_path):
    """A number that only stands on the last site is not given again, with its manifest and without it."""
    for forgotten in (False, True):
        full = smallshop.write(tmp_path / f"full-{forgotten}")
        site = tmp_path / f"site-{forgotten}"
        high = full / "players/bo/only.yaml"
        high.write_text(high.read_text().replace(smallshop.NUMBERS["only"], numbers.with_check(7000)), encoding="utf-8")
        assert passport("build", full, "--out", site, "--no-cards").exit_code == 0
        (full / ledger.FILE).unlink()
        (full.parent / f"{full.name}.closed.txt").unlink()
        high.unlink()
        if forgotten:
            assert passport("addresses", full, "--forget-manifest", "--site", site, "--yes").exit_code == 0
            assert passport("issue", full, "ada/new", "--site", site).exit_code == 0
            assert issued((full / NEW).read_text(encoding="utf-8"))[0] == numbers.with_check(7001)
        else:  # its ledger is gone, and the manifest knows of one
            refused(passport("issue", full, "ada/new", "--site", site), "There is no ledger.txt", "--mend")


def test_no_other_line_is_touched(content):
    """Afterwards the two lines are new, and every other line, comment and file is as it was, byte for byte."""
    text = b"# The spare.\r\n\r\nmodel: larch-98   # on the rack\r\nlabel: 'New one'\r\n# the end"
    (content / NEW).write_bytes(text)
    before = tree(content)
    passport("issue", content, "ada/new")
    after = tree(content)
    changed = after.pop(NEW)
    before.pop(NEW)
    assert after.pop(ledger.FILE).startswith(before.pop(ledger.FILE))
    assert after == before
    number, key = issued(changed.decode())
    assert changed == text.replace(b"model:", f"number: {number}\r\nkey: {key}\r\nmodel:".encode())


def test_a_second_run_keeps_what_is_there(content):
    """A record that has both keeps them; nothing is written, and it says so."""
    passport("issue", content, "ada/new")
    before = tree(content)
    result = passport("issue", content, "ada/new")
    assert result.exit_code == 0
    assert "it had them already" in result.stdout
    assert tree(content) == before


@pytest.mark.parametrize("have", ["number", "key"])
def test_half_of_it_is_kept(content, have):
    """A record with a number or a key only keeps the one and gets the other."""
    given = {"number": numbers.with_check(7000), "key": "Z" * 26}
    (content / NEW).write_text(f"{have}: {given[have]}\nmodel: larch-98\nlabel: New\n", encoding="utf-8")
    assert passport("issue", content, "ada/new").exit_code == 0
    number, key = issued((content / NEW).read_text(encoding="utf-8"))
    assert (number if have == "number" else key) == given[have]
    assert (number == given["number"], key == given["key"]) == (have == "number", have == "key")
    assert passport("check", content).exit_code == 0


def test_keys_are_never_the_same(content):
    """Two records never get the same key, and it does not hang on a seed."""
    import random

    keys = set()
    for name in ("ada/new", "ada/other"):
        (content / f"players/{name}.yaml").write_text("model: larch-98\nlabel: New\n", encoding="utf-8")
        random.seed(1)
        passport("issue", content, name)
        keys.add(issued((content / f"players/{name}.yaml").read_text(encoding="utf-8"))[1])
    assert len(keys) == 2


def test_the_key_comes_from_the_systems_secure_source(content, monkeypatch):
    """The key's characters are bytes of the operating system's secure source."""
    import secrets

    monkeypatch.setattr(secrets, "token_bytes", lambda n: bytes(range(n)))
    passport("issue", content, "ada/new")
    assert issued((content / NEW).read_text(encoding="utf-8"))[1] == numbers.ALPHABET[:26]


def test_the_first_number_of_a_workshop(tmp_path):
    """A workshop that has issued none begins at 1001."""
    keep = ("workshop.yaml", "catalogue/", "pages/")
    changes = {name: None for name in smallshop.FILES if not name.startswith(keep)}
    changes |= {"players/cy/player.yaml": "name: Cy\n", "players/cy/one.yaml": "model: larch-98\nlabel: One\n"}
    content = smallshop.write(tmp_path, changes)
    assert passport("issue", content, "cy/one").exit_code == 0
    assert issued((content / "players/cy/one.yaml").read_text(encoding="utf-8"))[0].startswith("1001-")


def test_the_player_gets_a_key_too(content):
    """A player without a key gets one at the first frame that is issued; one that has a key keeps it."""
    player = content / "players/cy/player.yaml"
    player.parent.mkdir()
    player.write_text("# Cy\nname: Cy\n", encoding="utf-8")
    (content / "players/cy/one.yaml").write_text("model: larch-98\nlabel: One\n", encoding="utf-8")
    passport("issue", content, "cy/one")
    found = re.fullmatch(r"# Cy\nkey: (\w{26})\nname: Cy\n", player.read_text(encoding="utf-8"))
    assert found
    passport("issue", content, "cy/one")
    assert found[1] in player.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("typed", "meant"), [("ada/man", "ada/main"), ("aad/new", "ada/new"), ("ADA/MAIN", "ada/main")]
)
def test_a_name_with_a_slip_gets_a_suggestion(content, typed, meant):
    """A record that does not exist is refused with the name that was probably meant."""
    before = tree(content)
    refused(passport("issue", content, typed), "does not exist", f"Did you mean '{meant}'?")
    assert tree(content) == before


@pytest.mark.parametrize("typed", ["zzz", "../workshop", "/etc/passwd", "ada/player", "players/ada/new.yaml"])
def test_a_name_that_is_nothing_like_a_record(content, typed):
    """Anything else is refused with how frames are named, and nothing outside the records can be reached."""
    before = tree(content)
    refused(passport("issue", content, typed), "does not exist")
    assert tree(content) == before


def test_a_record_that_cannot_be_read_is_refused_with_the_reason(content):
    """A broken record gets no number: its faults are printed and nothing is written."""
    (content / NEW).write_text("model: larch-98\nlable: New\n", encoding="utf-8")
    before = tree(content)
    refused(passport("issue", content, "ada/new"), "unknown-key", "cannot be read", "nothing was written")
    assert tree(content) == before


@pytest.mark.parametrize("line", ["number:", "number: ''", "key: ", "key: ~"])
def test_an_empty_number_or_key_is_not_written_twice(content, line):
    """Where the record has the key without a value, it is refused rather than given the key a second time."""
    (content / NEW).write_text(f"{line}\nmodel: larch-98\nlabel: New\n", encoding="utf-8")
    before = tree(content)
    refused(passport("issue", content, "ada/new"), "nothing was written")
    assert tree(content) == before


def test_a_full_disk_is_an_error_without_a_traceback(content, monkeypatch):
    """When the record cannot be written it stays as it was, and the error says why."""
    before = tree(content)
    monkeypatch.setattr("os.fsync", full_disk)
    result = passport("issue", content, "ada/new")
    monkeypatch.undo()
    refused(result, "No space left on device")
    assert tree(content) == before


def test_a_folder_that_is_not_there_is_wrong_usage(tmp_path):
    """A content folder that does not exist ends with code 2."""
    assert passport("issue", tmp_path / "none", "ada/new").exit_code == 2


def test_faults_elsewhere_do_not_stand_in_the_way(content):
    """A fault in another record does not keep this one from being issued."""
    (content / "players/bo/only.yaml").write_text("lable: x\n", encoding="utf-8")
    assert passport("issue", content, "ada/new").exit_code == 0


def loaded(content):
    """The records as they are."""
    return load(content)[0]


def written(content):
    """The ledger of a content folder."""
    found = ledger.read(content)
    assert found
    assert (found.damaged, found.lost) == ((), ())
    return found


def test_what_is_issued_is_written_to_the_ledger(content):
    """The first run enters every key that the records have, each later one only what is new; nothing is entered twice."""
    passport("issue", content, "ada/new")
    number, key = issued((content / NEW).read_text(encoding="utf-8"))
    first = written(content)
    assert len(first.lines) == 11
    assert (first.lines[-1].key, first.lines[-1].number, first.lines[-1].kind) == (key, number, "frame")
    given = [line for line in first.lines if line.event != CLOSED]  # the fixture closes one that never had an address
    assert {line.address for line in given} == {"https://cards.bench-nine.example/p"}
    assert len(given) == len(first.lines) - 1
    passport("issue", content, "ada/new")
    assert written(content).lines == first.lines
    (content / "players/ada/fifth.yaml").write_text("model: larch-98\nlabel: Fifth\n", encoding="utf-8")
    passport("issue", content, "ada/fifth")
    assert written(content).lines[:-1] == first.lines
    assert len(written(content).lines) == 12


def test_a_number_is_never_given_out_twice(content):
    """A number that the ledger knows is not given to another frame, though no record has it any more."""
    passport("issue", content, "ada/new")
    number, _ = issued((content / NEW).read_text(encoding="utf-8"))
    (content / NEW).write_text("model: larch-98\nlabel: New\n", encoding="utf-8")
    passport("issue", content, "ada/new")
    again, _ = issued((content / NEW).read_text(encoding="utf-8"))
    assert numbers.running_number(again) == numbers.running_number(number) + 1


def test_a_new_frame_from_the_catalogue(content):
    """With a model and a label the record of a new frame is made, issued and sound; nothing else is touched."""
    before = tree(content)
    result = passport("issue", content, "ada/sixth", "--model", "larch-98", "--label", "6: the last", "--grip", "L2")
    assert (result.exit_code, result.stderr) == (0, "")
    after = tree(content)
    text = after.pop("players/ada/sixth.yaml").decode()
    after.pop(ledger.FILE)
    before.pop(ledger.FILE)
    assert after == before
    number, _ = issued(text)
    assert number == numbers.with_check(HIGHEST + 1)
    assert f"passport log {content} {number}" in result.stdout
    assert 'label: "6: the last"' in text
    frames = loaded(content).frames
    assert (frames["ada/sixth"].record.label, frames["ada/sixth"].record.since) == ("6: the last", smallshop.TODAY)
    assert passport("check", content).exit_code == 0


def test_a_new_frame_of_a_new_player(content):
    """A player who is not known yet gets a record with the public name and a key."""
    asked = ("issue", content, "cy/one", "--model", "larch-98", "--label", "One")
    assert passport(*asked).exit_code == 2
    result = passport(*asked, "--player-name", "Cy: the first")
    assert result.exit_code == 0
    records = loaded(content)
    assert records.players["cy"].record.name == "Cy: the first"
    assert {line.kind for line in written(content).lines[-2:]} == {"player", "frame"}
    assert passport("check", content).exit_code == 0


def test_a_frame_that_takes_over(content):
    """The new frame takes model, set and setup from the old one, which is broken now and leads to it."""
    main = content / "players/ada/main.yaml"
    main.write_text(main.read_text(encoding="utf-8").replace("set: pair", "set: pair   # of two"), encoding="utf-8")
    before = main.read_text(encoding="utf-8")
    result = passport("issue", content, "ada/heir", "--replaces", smallshop.NUMBERS["main"], "--serial", "TL-9")
    assert (result.exit_code, result.stderr) == (0, "")
    records = loaded(content)
    old, new = records.frames["ada/main"].record, records.frames["ada/heir"].record
    assert (old.status, old.replaced_by) == ("broken", new.number)
    assert (new.model, new.label, new.grip, new.set, new.serial) == ("larch-98", "Main", "L3", "pair", "TL-9")
    assert new.setup == old.setup
    after = main.read_text(encoding="utf-8").splitlines()
    assert [
        line for line in after if line not in ("status: broken", f"replaced_by: {new.number}")
    ] == before.splitlines()
    assert passport("check", content).exit_code == 0


def test_what_takes_over_from_a_sealed_frame_is_sealed(content):
    """A player who wanted a sealed page gets one for the replacement too, with a secret of its own, not shown."""
    passport("seal", content, "ada/main", "--yes")
    result = passport("issue", content, "ada/heir", "--replaces", "ada/main")
    assert (result.exit_code, result.stderr) == (0, "")
    old, new = (loaded(content).frames[f"ada/{name}"].record for name in ("main", "heir"))
    assert new.sealed
    assert numbers.is_secret(new.secret)
    assert new.secret != old.secret
    assert new.secret not in result.output
    assert passport("check", content).exit_code == 0


@pytest.mark.parametrize("status", ["lost", "retired", "broken"])
def test_a_frame_out_of_use_stays_what_it_is(content, status):
    """A lost frame that is replaced stays lost."""
    name = {"lost": "gone", "retired": "done", "broken": "split"}[status]
    passport("issue", content, "ada/heir", "--replaces", f"ada/{name}")
    assert loaded(content).frames[f"ada/{name}"].record.status == status


def test_a_record_that_is_there_can_take_over_too(content):
    """--replaces links a record that was written by hand, and a second run changes nothing."""
    asked = ("issue", content, "ada/new", "--replaces", "ada/twin")
    assert passport(*asked).exit_code == 0
    records = loaded(content)
    assert records.frames["ada/twin"].record.replaced_by == records.frames["ada/new"].record.number
    before = tree(content)
    assert passport(*asked).exit_code == 0
    assert tree(content) == before


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("ada/heir", "--replaces", "bo/only"), "another player"),
        (("ada/heir", "--replaces", "ada/torn"), "was replaced by"),
        (("ada/heir", "--replaces", "9999"), "There is no frame '9999'"),
        (("ada/twin", "--replaces", "ada/twin"), "cannot take over from itself"),
        (("ada/heir", "--model", "larch-99", "--label", "H"), "Did you mean 'larch-98'?"),
        (("ada/Heir", "--model", "larch-98", "--label", "H"), "small letters"),
        (("ada/player", "--model", "larch-98", "--label", "H"), "small letters"),
        (("../x", "--model", "larch-98", "--label", "H", "--player-name", "X"), "small letters"),
        (("ada/../x", "--model", "larch-98", "--label", "H"), "small letters"),
    ],
)
def test_what_cannot_be_made_is_refused(content, arguments, words):
    """Nothing is written where the old frame, the model or the name will not do."""
    before = tree(content)
    refused(passport("issue", content, *arguments), words)
    assert tree(content) == before


@pytest.mark.parametrize("called", [smallshop.NUMBERS["main"], smallshop.NUMBERS["main"].replace("-", "")])
def test_a_record_is_found_by_its_number(content, called):
    """The number of a record means the record: what it has is said again."""
    result = passport("issue", content, called)
    assert result.exit_code == 0, result.stderr
    assert f"ada/main: passport {smallshop.NUMBERS['main']} (it had them already)" in result.stdout


def test_a_number_that_no_record_has(content):
    """A sound number of no record is refused, and nothing is written."""
    before = tree(content)
    refused(passport("issue", content, numbers.with_check(9001)), "does not exist")
    assert tree(content) == before


def test_an_existing_record_is_not_made_anew(content):
    """Options for a new frame are refused for one that has a record; so are halves of what a new one needs."""
    assert passport("issue", content, "ada/main", "--label", "X").exit_code == 2
    result = passport("issue", content, "ada/heir", "--label", "X")
    assert result.exit_code == 2
    assert "needs --model too" in result.stderr


def test_the_dialogue(content, monkeypatch):
    """On a terminal what is missing is asked; a model is chosen by number or by a part of its name."""
    monkeypatch.setattr("passport.cli.commands.frames.issue.at_terminal", lambda: True)
    monkeypatch.setattr("passport.cli.shared.dialogue.at_terminal", lambda: True)
    runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH})
    result = runner.invoke(main, ["issue", str(content), "cy/one"], input="\nCy\n7\nlarch\n\nOne\nL2\n\n")
    assert result.exit_code == 0, result.output
    assert "Type its number" in result.output
    assert "This one is needed." in result.output
    frame = loaded(content).frames["cy/one"].record
    assert (frame.model, frame.label, frame.grip, frame.serial) == ("larch-98", "One", "L2", "")


@pytest.mark.parametrize("text", ["{model: larch-98, label: New}\n", "%YAML 1.1\n---\nmodel: larch-98\nlabel: New\n"])
def test_a_record_in_an_odd_form_is_added_to_soundly_or_not_at_all(content, text):
    """A record written in brackets or after a directive gets its lines so that it still reads, or is left as it was."""
    (content / NEW).write_text(text, encoding="utf-8")
    before = tree(content)
    result = passport("issue", content, "ada/new")
    if result.exit_code == 0:
        assert passport("check", content).exit_code == 0
        assert "number: " in (content / NEW).read_text(encoding="utf-8")
    else:
        refused(result, "by hand")
        assert tree(content) == before


@pytest.mark.parametrize(
    ("words", "question", "file"),
    [
        (("bo/new", "--label", "New", "--serial", "tl-1"), "This is the serial of", "players/bo/new.yaml"),
        (("cy/new", "--label", "main", "--player-name", "ADA"), "has a frame called", "players/cy/player.yaml"),
    ],
)
def test_another_players_serial_or_name_is_asked_about(content, words, question, file):
    """Whether the ledger is begun or not; whoever is sure has it noted."""
    for begun in (False, True):
        if begun:
            assert passport("issue", content, "ada/main", "--yes").exit_code == 0
        before = tree(content)
        result = passport("issue", content, *words, "--model", "larch-98", "--yes")
        assert result.exit_code == 1 and question in result.stderr and "--sure" in result.stderr
        assert {name: data for name, data in tree(content).items() if name in before} == before
    assert passport("issue", content, *words, "--model", "larch-98", "--yes", "--sure").exit_code == 0
    remark = re.search(r"^sure: (.*)$", (content / file).read_text(encoding="utf-8"), re.M)
    assert remark and question in remark[1]
    assert not {"serial-twice", "name-twice"} & set(passport("check", content).stderr.split())


BLANK = """\
model: larch-98
serial: TL-BLANK
grip: L2
received: 2026-11-10
build: {part: thin-overgrip, place: along the handle}
readings:
  - {state: bare, mass: 290.1 g, balance: 316.5 mm}
location: SECRET-PLACE
"""


def test_a_blank_that_is_used_leaves_the_stock(tmp_path):
    """The new frame takes model, serial, grip and what is on it from the blank; what was measured of it is kept at the
    bench, and undo brings the blank back."""
    content = smallshop.write(tmp_path / "content", {"blanks/larch-a.yaml": BLANK})
    done = passport(
        "issue", content, "ada/next", "--replaces", smallshop.NUMBERS["main"], "--blank", "larch-a", "--yes"
    )
    assert done.exit_code == 0, done.output
    assert "blanks/larch-a.yaml: taken away" in done.output
    records, faults = load(content)
    assert not [fault for fault in faults if fault.severity == "error"]
    frame = records.frames["ada/next"].record
    assert records.blanks == {}
    assert (frame.model, frame.serial, frame.grip, frame.build[0].part) == (
        "larch-98",
        "TL-BLANK",
        "L2",
        "thin-overgrip",
    )
    assert frame.jobs == ()
    assert "received 2026-11-10: state bare, mass 290.1 g, balance 316.5 mm" in frame.private_note
    assert passport("undo", content, "--yes").exit_code == 0
    assert (content / "blanks/larch-a.yaml").read_text(encoding="utf-8") == BLANK


def test_a_replacement_is_strung_like_the_frame_that_it_replaces(content):
    """'log --again' on a replacement that was never strung takes the last recipe of the old frame, without its batch."""
    old = content / "players/ada/main.yaml"
    text = old.read_text(encoding="utf-8")
    old.write_text(
        text.replace("{string: flint-120, tension: 23 kg}", "{string: flint-120, tension: 23 kg, batch: B7}"),
        encoding="utf-8",
    )
    assert passport("issue", content, "ada/next", "--replaces", smallshop.NUMBERS["main"], "--yes").exit_code == 0
    done = passport("log", content, "ada/next", "--again", "--no-build")
    assert done.exit_code == 0, done.output
    frames = load(content)[0].frames
    new, before = (frames[f"ada/{name}"].record.jobs for name in ("next", "main"))
    assert [job.date for job in new] == [smallshop.TODAY]
    bed, was = new[0].strings, before[1].strings
    assert bed
    assert was
    assert [(one.string, one.tension.text) for one in bed.both] == [(one.string, one.tension.text) for one in was.both]
    assert (bed.pieces, bed.both[1].batch, was.both[1].batch) == (was.pieces, "", "B7")
    assert new[0].stencil == before[1].stencil


def test_a_blank_that_is_not_there_is_told(content):
    """A blank's name is checked before anything is given out."""
    refused = passport(
        "issue", content, "ada/next", "--model", "larch-98", "--label", "N", "--blank", "larch-b", "--yes"
    )
    assert refused.exit_code == 1
    assert "There is no blank 'larch-b'. Did you mean 'larch-a'?" in refused.output
