"""A third workshop, in Cairo: it is checked, built, printed and found by name without a warning."""

import re

import cairoshop
import pytest
import wordfaces
from commandline import passport
from printread import pages

from passport.render.theme import assets

LETTERS = {
    "Arabic": "\u0600-\u06ff", "Cyrillic": "\u0400-\u04ff", "Greek": "\u0370-\u03ff", "Devanagari": "\u0900-\u097f",
    "Japanese": "\u3040-\u9fff", "Latin": "A-Za-z",
}  # fmt: skip


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """The workshop with its typefaces, built once with its cards; what was said on the way."""
    root = tmp_path_factory.mktemp("cairo")
    content = cairoshop.cairo_shop(root / "content")
    texts = [text for path in sorted(content.rglob("*.yaml")) for text in [path.read_text("utf-8")]]
    with pytest.MonkeyPatch.context() as patch:
        wordfaces.add(content, patch, *texts)
        said = {
            "check": passport("check", content),
            "build": passport("build", content, "--out", root / "site"),
        }
        yield content, root / "site", said
    assets.use(None)


@pytest.mark.parametrize("command", ["check", "build"])
def test_nothing_is_warned_of(shop, command) -> None:
    """Records in six scripts are checked and built without an error or a warning."""
    result = shop[2][command]
    assert result.exit_code == 0, result.output
    assert "warning: " not in result.output and "error: " not in result.output
    if command == "build":
        assert "7 passports and 6 player pages, 7 cards" in result.output


def test_the_players_write_in_six_scripts() -> None:
    """Each of the six scripts is somebody's."""
    for letters in LETTERS.values():
        assert any(re.search(f"[{letters}]", shown) for _, shown, _, _ in cairoshop.PLAYERS.values())


@pytest.mark.parametrize("player", cairoshop.PLAYERS)
def test_a_page_is_in_its_reader_s_language(shop, player) -> None:
    """The page says its language and the player's name, and its stringing in the words of that language."""
    language = cairoshop.PLAYERS[player][2] or "ar"
    page = (shop[1] / cairoshop.key(player + "FRAME") / "index.html").read_text("utf-8")
    assert f'<html lang="{language}"' in page
    assert cairoshop.PLAYERS[player][1] in page and cairoshop.LABELS[player] in page
    assert {"ar": "الأوتار", "ja": "ストリング", "en": "Strings"}[language] in page


@pytest.mark.parametrize("player", cairoshop.PLAYERS)
def test_a_card_is_printed_without_boxes(shop, player) -> None:
    """Each player's card has letters of the player's own script, all of them drawn: no sign is the box of a typeface."""
    (card,) = (shop[1] / cairoshop.key(player + "FRAME")).glob("card-*.pdf")
    text = "".join(char["text"] for page in pages(card.read_bytes()) for char in page.chars)
    script = next(s for s in LETTERS.values() if re.search(f"[{s}]", cairoshop.PLAYERS[player][1]))
    assert re.search(f"[{script}]", text) or player in ("layla", "anita"), text
    assert "\ufffd" not in text and "\x00" not in text


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("ليلى", "layla"), ("layla", "layla"), ("Дарья", "darya"), ("darya", "darya"), ("ελενη", "eleni"),
        ("अनीता", "anita"), ("高橋", "minami"), ("takahashi", "minami"), ("wulandari", "sari"), ("المضرب الثاني", "layla"),
    ],
)  # fmt: skip
def test_players_are_found_by_name(shop, said, found) -> None:
    """By the name as it is written, without its accents, and as it is read aloud."""
    result = passport("find", shop[0], said)
    assert result.exit_code == 0 and f"{found}/" in result.output, result.output


def test_it_is_told_what_it_lacks(tmp_path) -> None:
    """Without typefaces the workshop is told so with what to do, and nothing is built."""
    content = cairoshop.cairo_shop(tmp_path / "content")
    result = passport("fonts", content)
    assert result.exit_code == 1
    assert {"Arabic", "CJK", "Devanagari"} == set(re.findall(r"(?m)^(\w+): \d+ signs", result.output))
    assert "language: ar" in result.output or "ورشة" in result.output
    assert passport("build", content, "--out", tmp_path / "site").exit_code == 1
