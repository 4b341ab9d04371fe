"""Whatever befalls a build, the folder that is served holds the old site or the new one, whole."""

import os
import subprocess
import sys
from pathlib import Path

import calamities
import pytest
import testground

HARNESS = Path(calamities.__file__)


def ran(*series: str, before: tuple[str, ...] = ()) -> "subprocess.CompletedProcess[str]":
    """The short form of some series, in a process without threads, from which builds can be forked."""
    command = [*before, sys.executable, str(HARNESS), "--short", *series]
    return subprocess.run(command, check=False, capture_output=True, text=True, timeout=900, cwd=HARNESS.parent)


def note(counted, said: str) -> None:
    """Have each series' counts printed at the end of the run."""
    for line in said.splitlines()[1:]:
        counted(line)


@pytest.mark.parametrize(
    "series", [("kills",), ("steps",), ("writes", "every-write", "files"), ("read-only", "two")], ids="-".join
)
def test_the_old_site_or_the_new_one_whole(series, counted):
    """Killed at any moment or step, refused any write, into a closed folder, two at once: a whole site stands.

    A build that fails says so, and the next one takes away whatever was left beside the site.
    """
    result = ran(*series)
    assert result.returncode == 0, result.stdout + result.stderr
    assert result.stdout.count(" 0 broken") == len(series)
    note(counted, result.stdout)


def test_a_full_disk(counted):
    """On a real disk that is too small the old site stands whole, and where there is just enough room the new one."""
    before = () if os.getuid() == 0 else ("unshare", "--user", "--map-root-user", "--mount")
    result = ran("disk", before=before)
    if result.returncode == calamities.NOT_ALLOWED or "unshare" in result.stderr:
        pytest.skip(f"this system lets nobody make a small disk: {result.stdout} {result.stderr}")
    assert result.returncode == 0, result.stdout + result.stderr
    assert " 0 broken" in result.stdout
    note(counted, result.stdout)


def test_the_harness_sees_a_broken_site(tmp_path):
    """A site in which a file is missing, cut short, old among new or too much is not taken for a whole one."""
    whole = {"index.html": b"new", "a/index.html": b"page"}
    ground = testground.Ground.__new__(testground.Ground)
    site = tmp_path / "site"
    for name, data in whole.items():
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        (site / name).write_bytes(data)
    ground.whole = [{}, testground.manifest(site)]
    assert ground.settled(site) == 1
    for name, data in (("index.html", b"ne"), ("index.html", b""), ("b.html", b"more")):
        before = (site / name).read_bytes() if (site / name).exists() else None
        (site / name).write_bytes(data)
        assert ground.settled(site) == -1
        (site / name).unlink()
        assert ground.settled(site) == (1 if before is None else -1)
        if before is not None:
            (site / name).write_bytes(before)


def test_the_steps_are_all_seen(tmp_path):
    """The hook counts making, writing, renaming and removing below its folder, and nothing beside it or only read."""
    hook = testground.Steps(tmp_path / "in", 3, lambda _: None)
    for event, args in (
        ("os.mkdir", (str(tmp_path / "in/a"), 0o777, -1)),
        ("open", (str(tmp_path / "in/a/b"), "wb", os.O_WRONLY | os.O_CREAT)),
        ("open", (str(tmp_path / "in/a/b"), "rb", os.O_RDONLY)),
        ("open", (str(tmp_path / "out"), "wb", os.O_WRONLY)),
        ("os.rename", (str(tmp_path / "in/a"), str(tmp_path / "in/c"), -1, -1)),
        ("os.listdir", (str(tmp_path / "in"),)),
    ):
        hook(event, args)
    assert hook.count == 3
