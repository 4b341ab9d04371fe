"""A day at the bench in Debian's Chromium, at the width of a phone and of a desktop: the records are those of the commands."""

import re
import shutil
from contextlib import contextmanager

import pytest
from benchday import COMMANDS, day, put_online, rebuilt
from benchserver import serving
from browsing import opened
from commandline import passport, tree
from places import DEMO

from tests.support import benchwork

pytestmark = pytest.mark.browser
NEARLY = "mass: 305.9 g, balance: 319.9 mm, swingweight: 293.0 kgcm2"
"""A blank that lacks some silicone, string and overgrip."""


def without_keys(folder) -> dict[str, str]:
    """All files of a folder, but for keys, which are fresh each time, and what the ledger's lines are chained by."""
    chained = re.compile(r"\b[0-9A-HJKMNP-TV-Z]{26,32}\b|\b[0-9a-f]{8,64}\b")
    return {path: chained.sub("…", data.decode("utf-8", "replace")) for path, data in tree(folder).items()}


@contextmanager
def stood_before(browser, asker, width):
    """The bench in a browser of a width, on its history."""
    name, _, value = asker.cookie.partition("=")
    cookie = {"name": name, "value": value, "domain": "127.0.0.1", "path": "/", "expires": -1, "httpOnly": True,
              "secure": False, "sameSite": "Strict"}  # fmt: skip
    kept = {"cookies": [cookie], "origins": []}
    view = {"width": width, "height": 844}
    address = f"http://{asker.host}/history"
    with opened(browser, address, expected=(409,), patience=60_000, storage_state=kept, viewport=view) as page:
        yield page


@pytest.mark.parametrize("width", [390, 1280])
def test_a_day_writes_what_the_commands_write(browser, tmp_path, width):
    """A walk-in with an unknown string, three frames strung and read, a slip taken back, the cards: every act is done by
    what is on the screen, and the records at its end are those of the commands in every line."""
    bench, commands = tmp_path / "bench", tmp_path / "commands"
    for folder in (bench, commands):
        shutil.copytree(DEMO, folder)
    with serving(bench) as asker, stood_before(browser, asker, width) as page:
        took = day(page, f"http://{asker.host}")
    for command, *words in COMMANDS:
        done = passport(command, commands, *words, "--yes", "--sure")
        assert done.exit_code == 0, done.output
    written, wanted = without_keys(bench), without_keys(commands)
    assert {path: text for path, text in written.items() if text != wanted.get(path)} == {}
    assert written.keys() == wanted.keys() > without_keys(DEMO).keys()
    assert len(took) == 9 and all(act.waits for act in took)
    restrung = [act for act in took if act.what.startswith("restring")]
    assert max(act.clicks for act in restrung) <= 9, "rack, frame, knot, job, two fields, save, and what is asked"


def test_a_broken_frame_rebuilt_and_put_on_line(browser, tmp_path):
    """A broken frame rebuilt on a blank with readings at each step, and its passport put on-line by the one button: done by
    what is on the screen, of a phone and of a desktop; the records of both are those of the commands in every line, and the
    page is where the web would be."""
    far, commands = tmp_path / "far", tmp_path / "commands"
    shop = f"{benchwork.WORKSHOP}publish: {far}\n"
    benchwork.bench(commands, blanks={"near": NEARLY}, workshop=shop, build=("cushion",))
    benches = {width: tmp_path / f"bench-{width}" for width in (390, 1280)}
    for width, bench in benches.items():
        shutil.copytree(commands, bench)
        far.mkdir()
        with serving(bench) as asker, stood_before(browser, asker, width) as page:
            asker.serving.bench.site = tmp_path / f"site-{width}"
            done = rebuilt(page, f"http://{asker.host}", "ada/main", "Next")
            took = done.took + put_online(page, f"http://{asker.host}")
        assert len(done.read) > 3 and took[-1].what == "put the passports on-line" and all(act.waits for act in took)
        key = re.search(r"^key: (\w{26})$", (bench / "players/ada/next.yaml").read_text(), re.MULTILINE)
        assert key and "Next" in (far / key[1] / "index.html").read_text()
        shutil.rmtree(far)
    with_blank = ("rebuild", commands, "1001-5", "--with", done.blank, "--resume", "--no-sheet")
    for words in done.read:
        assert passport(*with_blank, *words).exit_code == 0
    for command, *words in (
        ("issue", "--replaces", "1001-5", "--blank", done.blank, "--label", "Next", "--yes", "--sure"),
        ("build", "--out", tmp_path / "site"),
    ):
        assert passport(command, commands, *words).exit_code == 0
    wanted = without_keys(commands)
    for bench in benches.values():
        assert {path: text for path, text in without_keys(bench).items() if text != wanted.get(path)} == {}
        assert without_keys(bench).keys() == wanted.keys()
