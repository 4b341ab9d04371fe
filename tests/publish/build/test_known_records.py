"""What is remembered of the records says what reading all of them says, whatever was changed meanwhile."""

import os
import re
import shutil
from datetime import date, timedelta
from functools import partial
from pathlib import Path

import pytest
from places import ROOT
from smallshop import TODAY, write

from passport.acts.clock import today
from passport.acts.memory import RECORDS, memory
from passport.acts.reading import known, part, read, surveyed
from passport.publish.build.known_records import PAIRS, KnownRecords, known_records
from passport.publish.cache import player_state
from passport.publish.cache.cache_database import FILE
from passport.records.faults import has_errors
from passport.records.load import load
from passport.workshop.gathering.sureness import judged
from passport.workshop.measuring.strung_pairs import PairOutline, pair_outlines
from passport.workshop.rebuild.subject import Workbench
from passport.workshop.stockroom.use import JobUses, UseBook
from passport.workshop.strings.due import due_list
from tests.benchmarks.workshops import workshop

ADA = "players/ada/main.yaml"


def _known(content: Path, day: date = TODAY) -> KnownRecords | None:
    """What is known as of a day; nobody is told how far it is."""
    return known_records(content, day, partial(memory, content, RECORDS, lambda said: None), lambda s, d, t: None)


def _agrees(content: Path) -> None:
    """What is remembered is what is read, in the faults, in who is there, in what jobs took, and in when strings are due."""
    found = known(content)
    records, faults = read(content)
    assert (found is None) == has_errors(faults)
    if found is None:
        return
    assert found.faults == faults
    assert list(found.all.frames) == list(records.frames)
    assert found.all.numbers() == records.numbers()
    assert found.unfinished == {name.partition("/")[0] for name, e in records.frames.items() if e.record.unfinished}
    for name, entry in records.frames.items():
        recalled = found.all.frames[name].record
        assert [*recalled.photos()] == [*entry.record.photos()], name
        assert (recalled.last_job, recalled.since) == (entry.record.last_job, entry.record.since), name
        assert recalled.rack == bool(entry.record.rack), name
    assert found.book == UseBook.of(records)
    assert found.figures == tuple(judged(records))
    assert found.worked_out(PAIRS) == tuple(pair_outlines(records))
    day = today()
    owners = (records.players[row.frame.partition("/")[0]].record for row in found.due)
    for row, player, wanted in zip(found.due, owners, due_list(records, day), strict=True):
        assert row.on(day, player) == wanted, row.frame


@pytest.fixture(params=["content_demo", "tests/support/second"])
def shop(request, tmp_path):
    """A copy of a whole workshop."""
    return Path(shutil.copytree(ROOT / request.param, tmp_path / "shop", ignore=shutil.ignore_patterns(".passport*")))


def test_a_whole_workshop_is_known_as_it_is_read(shop):
    """The first time, the second time, and after a player was given a frame of the same label and serial as another."""
    for _ in range(2):
        _agrees(shop)
    first = next(path for path in sorted((shop / "players").rglob("*.yaml")) if path.name != "player.yaml")
    text = "".join(
        line
        for line in first.read_text(encoding="utf-8").splitlines(keepends=True)
        if not line.startswith(("number:", "key:", "replaced_by:", "rebuilds:", "secret:", "sealed:"))
    )
    other = shop / "players" / "somebody-else"
    other.mkdir()
    name = next(
        line for line in (first.parent / "player.yaml").read_text(encoding="utf-8").splitlines() if "name:" in line
    )
    (other / "player.yaml").write_text(f"{name}\n", encoding="utf-8")
    (other / "one.yaml").write_text(text, encoding="utf-8")
    _agrees(shop)
    said = {fault.rule for fault in surveyed(shop)[1]}
    assert "name-twice" in said
    shutil.rmtree(other)
    _agrees(shop)


