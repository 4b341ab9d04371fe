"""The home page's short word on the bench's instruments, by the shop's wish."""

from dataclasses import replace
from datetime import date

import pytest
from passport.publish.build.site import build
from places import DEMO

from passport.render.theme import assets


@pytest.mark.parametrize(("checked", "there"), [((), False), ((("scale", date(2026, 10, 7)),), True)])
def test_when_instruments_were_last_checked(demo_facts, tmp_path, checked, there):
    """Only where the shop wishes does the home page say what was last checked, and when."""
    facts = replace(demo_facts, shop=replace(demo_facts.shop, checked=checked), frames=(), players=())
    with assets.using(DEMO):
        build(facts, tmp_path / "site", card=None, index="", progress=lambda *_: None)
    page = (tmp_path / "site" / "index.html").read_text(encoding="utf-8")
    assert ("How sure is this bench?" in page and "7 October 2026" in page) is there
