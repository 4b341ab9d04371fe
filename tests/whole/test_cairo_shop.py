"""A third workshop, in Cairo: it is checked, built, published, printed and found by name without a warning."""

import re
from pathlib import Path

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
    (root / "far").mkdir()
    texts = [text for path in sorted(content.rglob("*.yaml")) for text in [path.read_text("utf-8")]]
    with pytest.MonkeyPatch.context() as patch:
        wordfaces.add(content, patch, *texts)
        said = {
            "check": passport("check", content),
            "build": passport("build", content, "--out", root / "site"),
            "publish": passport("publish", content, "--site", root / "site"),
            **{name: passport(*command, "--out", root / f"{name}.pdf") for name, command in _prints(content).items()},
        }
        yield content, root / "site", said
    assets.use(None)


def _prints(content):
    """What the bench prints for itself."""
    return {
        "day": ("day", content),
        "label": ("label", content, "3001-6"),
        "series": ("series", content, "3001-6", "3007-5"),
    }


@pytest.mark.parametrize("command", ["check", "build", "publish", "day", "label", "series"])
def test_nothing_is_warned_of(shop, command) -> None:
    """Records in six scripts are checked and built without an error or a warning."""
    result = shop[2][command]
    assert result.exit_code == 0, result.output
    assert "warning: " not in result.output and "error: " not in result.output
    if command == "build":
        assert "7 passports and 6 player pages, 7 cards" in result.output


def test_what_was_built_is_what_the_web_is_given(shop) -> None:
    """Every page and card that was built is in the folder that is served, byte for byte."""
    far, site = shop[1].parent / "far", shop[1]
    built = {path.relative_to(site) for path in site.rglob("*") if path.is_file()} - {Path("manifest.bin")}
    assert len([path for path in built if path.name == "index.html"]) >= 13
    for path in built:
        if (far / path).exists() or path.suffix in (".html", ".pdf"):
            assert (far / path).read_bytes() == (site / path).read_bytes(), path


@pytest.mark.parametrize("name", ["day", "label", "series"])
def test_sheets_begin_on_the_right(shop, name) -> None:
    """What the bench prints is in Arabic and begins at the right: the largest words end at the right margin."""
    (page, *_) = pages((shop[1].parent / f"{name}.pdf").read_bytes())
    largest = max(char["size"] for char in page.chars)
    words = [char for char in page.chars if char["size"] > largest - 0.1]
    assert max(char["x1"] for char in words) > float(page.width) * 0.9
    assert re.search("[\u0600-\u06ff]", "".join(char["text"] for char in page.chars))


def test_the_columns_of_a_card_are_mirrored(shop) -> None:
    """On the front of an Arabic card the tension stands left of the string's name; the number left of the shop's."""
    (card,) = (shop[1] / cairoshop.key("laylaFRAME")).glob("card-*.pdf")
    front = next(pages(card.read_bytes()))
    size = max(char["size"] for char in front.chars)
    pull = [char for char in front.chars if char["size"] > size - 0.1 and char["text"].isdigit()]
    name = [
        char
        for char in front.chars
        if re.match("[\u0600-\u06ff]", char["text"]) and abs(char["top"] - pull[0]["top"]) < 12
    ]
    assert max(char["x1"] for char in pull) < min(char["x0"] for char in name)


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
