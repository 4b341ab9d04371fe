"""What a page is lent: the words of a language in files that all its pages share, names in the page itself."""

import io
import re

import pytest
import smallshop
import wordfaces
from building import built
from fontTools.ttLib import TTFont

from passport.render.pages.lending import shared_by, shared_file, shared_files
from passport.render.theme import assets
from passport.render.theme.words import signs_of

PLAYER = "players/ada/player.yaml"


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A workshop with the typefaces of every language; call it with its language and the player's name and language."""

    def made(language: str, name: str = "Ada", theirs: str = ""):
        more = f"language: {theirs}\n" if theirs else ""
        lines = [line for line in smallshop.FILES[PLAYER].splitlines() if not line.startswith(("name:", "language:"))]
        workshop = re.sub("(?m)^language:.*\n", "", smallshop.FILES["workshop.yaml"]) + f"language: {language}\n"
        content = smallshop.write(
            tmp_path / "content",
            {"workshop.yaml": workshop, PLAYER: "\n".join([f"name: {name}", *lines, more])},
        )
        wordfaces.add(content, monkeypatch)
        return content

    yield made
    assets.use(None)


def test_a_page_in_japanese_shares_the_signs_of_its_words(shop, tmp_path) -> None:
    """The page names one style sheet and holds nothing but the signs of names that no word has; the file has the rest."""
    site = tmp_path / "site"
    built(shop("ja", "渡邉 悠"), site, cards=False)
    page = (site / smallshop.KEYS["main"] / "index.html").read_text("utf-8")
    assert page.count('<link rel="stylesheet" href="../assets/words-ja.css">') == 1
    assert set(re.findall(r"U\+([0-9A-F]{4,5})\b", page)) <= {f"{ord(sign):X}" for sign in "渡邉悠"}
    assert len(page.encode()) < 45_000
    with TTFont(io.BytesIO((site / "fonts/words-ja-0.woff2").read_bytes())) as font:
        lent = set(font.getBestCmap())
    assert {ord(sign) for sign in "張替時期"} <= lent
    assert {code for code in map(ord, signs_of("ja")) if 0x3041 <= code <= 0x9FFF} <= lent
    assert "邉" not in map(chr, lent), "a file tells nothing of names"


def test_only_the_languages_that_somebody_reads_are_there(shop, tmp_path) -> None:
    """A player's language brings its files, and no other; a workshop in English without such a player has none."""
    built(shop("en", theirs="ar"), tmp_path / "site", cards=False)
    found = sorted(path.name for path in (tmp_path / "site").rglob("words-*"))
    assert found == ["words-ar-0.woff2", "words-ar-1.woff2", "words-ar.css"]
    page = (tmp_path / "site" / smallshop.KEYS["main"] / "index.html").read_text("utf-8")
    assert 'lang="ar"' in page and "assets/words-ar.css" in page
    assert "words-ar" not in (tmp_path / "site/index.html").read_text("utf-8")


def test_files_are_what_the_style_sheet_names(shop) -> None:
    """Every file that the rules name can be made, and what is asked for otherwise cannot."""
    with assets.using(shop("zh")):
        paths = list(shared_files(["zh-CN", "zh", "en", "de"]))
        rules = shared_file(paths[0]).decode()
        assert paths[1:] == re.findall(r"url\(\.\./([^)]+)\)", rules) and paths[0] == "assets/words-zh.css"
        assert all(shared_file(path)[:4] == b"wOF2" for path in paths[1:])
        assert shared_file("fonts/words-zh-9.woff2") is None and shared_file("assets/style.css") is None
        assert not shared_by("de").pieces and list(shared_files(["zh-TW"])) == []
