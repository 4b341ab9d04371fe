"""The memory of a build: what was put in comes back, and what is damaged is not believed."""

import random
import sqlite3

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.publish.cache import cache_database
from passport.publish.cache.cache_database import FILE, CacheDatabase, Damaged


def filled(folder, entries):
    """A memory with some entries kept for good."""
    with CacheDatabase(folder) as memory:
        for name, data in entries.items():
            memory.put(name, data)
        memory.commit()
    return folder / FILE


def read(folder) -> tuple[dict[str, bytes] | None, bool]:
    """What a memory holds, None where an entry is damaged; and whether it was thrown away when it was opened."""
    with CacheDatabase(folder) as memory:
        try:
            return dict(memory.all("unit")), memory.discarded
        except Damaged:
            return None, memory.discarded


def test_what_was_put_in_comes_back(tmp_path):
    """Entries come back by name and by kind, in the order of their names, after the file was closed."""
    filled(tmp_path, {"unit b": b"2", "unit a": b"1", "facts a": b"x" * 10_000, "unitx": b"3"})
    with CacheDatabase(tmp_path) as memory:
        assert list(memory.all("unit")) == [("a", b"1"), ("b", b"2")]
        assert memory.get("facts a") == b"x" * 10_000
        assert memory.get("facts b") is None
        assert not memory.discarded


def test_what_was_not_committed_is_gone(tmp_path):
    """After an error in the middle the memory holds what it held before."""
    filled(tmp_path, {"unit a": b"1"})
    with pytest.raises(RuntimeError), CacheDatabase(tmp_path) as memory:
        memory.put("unit a", b"2")
        memory.drop(["unit a"])
        raise RuntimeError
    assert read(tmp_path) == ({"a": b"1"}, False)


def test_dropped_and_cleared(tmp_path):
    """What is dropped is gone, and nothing of it is left in the file."""
    path = filled(tmp_path, {"unit a": b"1", "unit CANARY": b"2", "unit b": b"3"})
    with CacheDatabase(tmp_path) as memory:
        memory.drop(["unit CANARY"])
        memory.commit()
    assert set(read(tmp_path)[0]) == {"a", "b"}
    assert b"CANARY" not in path.read_bytes()
    with CacheDatabase(tmp_path) as memory:
        memory.clear()
        memory.commit()
    assert read(tmp_path) == ({}, False)


@pytest.mark.parametrize("data", [b"", b"no database", b"SQLite format 3\0" + b"\0" * 200])
def test_no_database(tmp_path, data):
    """A file that is no memory is replaced by an empty one."""
    (tmp_path / FILE).write_bytes(data)
    assert read(tmp_path)[0] == {}


def test_another_format(tmp_path, monkeypatch):
    """A memory of another version of the program is thrown away, and that is said."""
    filled(tmp_path, {"unit a": b"1"})
    monkeypatch.setattr(cache_database, "FORMAT", "racquet-passport memory 1")
    assert read(tmp_path) == ({}, True)


@settings(max_examples=60)
@given(st.integers(0, 2**32))
def test_any_damage_is_noticed(tmp_path_factory, seed):
    """However the file is damaged, what is read is what was written, or the damage is noticed."""
    folder = tmp_path_factory.mktemp("memory")
    entries = {f"unit {n}": bytes([n]) * 900 for n in range(12)}
    path = filled(folder, entries)
    dice = random.Random(seed)
    data = bytearray(path.read_bytes())
    for _ in range(dice.choice((1, 1, 3, 40))):
        data[dice.randrange(len(data))] = dice.randrange(256)
    path.write_bytes(data[: dice.choice((len(data), len(data), dice.randrange(len(data))))])
    found, _ = read(folder)
    if found is not None:
        written = {name.removeprefix("unit "): value for name, value in entries.items()}
        assert all(written[name] == value for name, value in found.items())


def test_an_entry_under_another_name_is_damaged(tmp_path):
    """An entry that was moved to another name is not believed."""
    path = filled(tmp_path, {"unit a": b"1", "unit b": b"2"})
    base = sqlite3.connect(path)
    base.execute("UPDATE entry SET data = (SELECT data FROM entry WHERE name = 'unit b'), "
                 "sum = (SELECT sum FROM entry WHERE name = 'unit b') WHERE name = 'unit a'")  # fmt: skip
    base.commit()
    base.close()
    assert read(tmp_path)[0] is None


def test_discarded_on_request(tmp_path):
    """After damage was found the memory begins anew."""
    filled(tmp_path, {"unit a": b"1"})
    with CacheDatabase(tmp_path) as memory:
        memory.discard()
        assert memory.discarded
        memory.put("unit b", b"2")
        memory.commit()
    assert read(tmp_path) == ({"b": b"2"}, False)


def test_a_disk_that_cannot_be_written_to(tmp_path):
    """Where there is no place for a memory, that is an error of the disk and not damage."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(OSError, match="file"):
        CacheDatabase(tmp_path / "file" / "below")


def test_empty_until_something_is_kept(tmp_path):
    """A new memory is empty, one with an entry is not, and one that was cleared is again."""
    with CacheDatabase(tmp_path) as cache_database:
        assert cache_database.empty
        cache_database.put("unit a", b"x")
        assert not cache_database.empty
        cache_database.clear()
        assert cache_database.empty


def test_what_was_worked_out_is_found_by_its_mark(tmp_path):
    """What was kept with a mark is there as long as the mark is the same, and not where it was damaged."""
    with CacheDatabase(tmp_path) as memory:
        memory.keep("sum", "a mark", b"two\nlines")
        memory.commit()
        assert memory.found("sum", "a mark") == b"two\nlines"
        assert memory.found("sum", "another") is None
        assert memory.found("other", "a mark") is None
    with sqlite3.connect(tmp_path / FILE) as base:
        base.execute("UPDATE entry SET data = ? WHERE name = 'sum'", (b"0a mark\nother lines",))
    base.close()
    with CacheDatabase(tmp_path) as memory:
        assert memory.found("sum", "a mark") is None


@pytest.mark.parametrize("squeeze", [True, False])
def test_bytes_come_back_squeezed_or_not(tmp_path, squeeze):
    """An entry is what was put in, however it is kept."""
    with CacheDatabase(tmp_path) as memory:
        memory.put("unit a", b"0" * 5000, squeeze=squeeze)
        memory.put("unit b", b"", squeeze=squeeze)
        memory.commit()
    assert read(tmp_path)[0] == {"a": b"0" * 5000, "b": b""}
    assert ((tmp_path / FILE).read_bytes().count(b"0" * 1000) > 0) is not squeeze
