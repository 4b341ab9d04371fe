"""A bench in a shop of another language: nothing that the catalogue has words for stands in English, while values stay."""

import re
import shutil
from html import unescape

import pytest
from benchserver import serving
from browser.records.test_editing import address, filled
from browser.test_in_a_browser import seen
from commandline import passport
from english import english_in, english_of
from places import DEMO

from passport.acts.amending.described import shape_of
from passport.browser.records.choices import choice
from passport.browser.records.forms import SHAPES
from passport.records.language.worded import speaking
from passport.render.theme.formats import BenchFormats
from passport.render.voice.bench_voice import voice_of

FRAME, WAITS, REBUILD = "/frame/askwell/i", "/frame/quintaval/dos", "/frame/dunmarrow/one/rebuild"
FORMS = (
    f"{FRAME}/job", f"{FRAME}/order", f"{WAITS}/job", "/walk-in", REBUILD, f"{REBUILD}/on/fallowgate-a", "/records",
    address(kind="player", name="askwell"), address(kind="frame", name="askwell/i"), address(kind="string"),
    address(kind="frame", name="askwell/i", at="jobs.1"), address(kind="part", name="lead-tape"), address(kind="model"),
    address(kind="workshop", name="workshop"), "/frame/dunmarrow/one",
)  # fmt: skip
OWN = re.compile(r"[\d ]*(lb|kg|mm|in|starttls|tls|weave|almanac|gauge|pennant)")
"""What is chosen by its own name in every language: units, ways to encrypt, ready looks."""


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """The demo's bench in German, with an order that wants something of everything."""
    content = tmp_path_factory.mktemp("german") / "content"
    shutil.copytree(DEMO, content)
    shop = content / "workshop.yaml"
    shop.write_text(shop.read_text("utf-8").replace("language: en ", "language: de "), "utf-8")
    with speaking(voice_of("de")), serving(content) as asker:
        passport(
            "take", content, "1042-9", "--tension", "2 lb looser", "--promised", "2026-11-26", "--fit",
            "overgrip @ along the handle", "--repair", "bumper: worn through", "--condition",
            "crack none, grommets worn 9T 10H, ring 515 Hz", "--yes", "--sure",
        )  # fmt: skip
        yield asker


def told(page: str) -> list[str]:
    """The texts of a page, those of its attributes too; what stands in records, as it is written there, is not among them."""
    page = re.sub(r"<(script|style|pre|textarea)\b.*?</\1>|<small>[^<]*</small>", "", page, flags=re.DOTALL)
    texts = re.findall(r">([^<>]+)<", page) + re.findall(r'(?:alt|title|aria-label|placeholder)="([^"]*)"', page)
    return [unescape(text) for text in texts]


@pytest.mark.parametrize("path", FORMS)
def test_no_form_says_in_english_what_has_german_words(bench, path):
    """Labels, choices, what was ordered, what is said beside a field: the catalogue's words, wherever it has any."""
    page = bench.ask(path)
    assert page.status == 200 and '<html lang="de"' in page.text
    assert list(english_in(told(page.text), "de")) == []
    for attributes, words in re.findall(r"<option([^>]*)>([^<]+)</option>", page.text):
        assert 'lang="en"' not in attributes or OWN.fullmatch(words), words


def test_what_was_ordered_is_said_in_german(bench):
    """An order's lines on the rack, at the machine and above the job; its strings and figures are the record's own."""
    job = bench.ask(f"{FRAME}/job").text
    ordered = re.search(r'class="ordered" lang="de">(.*?)</div>', job, re.DOTALL)[1]
    assert "Bestellt: neu bespannen" in ordered and "Ösen abgenutzt 9T 10H" in ordered and "49 lb" in ordered
    rack = bench.ask("/").text
    assert "anbringen" in rack and "fit " not in " ".join(told(rack))


def test_what_is_chosen_is_written_as_records_have_it(bench):
    """The value that a choice sends is the format's own word, whatever it is called: saved as it is nothing changes."""
    page = bench.ask(address(kind="part", name="overgrip"))
    assert '<option value="overgrip" selected>Overgrip</option>' in page.text
    assert '<option value="damper">Dämpfer</option>' in page.text
    form = filled(page, act="look")
    assert form["at.kind"] == "overgrip"
    looked = bench.send("/record", form)
    assert looked.status == 200 and 'class="shown"' not in looked.text


@pytest.mark.parametrize("language", ["de", "es", "fr"])
def test_every_choice_of_every_record_has_a_name(language):
    """No word of the format stands among choices in a language that somebody has read, but units and own names."""
    f = BenchFormats(language)

    def choices(shape):
        for one in shape.inner:
            yield from ((one.name, value) for value in one.choices)
            yield from choices(one)

    with speaking(voice_of(language)):
        every = {pair for kind in SHAPES.values() for pair in choices(shape_of(kind))}
        steps = {("did", value) for field, value in every if field == "did"}  # of a rebuild, which no form shows
        english = {value for field, value in every - steps if choice(field, value, f)[1] == "en"}
    assert not {value for value in english if not OWN.fullmatch(value)}


def test_english_is_known_when_it_stands_there():
    """The test's own judge finds a whole text and one with values in it, and takes German for what it is."""
    assert "not restrung" in english_of("de")[0]
    assert len(list(english_in(["not restrung", "Ordered: restring, Sable at 49 lb"], "de"))) == 2
    assert list(english_in(["nicht neu bespannt", "Bestellt: neu bespannen", "Deep Petrol 1.25"], "de")) == []


@pytest.mark.browser
def test_a_way_through_the_day_is_german(browser, bench):
    """Rack, frame, job, back, and a rebuild's plan and first step, by the links that are there: no text that is shown stands
    in English where the catalogue has German words."""

    def judged(page):
        page.locator("h1").first.wait_for()
        shown = page.evaluate(SHOWN)
        assert len(shown) > 10 and list(english_in(shown, "de")) == [], page.url

    with seen(browser, bench, "/") as page:
        page.context.set_default_timeout(90_000)
        judged(page)
        page.locator(f'a[href="{FRAME}"]').first.click()
        page.wait_for_url(f"**{FRAME}")
        judged(page)
        page.get_by_role("link", name="Arbeit eintragen").click()
        page.wait_for_url("**/job")
        page.locator("#mass").fill("schwer")
        page.get_by_role("button", name="Erst ansehen").click()
        page.locator("#field-mass .is-bad").wait_for()
        judged(page)
        page.goto(f"http://{bench.host}{REBUILD}")
        judged(page)
        page.goto(f"http://{bench.host}{REBUILD}/on/fallowgate-a")
        judged(page)


SHOWN = """() => { const found = []; const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let n = walk.nextNode(); n; n = walk.nextNode()) if (n.parentElement.checkVisibility()
    && !n.parentElement.closest('script, style, pre, textarea, small') && n.data.trim()) found.push(n.data);
  return found }"""
