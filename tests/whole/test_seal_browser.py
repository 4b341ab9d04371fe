"""Sealed pages in a real browser: opened by the secret in the address, and by nothing else."""

import base64
import json
import re
from contextlib import contextmanager
from urllib.parse import urlsplit

import pytest
import smallshop
from browsing import opened, served
from building import built
from PIL import Image
from sealread import opened as unsealed

pytestmark = pytest.mark.browser

SECRET = "7K2M9QX4C8VTRN5B3WJH6YDPZ1GSFA0E"
KEY = smallshop.KEYS["main"]
MAIN = "players/ada/main.yaml"
CLOSED, WRONG = "Only the code on its card opens this passport.", "This code does not open this passport."


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The small workshop with a sealed frame that has a photo, built with cards."""
    folder = tmp_path_factory.mktemp("sealed")
    more = f"photo: p.jpg\nphoto_alt: The racquet\nsealed: yes\nsecret: {SECRET}\n"
    changes = {MAIN: smallshop.FILES[MAIN] + more}
    (folder / "content/photos").mkdir(parents=True)
    Image.new("RGB", (300, 200), (200, 30, 30)).save(folder / "content/photos/p.jpg")
    built(smallshop.write(folder / "content", changes), folder / "site", cards=True)
    return folder / "site"


@pytest.fixture(scope="module")
def address(site):
    """The address of the sealed page."""
    with served(site) as found:
        yield f"{found}/{KEY}/"


def shown(page) -> str:
    """What a reader sees of a page, once the script has come to an end."""
    page.wait_for_selector("[data-say=opening]", state="hidden")
    return page.locator("body").inner_text()


@contextmanager
def plainly(browser, url: str, **options):
    """A page in a context of its own, which may ask for what stands in memory."""
    context = browser.new_context(**options)
    page = context.new_page()
    page.goto(url)
    try:
        yield page
    finally:
        context.close()


def test_with_the_secret_it_opens(browser, address):
    """The page shows the passport: number, strings, age, drawing, and to the stringer serial, reading, parts; title, language and
    scripts are those of the passport."""
    with opened(browser, f"{address}#{SECRET}") as page:
        page.wait_for_selector(".ticket-number")
        text = shown(page)
        for wanted in (smallshop.NUMBERS["main"], "Flint", "Said to the player."):
            assert wanted in text, wanted
        assert smallshop.NUMBERS["main"] in page.title()
        assert page.locator(".picture svg").first.is_visible()
        page.wait_for_selector(".fresh-age")
        assert page.locator(".fresh-age").is_visible(), "the script of the ages runs after the page was opened"
        assert page.evaluate("document.activeElement.tagName") == "H1"
        page.locator(".bench > details > summary").click()
        text = shown(page)
        for wanted in ("TL-1", "330.5", "Ring"):
            assert wanted in text, wanted


def test_opened_it_looks_as_if_it_had_never_been_sealed(browser, site, address, tmp_path):
    """Opened, the page has the elements and texts of the same page unsealed."""
    plain = {MAIN: smallshop.FILES[MAIN]}
    built(smallshop.write(tmp_path / "content", plain), tmp_path / "site", cards=True)
    take = (
        "[...document.querySelectorAll('main *')].map(e => e.tagName + (e.children.length ? '' : ' ' + e.textContent))"
    )
    with served(tmp_path / "site") as other, opened(browser, f"{other}/{KEY}/") as page:
        wanted = page.evaluate(take)
    with opened(browser, f"{address}#{SECRET}") as page:
        page.wait_for_selector(".ticket-number")
        found = page.evaluate(take)
    pictures = {"PICTURE ", "SOURCE ", "IMG ", "PICTURE", "IMG"}
    assert [e for e in found if e not in pictures] == [e for e in wanted if e not in pictures]


def test_its_version_and_day_stand_above_it(browser, site, address):
    """H2: above the opened page stand its version and the day of its last work, as they are inside the seal."""
    box = re.search(r'data-box="([^"]+)"', (site / KEY / "index.html").read_text(encoding="utf-8"))
    assert box
    about, _ = unsealed(base64.b64decode(box[1]), SECRET, f"{KEY}/index.html")
    with opened(browser, f"{address}#{SECRET}") as page:
        page.wait_for_selector(".ticket-number")
        line = page.locator("header .sealed-version")
        assert line.is_visible()
        assert line.inner_text() == about["said"]
        assert "2 April 2026" in about["said"]
    with opened(browser, address) as page:
        assert not page.locator(".sealed-version").count()


@pytest.mark.parametrize("code", ["", "0" * 32, SECRET[:-1], SECRET[::-1], "%E0%A4%A", "<script>", "x" * 5000])
def test_without_the_right_secret_it_stays_shut(browser, address, code):
    """No secret, a wrong one, a part of it or nonsense: nothing is shown but a word on what to do."""
    with opened(browser, f"{address}#{code}" if code else address) as page:
        text = shown(page)
        assert (WRONG if code and re.search("[0-9A-Za-z]", code) else CLOSED) in text
        assert smallshop.NUMBERS["main"] not in text
        assert page.title() == "Sealed passport"
        assert not page.locator(".ticket-number").count()


def test_after_a_wrong_code_the_right_one_opens(browser, address):
    """A second scan into the same page opens it, without a reload; a secret typed with small letters and slips of O and I too."""
    with opened(browser, f"{address}#WRONG") as page:
        assert WRONG in shown(page)
        typed = SECRET.lower().replace("0", "o").replace("1", "i")
        page.evaluate("code => { location.hash = code; }", f"{typed[:8]}-{typed[8:]}")
        page.wait_for_selector(".ticket-number")


def test_the_secret_is_never_sent(browser, address):
    """Neither opening nor downloading sends the secret: no request's address, header or body holds it or what opens the page."""
    sent: list[str] = []
    context = browser.new_context(accept_downloads=True)
    page = context.new_page()
    page.on("request", lambda r: sent.append(f"{r.url} {r.headers} {r.post_data}"))
    page.goto(f"{address}#{SECRET}")
    page.wait_for_selector(".ticket-number")
    with page.expect_download():
        page.locator(".downloads a").first.click()
    context.close()
    # Playwright shows the fragment of the page's own address, which the browser keeps; what goes out has none.
    gone = [line.replace(f"{address}#{SECRET}", address) for line in sent]
    assert len(gone) > 4
    assert not [line for line in gone if SECRET in line.upper()]


