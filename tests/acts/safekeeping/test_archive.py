"""A backup holds what it says, and a file that is none of ours puts nothing anywhere."""

import hashlib
import io
import json
import zipfile
from datetime import UTC, datetime

import pytest
import smallshop

from passport.acts.refused import Refused
from passport.acts.safekeeping import archive

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@pytest.fixture
def root(tmp_path):
    """A workshop with a hidden folder, a link out of it, and a file beside it."""
    content = smallshop.write(tmp_path / "content")
    (content / ".passport").mkdir()
    (content / ".passport/pending.json").write_text("SECRET-HISTORY")
    (tmp_path / "elsewhere").write_text("SECRET-ELSEWHERE")
    (content / "pages/link.md").symlink_to(tmp_path / "elsewhere")
    (tmp_path / "content.closed.txt").write_text("closed\n")
    return content


def made(files, about=None):
    """A zip with these files and a list of them, as `archive.packed` writes it."""
    listed = {name: {"size": len(d), "sha256": hashlib.sha256(d).hexdigest()} for name, d in files.items()}
    told = {"format": 1, "made": "2026", "version": "0", "files": listed, **(about or {})}
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as zipped:
        for name, data in {**files, archive.LIST: json.dumps(told).encode()}.items():
            zipped.writestr(name, data)
    return buffer.getvalue()


def test_all_of_it_comes_back(root):
    """Every file with its bytes, the file beside the folder, when and by what; nothing hidden, no link."""
    packed = archive.packed(root, NOW)
    found = archive.opened(packed.data)
    assert {name: data.decode() for name, data in found.files.items()} == smallshop.FILES
    assert (found.made, found.beside) == ("2026-11-25T09:30:00+00:00", b"closed\n")
    assert packed.links == ("pages/link.md",)
    assert b"SECRET-HISTORY" not in packed.data
    assert b"SECRET-ELSEWHERE" not in packed.data


def test_other_programs_can_open_it(root):
    """It is a plain zip whose checksums are right, as the standard library's own test of it says."""
    with zipfile.ZipFile(io.BytesIO(archive.packed(root, NOW).data)) as zipped:
        assert zipped.testzip() is None


@pytest.mark.parametrize(
    "name",
    [
        "content/../out.txt",
        "content//etc/passwd",
        "/etc/passwd",
        "content/a/../../b",
        "content/C:x",
        "content/a\\b",
        "content/.passport/pending.json",
        "content/players/.hidden",
        "content/a\x00b",
        "elsewhere.txt",
        "content/",
    ],
)
def test_a_place_outside_is_refused(name):
    """No name leads out of the folder, into a hidden one, or to another disk."""
    with pytest.raises(Refused):
        archive.opened(made({"content/workshop.yaml": b"name: x\n", name: b"x"}))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda d: d.replace(b"name: right", b"name: wrong"), "is not what its list says|damaged"),
        (lambda d: d[:-30], "damaged"),
        (lambda d: b"", "no backup"),
        (lambda d: b"not a zip", "no backup"),
    ],
)
def test_a_damaged_one_is_refused(change, said):
    """A changed byte, a cut end, another file."""
    with pytest.raises(Refused, match=said):
        archive.opened(change(made({"content/workshop.yaml": b"name: right\n"})))


def test_one_that_lacks_a_file_is_refused():
    """Its list names all files, and it holds no other."""
    listed = {"content/a.yaml": {"size": 1, "sha256": "0"}, "content/b.yaml": {"size": 1, "sha256": "0"}}
    with pytest.raises(Refused, match="other files"):
        archive.opened(made({"content/a.yaml": b"x"}, {"files": listed}))


def test_a_newer_one_is_refused_by_name():
    """With the version that wrote it."""
    with pytest.raises(Refused, match="format 9, from version 7"):
        archive.opened(made({"content/a.yaml": b"x"}, {"format": 9, "version": "7.0"}))


def test_more_than_a_workshop_is_refused():
    """A list that promises more than any workshop has is not unpacked."""
    data = made({"content/a.yaml": b"x"}, {"files": {"content/a.yaml": {"size": archive.LARGEST + 1, "sha256": ""}}})
    with pytest.raises(Refused, match="another size"):
        archive.opened(data)


@pytest.mark.parametrize(("one", "other"), [("a/Twin.yaml", "a/twin.yaml"), ("a/\u00e9.yaml", "a/e\u0301.yaml")])
def test_names_that_are_one_on_other_disks_are_refused(one, other):
    """Capitals, and letters with marks in one sign or two (Unicode Standard Annex 15)."""
    with pytest.raises(Refused, match="differ by capitals"):
        archive.opened(made({f"content/{one}": b"1", f"content/{other}": b"2"}))


def test_a_passphrase_opens_it_and_no_other(root):
    """An encrypted backup is an age file; with another passphrase nothing comes out."""
    locked = archive.encrypted(b"workshop", "four words nobody guesses")
    assert locked.startswith(b"age-encryption.org/v1\n-> scrypt ")
    assert archive.decrypted(locked, "four words nobody guesses") == b"workshop"
    with pytest.raises(Refused, match="does not open"):
        archive.decrypted(locked, "four other words")
