"""How alive the strings are on the day that a page is looked at, in a real browser, against the bench's own figures."""

import re
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta

import pytest

pytestmark = pytest.mark.browser

SITE = "http://passports.example/"


@pytest.fixture(scope="module")
def found(demo_facts):
    """A frame in play whose strings are due."""
    return next(f for f in demo_facts.frames if f.due and f.life)


@contextmanager
def seen(browser, folder, key: str, day: date, **options):
    """The page of a frame on a day, its files given from the built site without a server."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, timezone_id="UTC", **options)

    def give(route):
        path = folder / route.request.url.removeprefix(SITE).partition("?")[0]
        route.fulfill(path=path / "index.html" if path.is_dir() else path)

    context.route("**/*", give)
    page = context.new_page()
    page.clock.set_fixed_time(datetime(day.year, day.month, day.day, 12, tzinfo=UTC))
    page.goto(f"{SITE}{key}/", wait_until="load")
    for fold in page.locator(".bench > details").all():
        fold.locator("summary").first.click()
    try:
        yield page
    finally:
        context.close()


@pytest.mark.parametrize("days", [1, 9, 40, 400])
def test_the_share_of_today_is_the_benchs(browser, built_demo, found, days):
    """The share and band that the script works out for a day are those of the facts for that day, in whole per cent."""
    day = found.life.strung + timedelta(days=days)
    with seen(browser, built_demo, found.key, day) as page:
        shown = list(map(int, re.findall(r"\d+", page.locator(".fresh-left").inner_text())))
    left = found.life.left_on(day)
    for figure, exact in zip(shown, (left.value, left.low, left.high), strict=True):
        assert abs(figure - 100 * exact) <= 0.51


@pytest.mark.parametrize(
    ("moment", "word"),
    [
        ("fresh", "still settling"),
        ("half", "lively"),
        ("soon", "fading"),
        ("due", "fading"),
        ("over", "past their date"),
    ],
)
def test_the_words_of_today(browser, built_demo, found, moment, word):
    """The page says in words how alive the strings are, up to the due day and after it."""
    strung, due = found.life.strung, found.due
    day = {
        "fresh": strung,
        "half": strung + (due - strung) / 2,
        "soon": found.restring.soon,
        "due": due,
        "over": due + timedelta(days=1),
    }[moment]
    with seen(browser, built_demo, found.key, day) as page:
        assert word in page.locator(".fresh-word").inner_text()
        assert ("is-late" in page.locator(".fresh").get_attribute("class")) == (moment == "over")


def test_the_line_of_today_stands_on_its_day(browser, built_demo, found):
    """The chart's line of today stands where the due flag stands on the due day, and at the right end long after."""
    with seen(browser, built_demo, found.key, found.due) as page:
        line = page.locator("svg [data-today]")
        assert line.is_visible()
        x = float(re.findall(r"[\d.]+", line.get_attribute("transform"))[0])
        flag = page.locator(".readings svg .f-plum").first.get_attribute("d")
    assert x == pytest.approx(float(re.findall(r"M([\d.]+)", flag)[0]), abs=0.6)
    with seen(browser, built_demo, found.key, found.due + timedelta(days=999)) as page:
        line = page.locator("svg [data-today]")
        end = page.locator("svg[data-from]").get_attribute("data-x1")
        assert line.get_attribute("transform") == f"translate({end} 0)"
        assert "→" in line.text_content()
        inside = page.evaluate(
            "document.querySelector('svg [data-today] text').getBoundingClientRect().right <= innerWidth"
        )
        assert inside


def test_without_scripts_the_dates_say_it(browser, built_demo, found):
    """With scripts off no day is marked and no figure of today is shown; what is expected on the due day is."""
    with seen(browser, built_demo, found.key, found.due, java_script_enabled=False) as page:
        assert not page.locator("svg [data-today]").is_visible()
        assert not page.locator(".fresh-now").is_visible()
        expected = f"{100 * found.life.left_on(found.due).value:.0f}"
        assert expected in page.locator(".life-now b").inner_text()
        assert page.locator(".fresh-due").is_visible()


def test_on_paper_nothing_of_today_is_left(browser, built_demo, found):
    """A printed page carries dates only: neither the age of the strings nor the line of today."""
    with seen(browser, built_demo, found.key, found.due) as page:
        page.emulate_media(media="print")
        assert not page.locator(".fresh-now").is_visible()
        assert not page.locator("svg [data-today]").is_visible()
        assert page.locator(".fresh-date").is_visible()
