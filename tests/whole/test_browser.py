"""The demo's pages in a real browser, at a phone's size first."""

import re
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from browsing import KINDS, WIDTHS, opened, visit

from passport.render.charts.plot import text_width
from passport.render.theme.palette import DARK, LIGHT

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("kind", KINDS)
def test_pages_open_and_fit(browser, address, paths, kind):
    """Each kind of page opens without a complaint or a request to elsewhere, and fits phones, tablets and desktops."""
    with opened(browser, address + paths[kind]) as page:
        assert page.locator("h1").is_visible()
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 844})
            over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert over <= 0, f"{over} px too wide at {width}"


@pytest.mark.parametrize("kind", KINDS)
def test_dark_and_light(browser, address, paths, kind):
    """A reader who asks for dark gets a dark ground with light text, any other a light one, on every kind of page."""
    with opened(browser, address + paths[kind]) as page:
        for scheme, palette in (("light", LIGHT), ("dark", DARK)):
            page.emulate_media(color_scheme=scheme)
            ground, ink = page.evaluate(
                "[getComputedStyle(document.body).backgroundColor, getComputedStyle(document.body).color]"
            )
            assert (ground, ink) == (rgb(palette.ground), rgb(palette.ink))
            drawn = page.evaluate("[...document.querySelectorAll('svg .f-ink')].map(e => getComputedStyle(e).fill)")
            assert set(drawn) <= {rgb(palette.ink)}


def rgb(colour: str) -> str:
    """A colour as the browser names it."""
    return "rgb({}, {}, {})".format(*bytes.fromhex(colour.lstrip("#")))


def test_the_shipped_typefaces_are_used(browser, address, paths):
    """Headings and text are set in the shipped typefaces, loaded from the site itself, and not one sign in any other."""
    with opened(browser, address + paths["active"]) as page:
        page.evaluate("document.fonts.ready")
        loaded = page.evaluate("[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family)")
        # Two stand-ins keep the lines in place while the others come; whether they are taken hangs on how long that is.
        standing_in = {"Near Display", "Near Text", "Nearly Text"}
        assert {name.strip('"') for name in loaded} - standing_in == {"House Display", "House Text"}
        asked = page.context.new_cdp_session(page)
        for domain in ("DOM", "CSS"):
            asked.send(f"{domain}.enable")
        top = asked.send("DOM.getDocument")["root"]["nodeId"]
        for part in ("h1", "main p"):
            node = asked.send("DOM.querySelector", {"nodeId": top, "selector": part})["nodeId"]
            used = asked.send("CSS.getPlatformFontsForNode", {"nodeId": node})["fonts"]
            assert used
            assert all(font["isCustomFont"] for font in used), used
            assert {font["familyName"].partition(" Semi")[0] for font in used} <= {"Besley", "Barlow"}, used


def test_texts_of_charts_are_as_wide_as_they_were_measured(browser, address, paths):
    """Each text in a chart of a page is as wide in the browser as the program took it to be when it placed it."""
    with opened(browser, address + paths["active"]) as page:
        texts = page.evaluate("""() => [...document.querySelectorAll('svg.drawing text')].map(e => {
            const style = getComputedStyle(e);
            return [e.textContent, parseFloat(style.fontSize), style.fontWeight, style.fontFamily, e.getComputedTextLength()];
        })""")
    assert len(texts) > 20
    for content, size, weight, family, wide in texts:
        measured = text_width(content, size, strong=weight == "600", display="House Display" in family)
        assert measured == pytest.approx(wide, rel=0.01, abs=0.1), content


AGES = {0: "strung today", 1: "1 day old", 30: "30 days old", 200: "200 days old", 1500: "1,500 days old"}


@pytest.mark.parametrize("zone", ["UTC", "Pacific/Auckland", "America/Los_Angeles"])
@pytest.mark.parametrize("clock", [time(0, 20), time(23, 40)])
def test_the_age_of_the_strings(browser, address, paths, zone, clock):
    """The page says how many days ago the strings were put in, by the reader's own calendar, early and late in a day."""
    with opened(browser, address + paths["active"], timezone_id=zone) as page:
        box = page.locator(".fresh")
        strung = date.fromisoformat(box.get_attribute("data-strung"))
        due, soon = (date.fromisoformat(box.get_attribute(f"data-{name}")) for name in ("due", "soon"))
        for days, shown in AGES.items():
            day = strung + timedelta(days=days)
            page.clock.set_fixed_time(datetime.combine(day, clock, ZoneInfo(zone)))
            visit(page, address + paths["active"])
            told = " ".join(page.locator(".fresh-age").inner_text().split())
            assert re.fullmatch(rf"{shown}(, \D+)?", told)
            tones = set(box.get_attribute("class").split()) - {"fresh"}
            assert tones == {"is-late" if day > due else "is-soon" if day >= soon else "is-lively"}


