"""What is not on-line yet, and the button for it: built and published by the act of the command, told in words."""

import re
import time

import pytest
import smallshop
from benchserver import serving
from commandline import passport

from passport.acts.publishing.publish import TooManyGone
from passport.acts.refused import Refused
from passport.browser.online import desk

SHOP = "workshop.yaml"


@pytest.fixture
def far(tmp_path):
    """Where the web would be: an empty folder."""
    folder = tmp_path / "far"
    folder.mkdir()
    return folder


@pytest.fixture
def bench(tmp_path, far):
    """The small shop, which says where to publish to."""
    content = smallshop.write(tmp_path / "content", {SHOP: f"{smallshop.FILES[SHOP]}publish: {far}\n"})
    with serving(content) as asker:
        asker.serving.bench.site = tmp_path / "site"
        yield asker


def ended(asker, act: str, **said: str) -> str:
    """The screen when what was pressed is at its end."""
    got = asker.follow(asker.send("/online", {"act": act, **said}))
    until = time.monotonic() + 120
    while got.headers.get("refresh"):
        assert 'role="status"' in got.text and time.monotonic() < until
        time.sleep(0.2)
        got = asker.ask("/online")
    return got.text


def words(page: str) -> str:
    """The words of a screen."""
    return " ".join(re.sub(r"<[^>]+>", " ", page.partition("<main")[2]).split())


def test_one_button_builds_and_publishes_what_is_not_on_line(bench, far):
    """First all of it waits; then nothing; then the very job that was recorded, with its day; then nothing again."""
    root = bench.serving.bench.root
    assert "All of it: nothing was published from this computer." in words(bench.ask("/online").text)
    told = words(ended(bench, "publish"))
    assert "It is on-line now." in told and (far / "index.html").is_file()
    assert "Nothing: what this computer published last is what the records say." in told
    assert passport("take", root, "ada/main", "--asked", "softer", "--yes").exit_code == 0
    waits = words(bench.ask("/online").text)
    assert "An order for" in waits and "Nothing:" not in waits
    assert "Nothing: what this computer" in words(ended(bench, "publish"))


def test_a_fault_of_the_records_stops_it_and_is_told(bench, far):
    """With an error in a record nothing is built and nothing sent; the error stands in the screen."""
    record = bench.serving.bench.root / "players/ada/main.yaml"
    record.write_text(record.read_text() + "nonsense: yes\n")
    told = words(ended(bench, "publish"))
    assert "That could not be done." in told and "nonsense" in told
    assert not list(far.iterdir())


def test_pages_are_made_alone(bench, far):
    """Without publishing the pages are made into the site's folder."""
    assert "The pages are made." in words(ended(bench, "build"))
    assert (bench.serving.bench.site / "index.html").is_file() and not list(far.iterdir())


def test_where_nothing_says_where_to_it_says_so(tmp_path):
    """A shop that publishes nowhere has no button for it, but the line that it takes."""
    with serving(smallshop.write(tmp_path / "content")) as asker:
        asker.serving.bench.site = tmp_path / "site"
        page = asker.ask("/online").text
        assert "Nothing says where to publish to" in words(page) and 'value="publish"' not in page


def test_many_passports_go_away_only_by_a_press_of_their_own(bench, monkeypatch):
    """Where more than a tenth of the passports would go, the screen says so, and lets just that many go by one more press."""
    asked = []

    def going(content, site, delete, telling):
        asked.append(delete)
        if delete < 3:
            raise TooManyGone("Nothing was published: 3 of 9 passports on-line would go away.", 3)
        raise Refused("gone on with")

    monkeypatch.setattr(desk, "brought_online", going)
    page = ended(bench, "publish")
    assert "3 of 9 passports on-line would go away" in words(page) and "Let 3 passports go away" in words(page)
    lost = re.search(r'name="delete" value="(\d+)"', page)
    assert "gone on with" in words(ended(bench, "publish", delete=lost[1] if lost else ""))
    assert asked == [0, 3]
