"""A visitor goes from one language of a page to the other and back, in a real browser without scripts."""

import shutil

import pytest
from browsing import kept_page, opened, served, visit

pytestmark = pytest.mark.browser

KEPT = (
    "async () => { const found = []; for (const name of await caches.keys()) for (const request of await "
    "(await caches.open(name)).keys()) found.push(new URL(request.url).pathname); return found }"
)
"""The paths of all that a browser keeps."""


@pytest.mark.parametrize("width", [320, 1280])
def test_languages_are_switched_without_a_script(browser, address, demo_facts, width):
    """From a passport in the player's language to the workshop's and back, on a phone and on a desk; the head of the page
    is no higher for it, and other pages are gone to in the language that was chosen."""
    frame = next(f for f in demo_facts.frames if f.language == "de" and f.status == "active" and not f.sealed)
    plain = next(f for f in demo_facts.frames if f.language == "en" and f.status == "active" and not f.sealed)
    options = {"java_script_enabled": False, "viewport": {"width": width, "height": 700}}
    with opened(browser, f"{address}/{plain.key}/", **options) as page:
        usual = page.locator(".house").bounding_box()["height"]
        visit(page, f"{address}/{frame.key}/")
        assert page.locator(".house").bounding_box()["height"] <= usual + 2
        assert page.locator("html").get_attribute("lang") == "de"
        page.locator("header a[hreflang=en]").click()
        page.wait_for_url(f"{address}/{frame.key}/en/")
        assert page.locator("html").get_attribute("lang") == "en"
        assert page.locator(".ticket-number").inner_text() == frame.number
        page.locator("header a[hreflang=de]").click()
        page.wait_for_url(f"{address}/{frame.key}/")
        visit(page, f"{address}/{frame.player_key}/en/")
        page.locator(".frames a").first.click()
        page.wait_for_url("**/en/")
        assert page.locator("html").get_attribute("lang") == "en"


def test_both_languages_are_kept_and_go_together(browser, built_demo, demo_facts, tmp_path):
    """Who keeps a passport off-line keeps both; a page that says that it is closed, or is gone, takes both away."""
    frame = next(f for f in demo_facts.frames if f.language == "de" and f.status == "active" and not f.sealed)
    site = shutil.copytree(built_demo, tmp_path / "site")
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, frame.key)
        assert page.get_attribute("[data-back]", "href") == f"{address}/{frame.key}/en/"
        assert "Mains" in page.inner_text("[data-text]")
    for path, language in ((f"{frame.key}/", "de"), (f"{frame.key}/en/", "en")):
        page.goto(f"{address}/{path}", wait_until="load")
        assert page.get_attribute("html", "lang") == language
        assert page.locator("p.notice[role=status]").count() == 1
    context.close()


@pytest.mark.parametrize("end", ["without", "sealed"])
def test_a_second_page_that_is_gone(browser, built_demo, demo_facts, tmp_path, end):
    """Where the page in the other language is gone, it goes from the browser too; the passport's own only where the
    passport says so itself: here because it was sealed since."""
    frame = next(f for f in demo_facts.frames if f.language == "de" and f.status == "active" and not f.sealed)
    sealed = next(f for f in demo_facts.frames if f.sealed)
    site = shutil.copytree(built_demo, tmp_path / "site")
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, frame.key)
        shutil.rmtree(site / frame.key / "en")
        if end == "sealed":
            shutil.copy(site / sealed.key / "index.html", site / frame.key / "index.html")
        page.goto(f"{address}/{frame.key}/en/", wait_until="load")
        page.wait_for_function(f"async () => !(await ({KEPT})()).includes('/{frame.key}/en/')")
        if end == "sealed":
            page.wait_for_function("caches.keys().then((names) => names.length === 0)")
        else:
            assert f"/{frame.key}/" in page.evaluate(KEPT)
    context.close()
