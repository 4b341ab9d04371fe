"""A passport kept in a browser by whoever asks for it, and its strings shared, in a real browser."""

import io
import shutil
from pathlib import Path

import pytest
from browsing import kept_page, link, opened, served, visit
from PIL import Image

from passport.render.pages.pages import Pages
from passport.workshop.facts.facts import FrameFacts

pytestmark = pytest.mark.browser


@pytest.fixture
def frame(demo_facts) -> FrameFacts:
    """A frame in play with strings, whose page is open and in English."""
    return next(
        f for f in demo_facts.frames if f.status == "active" and f.stringing and f.language == "en" and not f.sealed
    )


@pytest.fixture
def sealed(demo_facts) -> FrameFacts:
    """A sealed frame."""
    return next(f for f in demo_facts.frames if f.sealed)


@pytest.fixture
def site(built_demo, tmp_path) -> Path:
    """The demo's site in a folder that a test may change."""
    return Path(shutil.copytree(built_demo, tmp_path / "site"))


def is_kept(page) -> bool:
    """Whether anything is kept in this browser."""
    return bool(page.evaluate("caches.keys().then((names) => names.length > 0)"))


def test_a_kept_passport_opens_without_a_network(browser, site, frame):
    """It is there with its typefaces and style when nothing answers any more, and says that it is a copy, of which day."""
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, frame.key)
        visit(page, f"{address}/{frame.key}/")
        assert page.query_selector("[role=status].notice") is None, "with a network it is the page itself"
    page.goto(f"{address}/{frame.key}/", wait_until="load")
    said = page.inner_text("p.notice[role=status]")
    year = page.evaluate("String(new Date().getFullYear())")
    assert said.startswith("Kept in this browser on ") and year in said
    assert frame.number in page.inner_text(".ticket-number")
    assert page.evaluate("document.fonts.check('600 20px House Display')")
    assert page.evaluate(
        "getComputedStyle(document.querySelector('.ticket-number')).fontFamily.includes('House Display')"
    )
    context.close()


def test_nothing_is_kept_without_being_asked(browser, address, frame):
    """Whoever reads a passport, or opens the page that could keep it, has nothing kept and no script that answers."""
    with opened(browser, f"{address}/{frame.key}/") as page:
        visit(page, f"{address}/keep/en/#{frame.key}")
        page.wait_for_selector("[data-do=keep]", state="visible")
        assert not is_kept(page)
        assert page.evaluate("navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0


@pytest.mark.parametrize("end", ["closed", "lost", "gone"])
def test_what_is_kept_goes_with_the_passport(browser, site, frame, demo_facts, end):
    """S3: an answer that says closed, lost or gone deletes the copy, and the worker with it."""
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, frame.key)
        place = site / frame.key / "index.html"
        if end == "gone":
            place.unlink()
        else:
            other = next(f for f in demo_facts.frames if f.status == "lost")
            lost = (site / other.key / "index.html").read_bytes()
            place.write_bytes(lost if end == "lost" else _closed(demo_facts))
        page.goto(f"{address}/{frame.key}/", wait_until="load")
        page.wait_for_function("caches.keys().then((names) => names.length === 0)")
        page.wait_for_function("navigator.serviceWorker.getRegistrations().then((all) => all.length === 0)")
    context.close()


def _closed(facts) -> bytes:
    from passport.render.theme import assets

    return Pages(facts.shop, facts.pages, assets.folders()).closed()


def test_a_newer_page_takes_the_place_of_what_is_kept(browser, site, frame):
    """With a network the page comes from there, and it is that one that is kept from then on."""
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, frame.key)
        place = site / frame.key / "index.html"
        place.write_text(place.read_text(encoding="utf-8").replace("</h1>", " II</h1>", 1), encoding="utf-8")
        page.goto(f"{address}/{frame.key}/", wait_until="load")
        assert page.inner_text("h1").endswith(" II")
        page.wait_for_function(
            "async () => { for (const name of await caches.keys()) { const c = await caches.open(name); "
            "for (const r of await c.keys()) if (r.url.endsWith('/') && "
            "(await (await c.match(r)).text()).includes(' II</h1>')) return true } return false }"
        )
    page.goto(f"{address}/{frame.key}/", wait_until="load")
    assert page.inner_text("h1").endswith(" II")
    context.close()


