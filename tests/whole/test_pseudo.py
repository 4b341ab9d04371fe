"""Pages and printed pieces in two pseudo-languages: a long one full of accents, and one from right to left."""

import datetime
import shutil
from dataclasses import replace

import manynames
import pseudo
import pytest
from browsing import opened
from browsing import served as serving
from commandline import passport
from places import DEMO
from printed import made
from printread import pages, raster
from sheetfacts import SHOP, ordinary

from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.transaction import ledger_file
from passport.render.sheets.sheet import rebuild_pdf
from passport.render.theme import assets

LANGUAGES = (pseudo.LONG, pseudo.TURNED)
WIDTHS = (320, 1280)
WIDE = """() => { const scrolls = e => e && (/auto|scroll/.test(getComputedStyle(e).overflowX) || scrolls(e.parentElement))
  return [...document.querySelectorAll('main *, header *, footer *')].filter(e => {
  const box = e.getBoundingClientRect(), style = getComputedStyle(e)
  return box.width > 2 && (box.left < -1 || box.right > innerWidth + 1) && style.position !== 'absolute'
    && !e.closest('.away, svg, .skip') && !scrolls(e)
}).map(e => `${e.tagName}.${e.className}: ${e.textContent.slice(0, 40)}`) }"""
"""What stands over the edge of the window, but for what is hidden, and tables that scroll by themselves."""


@pytest.fixture(scope="module", params=LANGUAGES)
def content(request, tmp_path_factory):
    """One player of the demo in a shop that speaks a pseudo-language."""
    folder = tmp_path_factory.mktemp("pseudo") / "content"
    shutil.copytree(DEMO, folder)
    for player in (folder / "players").iterdir():
        if player.name != "askwell":
            shutil.rmtree(player)
    (folder / "ledger.txt").unlink()
    pseudo.speak(folder, request.param)
    records, _ = load(folder)
    ledger_file.append(folder, ledger.in_content(records), datetime.date(2026, 11, 25))
    with pytest.MonkeyPatch.context() as patch:
        manynames.add(folder, patch)
        yield folder, request.param


def test_no_page_is_wider_than_a_phone(content, browser, tmp_path):
    """Home page, bag and passports fit 320 and 1280 px with everything unfolded, and say which way they run."""
    folder, language = content
    built = passport("build", folder, "--out", tmp_path / "site", "--no-cards")
    assert built.exit_code == 0, built.output
    records, _ = load(folder)
    keys = (records.players["askwell"].record.key, records.frames["askwell/i"].record.key)
    with serving(tmp_path / "site") as address:
        for path in ("", *(f"{key}/" for key in keys)):
            for width in WIDTHS:
                with opened(browser, f"{address}/{path}", viewport={"width": width, "height": 844}) as page:
                    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true })")
                    scrolls = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
                    assert page.evaluate(scrolls) <= 0, (path, width)
                    assert page.evaluate(WIDE) == [], (path, width)
                    way = page.evaluate("getComputedStyle(document.body).direction")
                    assert way == ("rtl" if language == pseudo.TURNED else "ltr")


@pytest.mark.parametrize("kind", ["card", "tag", "set", "sticker"])
def test_no_piece_prints_over_its_edge(content, kind):
    """Every letter of a piece is inside its page; its words are those of the language, which a sticker has none of."""
    folder, language = content
    with assets.using(folder):
        data = made(kind, "ordinary", language=language)
    letters = ""
    for page in pages(data):
        for char in page.chars:
            assert page.bbox[0] <= char["x0"] and char["x1"] <= page.bbox[2], (char["text"], char["x0"])
            assert page.bbox[1] <= char["top"] and char["bottom"] <= page.bbox[3], (char["text"], char["top"])
        letters += page.extract_text()
    assert raster(data, 0).getextrema()
    assert kind == "sticker" or any(
        sign in letters for sign in ("אבהטנסערקצ" if language == pseudo.TURNED else "áçéğîñöšúž")
    )


def test_a_sheet_has_no_english_left(content):
    """A bench sheet in a pseudo-language: what stays English stands in no catalogue. Cautions do, and the workshop's own
    words."""
    folder, language = content
    with assets.using(folder):
        data = rebuild_pdf([ordinary()], replace(SHOP, language=language))
    said = " ".join(page.extract_text() for page in pages(data))
    for english in ("Bench sheet", "What goes on", "Order of work", "One gram more", "Finished", "Handed over"):
        assert english not in said
