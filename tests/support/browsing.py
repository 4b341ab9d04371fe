"""The demo's pages in a real browser: serving, opening, and complaining of whatever the browser complains of."""

import re
import shutil
import threading
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

from passport.records.load import Content
from passport.workshop.facts.facts import FrameFacts, SiteFacts

KINDS = (
    "home", "care", "care-fr", "404", "player", "set", "active", "hybrid", "photo", "german", "french", "spanish", "broken",
    "replaced", "lost", "retired", "sealed", "keep",
)  # fmt: skip
OPENED = "opened"
"""A sealed page that the secret in its address has opened."""
PHONE = {"width": 390, "height": 844}
WIDTHS = (320, 390, 768, 1280)


class _Quiet(SimpleHTTPRequestHandler):
    """Serves the site and prints nothing."""

    def log_message(self, *_):
        """Say nothing of a request."""


class _Server(ThreadingHTTPServer):
    """The local server."""

    def handle_error(self, *_):
        """Say nothing of a browser that has gone on before it had all of a file."""


@contextmanager
def served(site: Path) -> Iterator[str]:
    """The address under which a site is served on this machine."""
    server = _Server(("127.0.0.1", 0), partial(_Quiet, directory=str(site)))
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@contextmanager
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, or whatever Chromium is installed."""
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
    if not found:
        pytest.skip("no Chromium on this machine (Debian: apt install chromium)")
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        yield launched
        launched.close()


def paths_of(demo_content: Content, demo_facts: SiteFacts) -> dict[str, str]:
    """A page of the demo of each kind by its path."""
    frames = demo_facts.frames

    def key(wanted) -> str:
        return f"/{next(f.key for f in frames if wanted(f))}/"

    found = {
        "home": "/",
        "care": f"/care/{next(slug for slug in demo_content.pages if slug != 'home')}/",
        "404": "/404.html",
        "player": f"/{next(p.key for p in demo_facts.players if any(g.matched for g in p.groups))}/",
        "set": key(lambda f: f.set),
        "active": key(lambda f: f.status == "active" and not f.set and f.due),
        "hybrid": key(lambda f: f.status == "active" and f.stringing and f.stringing.hybrid),
        "care-fr": "/care/cracked-frame.fr/",
        "photo": key(lambda f: f.photo),
        "german": key(lambda f: f.language == "de" and f.status == "active" and f.jobs),
        "french": key(lambda f: f.language == "fr" and f.status == "active"),
        "spanish": key(lambda f: f.language == "es" and f.status == "active"),
        "broken": key(lambda f: f.status == "broken" and not f.successor),
        "replaced": key(lambda f: f.status == "broken" and f.successor),
        "lost": key(lambda f: f.status == "lost"),
        "retired": key(lambda f: f.status == "retired"),
        "sealed": key(lambda f: f.sealed),
    }
    found["keep"] = f"/keep/en/#{found['active'].strip('/')}"
    found[OPENED] = next(link(f) for f in frames if f.sealed)
    assert set(found) == {*KINDS, OPENED}
    return found


def link(frame: FrameFacts) -> str:
    """The path of a frame's page, with the secret that opens it where it is sealed."""
    return f"/{frame.key}/" + (f"#{frame.secret}" if frame.sealed else "")


def visit(page, url: str) -> None:
    """Open a page and wait until it is drawn with its typefaces."""
    page.goto(url, wait_until="load")
    if "#" in url:
        page.wait_for_selector("[data-say=opening]", state="hidden")  # opened, or found to be shut
    page.evaluate("document.fonts.ready.then(() => true)")


def kept_page(page, address: str, key: str) -> None:
    """Go to a passport's page for keeping, and keep it."""
    visit(page, f"{address}/keep/en/#{key}")
    page.click("[data-do=keep]")
    page.wait_for_selector("[data-now=kept]", state="visible")
    page.evaluate("navigator.serviceWorker.ready.catch(() => {}); true")
    # The worker stands before the passport's folder, which is not this page's own.
    page.wait_for_function(
        "async (key) => { const r = await navigator.serviceWorker.getRegistration(`/${key}/`); "
        "return Boolean(r && r.active && r.active.state === 'activated') }",
        arg=key,
    )


@contextmanager
def opened(browser, url: str, expected: Collection[int] = (), *, patience: float = 15_000, **options) -> Iterator:
    """A page in a context of its own; whatever the browser complains of or asks for elsewhere fails the test, but for
    answers of a status that is ``expected``.

    ``patience`` is how long it waits for anything, ms.
    """
    context = browser.new_context(**{"viewport": PHONE, "device_scale_factor": 2, **options})
    context.set_default_timeout(patience)
    page = context.new_page()
    wrong: list[str] = []
    home = re.match(r"https?://[^/]+", url)
    assert home
    known = tuple(f"the server responded with a status of {status} " for status in expected)

    def complained(message) -> None:
        if message.type in ("error", "warning") and not any(words in message.text for words in known):
            wrong.append(f"console: {message.text}")

    page.on("console", complained)
    page.on("pageerror", lambda e: wrong.append(f"script: {e}"))
    # Going on to another page aborts what the last one was still fetching: that is no failure of the page.
    page.on("requestfailed", lambda r: wrong.append(f"failed: {r.url}") if "ABORTED" not in r.failure else None)
    # What a page of this site made itself is read from the browser's memory: nobody is asked for it.
    here = (home[0] + "/", f"blob:{home[0]}/")
    page.on("request", lambda r: wrong.append(f"elsewhere: {r.url}") if not r.url.startswith(here) else None)
    page.on(
        "response",
        lambda r: wrong.append(f"{r.status}: {r.url}") if r.status >= 400 and r.status not in expected else None,
    )
    try:
        visit(page, url)
        yield page
        assert not wrong
    finally:
        context.close()
