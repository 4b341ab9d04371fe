"""What a page costs a phone, and what it takes of paper."""

import io

import pytest
from browsing import KINDS, OPENED, PHONE, link, opened, paths_of, visit
from pypdf import PdfReader

pytestmark = pytest.mark.browser

MOST_BYTES, MOST_REQUESTS, MOST_SHEETS = 120_000, 8, 2


def weighed(browser, url: str) -> dict[str, int]:
    """The bytes of everything that a page loads when it is read to its end, as they are before any compression."""
    loaded: list = []
    context = browser.new_context(viewport=PHONE)  # with nothing kept from another page
    page = context.new_page()
    page.on("response", lambda response: loaded.append(response))  # noqa: PLW0108 (no plain method is taken)
    visit(page, url)
    page.evaluate("async () => { for (const i of document.images) { i.loading = 'eager'; await i.decode() } }")
    icon = page.evaluate("document.querySelector('link[rel=icon]').href")
    found = {response.url: len(response.body()) for response in loaded}
    found.setdefault(icon, len(page.request.get(icon).body()))
    context.close()
    assert len([name for name in found if "/fonts/" in name]) >= 2, "the typefaces are counted"
    return found


def test_a_whole_passport_is_light(browser, address, demo_facts, counted):
    """Every passport of the demo, with its fonts, style, script, icon, logo and photo, has at most 120 kB uncompressed
    and takes at most 8 requests."""
    sums = {}
    for frame in demo_facts.frames:
        found = weighed(browser, address + link(frame))
        sums[frame.number] = sum(found.values())
        assert sums[frame.number] <= MOST_BYTES, (frame.number, found)
        assert len(found) <= MOST_REQUESTS, found
    counted(f"passport pages weighed: {len(sums)}, the heaviest {max(sums.values()) / 1000:.1f} kB")


@pytest.mark.parametrize("kind", [*KINDS, OPENED])
def test_every_kind_of_page_is_light(browser, address, demo_content, demo_facts, kind):
    """So has every other kind of page."""
    path = paths_of(demo_content, demo_facts)[kind]
    if kind == "keep":  # it is come to from the passport behind the #, which is weighed above and at hand then
        path = path.partition("#")[0]
    found = weighed(browser, address + path)
    assert sum(found.values()) <= MOST_BYTES
    assert len(found) <= MOST_REQUESTS


def test_a_printed_passport_fits_two_sheets(browser, address, demo_facts):
    """Printed on A4, every passport of the demo fills at most two sheets and keeps number, strings and figures."""
    for frame in demo_facts.frames:
        with opened(browser, address + link(frame)) as page:
            printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
        assert len(printed.pages) <= MOST_SHEETS, frame.number
        size = printed.pages[0].mediabox
        # ISO 216: A4 is 210 × 297 mm, 595.28 × 841.89 pt.
        assert (float(size.width), float(size.height)) == pytest.approx((595.28, 841.89), abs=1)
        text = " ".join(sheet.extract_text() for sheet in printed.pages)
        if frame.status == "active" and frame.stringing:
            for kept in (frame.number, frame.stringing.mains.name, frame.label):
                assert kept in text


@pytest.mark.parametrize("kind", ["home", "care", "player", "lost", "404"])
def test_other_pages_print_soundly(browser, address, demo_content, demo_facts, kind):
    """The workshop's pages and a player's print on few sheets, dark letters on white."""
    with opened(browser, address + paths_of(demo_content, demo_facts)[kind], color_scheme="dark") as page:
        sheets = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
        assert len(sheets) <= MOST_SHEETS
        page.emulate_media(media="print")
        assert page.evaluate("getComputedStyle(document.body).color") == "rgb(10, 44, 54)"
