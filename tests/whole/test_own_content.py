"""A shop that brings a language, a template, rules of style, typefaces, colours, a logo and words of its own: no code."""

import pytest
from htmlread import Page
from smallshop import KEYS, read

from passport.publish.build.site import build
from passport.render.look_checks import run
from passport.render.theme import assets
from passport.workshop.gathering.gather import site_facts

WORKSHOP = """\
name: Bottega Nove
address: https://carte.bottega-nove.example
language: it
contact: {email: ciao@bottega-nove.example, phone: 01632 960001, hours: martedì a sabato}
look:
  accent: "#1f5b3a"
  second: "#7a2e12"
  logo: mark.svg
  fonts: {text: mill-400.woff2, display: stem.woff2}
  texts: {footer: Sempre con calma., passport: Riportala quando vuoi., lost: Una cena a chi la trova.}
"""
PO = """\
msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\\n"

msgid "Strings"
msgstr "Corde"

msgid "Restring by %(date)s"
msgstr "Da incordare entro il %(date)s"

msgid "Strung on %(date)s by %(shop)s."
msgstr "Incordata il %(date)s da %(shop)s."
"""
FILES = {
    "workshop.yaml": WORKSHOP,
    "messages/it.po": PO,
    "templates/pages/reach.html.j2": "<p class='own'>{{ shop.name }}, {{ _('Strings') }}</p>\n",
    "style/extra.css": ".ticket { border-radius: 0 }\n",
    "style/mark.svg": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"><script>alert(1)</script></svg>',
    "fonts/mill-400.woff2": "wOF2 stands in for a font",
    "fonts/stem.woff2": "wOF2 stands in for a font",
    "players/ada/player.yaml": f"name: Ada\nkey: {KEYS['ada']}\nplays_a_week: 3\n",
    "pages/care.md": "# Cura\n\nAl fresco.\n",
    "pages/care.en.md": "# Care\n\nKeep it cool.\n",
    "players/bo/player.yaml": f"name: Bo\nkey: {KEYS['bo']}\nlanguage: en\n",
}


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """The built site of that shop."""
    root = tmp_path_factory.mktemp("own") / "content"
    content, faults = read(root, FILES)
    with assets.using(root):
        assert not [f.text() for f in [*faults, *run(content)] if f.severity == "error"]
        build(site_facts(content), root.parent / "site", card=None, index="", progress=lambda *_: None)
    return root.parent / "site"


def page(site, name: str) -> Page:
    """A page of the site."""
    return Page((site / name / "index.html").read_text(encoding="utf-8"))


def test_a_further_language(site):
    """A language that only the shop has words for is the pages' language, with its dates and decimals; what has no
    words stays English."""
    found = page(site, KEYS["main"])
    words = found.words.replace("\u202f", " ")
    assert found.all("html")[0]["lang"] == "it"
    assert "Corde" in words
    assert "Da incordare entro il 1 luglio 2026" in words
    assert "331,1 g" in words
    assert "Measured" in words
    reminder = next((site / KEYS["main"]).glob("*.ics")).read_text(encoding="utf-8")
    assert "Incordata il 2 marzo 2026 da Bottega Nove." in reminder.replace("\r\n ", "")


def test_an_own_template(site):
    """A template in the content folder takes the place of the shipped one on every page."""
    for name in ("", KEYS["main"], KEYS["bo"], "care/care"):
        assert [a for _, a in page(site, name).elements if a.get("class") == "own"], name
    assert "Bottega Nove, Corde" in page(site, KEYS["main"]).words
    assert "Bottega Nove, Strings" in page(site, KEYS["only"]).words


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
        assert "Sempre con calma." in page(site, name).words
    assert "Riportala quando vuoi." in page(site, KEYS["main"]).words
    assert "Una cena a chi la trova." in page(site, KEYS["gone"]).words
    assert "Una cena" not in page(site, KEYS["main"]).words + page(site, KEYS["done"]).words


def test_words_of_the_shop_on_a_page_in_another_language_say_so(site):
    """On the page of a player with another language the shop's own words are marked as being in the shop's."""
    found = page(site, KEYS["only"])
    assert found.all("html")[0]["lang"] == "en"
    assert {a.get("lang") for tag, a in found.elements if tag != "html"} - {None} == {"it"}
    assert not [a for tag, a in page(site, KEYS["main"]).elements if tag != "html" and "lang" in a]


def test_care_notes_in_the_players_language(site):
    """A note that exists in the player's language is the one that is linked, else the one in the shop's."""
    assert "../care/care/" in page(site, KEYS["main"]).links
    assert "../care/care.en/" in page(site, KEYS["only"]).links
    assert "../care/care/" not in page(site, KEYS["only"]).links
    assert page(site, "care/care.en").all("html")[0]["lang"] == "en"
    assert "Keep it cool." in page(site, "care/care.en").words
    assert "care/care.en/" not in page(site, "").links
