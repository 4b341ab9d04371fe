"""``passport export``: a player's whole history in a folder, opened without a program and adopted elsewhere."""

import json
import re
import shutil
from pathlib import Path

import pytest
from commandline import passport as run
from commandline import refused, tree
from places import TESTS
from smallshop import KEYS, NUMBERS, write

from passport.records.exchange.carried import NotCarried
from passport.records.exchange.history import MOST_FRAMES, read_history
from passport.records.load import load
from passport.workshop.gathering.gather import gatherer_of

LATER = {"SOURCE_DATE_EPOCH": "1796212800"}


def passport(*arguments):
    """A command on 2026-12-02, after all that any of the workshops wrote."""
    return run(*arguments, env=LATER)


@pytest.fixture(scope="module")
def shops(tmp_path_factory):
    """A workshop, what it wrote for one of its players, and a second one, French, that took that over."""
    root = tmp_path_factory.mktemp("shops")
    home, taken, elsewhere = root / "home", root / "taken", root / "atelier"
    home.mkdir()
    write(home)
    assert passport("export", home, "ada", "--out", taken).exit_code == 0
    shutil.copytree(TESTS / "support" / "second", elsewhere)
    found = passport("adopt", elsewhere, taken, "--yes", "--sure")
    assert found.exit_code == 0, found.output
    return home, taken, elsewhere


def test_it_opens_without_any_program(shops):
    """Every page leads to files of the folder alone, none has a link to a server but mail and telephone, and the first
    page leads to the player's."""
    _, taken, _ = shops
    pages = list(taken.rglob("*.html"))
    assert len(pages) >= 4 and f"{KEYS['ada']}/index.html" in (taken / "index.html").read_text(encoding="utf-8")
    for page in pages:
        for link in re.findall(r'(?:href|src)="([^"]*)"', page.read_text(encoding="utf-8")):
            if re.match(r"(?:mailto|tel|sms|https):|#|data:", link):
                continue
            assert (page.parent / link.partition("#")[0]).is_file(), f"{page}: {link}"


def test_nothing_private_is_in_it(shops):
    """No private field stands in any of its files, nor anything of another player; the history names no key."""
    _, taken, _ = shops
    for path in taken.rglob("*"):
        if path.suffix in (".html", ".json", ".ics", ".css", ".js"):
            text = path.read_text(encoding="utf-8")
            assert not re.search(r"SECRET|secret-mail", text), path
            assert KEYS["bo"] not in text and KEYS["only"] not in text, path
    history = (taken / "history.json").read_text(encoding="utf-8")
    assert not [key for key in KEYS.values() if key in history]


def test_sealed_pages_are_open_in_it(shops):
    """The player's own copy needs no secret."""
    home, taken, _ = shops
    content, _ = load(home)
    for entry in content.frames_of("ada"):
        if entry.record.key and entry.record.sealed:
            assert entry.record.number in (taken / entry.record.key / "index.html").read_text(encoding="utf-8")


def test_the_whole_history_is_adopted(shops):
    """Each frame has all its jobs with their days, strings, pulls, parts and readings, says where they were done, and has a
    number and a key of its own."""
    home, _, elsewhere = shops
    mine, there = load(home)[0], load(elsewhere)[0]
    before = {e.record.number: e.record for e in mine.frames_of("ada") if e.record.number}
    after = [e.record for e in there.frames.values() if e.record.origin]
    assert {frame.origin.number for frame in after} >= set(before)
    for frame in after:
        old = next(e.record for e in mine.frames_of("ada") if frame.origin.number in (e.record.number, e.name))
        assert frame.number != "" and frame.key not in KEYS.values() and frame.origin.came_as == "history"
        assert [job.date for job in frame.jobs] == [job.date for job in old.jobs]
        assert all(job.elsewhere == "Bench Nine & Daughters" for job in frame.jobs)
        for new, was in zip(frame.jobs, old.jobs, strict=True):
            assert new.readings == was.readings or not any(r.note for r in new.readings)
            assert (new.strings is None) == (was.strings is None)
            if new.strings:
                assert new.strings.mains.tension == was.strings.mains.tension
                named = there.strings[new.strings.mains.string].record
                assert named.name == mine.strings[was.strings.mains.string].record.name
            assert [(p.place.text, p.mass) for p in new.fitted] == [(p.place.text, p.mass) for p in was.fitted]
        assert not frame.private_note and not any(job.price for job in frame.jobs)


