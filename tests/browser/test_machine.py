"""A frame at the machine: what is shown of its recipe, and the clock."""

import re

import pytest
import smallshop
from benchserver import serving

from passport.acts.frames import knots

ORDER = (
    "{taken: 2026-11-20, promised: 2026-11-26, asked: crisper, strings: {mains: {string: reed-125, tension: 25 kg},"
    " crosses: {string: flint-120, tension: 23 kg}, pieces: 2}, fitted: {part: thin-overgrip, place: along the handle}}"
)
MAIN = "players/ada/main.yaml"


@pytest.fixture
def bench(tmp_path):
    """The small shop, where one frame waits."""
    text = smallshop.FILES[MAIN].replace("jobs:\n", f"order: {ORDER}\njobs:\n", 1)
    with serving(smallshop.write(tmp_path / "content", {MAIN: text})) as asker:
        yield asker


def plain(text: str) -> str:
    """The words of a page, without tags and special spaces."""
    return " ".join(
        re.sub(r"<[^>]+>", " ", text).replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\xa0", " ").split()
    )


def test_the_recipe_that_is_wanted_in_both_units(bench):
    """Strings and tensions of the order stand there in kg and lb (25 kg is 55.1 lb, 23 kg 50.7: 0.45359237 kg a pound)."""
    words = plain(bench.ask("/frame/ada/main").text)
    assert "25.0 kg 55.1 lb Reed" in words and "23.0 kg 50.7 lb Flint" in words
    assert "crisper" in words and "fit Thin overgrip along the handle" in words
    assert "Maker’s limit" in words and "26.0 kg" in words


def test_what_the_order_wants_differently_is_marked(bench):
    """Mains were pulled at 24 kg the last time, which is marked; crosses are as they were, which is not."""
    page = bench.ask("/frame/ada/main").text
    mains, crosses = page.split('<div class="pull')[1:]
    assert "Otherwise than last time: 24.0 kg" in plain(mains) and mains.startswith(" is-new")
    assert "Otherwise" not in crosses.partition("</section>")[0]


def test_a_pull_over_the_maker_s_limit_is_said_in_words(tmp_path):
    """An order of 27 kg where the maker allows 26 says so before all else: 1 kg is 2.2 lb (0.45359237 kg a pound)."""
    text = (
        smallshop.FILES[MAIN]
        .replace("jobs:\n", f"order: {ORDER}\njobs:\n", 1)
        .replace("tension: 25 kg", "tension: 27 kg")
    )
    with serving(smallshop.write(tmp_path / "content", {MAIN: text})) as asker:
        said = plain(asker.ask("/frame/ada/main").text)
        assert "Over the maker’s limit of 26.0 kg / 57.3 lb by 2.2 lb (1.00 kg)." in said
        assert "Over the maker" not in plain(asker.ask("/frame/ada/twin").text)


def test_without_an_order_the_last_recipe_and_no_mark(bench):
    """A frame that does not wait shows what is in it."""
    words = plain(bench.ask("/frame/ada/twin").text)
    assert "52.0 lb 23.6 kg Reed" in words or "52 lb 23.6 kg Reed" in words
    assert "Otherwise" not in words
    assert "No stringing recorded" in bench.ask("/frame/ada/new").text


def test_a_crack_stops(tmp_path):
    """Of a frame with a crack, and of one that is broken, the screen says first that it is not to be strung."""
    text = smallshop.FILES[MAIN].replace("jobs:\n", "order: {asked: restring, condition: {crack: found}}\njobs:\n", 1)
    with serving(smallshop.write(tmp_path / "content", {MAIN: text})) as asker:
        assert "do not string" in asker.ask("/frame/ada/main").text
        assert "do not string" in asker.ask("/").text
        assert "Not in play: broken" in plain(asker.ask("/frame/ada/split").text)


def test_clocks_of_several_frames_run_until_they_are_stopped(bench):
    """Each knot has its clock on every screen; it survives the program's end, and goes when it is stopped."""
    for name in ("main", "twin"):
        page = bench.follow(bench.send(f"/frame/ada/{name}/knot", {"act": "tie"})).text
        assert "last knot at" in page
    root = bench.serving.bench.root
    assert list(knots.knots(root)) == ["ada/main", "ada/twin"]
    assert bench.ask("/").text.count("data-since") == 2
    with serving(root) as another:
        assert another.ask("/").text.count("data-since") == 2
    bench.send("/frame/ada/main/knot", {"act": "forget"})
    assert list(knots.knots(root)) == ["ada/twin"]


def test_a_knot_of_three_days_ago_is_forgotten(bench, monkeypatch):
    """A clock that nobody stopped goes by itself."""
    bench.send("/frame/ada/main/knot", {"act": "tie"})
    monkeypatch.setenv("SOURCE_DATE_EPOCH", str(int(__import__("os").environ["SOURCE_DATE_EPOCH"]) + 3 * 86_400))
    assert knots.knots(bench.serving.bench.root) == {}


def test_a_knot_leaves_with_the_player_who_is_erased(bench):
    """What is kept of knots names frames, and goes with the drafts of the player."""
    from passport.acts import drafts

    bench.send("/frame/ada/main/knot", {"act": "tie"})
    assert drafts.forget(bench.serving.bench.root, lambda told: b"ada/" in told) == 1
    assert knots.knots(bench.serving.bench.root) == {}
