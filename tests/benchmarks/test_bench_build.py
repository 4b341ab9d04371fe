"""The benchmarks of a build measure what they say: run once with a handful of frames."""

import re

import pytest

from passport.records import checks
from passport.records.faults import has_errors
from passport.records.load import load
from passport.render.print import pdf
from tests.benchmarks.peers import Told, hugo, mkdocs, pelican
from tests.benchmarks.run import BEGIN, END, TARGET, WITH_CHARTS, Bench, override, ratios, report, without_charts
from tests.benchmarks.timing import Failed, passport, run
from tests.benchmarks.workshops import LAST_DAY, workshop


def test_the_whole_run_with_a_few_frames(tmp_path):
    """Every measurement of the table is taken; the plain loop makes as many frames' pages and cards as the build."""
    if pdf.available():
        pytest.skip(pdf.available().splitlines()[0])
    bench = Bench(tmp_path, None, plain=5)
    bench.measure(5)
    by_name = {row.what: row for row in bench.rows}
    assert set(by_name) == {
        "full build", "nothing changed", "one frame changed, with its card", "find, the first time", "find", "show",
        "pages only", "pages only, charts left out", "one template changed, pages only", "plain loop",
        "full build, one process",
    }  # fmt: skip
    assert all(row.cost.seconds > 0 and row.cost.memory > 10 for row in bench.rows)
    assert by_name["full build"].cards == by_name["plain loop"].cards == 5
    assert by_name["full build"].pages > by_name["plain loop"].pages >= 6
    assert "nothing changed" in by_name["nothing changed"].cost.said
    assert re.search(r"\b[1-9]\d? made anew", by_name["one frame changed, with its card"].cost.said)
    text = report(bench, [5])
    assert all(f"| {name} | 5 |" in text for name in by_name)
    assert any(line[0].startswith("full build against the plain loop") for line in ratios(bench, [5]))


def test_charts_left_out_are_left_out(tmp_path):
    """With the templates of that measurement no page of a frame or player has a chart, but all the words are there."""
    content = workshop(tmp_path / "content", 4)
    passport("build", content, "--out", tmp_path / "with", "--no-cards")
    for name in WITH_CHARTS:
        override(content, name, without_charts)
    passport("build", content, "--out", tmp_path / "without", "--no-cards")
    pages = sorted(path.relative_to(tmp_path / "with") for path in (tmp_path / "with").glob("*/index.html"))
    assert len(pages) > 4
    for page in pages:
        with_charts, bare = ((tmp_path / side / page).read_text(encoding="utf-8") for side in ("with", "without"))
        assert "<svg" in with_charts
        assert "<svg" not in bare
        told = [Told(), Told()]
        for one, text in zip(told, (with_charts, bare), strict=True):
            one.feed(text)
        assert told[0].lines == told[1].lines


def test_a_generated_workshop_has_no_faults_and_is_the_same_each_time(tmp_path):
    """The records that are measured are sound, and the same for everybody."""
    one, other = workshop(tmp_path / "one", 30), workshop(tmp_path / "other", 30)
    content, faults = load(one)
    assert not has_errors([*faults, *checks.run(content, LAST_DAY)])
    assert len(content.frames) == 30
    for path in one.rglob("*.yaml"):
        assert path.read_bytes() == (other / path.relative_to(one)).read_bytes()


@pytest.mark.parametrize("prepare", [pelican, mkdocs, hugo])
def test_others_get_all_of_the_text(tmp_path, prepare):
    """Each of the others is given every page with every line of its text."""
    call = prepare(tmp_path, [("index", "# Begin\n\nWords of one."), ("frame-1", "# Two\n\n- Words of two.")])
    given = "\n".join(path.read_text(encoding="utf-8") for path in tmp_path.rglob("*.md"))
    assert "Words of one." in given
    assert "- Words of two." in given
    assert call[0] == prepare.__name__


def test_a_command_that_fails_is_no_measurement():
    """A command that does not succeed ends the run with what it said."""
    with pytest.raises(Failed, match="There is no workshop"):
        passport("find", "nowhere", "x")
    with pytest.raises(Failed):
        run(["false"])


def test_the_table_has_its_place():
    """RESULTS.md has the place that the command writes its table to."""
    text = TARGET.read_text(encoding="utf-8")
    assert text.index(BEGIN) < text.index(END)