def test_other_instruments_say_nothing_of_it(shops):
    """The scale of that workshop reads 0.3 % too much, which corrects its own readings and none of those made elsewhere."""
    home, _, elsewhere = shops
    mine, there = gatherer_of(load(home)[0]), gatherer_of(load(elsewhere)[0])
    name = next(
        e.name
        for e in load(elsewhere)[0].frames.values()
        if e.record.origin and e.record.origin.number == NUMBERS["main"]
    )
    theirs, own = there.recipe(name), mine.recipe("ada/main")
    assert theirs.spec("mass").value == pytest.approx(own.spec("mass").read, abs=1e-9)
    assert theirs.stringing.method.head is None and theirs.stringing.fingerprint is None


def test_undo_takes_all_of_it_back(shops, tmp_path):
    """One undo, and the records are as they were."""
    _, taken, _ = shops
    folder = tmp_path / "atelier"
    shutil.copytree(TESTS / "support" / "second", folder)
    before = {path: data for path, data in tree(folder).items() if path != "ledger.txt"}
    assert passport("adopt", folder, taken / "history.json", "--player", "Ada L.", "--yes", "--sure").exit_code == 0
    assert passport("undo", folder, "--yes").exit_code == 0
    assert {path: data for path, data in tree(folder).items() if path != "ledger.txt"} == before


def test_what_stands_in_the_way_is_said(shops, tmp_path):
    """A folder that is there, a player that is not, a folder of records: each is refused, and nothing is written."""
    home, taken, _ = shops
    refused(passport("export", home, "ada", "--out", taken), "is there already")
    refused(passport("export", home, "zebulon", "--out", tmp_path / "x"), "no player")
    refused(passport("export", home, "ada", "--out", home / "x"), "holds the records")
    assert not (tmp_path / "x").exists()


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data.pop("player"),
        lambda data: data.update(history=2),
        lambda data: data.update(frames=[data["frames"][0]] * (MOST_FRAMES + 1)),
        lambda data: data["frames"][0].update(record={"label": ["x", {"y": 3}]}),
        lambda data: data["frames"][0]["record"].update(label="a\u202eb"),
        lambda data: data["catalogue"].update(strings=[]),
        lambda data: data.update(player={"name": "x" * 1000}),
    ],
)  # fmt: skip
def test_b1_a_history_that_is_none_is_a_fault(shops, tmp_path, change):
    """B1: a history of another version, with too much in it, or with values that are no text is refused with a remedy."""
    data = json.loads((shops[1] / "history.json").read_text(encoding="utf-8"))
    change(data)
    (tmp_path / "history.json").write_text(json.dumps(data), encoding="utf-8")
    with pytest.raises(NotCarried) as raised:
        read_history(tmp_path)
    assert raised.value.fault.do


def test_b2_names_in_a_history_are_no_paths(shops, tmp_path):
    """B2: labels, names of entries and models that look like paths make no file but those of the program's own naming, and a
    record that cannot be read is refused with where it is wrong."""
    data = json.loads((shops[1] / "history.json").read_text(encoding="utf-8"))
    data["frames"] = data["frames"][:1]
    data["frames"][0]["record"]["label"] = "../../../evil"
    folder, file = tmp_path / "atelier", tmp_path / "history.json"
    shutil.copytree(TESTS / "support" / "second", folder)
    file.write_text(json.dumps(data), encoding="utf-8")
    assert passport("adopt", folder, file, "--player", "Ada L.", "--yes", "--sure").exit_code == 0
    assert "players/ada-l/evil.yaml" in tree(folder)
    assert {p.name for p in Path(tmp_path).iterdir()} <= {"atelier", "history.json", "atelier.closed.txt"}
    data["catalogue"]["strings"][next(iter(data["catalogue"]["strings"]))]["gauge"] = "thick"
    file.write_text(json.dumps(data), encoding="utf-8")
    refused(passport("adopt", folder, file, "--player", "Ada L.", "--yes"), "gauge", "cannot be read")
