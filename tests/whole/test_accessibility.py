"""Every kind of page for people who see little or nothing, or use no mouse: judged by axe and by sums of our own.

axe cannot judge the contrast of text inside a drawing, nor text that it takes to be covered; so the contrast of every text
on the page is worked out here as well, from the colours that the browser really paints.
"""

import re
from importlib.resources import files
from itertools import pairwise

import pytest
from browsing import KINDS, OPENED, PHONE, WIDTHS, opened
from contrasts import TEXTS, hexadecimal

from passport.render.theme.palette import contrast

pytestmark = pytest.mark.browser

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
SCHEMES = ("light", "dark")
CONTRAST_RULE = "color-contrast"


@pytest.fixture(scope="module")
def axe() -> str:
    """The axe engine."""
    return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")


@pytest.mark.parametrize("kind", [*KINDS, OPENED])
def test_axe_finds_no_fault(browser, address, paths, axe, kind):
    """axe finds nothing against WCAG 2.2 AA or good practice on any kind of page, narrow or wide, light or dark, with
    everything unfolded; what it cannot decide is contrast alone, which the next test works out."""
    # The page's own policy would keep the engine out, as it keeps out everything that is not the site's.
    with opened(browser, address + paths[kind], bypass_csp=True) as page:
        page.evaluate(axe)
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        for width in WIDTHS:
            for scheme in SCHEMES:
                page.set_viewport_size({"width": width, "height": 844})
                page.emulate_media(color_scheme=scheme)
                found = page.evaluate("tags => axe.run(document, {runOnly: tags})", TAGS)
                told = [f"{v['id']}: {[n['html'][:90] for n in v['nodes'][:3]]}" for v in found["violations"]]
                assert not told, f"{width} px, {scheme}"
                assert {v["id"] for v in found["incomplete"]} <= {CONTRAST_RULE}
                assert len(found["passes"]) > 15, "axe looked at the page"


@pytest.mark.parametrize("kind", [*KINDS, OPENED])
def test_every_text_has_its_contrast(browser, address, paths, kind):
    """Every text, in drawings too, has 4.5:1 against whatever is painted behind it, large text 3:1 (WCAG 2.2, 1.4.3)."""
    with opened(browser, address + paths[kind]) as page:
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            for width in (320, 1280):
                page.set_viewport_size({"width": width, "height": 844})
                tall = page.evaluate("document.documentElement.scrollHeight")
                page.set_viewport_size({"width": width, "height": tall})
                found = page.evaluate(TEXTS)
                assert len(found) > 8
                assert len([t for t in found if t["grounds"]]) > 0.9 * len(found)
                assert any(t["inDrawing"] for t in found) == (kind in DRAWN)
                weak = [
                    (t["text"], t["ink"], ground)
                    for t in found
                    for ground in t["grounds"]
                    if contrast(hexadecimal(t["ink"]), hexadecimal(ground)) < (3 if t["large"] else 4.5)
                ]
                assert not weak, f"{width} px, {scheme}"


DRAWN = {"player", "set", "active", "hybrid", "photo", "german", "french", "spanish", "broken", OPENED}
"""Kinds of pages with text inside drawings."""


@pytest.mark.parametrize("kind", [*KINDS, OPENED])
def test_every_drawing_is_named_or_hidden(browser, address, paths, kind):
    """A screen reader hears the name of each drawing, and nothing of ornaments; each photo and logo has its words."""
    with opened(browser, address + paths[kind]) as page:
        # What is folded away is told once it is unfolded.
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        if kind == "keep":  # its picture is drawn by a script
            page.wait_for_selector("[data-picture][src]")
        drawings = page.evaluate(
            """() => [...document.querySelectorAll('svg')].map(svg => ({
              hidden: svg.getAttribute('aria-hidden') === 'true',
              role: svg.getAttribute('role'),
              name: (svg.getAttribute('aria-labelledby') || '').split(' ').filter(Boolean)
                .map(id => document.getElementById(id)).map(e => e ? e.textContent.trim() : '')}))"""
        )
        assert drawings
        for drawing in drawings:
            if drawing["hidden"]:
                assert not drawing["name"]
            else:
                assert drawing["role"] == "img"
                assert drawing["name"]
                assert all(drawing["name"])
        tree = page.locator("body").aria_snapshot()
        assert (
            len(re.findall(r"- '?img ", tree))
            == sum(not d["hidden"] for d in drawings) + page.locator("picture img, .shared img").count()
        )