CHANGES = {
    "a reading": (ADA, "jobs:", "jobs:\n  - date: 2026-11-20\n    readings: [{mass: 331 g}]"),
    "a label": (ADA, "label: ", "label: Other "),
    "a catalogue entry": ("catalogue/strings.yaml", "1.42 g/m", "1.43 g/m"),
    "the workshop": ("workshop.yaml", "mass: 1 g", "mass: 2 g"),
    "an error": (ADA, "label: ", "labell: "),
    "a frame that goes": (ADA, "label: ", "status: retired\nlabel: "),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_is_noticed(tmp_path, change):
    """Whatever is edited, what is known then is what is read then; and once it is taken back."""
    content = write(tmp_path / "shop")
    _agrees(content)
    path, old, new = CHANGES[change]
    before = (content / path).read_text(encoding="utf-8")
    (content / path).write_text(before.replace(old, new, 1), encoding="utf-8")
    _agrees(content)
    (content / path).write_text(before, encoding="utf-8")
    _agrees(content)


def test_only_what_changed_is_read(tmp_path, monkeypatch):
    """The second look reads no player; after an edit it reads that one."""
    content = write(tmp_path / "shop")
    for file in content.rglob("*.yaml"):
        _aged(file)
    _known(content)
    asked = []
    real = load

    def noted(root, names=None):
        asked.append(names)
        return real(root, names)

    monkeypatch.setattr("passport.publish.cache.player_state.load", noted)
    assert _known(content)
    assert asked == []
    (content / ADA).write_text((content / ADA).read_text(encoding="utf-8") + "# seen\n", encoding="utf-8")
    assert _known(content)
    assert [tuple(names) for names in asked] == [("ada",)]


def _aged(file: Path) -> None:
    """Make a file older than the seconds in which a mark proves nothing."""
    then = file.stat().st_mtime - 60
    os.utime(file, (then, then))


def test_a_day_to_come_is_looked_at_again(tmp_path):
    """A job of tomorrow is an error today, and tomorrow none."""
    content = write(tmp_path / "shop")
    text = (content / ADA).read_text(encoding="utf-8")
    tomorrow = TODAY + timedelta(days=1)
    (content / ADA).write_text(
        text.replace("jobs:", f"jobs:\n  - date: {tomorrow}\n    note: early", 1), encoding="utf-8"
    )
    assert _known(content) is None
    # Its place in the order of days is another matter: only that it may stand there is asked here.
    faults = read(content)[1]
    assert has_errors(faults)


def test_a_damaged_memory_is_no_memory(tmp_path):
    """Bytes of another kind in the file, or none at all, and everything is read as if for the first time."""
    content = write(tmp_path / "shop")
    _agrees(content)
    file = content / ".passport-cache" / RECORDS / FILE
    for data in (b"", b"no database", file.read_bytes()[: file.stat().st_size // 2]):
        file.write_bytes(data)
        _agrees(content)


def test_part_of_the_records_knows_all_strings(tmp_path):
    """One player's records come with what the strings of all players told, and with all warnings."""
    content = write(tmp_path / "shop")
    found = part(content, {"ada"})
    assert set(found.records.players) == {"ada"}
    assert found.priors is not None
    assert found.faults == read(content)[1]
    assert part(content, None).priors is None


def test_what_was_left_for_later_is_made_up_for(shop):
    """A look that does not wait for the sums over the strings leaves nothing behind that the next one would believe."""
    _agrees(shop)
    path = next(path for path in sorted((shop / "players").glob("*/*.yaml")) if "ring: " in path.read_text())
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"(?m)^plays_a_week: .*$", "", text.replace("ring: 5", "ring: 4", 1)), encoding="utf-8")
    whole = read(shop)[0]
    if known(shop, review=False) is not None:
        assert part(shop, {path.parent.name}, review=False).records.frames.keys() <= whole.frames.keys()
    _agrees(shop)
    path.write_text(text, encoding="utf-8")
    assert known(shop, review=False) is not None
    _agrees(shop)


def test_what_jobs_took_is_worked_out_once(shop, monkeypatch):
    """Of whom nothing changed it is remembered; of the others it is worked out anew, and is what all records say."""
    for file in shop.rglob("*.yaml"):
        _aged(file)
    first = known(shop)
    assert first and first.book.uses
    asked: list[str] = []
    real = JobUses.of
    monkeypatch.setattr(JobUses, "of", lambda self, frame, job: (asked.append(frame), real(self, frame, job))[1])
    again = known(shop)
    assert again and again.book == first.book
    assert asked == []
    path = next(path for path in sorted((shop / "players").glob("*/*.yaml")) if "strings:" in path.read_text())
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("  - date: ", "  - date: 2026-11-01\n    note: looked at\n  - date: ", 1))
    assert (changed := known(shop)) is None or changed.book == UseBook.of(read(shop)[0])
    path.write_text(f"{text}\n# seen\n", encoding="utf-8")
    asked.clear()
    assert (seen := known(shop)) and seen.book == first.book
    assert {name.partition("/")[0] for name in asked} == {path.parent.name}


def test_the_frames_that_say_what_strings_weigh_are_enough(tmp_path):
    """Of each model the pairs that are learned from are those of all records, also where no others were read."""
    content = workshop(tmp_path / "content", 12)
    found, whole = known(content), read(content)[0]
    assert found
    bench = Workbench(whole, TODAY)
    models = {entry.record.model for entry in whole.frames.values()}
    assert any(bench.pairs.of(model) for model in models)
    for model in models:
        part = Workbench(found.read(found.paired({model})), TODAY)
        told = [[PairOutline.of(pair) for pair in one.pairs.of(model)] for one in (part, bench)]
        assert told[0] == told[1]


def test_rows_of_other_records_are_not_kept(shop, monkeypatch):
    """Where a record is saved by an editor after it was checked, what is worked out of it is not remembered for it."""
    found = known(shop)
    path = next(path for path in sorted((shop / "players").glob("*/*.yaml")) if "tension: " in path.read_text())
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("  - date: ", "  - date: 2020-01-02\n    note: looked at\n  - date: ", 1))
    assert found and found.book.uses
    path.write_text(text, encoding="utf-8")
    again = known(shop)
    assert again and again.book == UseBook.of(read(shop)[0])


def test_without_the_sums_nobody_works_them_out(shop, monkeypatch):
    """They are what takes long, and a card does not wait for them."""
    known(shop)
    path = next(path for path in sorted((shop / "players").glob("*/*.yaml")) if path.name != "player.yaml")
    path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    asked: list[object] = []
    monkeypatch.setattr(player_state, "review", lambda *given: asked.append(given) or [])
    assert known(shop, review=False) is not None
    assert asked == []
    known(shop)
    assert asked