def test_the_age_on_this_very_day(browser, address, paths):
    """With the browser's own clock the age is that of today."""
    with opened(browser, address + paths["set"], timezone_id="UTC") as page:
        strung = date.fromisoformat(page.locator("[data-strung]").get_attribute("data-strung"))
        before = (datetime.now(UTC).date() - strung).days
        visit(page, address + paths["set"])
        shown = int(page.locator(".fresh-days").inner_text().replace(",", ""))
        assert before <= shown <= (datetime.now(UTC).date() - strung).days


def test_strings_from_the_future_have_no_age(browser, address, paths):
    """On a phone whose clock is wrong the page shows the date and no negative age."""
    with opened(browser, address + paths["active"]) as page:
        page.clock.set_fixed_time(datetime(2001, 1, 1, tzinfo=UTC))
        visit(page, address + paths["active"])
        assert not page.locator(".fresh-age").is_visible()
        assert page.locator(".fresh-date").is_visible()


@pytest.mark.parametrize("kind", ["active", "set", "player", "home", "lost"])
def test_without_scripts(browser, address, paths, demo_facts, kind):
    """With scripts off nothing is missing: the date of the strings stands there as text, and older visits unfold."""
    with opened(browser, address + paths[kind], java_script_enabled=False) as page:
        assert page.locator("h1").is_visible()
        if kind in ("active", "set"):
            found = next(f for f in demo_facts.frames if f.key in paths[kind])
            day = found.stringing.date
            assert f"{day.day} {day:%B} {day.year}" in page.locator(".fresh-date").inner_text()
            assert not page.locator(".fresh-age").is_visible()
            folded = page.locator("details.older time").first
            assert not folded.is_visible()
            page.locator(".bench summary").first.click()
            assert page.locator(".visits time").first.is_visible()
            assert not folded.is_visible()
            page.locator("details.older summary").first.click()
            assert folded.is_visible()


@pytest.mark.parametrize("kind", KINDS)
def test_things_to_tap_are_large_enough(browser, address, paths, kind):
    """On a phone every link that is not inside a sentence is at least 24 px high and wide (WCAG 2.2, 2.5.8)."""
    with opened(browser, address + paths[kind]) as page:
        small = page.evaluate(
            """[...document.querySelectorAll('a, summary')]
            .filter(e => !e.closest('p, dd') && !e.classList.contains('skip'))
            .map(e => [e.textContent.trim(), e.getBoundingClientRect()])
            .filter(([, box]) => box.width > 0 && (box.height < 24 || box.width < 24))
            .map(([text, box]) => `${text} ${box.width}x${box.height}`)"""
        )
        assert not small


def test_the_keyboard_finds_the_content(browser, address, paths):
    """The first stop of the keyboard is a link that leads past the header, and it can be seen when it is reached."""
    with opened(browser, address + paths["active"]) as page:
        page.keyboard.press("Tab")
        first = page.locator(":focus")
        assert first.get_attribute("href") == "#content"
        box = first.bounding_box()
        assert box
        assert box["x"] >= 0


def test_from_the_player_to_a_frame_and_home(browser, address, paths):
    """Links lead where they say: from the player's page to a passport, and on to the workshop's home page."""
    with opened(browser, address + paths["player"]) as page:
        link = page.locator(".frames a").first
        number = link.locator(".frames-number").inner_text()
        link.click()
        page.wait_for_load_state("load")
        assert page.locator(".ticket-number").inner_text() == number
        page.locator(".house-name").click()
        page.wait_for_load_state("load")
        assert page.url == address + "/"


def test_from_a_replaced_frame_to_its_successor(browser, address, paths, demo_facts):
    """The page of a replaced frame leads to its successor's passport."""
    old = next(f for f in demo_facts.frames if f.key in paths["replaced"])
    with opened(browser, address + paths["replaced"]) as page:
        page.locator("main a").click()
        page.wait_for_load_state("load")
        assert page.locator(".ticket-number").inner_text() == old.successor.number