def test_a_page_that_was_sealed_since_is_not_kept_open(browser, site, frame, sealed):
    """Who asked to keep an open page did not ask to keep a sealed one: the open copy goes when it is sealed."""
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, frame.key)
        shutil.copy(site / sealed.key / "index.html", site / frame.key / "index.html")
        page.goto(f"{address}/{frame.key}/", wait_until="load")
        page.wait_for_function("caches.keys().then((names) => names.length === 0)")
    context.close()


def test_a_sealed_passport_is_kept_sealed(browser, site, sealed):
    """Where it is asked for; what lies in the browser then opens with the card's secret alone, and shares nothing."""
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, sealed.key)
        assert page.is_visible("[data-when=sealed]")
        assert not page.is_visible("[data-do=picture]")
        lying = page.evaluate(
            "async () => { const c = await caches.open((await caches.keys())[0]); let all = ''; "
            "for (const r of await c.keys()) all += r.url + await (await c.match(r)).text(); return all }"
        )
        assert sealed.label not in lying
        assert sealed.secret not in lying
    page.goto("about:blank")
    page.goto(address + link(sealed), wait_until="load")
    page.wait_for_selector(".ticket-number", state="visible")
    assert sealed.number in page.inner_text(".ticket-number")
    context.close()


def test_it_is_forgotten_when_that_is_asked_for(browser, site, frame):
    """Copy and worker go, also where the passport does not answer any more."""
    context = browser.new_context()
    page = context.new_page()
    with served(site) as address:
        kept_page(page, address, frame.key)
        (site / frame.key / "index.html").unlink()
        page.reload(wait_until="load")
        page.click("[data-do=forget]")
        page.wait_for_selector("[data-now=not]", state="visible")
        assert not is_kept(page)
        assert page.evaluate("navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0
    context.close()


def test_a_picture_and_a_text_of_the_strings_hold_no_key(browser, address, frame):
    """They say what the page says of strings and tensions; the passport's address stands in neither."""
    with opened(browser, f"{address}/keep/en/#{frame.key}") as page:
        page.wait_for_selector("[data-picture][src]", state="visible")
        text = page.inner_text("[data-text]")
        with page.expect_download() as saved:
            page.click("[data-do=picture]")
        picture = Path(saved.value.path()).read_bytes()
        assert saved.value.suggested_filename == "strings.png"
        assert page.get_attribute("[data-picture]", "alt") == text
        page.context.grant_permissions(["clipboard-read", "clipboard-write"])
        page.click("[data-do=copy]")
        page.wait_for_selector("[data-now=copied]", state="visible")
        assert page.evaluate("navigator.clipboard.readText()") == text
    assert frame.stringing
    for part in (frame.stringing.mains, frame.stringing.crosses):
        assert part.name in text and part.maker in text
    assert frame.label in text and frame.model in text
    assert frame.key not in text and frame.key.encode() not in picture
    with Image.open(io.BytesIO(picture)) as drawn:
        assert drawn.width == 1080 and drawn.height > 400
        dark = sum(drawn.convert("L").histogram()[:100]) / (drawn.width * drawn.height)
    assert 0.01 < dark < 0.4, "something is written there"


def test_without_a_passport_it_says_where_to_come_from(browser, address):
    """The bare address keeps nothing and shares nothing."""
    with opened(browser, f"{address}/keep/de/") as page:
        page.wait_for_selector("[data-when=nothing]", state="visible")
        assert "Öffnen Sie zuerst einen Pass" in page.inner_text("main")
        assert not page.is_visible("section")
