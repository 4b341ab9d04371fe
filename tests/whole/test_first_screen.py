"""What a player has at once: the first screen of a phone, two depths, the same with large text, few colours and on paper."""

import io
import math
from datetime import datetime, timedelta
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from browsing import PHONE, WIDTHS, link, opened, visit
from PIL import Image
from pypdf import PdfReader

from passport.render.theme.palette import contrast

pytestmark = pytest.mark.browser

SMALL = {"width": 360, "height": 640}
"""A small phone in use (common practice, no source)."""
MOST_HEIGHT = 2400
"""Of what stands above the fold for the stringer, px on a phone 390 px wide."""
MOST_SHIFT = 0.02


@pytest.fixture(scope="module")
def played(demo_facts):
    """The demo's frames that are played with and whose page is a passport."""
    found = [f for f in demo_facts.frames if f.status == "active" and f.stringing]
    assert {f.language for f in found} == {"en", "de", "fr", "es"}
    return found


def bottoms(page, selector: str) -> list[float]:
    """How far down the screen each of some elements ends, px."""
    return page.evaluate("q => [...document.querySelectorAll(q)].map(e => e.getBoundingClientRect().bottom)", selector)


def test_the_first_screen_tells_what_matters(browser, address, played):
    """On a small phone, in every language and halfway to the due day, both tensions, the strings and the due day stand above
    the bar at the foot of the screen, and the bar has a way to call and one to ask."""
    with opened(browser, address + "/", viewport=SMALL) as page:
        for frame in played:
            if frame.sealed:
                continue  # an opened page says first of which version it is
            if frame.due:
                page.clock.set_fixed_time(
                    datetime.combine(frame.stringing.date, datetime.min.time())
                    + (frame.due - frame.stringing.date) / 2
                    + timedelta(hours=12)
                )
            visit(page, address + link(frame))
            bar = page.locator(".acts").bounding_box()
            assert bar["y"] + bar["height"] == SMALL["height"]
            rows = bottoms(page, ".recipe tbody td") + bottoms(page, ".fresh-due")
            assert len(rows) == (2 if frame.stringing.same else 4) + bool(frame.due), frame.number
            assert max(rows) <= bar["y"], (frame.number, frame.language)
            assert page.locator(".acts a[href^='tel:']").count() == 1
            tensions = page.locator(".recipe .pull").all_inner_texts()
            assert len(tensions) == (1 if frame.stringing.same else 2)


def test_nothing_moves_when_the_words_of_today_come(browser, address, paths):
    """What the script puts in has its room from the beginning: on phone and desktop nothing shifts by more than 0.02 in all
    (Layout Instability: the sum of all shifts)."""
    watch = (
        "window.moved = 0; new PerformanceObserver(l => { for (const e of l.getEntries()) moved += e.value })"
        ".observe({type: 'layout-shift', buffered: true})"
    )
    for kind in ("active", "hybrid", "french", "player"):
        for size in (PHONE, {"width": 1280, "height": 800}):
            with opened(browser, address + "/", viewport=size) as page:
                page.add_init_script(watch)
                visit(page, address + paths[kind])
                page.wait_for_timeout(200)
                assert page.evaluate("moved") < MOST_SHIFT, (kind, size)


def test_the_players_depth_is_short(browser, address, played, counted):
    """Above the fold for the stringer every passport of the demo ends by 2,400 px; the history stands below that fold."""
    heights = {}
    with opened(browser, address + "/", viewport={"width": 390, "height": 664}) as page:
        for frame in played:
            visit(page, address + link(frame))
            fold = page.locator(".bench summary").first
            heights[frame.number] = round(fold.bounding_box()["y"])
            assert heights[frame.number] <= MOST_HEIGHT, frame.number
            for held in (".history", ".strings", ".readings"):
                if page.locator(held).count():
                    assert not page.locator(held).is_visible()
    counted(f"player's depth of {len(heights)} passports at 390 px: at most {max(heights.values())} px")