def test_printed_pages_keep_what_matters(browser, address, paths):
    """Printed, the page drops what only a screen can do, and keeps date, figures and picture."""
    with opened(browser, address + paths["active"]) as page:
        page.emulate_media(media="print")
        assert not page.locator(".fresh-age").is_visible()
        assert not page.locator(".keep").is_visible()
        for kept in (".fresh-date", ".dial-value", ".picture svg", ".ticket-number"):
            assert page.locator(kept).first.is_visible(), kept


CUT = """() => {
  const leaves = (text) => {
    const box = text.getBoundingClientRect(), drawing = text.closest('svg').getBoundingClientRect();
    return box.width && (box.left < drawing.left - 1 || box.right > drawing.right + 1);
  };
  const hides = (box) => box.scrollWidth > box.clientWidth + 1 && getComputedStyle(box).overflowX !== 'visible';
  const told = (e) => e.textContent.trim().slice(0, 40);
  return [...[...document.querySelectorAll('svg text')].filter(leaves).map(told),
          ...[...document.querySelectorAll('main *, footer *')]
            .filter(e => hides(e) && !e.matches('.scroll, .away, .hero, .recipe thead')).map(told)];
}"""


def test_nothing_is_cut_on_the_narrowest_phone(browser, address, built_demo):
    """On no page of the demo, in any of its languages, does a word leave its box or its drawing at 320 px, with
    everything unfolded, nor the page its width."""
    with opened(browser, address + "/", viewport={"width": 320, "height": 640}) as page:
        names = sorted(p.relative_to(built_demo).as_posix() for p in built_demo.rglob("*.html"))
        assert len(names) > 30
        for name in names:
            visit(page, f"{address}/{name}")
            page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
            assert not page.evaluate(CUT), name
            over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert over <= 0, name


BROKEN = """() => {
  const found = [];
  const walk = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_TEXT);
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    if (!node.parentElement.checkVisibility() || node.parentElement.closest('.away, .recipe thead, svg')) continue;
    for (const match of node.textContent.matchAll(/[\\p{L}\\p{N}]+(-[\\p{N}X]\\b)?/gu)) {
      const range = document.createRange();
      range.setStart(node, match.index);
      range.setEnd(node, match.index + match[0].length);
      const lines = new Set([...range.getClientRects()].filter(r => r.width > 0).map(r => Math.round(r.bottom)));
      if (lines.size > 1) found.push(match[0]);
    }
  }
  return found;
}"""
"""Words and passport numbers that stand on two lines."""


@pytest.mark.parametrize("kind", ["restring", *KINDS])
def test_no_word_is_broken(browser, address, paths, kind):
    """On a phone no word and no passport number goes over the end of a line, in tables neither."""
    path = "/care/when-to-restring/" if kind == "restring" else paths[kind]
    with opened(browser, address + path) as page:
        page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
        for width in (360, 390, 430):
            page.set_viewport_size({"width": width, "height": 844})
            assert page.evaluate(BROKEN) == []


def test_words_of_a_chart_pass_before_the_line_of_today(browser, address, paths):
    """The line of the day may fall on any word of the chart: each word has a rim of the ground, and stands in front."""
    with opened(browser, address + paths["active"]) as page:
        for scheme, palette in (("light", LIGHT), ("dark", DARK)):
            page.emulate_media(color_scheme=scheme)
            rims = page.evaluate(
                "[...document.querySelectorAll('svg[data-from] text')].map(e => { const s = getComputedStyle(e);"
                " return [s.stroke, s.paintOrder.startsWith('stroke'), parseFloat(s.strokeWidth) >= 4]; })"
            )
            assert len(rims) > 6
            assert {tuple(rim) for rim in rims} == {(rgb(palette.ground), True, True)}
        behind = page.evaluate(
            "(() => { const all = [...document.querySelectorAll('svg[data-from] *')];"
            " const line = all.findIndex(e => e.hasAttribute('data-today'));"
            " return all.slice(0, line).filter(e => e.tagName === 'text').map(e => e.textContent); })()"
        )
        assert len(behind) > 3
        assert not any("limit" in text or "restring" in text for text in behind), "axes alone"
