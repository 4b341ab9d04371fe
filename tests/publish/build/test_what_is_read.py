"""A command costs what changed: how many records it opens does not depend on how many there are."""

import os
import re
from pathlib import Path

import pytest
from commandline import passport

from passport.records.disk import opening
from tests.benchmarks.commands import commands, two_frames
from tests.benchmarks.workshops import workshop

SIZES = 12, 48


@pytest.fixture(scope="module")
def shops(tmp_path_factory):
    """Workshops of two sizes, each with what its commands remember."""
    made = {}
    for frames in SIZES:
        content = workshop(tmp_path_factory.mktemp("shops") / "content", frames)
        for file in content.rglob("*.yaml"):
            _aged(file)
        passport("check", content)
        passport("find", content, "1001")
        made[frames] = content
    return made


def _aged(file: Path) -> None:
    """Make a file older than the seconds in which a mark proves nothing."""
    then = file.stat().st_mtime - 60
    os.utime(file, (then, then))


def _opened(content: Path, arguments, monkeypatch, run: int) -> set[str]:
    """The players whose frames' records a command opens after one of them was changed."""
    _, changing = two_frames(content)
    text = changing.read_text(encoding="utf-8")
    changing.write_text(re.sub(r"(?m)^label: .*$", f"label: Changed {run}", text, count=1), encoding="utf-8")
    _aged(changing)
    found: set[str] = set()
    real = opening.opened

    def noted(path, **how):
        if "players" in Path(path).parts and Path(path).name != "player.yaml":
            found.add(Path(path).parent.name)
        return real(path, **how)

    with monkeypatch.context() as patched:
        patched.setattr(opening, "opened", noted)
        result = passport(*arguments)
    assert result.exit_code == 0
    return found


@pytest.mark.parametrize("what", ["find", "show", "check", "due", "what-if", "cards, one", "day"])
def test_a_command_opens_what_changed_and_what_it_is_asked_for(shops, monkeypatch, tmp_path, what):
    """Of 48 frames no more players' records are opened than of 12: that which changed, that which is asked for.

    Who is due is shown with contact, so the short records of those players are opened besides.
    """
    counts = []
    for run, content in enumerate(shops.values()):
        number, changing = two_frames(content)
        asked = content.parent / "site"
        found = _opened(content, commands(content, asked, number)[what], monkeypatch, run)
        assert changing.parent.name in found or what in ("show", "find"), "what was changed is looked at"
        counts.append(len(found))
    assert max(counts) <= 2