def test_text_twice_as_large_fits(browser, address, paths):
    """Text at 200 % leaves every kind of page without a scroll bar at four widths, unfolded or not (WCAG 2.2, 1.4.4)."""
    for kind in ("home", "care", "player", "set", "active", "hybrid", "german", "french", "spanish", "broken", "lost"):
        with opened(browser, address + paths[kind], bypass_csp=True) as page:
            page.add_style_tag(content="html { font-size: 200% }")
            for unfold in (False, True):
                if unfold:
                    page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
                for width in WIDTHS:
                    page.set_viewport_size({"width": width, "height": 844})
                    over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
                    assert over <= 0, f"{kind}: {over} px too wide at {width}"


KEPT = (
    ".dial h3", ".dial-value", ".dial-verdict", ".dial-verdict", ".dial svg", ".recipe th", ".recipe .pull", ".ticket-kind",
    ".ticket-number", ".fresh-age", ".fresh-due", ".fresh .bar", ".legend .mark", ".acts a", ".bench summary", ".picture svg",
)  # fmt: skip
"""What tells something on a passport, label by label and mark by mark."""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_forced_colours_keep_labels_and_marks(browser, address, paths, scheme):
    """With the reader's own few colours each label and mark is there in pixels: the darkest and the lightest of them differ
    by 4.5:1, and from top to bottom of its letters, so that none is half covered."""
    with opened(browser, address + paths["active"], forced_colors="active", color_scheme=scheme) as page:
        for selector in dict.fromkeys(KEPT):
            for element in page.locator(f"{selector}:visible").all():
                picture = Image.open(io.BytesIO(element.screenshot())).convert("RGB")
                few = picture.quantize(8).convert("RGB").getcolors()
                colours = ["#" + bytes(colour).hex() for _, colour in few]
                best = max(contrast(one, other) for one in colours for other in colours)
                assert best >= 4.5, (selector, element.inner_text())
        mark = page.locator(".is-inside .dial-verdict").first
        shot = Image.open(io.BytesIO(mark.screenshot())).convert("L")
        shot = shot.crop((0, 0, shot.height, shot.height))
        paper, ink = shot.getpixel((shot.width - 1, 0)), shot.getpixel((int(shot.height * 0.3), shot.height // 2))
        assert abs(paper - ink) > 120, "the mark of what is on target is filled"


COVERED = """selector => [...document.querySelectorAll(selector)].filter(e => {
  const box = e.getBoundingClientRect();
  return getComputedStyle(e.nextElementSibling ?? e).forcedColorAdjust !== 'none' && e.nextElementSibling
    && e.nextElementSibling.matches('.dial-value, h1, .fresh-left') && box.height > 0;
}).length"""


def test_no_plate_of_a_heading_covers_the_line_above(browser, address, paths):
    """A browser paints a plate behind forced text as high as its letters may be: the large letters of headings and figures
    go without, so that a label above them stays whole."""
    with opened(browser, address + paths["active"], forced_colors="active") as page:
        assert page.locator(".dial h3").count() >= 3
        assert page.evaluate(COVERED, ".dial h3, .ticket-kind, .fresh-age") == 0


def test_a_player_asks_with_everything_filled_in(browser, address, played, demo_facts):
    """The message to the workshop (RFC 6068) names the racquet by number and label and the last recipe by string and tension,
    in the player's language, and holds no key and no address of the page."""
    with opened(browser, address + "/") as page:
        for frame in played:
            visit(page, address + link(frame))
            href = page.locator(".act-ask").get_attribute("href")
            parts = urlsplit(href)
            assert (parts.scheme, unquote(parts.path)) == ("mailto", demo_facts.shop.email)
            asked = parse_qs(parts.query, strict_parsing=True)
            (text,), (subject,) = asked["body"], asked["subject"]
            assert frame.number in subject
            strung = frame.stringing
            for told in (frame.number, frame.label, strung.mains.name, strung.crosses.name, frame.player):
                assert told in text, frame.number
            pulls = page.locator(".recipe .pull").all_inner_texts()
            assert all(pull.split()[0] in text for pull in pulls)
            assert frame.key not in unquote(href)
            assert "\r\n" in text


def test_every_print_has_the_workshops_contact(browser, address, paths, demo_facts):
    """Printed, every kind of page says telephone and mail; a passport's player's depth fills one sheet of A4, with what
    stands below the fold, where that was opened, two."""
    shop = demo_facts.shop
    passports = {"active", "set", "hybrid", "photo", "german", "french", "spanish"}
    for kind in (*passports, "player", "broken", "lost", "retired", "home", "care"):
        with opened(browser, address + paths[kind]) as page:
            sheets = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
            text = " ".join(sheet.extract_text() for sheet in sheets)
            assert shop.phone in text, kind
            assert shop.email in text, kind
            if kind in passports:
                assert len(sheets) == 1, kind
                page.locator(".bench summary").first.click()
                opened_too = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
                assert 1 < len(opened_too) <= 2, kind


def test_the_bar_stands_where_the_day_is(browser, address, played):
    """The mark of today lies as far along the bar as the day lies between the stringing and the due day, at its end after."""
    frame = next(f for f in played if f.due)
    span = (frame.due - frame.stringing.date).days
    with opened(browser, address + "/") as page:
        for days in (0, span // 3, span, span + 50):
            noon = datetime.combine(frame.stringing.date, datetime.min.time()) + timedelta(days=days, hours=12)
            page.clock.set_fixed_time(noon)
            visit(page, address + link(frame))
            bar = page.locator(".pass .bar")
            start, end = (float(bar.get_attribute(name)) for name in ("data-x0", "data-x1"))
            moved = float(bar.locator("[data-now]").get_attribute("transform").split("(")[1].split(" ")[0])
            assert moved == pytest.approx(start + min(1, days / span) * (end - start), abs=0.1)


def test_a_players_racquets_come_freshest_first(browser, address, demo_facts):
    """On a player's page racquets of a group stand by the day that they were strung, the newest first, each with its bar."""
    with opened(browser, address + "/") as page:
        for player in demo_facts.players:
            visit(page, f"{address}/{player.key}/")
            for section in page.locator("section.group:has(.bag)").all():
                days = section.locator(".fresh").evaluate_all("all => all.map(e => e.dataset.strung)")
                assert days == sorted(days, reverse=True)
                dues = section.locator(".fresh[data-due]").count()
                assert section.locator(".bar").count() == dues


def test_a_verdict_is_one_line(browser, address, played):
    """On every passport of the demo, in every language, each verdict under a figure stands on one line, at 320 px too, and
    the verdicts of a row at one height."""
    said = set()
    with opened(browser, address + "/", viewport={"width": 320, "height": 640}) as page:
        for frame in played:
            for width in (320, 390, 1280):
                page.set_viewport_size({"width": width, "height": 800})
                visit(page, address + link(frame))
                rows: dict[float, set[float]] = {}
                for dial in page.locator(".dial").all():
                    verdict = dial.locator(".dial-verdict:not(.is-long)")
                    if verdict.count():
                        box, own = dial.bounding_box(), verdict.bounding_box()
                        assert own["height"] < 30, (frame.number, width)
                        assert own["x"] + own["width"] <= box["x"] + box["width"], (frame.number, width)
                        rows.setdefault(round(box["y"]), set()).add(round(own["y"] - box["y"]))
                        said.add(verdict.inner_text())
                assert all(len(heights) == 1 for heights in rows.values()), (frame.number, width)
    assert len(said) >= 8, "four languages, and more than one verdict"


def test_the_colour_of_fresh_strings_is_theirs_alone(browser, address, paths):
    """On a passport whose strings are not lively nothing on the screen has the ball's yellow, unfolded or not; on one whose
    strings are, nothing but the box of freshness."""
    yellow = (0xDC, 0xEA, 0x3A)
    with opened(browser, address + "/", device_scale_factor=1) as page:
        for state in ("is-late", "is-lively"):
            visit(page, address + paths["active"])
            page.evaluate(
                """state => {
                  for (const d of document.querySelectorAll('details')) d.open = true;
                  document.querySelector('.fresh').className = 'fresh ' + state }""",
                state,
            )
            shot = Image.open(io.BytesIO(page.screenshot(full_page=True))).convert("RGB")
            box = page.locator(".fresh").bounding_box()
            inside = shot.crop(
                tuple(round(v) for v in (box["x"], box["y"], box["x"] + box["width"], box["y"] + box["height"]))
            )
            found, within = (
                sum(
                    n
                    for n, rgb in picture.getcolors(1 << 24)
                    if max(abs(a - b) for a, b in zip(rgb, yellow, strict=True)) < 12
                )
                for picture in (shot, inside)
            )
            assert found == within, state
            assert (within > 1000) == (state == "is-lively")


def test_one_string_passes_over_at_every_crossing(browser, address, demo_facts, paths):
    """Seen as pixels, at every crossing of a main and a cross in the head exactly one of the two is whole and the other ends
    before it on both sides, and neighbours alternate: a plain weave, as strings are woven by hand."""
    frame = next(f for f in demo_facts.frames if link(f) == paths["set"])
    shape = frame.shape
    with opened(
        browser, address + paths["set"], viewport={"width": 1280, "height": 900}, device_scale_factor=4
    ) as page:
        svg = page.locator(".picture svg")
        box = svg.evaluate("e => { const b = e.viewBox.baseVal; return [b.x, b.y, b.width, b.height] }")
        shot = Image.open(io.BytesIO(svg.screenshot())).convert("L")
    scale = min(shot.width / box[2], shot.height / box[3])
    left, top = (shot.width - box[2] * scale) / 2, (shot.height - box[3] * scale) / 2

    def dark(x: float, y: float) -> bool:
        return shot.getpixel((round(left + (x - box[0]) * scale), round(top + (y - box[1]) * scale))) < 150

    over = {}
    for i, y in enumerate(shape.main_positions()):
        for j, x in enumerate(shape.cross_positions()):
            if math.hypot((x - shape.head_centre) / shape.head_length, y / shape.head_width) < 0.4:
                main = all(dark(x + d, y) for d in (-1.8, 1.8))
                cross = all(dark(x, y + d) for d in (-1.8, 1.8))
                assert dark(x, y), "no hole where two strings meet"
                assert main != cross, (i, j)
                over[i, j] = main
    assert len(over) > 150
    assert all(over[i, j] != over[i, j + 1] for i, j in over if (i, j + 1) in over)
    assert all(over[i, j] != over[i + 1, j] for i, j in over if (i + 1, j) in over)


def test_a_player_chooses_the_units(browser, address, paths, demo_facts):
    """One tap puts the other unit first wherever a tension or the balance stands, without losing one of the two, and the next
    page remembers it; without a script the page says both units of each tension, and there is no switch."""

    def said(cell) -> list[str]:
        return [line.strip() for line in cell.inner_text().splitlines()]  # a thin space is no end of a word here

    with opened(browser, address + paths["set"]) as page:
        pull, balance = page.locator(".recipe .pull").first, page.locator(".dial [data-two]")
        before, millimetres = said(pull), balance.inner_text()
        assert before[0].endswith("lb")
        assert before[1].endswith("kg)")
        assert millimetres.endswith("mm")
        page.locator(".units button", has_text="kg").click()
        page.locator(".units button", has_text="pt").click()
        assert said(pull) == [before[1].strip("()"), f"({before[0]})"]
        points = float(balance.inner_text().split("\u202f")[0])
        frame = next(f for f in demo_facts.frames if link(f) == paths["set"])
        # One point is an eighth of an inch of balance from the middle (common practice, no source).
        value = next(spec.value for spec in frame.specs if spec.quantity == "balance")
        assert points == pytest.approx((frame.shape.length / 2 - value) / 25.4 * 8, abs=0.06)
        visit(page, address + paths["player"])
        assert all("kg" in text.split("(")[0] for text in page.locator(".bag-pull").all_inner_texts())
        visit(page, address + paths["set"])
        page.locator(".units button", has_text="lb").click()
        page.locator(".units button", has_text="mm").click()
        assert (said(pull), balance.inner_text()) == (before, millimetres)
    with opened(browser, address + paths["set"], java_script_enabled=False) as page:
        assert page.locator(".units").count() == 0
        assert all("lb" in text and "kg" in text for text in page.locator(".recipe .pull").all_inner_texts())
