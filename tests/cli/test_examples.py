"""The example in the help of each command, run as it stands on a copy of the demo."""

import re
import shlex
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from functools import cache
from importlib import import_module

import pytest
from commandline import EPOCH
from places import ROOT

from passport.acts.safekeeping import archive
from passport.cli.main import _COMMANDS
from passport.records.load import load
from passport.render.pages.data import setup_json
from passport.workshop.gathering.gather import gatherer_of

JOBS = """\
Passport;Date;String;Tension;Mass;Reading;Minutes;Remarks
0918-8;12.03.2024;DP 125;51;325,4;;;last time
hallerwund/eins;02.11.2026;;;86,6;;;
"""
MAPPING = """\
date: Date
dates: day.month.year
frame: Passport
columns: {string: String, tension: Tension, mass: Mass, ring: Reading, minutes: Minutes, note: Remarks}
units: {tension: lb, mass: g, ring: Hz}
words: {string: {DP 125: deep-petrol-125}}
"""
PAST = """\
Stringing log
Date;Customer;Racket;Racket no;String;Tension (lb);Remarks
12.03.2024;Juniper Askwell;Marlpit 98;I;Deep Petrol 1.25;51/49;
14.3.24;Wilhelmina Zuidhorst;Marlpit 98;;Deep Petrol 1,20;50;pays on Fridays
"""
SERVES = frozenset({"bench", "preview"})
"""Commands that run until they are stopped."""


def examples():
    """Each example of each command."""
    for name, (module, _) in _COMMANDS.items():
        epilog = import_module(module).command.epilog or ""
        for text in re.findall(r"Example[^:]*: (passport .*?)(?:\n\n|$)", epilog, re.DOTALL):
            yield pytest.param(" ".join(text.split()), id=f"{name}-{len(text)}")


def shown_in_the_readme():
    """Each command that the README's tables show, but for those that need a file or an answer of their own."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for line in dict.fromkeys(re.findall(r"^\| `(passport [^`]+)`", readme, re.MULTILINE)):
        name = line.split()[1]
        answered = f"{line} --yes" if name in ("walk-in", "log", "correct", "lost", "erase", "adopt") else line
        yield pytest.param(answered.replace("columns.yaml", "mapping.yaml"), id=name)


@cache
def setups():
    """The files of two setups of the demo, by their names on its site."""
    content, _ = load(ROOT / "content_demo")
    gatherer, named = gatherer_of(content), ("askwell/i", "dunmarrow/one")
    return {f"setup-{frame.number}.json": setup_json(frame) for frame in map(gatherer.frame, named)}


@pytest.fixture
def here(tmp_path):
    """A folder with a copy of the demo and a backup of it, setups of it, and a past spreadsheet with its mapping."""
    for name, data in setups().items():
        (tmp_path / name).write_bytes(data)
    shutil.copytree(ROOT / "content_demo", tmp_path / "content_demo")
    (tmp_path / "jobs.csv").write_text(JOBS, encoding="utf-8")
    (tmp_path / "mapping.yaml").write_text(MAPPING, encoding="utf-8")
    (tmp_path / "past.csv").write_text(PAST, encoding="utf-8")
    saved = archive.packed(tmp_path / "content_demo", datetime(2026, 11, 25, tzinfo=UTC)).data
    (tmp_path / "shop.zip").write_bytes(saved)
    return tmp_path


def a_built_site_and_a_place_for_it(here):
    """What has to be there before a site is published: the site, a folder, and a word in the records."""
    (here / "online").mkdir()
    shop = here / "content_demo/workshop.yaml"
    shop.write_text(f"publish: ../online\n{shop.read_text(encoding='utf-8')}", encoding="utf-8")
    assert run(here, "passport build content_demo --out site --no-cards").returncode == 0


def run(here, line, timeout=180):
    """A command line in a process of its own, in a folder."""
    program, *arguments = shlex.split(line)
    assert program == "passport"
    return subprocess.run(
        [sys.executable, "-m", "passport.cli.main", *arguments],
        cwd=here, env={"SOURCE_DATE_EPOCH": EPOCH, "PATH": "/usr/bin:/bin"}, stdin=subprocess.DEVNULL,
        capture_output=True, text=True, timeout=timeout, check=False,
    )  # fmt: skip


def test_every_command_has_an_example():
    """No command is without an example."""
    shown = {example.values[0].split()[1] for example in examples()}
    assert shown == set(_COMMANDS)


@pytest.mark.parametrize("line", [*shown_in_the_readme(), *examples()])
def test_the_example_works(here, line):
    """The example can be typed as it stands; what it leaves passes every check."""
    name = line.split()[1]
    if name in SERVES:
        with pytest.raises(subprocess.TimeoutExpired):
            run(here, line, timeout=5)
        return
    if name == "publish":
        a_built_site_and_a_place_for_it(here)
    done = run(here, line)
    if name == "verify":  # the demo's host is invented; tests/whole/test_online.py asks a real one
        assert (done.returncode, "is not found" in done.stdout) == (1, True), done.stdout + done.stderr
        return
    assert done.returncode == 0, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert done.stdout.strip()
    checked = run(here, "passport check content_demo")
    assert checked.returncode == 0, checked.stderr
