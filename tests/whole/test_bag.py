"""A player's page is the bag: at twelve racquets with long names as at one, and at large text on a small phone."""

import shutil
from dataclasses import replace
from datetime import timedelta

import pytest
from browsing import opened, served, visit

from passport.render.pages.pages import Pages
from passport.render.theme import assets

pytestmark = pytest.mark.browser

MANY = 12
LONG = "Championship final, damp clay, second string job of the tour"
FULL = "/BAG/"


@pytest.fixture(scope="module")
def bag(built_demo, demo_facts, tmp_path_factory):
    """The demo's address, with a page besides of one player with twelve racquets of one set, half of them with long labels."""
    player = next(p for p in demo_facts.players if any(g.matched for g in p.groups))
    group = next(g for g in player.groups if g.matched)
    first = group.frames[0]
    numbers = [f"{5000 + i}-{i % 10}" for i in range(MANY)]
    frames = tuple(
        replace(
            first,
            number=number,
            label=f"{LONG} {i}" if i % 2 else f"{i}",
            stringing=replace(first.stringing, date=first.stringing.date - timedelta(days=i)),
        )
        for i, number in enumerate(numbers)
    )
    equality = tuple(
        replace(e, values=tuple((n, (e.values[0][1] or 0) + 0.1 * (i % 4)) for i, n in enumerate(numbers)), spread=0.3)
        for e in group.equality
    )
    full = replace(player, groups=(replace(group, frames=frames, equality=equality, batches=()),))
    site = tmp_path_factory.mktemp("bag") / "site"
    shutil.copytree(built_demo, site)
    folder = site / FULL.strip("/")
    folder.mkdir()
    (folder / "index.html").write_bytes(Pages(demo_facts.shop, (), assets.folders()).player(full))
    with served(site) as address:
        yield address


def lines(page, selector: str) -> list[tuple[str, int]]:
    """Every element's text and on how many lines it stands."""
    return page.evaluate(
        """q => [...document.querySelectorAll(q)].map(e => {
          const range = document.createRange(); range.selectNodeContents(e);
          const tops = [...range.getClientRects()].filter(r => r.width > 1).map(r => Math.round(r.bottom / 4));
          return [e.textContent, new Set(tops).size] })""",
        selector,
    )


@pytest.mark.parametrize("size", ["100%", "200%"])
def test_twelve_racquets_fit(browser, bag, size):
    """Twelve racquets with long labels: nothing is too wide at four widths, and no tension breaks within a unit."""
    with opened(browser, bag + FULL, bypass_csp=True) as page:
        page.add_style_tag(content=f"html {{ font-size: {size} }}")
        assert page.locator(".bag > li").count() == MANY
        for width in (320, 390, 768, 1280):
            page.set_viewport_size({"width": width, "height": 844})
            assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
            for card in page.locator(".bag > li > a").all():
                over = card.evaluate("e => e.scrollWidth - e.clientWidth")
                assert over <= 0, (width, size, card.inner_text())
            broken = [text for text, count in lines(page, ".bag-pull > *, .compare-strings b") if count > 1]
            assert not broken, (width, size)


def test_one_glance_over_twelve(browser, bag):
    """On a phone racquets of a large bag take at most 165 px each, so that four are seen at once; the freshest is first, and
    each says when it is due."""
    with opened(browser, bag + FULL) as page:
        heights = [card.bounding_box()["height"] for card in page.locator(".bag > li").all()]
        assert max(heights) <= 165
        days = page.locator(".bag .fresh").evaluate_all("all => all.map(e => e.dataset.strung)")
        assert days == sorted(days, reverse=True)
        assert page.locator(".bag .fresh-due:visible").count() == MANY


def test_names_of_twelve_are_told_apart_on_the_chart(browser, bag):
    """On the chart of how equal they are no name lies on another."""
    with opened(browser, bag + FULL) as page:
        boxes = page.locator(".equal > svg text").evaluate_all(
            "all => all.map(e => { const b = e.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom] })"
        )
        for i, one in enumerate(boxes):
            for other in boxes[i + 1 :]:
                wide = min(one[2], other[2]) - max(one[0], other[0])
                high = min(one[3], other[3]) - max(one[1], other[1])
                assert wide <= 1 or high <= 6


def test_a_set_at_large_text_keeps_its_tensions_whole(browser, address, paths):
    """The page of a set at 320 px and text of 200 %: both tensions of each frame stand unbroken, in the bag and in the table."""
    with opened(browser, address + paths["player"], bypass_csp=True, viewport={"width": 320, "height": 640}) as page:
        page.add_style_tag(content="html { font-size: 200% }")
        visit(page, address + paths["player"])
        page.add_style_tag(content="html { font-size: 200% }")
        found = lines(page, ".bag-pull > *, .compare-strings :is(b, .other)")
        assert len(found) >= 12
        assert all(count == 1 for _, count in found), found
