"""The ready looks on pages: a passport, a player's page and the home page of each, held to what the usual look is held to."""

from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import pytest
from browsing import PHONE, opened, served, visit
from contrasts import TEXTS, hexadecimal

from passport.publish.cache import toolchain
from passport.publish.outputs.tasks import SiteContext, perform, site_tasks
from passport.records.schema.workshop import READY
from passport.render.theme import assets
from passport.render.theme.palette import contrast

pytestmark = pytest.mark.browser

SMALL = {"width": 360, "height": 640}
"""A small phone, as in tests/whole/test_first_screen.py."""
MOST_BYTES, MOST_HTML = 120_000, 45_000
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
WATCH = (
    "window.moved = 0; new PerformanceObserver(l => { for (const e of l.getEntries()) moved += e.value })"
    ".observe({type: 'layout-shift', buffered: true})"
)


@pytest.fixture(scope="module", params=assets.LOOKS)
def look(request, demo_facts, tmp_path_factory):
    """A ready look: its address, the demo's heaviest pages made in it, and their paths."""
    name, out = request.param, tmp_path_factory.mktemp("look")
    accent, second = READY[name]
    shop = replace(demo_facts.shop, ready=name, accent=accent, second=second)
    facts = replace(demo_facts, shop=shop)
    frame = next(f for f in facts.frames if f.number == "1042-9")
    player = next(p for p in facts.players if p.name == frame.player)
    kept = {"frame": frame.key, "player": player.key, "home": ""}
    with assets.using(Path(__file__).parents[2] / "content_demo", name):
        tasks = site_tasks(facts, SiteContext(shop, facts.pages, "", False, ()), sorted(toolchain.templates()))
        for task in tasks:
            if task.kind in ("style", "other-style", "logo", "asset", "home") or task.key == kept.get(task.kind):
                file = perform(task).file
                assert file, task.name
                path = out / file.path
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_bytes(file.data)
    with served(out) as address:
        yield address, {"frame": f"/{frame.key}/", "player": f"/{player.key}/", "home": "/"}


def test_the_first_screen_tells_what_matters(browser, look):
    """On a small phone both tensions, the strings and the due day stand above the bar at the foot of the screen, and nothing
    moves while the page loads."""
    address, paths = look
    with opened(browser, address + "/", viewport=SMALL) as page:
        page.add_init_script(WATCH)
        page.goto(address + paths["frame"])
        page.evaluate("document.fonts.ready.then(() => true)")
        bar = page.locator(".acts").bounding_box()
        ends = page.evaluate(
            "[...document.querySelectorAll('.recipe tbody td, .fresh-due')].map(e => e.getBoundingClientRect().bottom)"
        )
        assert len(ends) == 5
        assert max(ends) <= bar["y"]
        page.wait_for_timeout(200)
        assert page.evaluate("moved") < 0.02


def test_pages_are_accessible(browser, look):
    """axe finds nothing, every text has its contrast, light and dark, and nothing is too wide, with text at 200 % either."""
    address, paths = look
    axe = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    for kind, path in paths.items():
        with opened(browser, address + path, bypass_csp=True) as page:
            page.evaluate(axe)
            page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                found = page.evaluate("tags => axe.run(document, {runOnly: tags})", TAGS)
                told = [f"{v['id']}: {[n['html'][:90] for n in v['nodes'][:3]]}" for v in found["violations"]]
                assert not told, (kind, scheme)
                page.set_viewport_size({"width": 390, "height": page.evaluate("document.documentElement.scrollHeight")})
                texts = page.evaluate(TEXTS)
                assert len(texts) > 8
                weak = [
                    (t["text"], t["ink"], ground)
                    for t in texts
                    for ground in t["grounds"]
                    if contrast(hexadecimal(t["ink"]), hexadecimal(ground)) < (3 if t["large"] else 4.5)
                ]
                assert not weak, (kind, scheme)
            for size, width in (("100%", 320), ("200%", 320), ("200%", 390), ("200%", 1280)):
                page.set_viewport_size({"width": width, "height": 844})
                page.add_style_tag(content=f"html {{ font-size: {size} }}")
                over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
                assert over <= 0, f"{kind}: {over} px too wide at {width}, {size}"


def test_forced_colours_keep_what_is_told(browser, look):
    """With the reader's own few colours the figures and the number differ from what lies behind them."""
    address, paths = look
    with opened(browser, address + paths["frame"], forced_colors="active") as page:
        for selector in (".ticket-number", ".pass-who h1", ".recipe .pull", ".dial-value", "h2", ".acts a"):
            colours = page.locator(selector).first.evaluate(
                "e => { let g = e; while (g && /, 0\\)$/.test(getComputedStyle(g).backgroundColor)) g = g.parentElement;"
                " return [getComputedStyle(e).color, g ? getComputedStyle(g).backgroundColor : 'rgb(255, 255, 255)'] }"
            )
            assert contrast(*map(hexadecimal, colours)) >= 4.5, selector


def test_a_passport_is_light(browser, look, counted):
    """The page with all that it loads has at most 120 kB, its HTML 45 kB."""
    address, paths = look
    responses: list = []
    context = browser.new_context(viewport=PHONE)  # with nothing kept from another page
    page = context.new_page()
    page.on("response", lambda response: responses.append(response))  # noqa: PLW0108 (no plain method is taken)
    visit(page, address + paths["frame"])
    loaded = {response.url: len(response.body()) for response in responses}
    context.close()
    assert any("/fonts/" in name for name in loaded)
    assert loaded[address + paths["frame"]] <= MOST_HTML
    assert sum(loaded.values()) <= MOST_BYTES
    counted(f"a passport in a ready look: {sum(loaded.values()) / 1000:.1f} kB")
