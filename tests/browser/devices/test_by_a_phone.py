"""A real browser as the phone: it reads the code off the computer's screen, is paired, works, and takes a photo."""

import re
from contextlib import closing
from importlib.resources import files

import pytest
import smallshop
from benchserver import serving
from browsing import PHONE, opened
from commandline import passport
from pictures import camera

from passport.browser.devices.room import RoomWish

pytestmark = pytest.mark.browser
FRAME = "/frame/ada/main"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module", params=["https", "http"])
def bench(request, tmp_path_factory):
    """A bench that answers the room, in which a frame waits."""
    content = smallshop.write(tmp_path_factory.mktemp("shop") / "content")
    passport("take", content, "ada/main", "--again", "--yes", "--sure")
    with serving(content, RoomWish("127.0.0.1", plain=request.param == "http")) as asker:
        yield asker


def computer(browser, bench):
    """The browser of the bench's own computer."""
    name, _, value = bench.cookie.partition("=")
    cookie = {"name": name, "value": value, "domain": "127.0.0.1", "path": "/", "expires": -1, "httpOnly": True,
              "secure": False, "sameSite": "Strict"}  # fmt: skip
    return opened(
        browser, f"{bench.origin}/devices", storage_state={"cookies": [cookie], "origins": []}, bypass_csp=True
    )


def read(picture: bytes) -> str:
    """What a code says, read by another program off a screenshot."""
    import io

    import zxingcpp
    from PIL import Image

    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(picture)))
    return found.text


def judged(page) -> list[str]:
    """What axe finds on a page, light and dark, and whether anything is wider than the screen at 320 px."""
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8"))
    found = []
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        told = page.evaluate("tags => axe.run(document, {runOnly: tags})", TAGS)
        assert len(told["passes"]) > 10, "axe looked at the page"
        found += [f"{scheme} {v['id']}: {[n['html'][:90] for n in v['nodes'][:3]]}" for v in told["violations"]]
    page.set_viewport_size({"width": 320, "height": 844})
    if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
        found.append("wider than the screen")
    low = "[...document.querySelectorAll('a, button, input:not([type=hidden], [type=radio])')].filter(e => e.checkVisibility() && !e.matches('.skip') && e.getBoundingClientRect().height < 43.9).map(e => e.outerHTML.slice(0, 80))"
    return found + page.evaluate(low)


def test_a_phone_is_paired_works_and_takes_a_photo(browser, bench):
    """The code drawn on the screen opens the page that pairs; one press later the phone shows the rack, starts a clock by a
    form, and puts a photo into the record; the computer's list has it, and forgets it."""
    with computer(browser, bench) as here:
        here.get_by_role("button", name="Show a code").click()
        assert judged(here) == []
        here.set_viewport_size({"width": 1280, "height": 844})
        address = read(here.locator(".pairing-code").screenshot())
        assert address.startswith(f"{bench.serving.room.room.address}/pair?code=")
        # It goes on past the warning of the certificate, as a person does who compared the fingerprint.
        with closing(browser.new_context(viewport=PHONE, ignore_https_errors=True, bypass_csp=True)) as context:
            phone = context.new_page()
            phone.goto(address)
            assert judged(phone) == []
            phone.get_by_label("What this device is called").fill("Old phone")
            phone.get_by_role("button", name="Pair").click()
            phone.get_by_role("heading", name="On the rack").wait_for()
            assert "secret-mail" not in phone.content() and "960777" not in phone.content()
            phone.goto(f"{bench.serving.room.room.address}{FRAME}")
            phone.get_by_role("button", name="Last knot tied now").click()
            phone.get_by_role("button", name="Stop").click()
            phone.get_by_role("link", name="Photos").click()
            sent = {"name": "IMG_1.HEIC", "mimeType": "image/heic", "buffer": camera(1200, 900, 6, "HEIF")}
            phone.get_by_label("Take a photo of its condition").set_input_files(sent)
            phone.get_by_role("button", name="Save").first.click()
            phone.get_by_role("heading", name="Saved").wait_for()
            phone.goto(f"{bench.serving.room.room.address}{FRAME}/photo")
            phone.wait_for_function("document.querySelector('.taken').naturalHeight === 416")
            assert judged(phone) == []
            here.goto(f"{bench.origin}/devices")
            here.get_by_role("button", name=re.compile("Old phone: Forget")).click()
            assert here.get_by_text("Old phone").count() == 0
            phone.goto(f"{bench.serving.room.room.address}/")
            assert phone.get_by_role("heading", name="not paired").is_visible()