def test_a_server_sees_no_secret(browser, site):
    """What arrives at a server, read byte by byte, holds no part of the secret."""
    import threading
    from functools import partial
    from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer

    arrived: list[str] = []

    class Listening(SimpleHTTPRequestHandler):
        """Keeps what it is asked."""

        def log_message(self, *_):
            """Say nothing of a request."""

        def do_GET(self):
            """Keep the request, and answer it."""
            arrived.append(f"{self.requestline} {self.headers}")
            super().do_GET()

    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(Listening, directory=str(site)))
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        context = browser.new_context()
        page = context.new_page()
        page.goto(f"http://127.0.0.1:{server.server_port}/{KEY}/#{SECRET}")
        page.wait_for_selector(".ticket-number")
        page.locator(".house-name").click()
        page.wait_for_load_state("load")
        context.close()
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
    assert len(arrived) > 4
    assert not [line for line in arrived if SECRET in line or SECRET[:8] in line or "#" in line]
    # A style sheet says where it stands itself when it asks for a typeface; the page never does.
    assert not [line for line in arrived if re.search(rf"(?i)referer:.*{KEY}", line)]


def test_downloads_are_handed_over_from_memory(browser, address):
    """Card, reminder and setup come under their own names with their own content."""
    context = browser.new_context(accept_downloads=True)
    page = context.new_page()
    page.goto(f"{address}#{SECRET}")
    page.wait_for_selector(".ticket-number")
    number, got = smallshop.NUMBERS["main"], {}
    for link in page.locator(".downloads a:not([href*='/keep/']), .acts a[href$='.ics']").all():
        with page.expect_download() as waited:
            link.click()
        got[waited.value.suggested_filename] = waited.value.path().read_bytes()
    context.close()
    assert set(got) == {f"card-{number}.pdf", f"setup-{number}.json", f"restring-{number}.ics"}
    assert got[f"card-{number}.pdf"].startswith(b"%PDF-")
    assert json.loads(got[f"setup-{number}.json"])["number"] == number
    assert got[f"restring-{number}.ics"].startswith(b"BEGIN:VCALENDAR")


