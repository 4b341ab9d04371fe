"""What stands in a folder by the marks of the file system."""

import os

from passport.publish.folder.listing import UNSEEN, UNSURE_NS, listing, mark_of, unsure, whole


def test_a_file_has_size_times_and_number_and_a_folder_a_slash(tmp_path):
    """As the system says them; a folder has an empty mark, whatever its own times are."""
    (tmp_path / "a").mkdir()
    (tmp_path / "a/one").write_text("four")
    (tmp_path / "two").write_text("x")
    found, said = listing(tmp_path), (tmp_path / "a/one").stat()
    assert found["a/one"] == (4, said.st_mtime_ns, said.st_ctime_ns, said.st_ino)
    assert found["a/"] == (0, 0, 0, 0)
    assert set(found) == {"a/", "a/one", "two"}
    os.utime(tmp_path / "a", ns=(1, 1))
    assert listing(tmp_path) == found


def test_a_link_to_nothing_has_a_mark_of_its_own(tmp_path):
    """It is the link's, and no mark of what cannot be seen."""
    (tmp_path / "lost").symlink_to("nowhere")
    said = (tmp_path / "lost").lstat()
    assert listing(tmp_path)["lost"] == (said.st_size, said.st_mtime_ns, said.st_ctime_ns, said.st_ino) != UNSEEN


def test_only_an_ordinary_file_has_a_mark(tmp_path):
    """A folder, a pipe and nothing at all have none."""
    (tmp_path / "one").write_text("x")
    os.mkfifo(tmp_path / "pipe")
    assert mark_of(tmp_path / "one") == listing(tmp_path)["one"]
    assert mark_of(tmp_path) is mark_of(tmp_path / "pipe") is mark_of(tmp_path / "none") is None


def test_what_changed_a_moment_ago_is_unsure():
    """Two seconds, the coarsest clock of a file system in use (FAT, from memory): younger proves nothing."""
    marks = {name: (1, time, 0, 1) for name, time in (("old", 10), ("edge", 20), ("young", 21), ("ahead", 10**12))}
    assert unsure(marks, 20 + UNSURE_NS) == {"young", "ahead"}
    assert UNSURE_NS == 2e9


def test_one_fingerprint_of_all():
    """Another name, size, time or number is another one; the order is none."""
    marks = {"a": (1, 2, 3, 4), "b": (1, 2, 3, 4)}
    assert whole(marks) == whole(dict(reversed(marks.items())))
    others = [
        {"a": (1, 2, 3, 4)},
        *({**marks, "b": m} for m in ((2, 2, 3, 4), (1, 3, 3, 4), (1, 2, 4, 4), (1, 2, 3, 5))),
    ]
    assert len({whole(m) for m in (marks, *others)}) == 6
