"""A day at the bench in Debian's Chromium, at the width of a phone and of a desktop: the records are those of the commands."""

import re
import shutil

import pytest
from benchday import COMMANDS, day
from benchserver import serving
from browsing import opened
from commandline import passport, tree
from places import DEMO

pytestmark = pytest.mark.browser


def without_keys(folder) -> dict[str, str]:
    """All files of a folder, but for keys, which are fresh each time, and what the ledger's lines are chained by."""
    chained = re.compile(r"\b[0-9A-HJKMNP-TV-Z]{26}\b|\b[0-9a-f]{8,64}\b")
    return {path: chained.sub("…", data.decode("utf-8", "replace")) for path, data in tree(folder).items()}


@pytest.mark.parametrize("width", [390, 1280])
def test_a_day_writes_what_the_commands_write(browser, tmp_path, width):
    """A walk-in with an unknown string, three frames strung and read, a slip taken back, the cards: every act is done by
    what is on the screen, and the records at its end are those of the commands in every line."""
    bench, commands = tmp_path / "bench", tmp_path / "commands"
    for folder in (bench, commands):
        shutil.copytree(DEMO, folder)
    with serving(bench) as asker:
        name, _, value = asker.cookie.partition("=")
        cookie = {"name": name, "value": value, "domain": "127.0.0.1", "path": "/", "expires": -1, "httpOnly": True,
                  "secure": False, "sameSite": "Strict"}  # fmt: skip
        kept = {"cookies": [cookie], "origins": []}
        view = {"width": width, "height": 844}
        base = f"http://{asker.host}"
        with opened(browser, f"{base}/history", expected=(409,), storage_state=kept, viewport=view) as page:
            page.context.set_default_timeout(60_000)
            took = day(page, base)
    for command, *words in COMMANDS:
        done = passport(command, commands, *words, "--yes", "--sure")
        assert done.exit_code == 0, done.output
    written, wanted = without_keys(bench), without_keys(commands)
    assert {path: text for path, text in written.items() if text != wanted.get(path)} == {}
    assert written.keys() == wanted.keys() > without_keys(DEMO).keys()
    assert len(took) == 9 and all(act.waits for act in took)
    restrung = [act for act in took if act.what.startswith("restring")]
    assert max(act.clicks for act in restrung) <= 9, "rack, frame, knot, job, two fields, save, and what is asked"
