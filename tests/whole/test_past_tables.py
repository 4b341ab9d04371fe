"""Four invented shops' pasts taken over through the command line, judged by the truth that was written down beside them."""

import pasttables
import pytest
from commandline import passport, tree


@pytest.mark.parametrize("make", pasttables.TABLES, ids=lambda make: make.__name__)
def test_a_past_is_taken_over(make, tmp_path):
    """At least 95 % of the plain rows are right, nothing is wrong, all else waits in the review list; a second run adds
    nothing, the answers bring the rest, and what each run wrote is taken back by one undo.

    ``tests/support/pasttables.py`` prints this for more tables."""
    table = make()
    content = pasttables.content(tmp_path / "content")
    before = tree(content)
    (tmp_path / table.name).write_bytes(table.data)
    first = passport("import", content, tmp_path / table.name, "--yes", "--write")
    assert first.exit_code == 1  # something is open
    review = tmp_path / f"{table.name}.review.yaml"
    verdict = pasttables.judged(table, content, review.read_text(encoding="utf-8"))
    print(f"{pasttables.HEAD}\n{verdict.line()}")
    assert verdict.rows >= 200
    assert verdict.plain >= 150
    assert not verdict.wrong
    assert not verdict.nowhere
    assert verdict.right >= 0.95 * verdict.plain
    after, listed = tree(content), review.read_text(encoding="utf-8")
    assert "0 jobs of 0 frames" in passport("import", content, tmp_path / table.name, "--yes", "--write").stdout
    assert tree(content) == after
    assert review.read_text(encoding="utf-8").count("decide: open") == listed.count("decide: open")
    review.write_text(pasttables.answered(table, content, listed), encoding="utf-8")
    passport("import", content, tmp_path / table.name, "--write")
    verdict = pasttables.judged(pasttables.remembered(table), content, review.read_text(encoding="utf-8"))
    print(verdict.line())
    assert not verdict.wrong
    assert verdict.taken >= 0.97 * pasttables.ROWS  # what nobody knows was left out
    for _ in range(2):
        assert passport("undo", content, "--yes").exit_code == 0
    assert tree(content) == before
