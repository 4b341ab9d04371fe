"""Backups are remembered by their place, and whoever was erased is named where a backup still holds them."""

import stat
from datetime import UTC, datetime

import pytest
import smallshop
from commandline import passport, refused, tree

from passport.acts.safekeeping import backup
from passport.records.ledger import key


@pytest.fixture
def content(tmp_path):
    """A workshop that was built once."""
    content = smallshop.write(tmp_path / "content")
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    return content


def test_it_comes_back_as_it_was(content, tmp_path):
    """Saved and restored, every file is the same, the key for its owner alone; the backup too."""
    result = passport("backup", content)
    path = tmp_path / "content-backup-2026-11-25.zip"
    assert (result.exit_code, path.is_file()) == (0, True)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert passport("restore", path, tmp_path / "back", "--site", tmp_path / "site").exit_code == 0
    assert tree(tmp_path / "back") == {name: data for name, data in tree(content).items() if not name.startswith(".")}
    assert stat.S_IMODE((tmp_path / "back" / key.FILE).stat().st_mode) == 0o600
    assert (tmp_path / "back.closed.txt").is_file()
    assert passport("build", tmp_path / "back", "--out", tmp_path / "site", "--no-cards").exit_code == 0


def test_nothing_is_written_over(content, tmp_path):
    """A folder that holds anything is left alone, and so is everything where the file is no backup."""
    passport("backup", content, "--out", tmp_path / "a.zip")
    before = tree(content)
    refused(passport("restore", tmp_path / "a.zip", content), "is not empty")
    assert tree(content) == before
    (tmp_path / "b.zip").write_bytes(b"PK none")
    refused(passport("restore", tmp_path / "b.zip", tmp_path / "new"), "no backup")
    assert not (tmp_path / "new").exists()
    refused(passport("backup", content, "--out", content / "in.zip"), "inside the folder")


def test_each_backup_that_holds_an_erased_player_is_named(content, tmp_path):
    """Of a plain one it is known, of an encrypted one and of one that is gone it is not; one made later holds nobody."""
    for name in ("first.zip", "gone.zip"):
        assert passport("backup", content, "--out", tmp_path / name).exit_code == 0
    (tmp_path / "gone.zip").unlink()
    (tmp_path / "content-backup-2020.zip.age").write_bytes(b"age-encryption.org/v1\n")
    said = passport("erase", content, "bo", "--site", tmp_path / "site", "--yes").stdout
    assert f"{tmp_path / 'first.zip'}, made 2026-11-25T00:00:00+00:00: holds them" in said
    assert f"{tmp_path / 'gone.zip'}, made 2026-11-25T00:00:00+00:00: not here any more" in said
    assert f"{tmp_path / 'content-backup-2020.zip.age'}: encrypted" in said
    assert passport("backup", content, "--out", tmp_path / "later.zip").exit_code == 0
    assert not any("later.zip" in line for line in backup.still_holding(content, "bo"))


def test_the_default_place_tells_the_day(tmp_path):
    """It stands beside the folder."""
    day = datetime(2026, 11, 25, tzinfo=UTC)
    assert backup.default_path(tmp_path / "shop", day, encrypted=True) == tmp_path / "shop-backup-2026-11-25.zip.age"


def test_an_encrypted_one_takes_a_passphrase(content, tmp_path):
    """It is taken from the environment, must be long enough, and is needed to come back."""
    short = passport("backup", content, "--encrypt", "--out", tmp_path / "a", env={"PASSPORT_PASSPHRASE": "short"})
    assert short.exit_code == 2
    assert passport("backup", content, "--encrypt", "--out", tmp_path / "a").exit_code == 2
    long = {"PASSPORT_PASSPHRASE": "four words nobody guesses"}
    assert passport("backup", content, "--encrypt", "--out", tmp_path / "a.age", env=long).exit_code == 0
    assert b"workshop.yaml" not in (tmp_path / "a.age").read_bytes()
    assert passport("restore", tmp_path / "a.age", tmp_path / "back").exit_code == 2
    result = passport("restore", tmp_path / "a.age", tmp_path / "back", "--site", tmp_path / "site", env=long)
    assert result.exit_code == 0


def test_the_recovery_sheet_has_the_key(content, tmp_path):
    """One page, with the key in groups as the command takes it back."""
    pypdf = pytest.importorskip("pypdf")
    from passport.render.print import pdf

    if missing := pdf.available():
        pytest.skip(missing.splitlines()[0])
    assert passport("backup", content, "--sheet", "--out", tmp_path / "sheet.pdf").exit_code == 0
    pages = pypdf.PdfReader(tmp_path / "sheet.pdf").pages
    assert len(pages) == 1
    text = pages[0].extract_text()
    assert key.grouped(key.read(content)) in " ".join(text.split())
    assert "https://cards.bench-nine.example/p/manifest.bin" in text
