"""``passport instruments``: the private page and its data."""

import json

from commandline import passport
from places import DEMO
from pypdf import PdfReader


def test_the_page_and_what_is_said_beside_it(tmp_path):
    """One page outside the site names each instrument, its last check and what to check next."""
    out = tmp_path / "page.pdf"
    result = passport("instruments", DEMO, "--out", out)
    assert result.exit_code == 0, result.stderr
    assert "Check next: the " in result.stdout and "Balance board" in result.stdout
    text = " ".join(page.extract_text() for page in PdfReader(out).pages)
    for word in ("How sure is this bench?", "Gram scale, 600 g", "Too close to call", "Check next"):
        assert word in text
    assert len(PdfReader(out).pages) == 1


def test_as_data():
    """The data has every check of every instrument and writes nothing."""
    result = passport("instruments", DEMO, "--json")
    told = json.loads(result.stdout)
    checks = {tool["kind"]: len(tool["checks"]) for tool in told["instruments"]}
    assert checks["scale"] == 9 and checks["cradle for twistweight"] == 3
    assert told["check_next"] in checks


def test_not_into_the_content():
    """The page is refused inside the content folder."""
    assert passport("instruments", DEMO, "--out", DEMO / "page.pdf").exit_code == 1
