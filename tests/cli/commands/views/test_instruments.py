"""``passport instruments``: the private page and its data."""

import json

import pytest
from commandline import passport
from places import DEMO
from pypdf import PdfReader

from passport.render.charts.checks import CheckPoint, checks_chart
from passport.render.theme.palette import PRINT_PAINT


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


def test_a_chart_needs_a_check():
    """A chart of no checks is no chart; one of a single check says what it gave."""
    from datetime import date

    with pytest.raises(ValueError, match="at least one"):
        checks_chart([], date(2026, 1, 1), "%", key="k", paint=PRINT_PAINT, title="t")
    one = checks_chart(
        [CheckPoint(date(2026, 1, 1), -0.1, 0.05)], date(2026, 3, 1), "%", key="k", paint=PRINT_PAINT, title="t"
    )
    assert "-0.10 ± 0.10 %" in one
