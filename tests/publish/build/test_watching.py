"""Changes in a folder are told by a watcher (N5 of THREATS.md)."""

import os
import time

import pytest

from passport.publish.build import preview as module
from passport.publish.build import watching
from passport.publish.build.preview import Preview
from passport.publish.build.watching import Watch


def within(seconds: float, true) -> bool:
    """Whether something becomes true in time."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if true():
            return True
        time.sleep(0.02)
    return False


@pytest.fixture
def watch(tmp_path, monkeypatch):
    """A watcher of a folder with one inside it, at work."""
    monkeypatch.setattr(watching, "ANYWAY", 1000.0)
    monkeypatch.setattr(watching, "POLLED", 1000.0)
    (tmp_path / "players/ada").mkdir(parents=True)
    with Watch(tmp_path) as made:
        assert within(20, made._changed.is_set)
        made.changed()
        time.sleep(0.3)
        yield made


def test_a_save_is_told_and_quiet_is_quiet(watch, tmp_path):
    """N5: a saved file is told soon, also in a folder that was made after the start; without one nothing is."""
    watch.changed()
    assert not within(0.5, watch.changed)
    (tmp_path / "players/ada/main.yaml").write_text("x")
    assert within(5, watch.changed)
    (tmp_path / "players/bo").mkdir()
    assert within(5, watch.changed)
    time.sleep(1)
    watch.changed()
    (tmp_path / "players/bo/only.yaml").write_text("x")
    assert within(5, watch.changed)


def test_no_link_is_followed(tmp_path):
    """C2: a folder with links to itself and to the whole disk is watched by itself."""
    for number in range(8):
        (tmp_path / f"loop{number}").symlink_to(".")
    (tmp_path / "root").symlink_to("/")
    (tmp_path / "real").mkdir()
    assert Watch(tmp_path)._folders() == [tmp_path, tmp_path / "real"]


def test_readers_do_not_have_the_folder_listed(tmp_path, monkeypatch):
    """N5: a hundred looks at whether something changed list the folder once."""
    count = []
    monkeypatch.setattr(module, "listing", lambda root: count.append(root) or {})
    preview = Preview(tmp_path, lambda _: [])
    with preview.watch() as watch:
        assert within(20, watch._changed.is_set)
        for _ in range(100):
            preview.state()
    assert 1 <= len(count) <= 3


def test_a_pipe_in_the_folder_is_no_hindrance(tmp_path):
    """C1: a watcher opens nothing."""
    os.mkfifo(tmp_path / "pipe")
    with Watch(tmp_path) as watch:
        assert within(20, watch._changed.is_set)
