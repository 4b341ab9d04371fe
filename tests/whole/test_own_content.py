"""A shop that brings a language, a template, rules of style, typefaces, colours, a logo and words of its own: no code."""

import shutil

import pytest
from building import built
from htmlread import Page
from smallshop import KEYS, read

from passport.render.look_checks import run
from passport.render.theme import assets

WORKSHOP = """\
name: Verkstad Nio
address: https://kort.verkstad-nio.example
language: sv
contact: {email: hej@verkstad-nio.example, phone: 01632 960001, hours: tisdag till lördag}
look:
  accent: "#1f5b3a"
  second: "#7a2e12"
  logo: mark.svg
  fonts: {text: mill-400.woff2, display: stem.woff2}
  texts: {footer: Alltid i lugn och ro., passport: Kom tillbaka när du vill., lost: En middag till den som hittar den.}
"""
PO = """\
msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\\n"

msgid "Strings"
msgstr "Strängar"

msgid "Restring by %(date)s"
msgstr "Strängas om senast %(date)s"

msgid "Strung on %(date)s by %(shop)s."
msgstr "Strängad den %(date)s av %(shop)s."
"""
FILES = {
    "workshop.yaml": WORKSHOP,
    "messages/sv.po": PO,
    "templates/pages/reach.html.j2": "<p class='own'>{{ shop.name }}, {{ _('Strings') }}</p>\n",
    "style/extra.css": ".ticket { border-radius: 0 }\n",
    "style/mark.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"><script>alert(1)</script></svg>',
    "players/ada/player.yaml": f"name: Ada\nkey: {KEYS['ada']}\nplays_a_week: 3\n",
    "pages/care.md": "# Skötsel\n\nHåll den sval.\n",
    "pages/care.en.md": "# Care\n\nKeep it cool.\n",
    "players/bo/player.yaml": f"name: Bo\nkey: {KEYS['bo']}\nlanguage: en\n",
}


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The built site of that shop."""
    root = tmp_path_factory.mktemp("own") / "content"
    (root / "fonts").mkdir(parents=True)
    for name in ("mill-400.woff2", "stem.woff2"):
        shutil.copyfile(assets.fonts() / "text-400.woff2", root / "fonts" / name)
    content, faults = read(root, FILES)
    with assets.using(root):
        assert not [f.text() for f in [*faults, *run(content)] if f.severity == "error"]
    built(root, root.parent / "site")
    return root.parent / "site"


def page(site, name: str) -> Page:
    """A page of the site."""
    return Page((site / name / "index.html").read_text(encoding="utf-8"))


def test_a_further_language(site):
    """A language that only the shop has words for is the pages' language, with its dates and decimals; what has no
    words stays English."""
    found = page(site, KEYS["main"])
    words = found.words.replace("\u202f", " ")
    assert found.all("html")[0]["lang"] == "sv"
    assert "Strängar" in words
    assert "Strängas om senast 1 juli 2026" in words
    assert "331,1 g" in words
    assert "Measured" in words
    reminder = next((site / KEYS["main"]).glob("*.ics")).read_text(encoding="utf-8")
    assert "Strängad den 2 mars 2026 av Verkstad Nio." in reminder.replace("\r\n ", "")


def test_an_own_template(site):
    """A template in the content folder takes the place of the shipped one on every page."""
    for name in ("", KEYS["main"], KEYS["bo"], "care/care"):
        assert [a for _, a in page(site, name).elements if a.get("class") == "own"], name
    assert "Verkstad Nio, Strängar" in page(site, KEYS["main"]).words
    assert "Verkstad Nio, Strings" in page(site, KEYS["only"]).words


def test_own_rules_colours_and_typefaces(site):
    """The style sheet ends with the shop's rules, holds its colours and loads its typefaces, which are in the site."""
    style = (site / "assets/style.css").read_text(encoding="utf-8")
    assert style.endswith(FILES["style/extra.css"])
    assert "--petrol:#1f5b3a" in style
    assert "--plum:#7a2e12" in style
    for font in ("mill-400.woff2", "stem.woff2"):
        assert font in style
        assert (site / "fonts" / font).is_file()


def test_an_own_logo(site):
    """The logo stands in the head of every page, without what could act in it."""
    assert b"script" not in (site / "assets/logo.svg").read_bytes()
    for name in ("", KEYS["main"], KEYS["ada"]):
        (shown,) = [img for img in page(site, name).all("img") if "logo" in img["src"]]
        assert shown["alt"] == "", "the name stands beside it"
        assert (shown["width"], shown["height"]) == ("80", "40")


def test_own_words_at_their_places(site):
    """The shop's words stand under every page, on each passport, and on the page of a lost racquet alone."""
    for name in ("", KEYS["main"], KEYS["gone"], "care/care"):
        assert "Alltid i lugn och ro." in page(site, name).words
    assert "Kom tillbaka när du vill." in page(site, KEYS["main"]).words
    assert "En middag till den som hittar den." in page(site, KEYS["gone"]).words
    assert "En middag" not in page(site, KEYS["main"]).words + page(site, KEYS["done"]).words


def test_words_of_the_shop_on_a_page_in_another_language_say_so(site):
    """On the page of a player with another language the shop's own words are marked as being in the shop's; on one in the
    shop's language nothing is but the cautions that it has no words for."""
    found = page(site, KEYS["only"])
    assert found.all("html")[0]["lang"] == "en"
    assert {a.get("lang") for tag, a in found.elements if tag != "html"} - {None} == {"sv"}
    marked = [tag for tag, a in page(site, KEYS["main"]).elements if tag != "html" and "lang" in a]
    assert set(marked) == {"span"}
    assert len(marked) == page(site, KEYS["main"]).html.count('<span lang="en">')


def test_care_notes_in_the_players_language(site):
    """A note that exists in the player's language is the one that is linked, else the one in the shop's."""
    assert "../care/care/" in page(site, KEYS["main"]).links
    assert "../care/care.en/" in page(site, KEYS["only"]).links
    assert "../care/care/" not in page(site, KEYS["only"]).links
    assert page(site, "care/care.en").all("html")[0]["lang"] == "en"
    assert "Keep it cool." in page(site, "care/care.en").words
    assert "care/care.en/" not in page(site, "").links
