"""The home page's short word on the bench's instruments, by the shop's wish."""

import shutil

import pytest
from building import built
from places import DEMO


@pytest.mark.parametrize("wish", ["", "show_checks: yes\n", "show_checks: no\n"])
def test_when_instruments_were_last_checked(tmp_path, wish):
    """Only where the shop wishes does the home page say what was last checked, and when."""
    content = tmp_path / "content"
    shutil.copytree(DEMO, content, ignore=shutil.ignore_patterns("players", "ledger.txt", ".*", "manifest-key.txt"))
    shop = content / "workshop.yaml"
    lines = [line for line in shop.read_text(encoding="utf-8").splitlines() if not line.startswith("show_checks")]
    shop.write_text("\n".join([*lines, wish]), encoding="utf-8")
    built(content, tmp_path / "site")
    page = (tmp_path / "site" / "index.html").read_text(encoding="utf-8")
    assert ("How sure is this bench?" in page and "7 October 2026" in page) is ("yes" in wish)