@pytest.mark.parametrize("kind", ["home", "active", "player", "lost"])
def test_the_keyboard_goes_through_in_order_and_is_seen(browser, address, paths, kind):
    """Tab reaches everything that can be used, in the order of the page, each time with a thick outline in full view; and
    nothing holds the keyboard fast."""
    with opened(browser, address + paths[kind], reduced_motion="reduce") as page:
        usable = page.evaluate(
            "[...document.querySelectorAll('a[href], button, summary, [tabindex=\"0\"]')].filter(e => e.checkVisibility()).length"
        )
        tops = []
        for _ in range(usable):
            page.keyboard.press("Tab")
            at = page.evaluate(
                """() => { const e = document.activeElement, s = getComputedStyle(e), b = e.getBoundingClientRect();
                return {tag: e.tagName, top: b.top + scrollY, inView: b.top >= 0 && b.bottom <= innerHeight + 1,
                        outline: s.outlineStyle, width: parseFloat(s.outlineWidth), colour: s.outlineColor,
                        ground: getComputedStyle(document.body).backgroundColor}; }"""
            )
            assert at["tag"] != "BODY"
            assert at["inView"]
            assert (at["outline"], at["width"]) == ("solid", 3)
            assert contrast(hexadecimal(at["colour"]), hexadecimal(at["ground"])) >= 3, "WCAG 2.2, 1.4.11"
            tops.append(at["top"])
        assert tops == sorted(tops), "never back up the page"
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement === document.body || document.activeElement.className === 'skip'")


def test_the_skip_link_skips(browser, address, paths):
    """The first link jumps past the header: the next thing that the keyboard reaches lies in the content."""
    with opened(browser, address + paths["active"]) as page:
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        assert page.evaluate("document.querySelector('main').contains(document.activeElement)")


@pytest.mark.parametrize("kind", ["active", "player", "home", OPENED])
def test_headings_make_an_outline(browser, address, paths, kind):
    """Headings go down one level at a time, and every section and region has a name."""
    with opened(browser, address + paths[kind]) as page:
        levels = page.evaluate("[...document.querySelectorAll('h1, h2, h3, h4')].map(h => +h.tagName[1])")
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(later <= earlier + 1 for earlier, later in pairwise(levels))
        nameless = page.evaluate(
            "[...document.querySelectorAll('section, nav, [role=region]')]"
            ".filter(e => !e.getAttribute('aria-label') && !e.getAttribute('aria-labelledby')).length"
        )
        assert nameless == 0


@pytest.mark.parametrize("kind", ["home", "active", "german", "player", "lost"])
def test_large_text_and_wide_spacing_lose_nothing(browser, address, paths, kind):
    """Text at twice its size, and with the spacing of WCAG 2.2, 1.4.12, still fits a phone without cutting or
    overlapping its box (1.4.4, 1.4.10)."""
    with opened(browser, address + paths[kind], bypass_csp=True) as page:
        page.add_style_tag(
            content="* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important }"
        )
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert over <= 0
        page.add_style_tag(content="html { font-size: 200% }")
        page.set_viewport_size({"width": 640, "height": 844})
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert over <= 0


def test_less_motion_where_it_is_asked_for(browser, address, paths):
    """Whoever asks for less motion gets none: no smooth scrolling, nothing that moves by itself."""
    with opened(browser, address + paths["active"], reduced_motion="reduce") as page:
        assert page.evaluate("getComputedStyle(document.documentElement).scrollBehavior") == "auto"
        assert page.evaluate("document.getAnimations().length") == 0


@pytest.mark.parametrize("kind", ["active", "player"])
def test_forced_colours_keep_what_tells(browser, address, paths, kind):
    """With the reader's own few colours texts and drawings are still there."""
    with opened(browser, address + paths[kind], forced_colors="active") as page:
        assert page.locator("h1").is_visible()
        strokes = page.evaluate(
            "[...document.querySelectorAll('svg[role=img] .s-petrol')].map(e => getComputedStyle(e).stroke)"
        )
        assert strokes
        assert "none" not in strokes
        assert PHONE["width"] == page.evaluate("innerWidth")
