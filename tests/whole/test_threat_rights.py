"""Who works on the same computer, from THREATS.md: F1 (umask) and F2 (what a killed command leaves)."""

import os
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest
import smallshop
from commandline import EPOCH

from passport.records.disk import rights
from passport.records.transaction import atomic

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="rights of files work otherwise there")
SECRET = "secret:"


def run(umask: int, *arguments: object, cwd: Path) -> subprocess.CompletedProcess[str]:
    """A command as a person with that umask runs it."""
    return subprocess.run(
        [sys.executable, "-m", "passport.cli.main", *map(str, arguments)], cwd=cwd, umask=umask, text=True,
        capture_output=True, check=False, timeout=400, env={**os.environ, "SOURCE_DATE_EPOCH": EPOCH},
    )  # fmt: skip


def open_to_others(folder: Path) -> dict[str, str]:
    """Everything below a folder that others than its owner may read or enter, with its rights."""
    found = {p.relative_to(folder).as_posix(): p.lstat().st_mode for p in folder.rglob("*") if not p.is_symlink()}
    return {name: oct(stat.S_IMODE(mode)) for name, mode in found.items() if mode & 0o077}


@pytest.mark.parametrize(
    ("umask", "file", "folder"), [(0o077, 0o600, 0o700), (0o027, 0o640, 0o750), (0o022, 0o644, 0o755)]
)
def test_what_is_made_has_the_rights_of_the_umask(tmp_path, umask, file, folder):
    """F1: records with secrets, ledger, sheets, cards, site and what is remembered: none has more than the umask gives."""
    made = run(umask, "start", "content", "--yes", "--name", "Bench", cwd=tmp_path)
    assert made.returncode == 0, made.stderr
    smallshop.write(tmp_path / "other")
    for path in sorted((tmp_path / "other").rglob("*")):
        path.chmod(folder if path.is_dir() else file)
    (tmp_path / "other").chmod(folder)
    for arguments in (
        ("backup", "other", "--out", "saved.zip"),
        ("restore", "saved.zip", "restored"),
        ("issue", "other", "ada/brandnew", "--model", "larch-98", "--label", "X", "--yes"),
        ("seal", "other", "ada/brandnew", "--yes"),
        ("build", "other", "--out", "site", "--no-cards"),
        ("find", "other", "ada"),
    ):
        done = run(umask, *arguments, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
    assert SECRET in (tmp_path / "other/players/ada/brandnew.yaml").read_text(encoding="utf-8")
    for path in [
        p for top in ("content", "other", "site", "restored") for p in (tmp_path / top, *(tmp_path / top).rglob("*"))
    ]:
        rights_of = stat.S_IMODE(path.lstat().st_mode)
        assert rights_of & ~(folder if path.is_dir() else file) == 0, (path, oct(rights_of))
    assert stat.S_IMODE((tmp_path / "site").stat().st_mode) == folder
    assert stat.S_IMODE((tmp_path / "restored").stat().st_mode) == folder
    assert stat.S_IMODE((tmp_path / "saved.zip").stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "other/ledger.txt").stat().st_mode) == file


def test_a_file_keeps_the_rights_that_it_has(tmp_path):
    """F1: a record that its owner closed to others, or opened to a group, stays so when it is written again."""
    for mode in (0o600, 0o640, 0o664):
        path = tmp_path / f"record-{mode}"
        path.write_text("old")
        path.chmod(mode)
        atomic.write(path, b"new")
        assert stat.S_IMODE(path.stat().st_mode) == mode


def test_the_umask_is_as_it_was(tmp_path):
    """Asking for the umask leaves it, also from many threads at once."""
    from concurrent.futures import ThreadPoolExecutor

    before = os.umask(0o027)
    try:
        with ThreadPoolExecutor(8) as pool:
            found = list(pool.map(lambda _: (rights.of_new_file(), rights.of_new_folder()), range(400)))
        assert set(found) == {(0o640, 0o750)}
        assert os.umask(0o027) == 0o027
    finally:
        os.umask(before)


KILLED = """
import os, sys
from pathlib import Path
from passport.records.transaction import atomic
os.fsync = lambda handle: os.kill(os.getpid(), 9)
atomic.write(Path(sys.argv[1]), b"secret: ZQBCDF")
"""


@pytest.mark.parametrize("there", [True, False])
def test_a_killed_command_leaves_no_secret_to_others(tmp_path, there):
    """F2: what stands half-written beside a file when its writer is killed is its owner's alone, and goes with the next."""
    path = tmp_path / "one.yaml"
    if there:
        path.write_text("old")
    subprocess.run([sys.executable, "-c", KILLED, path], check=False, umask=0o022)
    (left,) = [p for p in tmp_path.iterdir() if p != path]
    assert b"ZQBCDF" in left.read_bytes()
    assert stat.S_IMODE(left.stat().st_mode) == 0o600
    os.utime(left, (time.time() - 3600,) * 2)
    atomic.write(path, b"new")
    assert [p.name for p in tmp_path.iterdir()] == ["one.yaml"]


def test_half_made_sites_are_their_owners_alone(tmp_path):
    """F2: the folder beside a site in which a build was killed is closed to others."""
    content = smallshop.write(tmp_path / "content")
    kill = (
        "import os, sys\nfrom passport.publish.folder import staging\n"
        "staging.Staging.publish = lambda *_: os.kill(os.getpid(), 9)\n"
        "from passport.cli.main import main\nmain(sys.argv[1:])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", kill, "build", content, "--out", tmp_path / "site", "--no-cards"], check=False,
        umask=0o022, capture_output=True, env={**os.environ, "PASSPORT_JOBS": "1"},
    )  # fmt: skip
    assert done.returncode == -9
    (bench,) = tmp_path.glob(".site*")
    assert stat.S_IMODE(bench.stat().st_mode) == 0o700
    assert any(bench.rglob("*.html"))
    assert run(0o022, "build", content, "--out", tmp_path / "site", "--no-cards", cwd=tmp_path).returncode == 0
    assert not list(tmp_path.glob(".site*"))


def test_a_killed_restore_leaves_nothing_to_others_and_nothing_for_good(tmp_path):
    """F2: the half-made folder beside the place is its owner's alone, and the next restore takes it away."""
    content = smallshop.write(tmp_path / "content")
    assert run(0o022, "backup", content, "--out", tmp_path / "saved.zip", cwd=tmp_path).returncode == 0
    kill = (
        "import os, sys\nfrom passport.acts.safekeeping import backup\n"
        "backup.rights.of_new_folder = lambda: os.kill(os.getpid(), 9)\n"
        "from passport.cli.main import main\nmain(sys.argv[1:])\n"
    )
    command = [sys.executable, "-c", kill, "restore", tmp_path / "saved.zip", tmp_path / "back"]
    assert subprocess.run(command, check=False, umask=0o022, capture_output=True).returncode == -9
    (left,) = tmp_path.glob(".back-restoring-*")
    assert stat.S_IMODE(left.stat().st_mode) == 0o700
    assert (left / "players/ada/player.yaml").is_file()
    os.utime(left, (time.time() - 3600,) * 2)
    assert run(0o022, "restore", tmp_path / "saved.zip", tmp_path / "back", cwd=tmp_path).returncode == 0
    assert not list(tmp_path.glob(".back-*"))