def test_the_photo_is_shown(browser, address):
    """The sealed photo is drawn on the opened page, from memory."""
    with plainly(browser, f"{address}#{SECRET}") as page:
        photo = page.locator(".photo img[src^='blob:']")
        photo.scroll_into_view_if_needed()
        photo.evaluate("image => image.decode()")
        assert photo.evaluate("image => image.naturalWidth / image.naturalHeight") == 1.5


def test_links_inside_the_page_keep_the_secret(browser, address):
    """Whoever jumps to the content and then reloads finds the page open still."""
    with opened(browser, f"{address}#{SECRET}") as page:
        page.wait_for_selector(".ticket-number")
        page.locator(".skip").focus()
        page.keyboard.press("Enter")
        assert urlsplit(page.url).fragment == SECRET
        assert page.evaluate("document.activeElement.id") == "content"
        page.reload()
        page.wait_for_selector(".ticket-number")


def test_links_on_a_shut_page_keep_the_secret_too(browser, address):
    """Who skips to the content of a page that is still shut loses no secret, and is not told that a code was wrong."""
    for code, state in (("", CLOSED), ("#" + "0" * 32, WRONG)):
        with plainly(browser, f"{address}{code}") as page:
            assert state in shown(page)
            page.locator("a.skip").focus()
            page.keyboard.press("Enter")
            page.wait_for_timeout(100)
            assert state in shown(page)
            assert page.url == f"{address}{code}"


def test_a_box_of_another_place_does_not_open(browser, site, tmp_path):
    """A host that puts the sealed page under another key, or changes a byte of it, shows nothing."""
    import shutil

    copy = tmp_path / "site"
    shutil.copytree(site, copy)
    shutil.copytree(copy / KEY, copy / ("Z" * 26))
    moved = copy / ("Z" * 26) / "index.html"
    text = moved.read_text(encoding="utf-8")
    moved.write_text(text.replace(f'data-seal="{KEY}"', f'data-seal="{"Z" * 26}"'), encoding="utf-8")
    home = copy / KEY / "index.html"
    home.write_text(
        re.sub(r'(data-box=".{200})(.)', lambda m: m[1] + ("A" if m[2] != "A" else "B"), text), encoding="utf-8"
    )
    with served(copy) as root:
        for key in ("Z" * 26, KEY):
            with opened(browser, f"{root}/{key}/#{SECRET}") as page:
                assert WRONG in shown(page)


def test_without_scripts_and_over_a_plain_connection_it_says_why(browser, address):
    """With scripts off, and where the connection is not secure, the page says why it stays shut."""
    with opened(browser, f"{address}#{SECRET}", java_script_enabled=False) as page:
        assert "scripts are switched off" in page.locator("body").inner_text()
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script("Object.defineProperty(window, 'isSecureContext', {get: () => false})")
    page.goto(f"{address}#{SECRET}")
    assert "secure connection" in shown(page)
    page.add_init_script(
        "Object.defineProperty(window, 'isSecureContext', {get: () => true}); delete window.DecompressionStream"
    )
    page.reload()
    assert "too old" in shown(page)
    context.close()


def test_the_policy_holds_on_an_opened_page(browser, address):
    """On the opened page no inline script runs, and nothing is asked for elsewhere."""
    context = browser.new_context()
    page = context.new_page()
    blocked: list[str] = []
    page.on("console", lambda m: blocked.append(m.text) if "Content Security Policy" in m.text else None)
    page.goto(f"{address}#{SECRET}")
    page.wait_for_selector(".ticket-number")
    page.evaluate("""() => {
        const script = document.createElement("script");
        script.textContent = "window.ran = true";
        document.body.append(script);
        document.body.insertAdjacentHTML("beforeend", "<img src=x onerror='window.ran = true'>");
        fetch("https://elsewhere.example/").catch(() => {});
    }""")
    page.wait_for_timeout(300)
    assert page.evaluate("window.ran") is None
    assert len(blocked) >= 3
    context.close()
