"""A player's pages in two languages, and text pages in all that they stand in, with plain links from one to the other."""

import re

import pytest
import smallshop
from building import built

from passport.publish.build.preview import Preview
from passport.publish.folder.site_pages import close_page
from passport.records.schema.numbers import new_secret
from passport.render.pages.tongues import name_of
from passport.render.theme import assets

PLAYER = "players/ada/player.yaml"
MAIN, GONE, ADA, BO = (smallshop.KEYS[name] for name in ("main", "gone", "ada", "bo"))
HOMES = {"pages/home.md": "# Here\n\nWe string.\n", "pages/home.de.md": "# Hier\n\nWir bespannen.\n"}


@pytest.fixture
def shop(tmp_path):
    """A workshop in English with a player who reads German; call it with more lines of workshop.yaml and further files."""

    def made(more: str = "", files=None, language: str = "de"):
        given = {
            "workshop.yaml": smallshop.FILES["workshop.yaml"] + more,
            PLAYER: smallshop.FILES[PLAYER] + f"language: {language}\n",
            **(files or {}),
        }
        return smallshop.write(tmp_path / "content", given)

    yield made
    assets.use(None)


def page(site, path: str) -> str:
    """The text of a page."""
    return (site / path / "index.html").read_text("utf-8")


def links(text: str) -> list[tuple[str, str]]:
    """Where the plain links to other languages lead, and what they say."""
    head = text.partition("</header>")[0]
    return re.findall(r'<a href="([^"]*)" hreflang="(?:\w+)" lang="\w+">([^<]*)</a>', head)


def lead_somewhere(site) -> int:
    """Every link of every page of a site to a place of its own leads to a file; how many there are."""
    found = 0
    for file in site.rglob("index.html"):  # 404.html says whole paths: it stands for any address
        for name in re.findall(r'(?:href|src|srcset)="([^"#:]+)["#]', file.read_text("utf-8")):
            to = (file.parent / name).resolve()
            assert (to / "index.html" if to.is_dir() else to).is_file(), (file.relative_to(site), name)
            found += 1
    return found


@pytest.mark.parametrize("key", [MAIN, ADA, GONE])
def test_a_players_pages_stand_in_both_languages(shop, tmp_path, key) -> None:
    """The address that was given out is in the player's language, the folder below it in the workshop's; each links to
    the other in that one's own name, for eyes and for machines. So it is with the page of a lost racquet."""
    built(shop(), tmp_path / "site", cards=False)
    first, second = page(tmp_path / "site", key), page(tmp_path / "site", f"{key}/en")
    assert '<html lang="de">' in first and '<html lang="en">' in second
    assert (links(first), links(second)) == ([("en/", "English")], [("../", "Deutsch")])
    assert '<link rel="alternate" href="en/" hreflang="en">' in first
    assert '<link rel="alternate" href="../" hreflang="de">' in second


def test_every_link_of_both_leads_somewhere(shop, tmp_path) -> None:
    """Cards, calendars, photos, other frames and care notes are found from the folder below too, in its language."""
    built(shop(files=HOMES), tmp_path / "site", cards=True)
    assert lead_somewhere(tmp_path / "site") > 100
    second = page(tmp_path / "site", f"{ADA}/en")
    assert f'href="../../{MAIN}/en/"' in second and f'href="../../{MAIN}/"' not in second


def test_who_reads_the_workshops_language_has_one_page(shop, tmp_path) -> None:
    """A German reader of Austria is shown the same German; a language without words is shown in the workshop's."""
    for language in ("en-GB", "eo"):
        site = tmp_path / language
        built(shop(language=language), site, cards=False)
        assert [path.parent.name for path in site.rglob("en") if path.is_dir()] == ["keep"]
        assert not links(page(site, MAIN))


def test_the_workshop_can_forbid_it(shop, tmp_path) -> None:
    """'two_languages: no' leaves each player's pages in the player's language alone."""
    content = shop()
    built(content, tmp_path / "site", cards=False)
    assert (tmp_path / "site" / MAIN / "en").is_dir()
    shop("two_languages: no\n")
    built(content, tmp_path / "site", cards=False)
    assert not (tmp_path / "site" / MAIN / "en").exists()
    assert not links(page(tmp_path / "site", MAIN))


def test_a_language_that_is_added_gives_and_takes_a_page(shop, tmp_path) -> None:
    """Words that the shop adds for a player's language bring the second page at the next build, which reads nothing else."""
    content, site = shop(language="eo"), tmp_path / "site"
    built(content, site, cards=False)
    assert not (site / MAIN / "en").exists()
    (content / "messages").mkdir()
    words = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\nmsgid "Home"\nmsgstr "Ho"\n'
    (content / "messages/eo.po").write_text(words, encoding="utf-8")
    built(content, site, cards=False)
    assert 'lang="eo"' in page(site, MAIN) and (site / MAIN / "en").exists()


def test_a_sealed_page_has_no_second_one(shop, tmp_path) -> None:
    """What lies on the host tells neither the player's language nor that it is another than the workshop's."""
    main = "players/ada/main.yaml"
    content = shop(files={main: smallshop.FILES[main] + f"sealed: yes\nsecret: {new_secret()}\n"})
    built(content, tmp_path / "site", cards=False)
    outside = page(tmp_path / "site", MAIN)
    assert 'data-seal="' in outside and "hreflang" not in outside and '<html lang="en">' in outside
    assert not (tmp_path / "site" / MAIN / "en").exists()
    assert f"{MAIN}" not in page(tmp_path / "site", f"{ADA}/en")


def test_a_closed_address_leaves_neither(shop, tmp_path) -> None:
    """What closes an address takes the folder below it along."""
    site = tmp_path / "site"
    built(shop(), site, cards=False)
    close_page(site, MAIN, lambda: b"closed")
    assert [path.name for path in (site / MAIN).iterdir()] == ["index.html"]


def test_home_and_notes_stand_in_the_languages_of_their_texts(shop, tmp_path) -> None:
    """A German reader comes home to the German home page; each text page links to itself in every other language."""
    notes = {"pages/care.md": "# Care\n\nOf strings.\n", "pages/care.de.md": "# Pflege\n\nDer Saiten.\n"}
    built(shop(files={**HOMES, **notes}), tmp_path / "site", cards=False)
    home, theirs = page(tmp_path / "site", ""), page(tmp_path / "site", "care/home.de")
    assert (links(home), links(theirs)) == ([("care/home.de/", "Deutsch")], [("../../", "English")])
    assert "Wir bespannen." in theirs and 'href="../../care/care.de/"' in theirs
    assert 'class="house-name" href="../care/home.de/"' in page(tmp_path / "site", MAIN)
    assert 'class="house-name" href="../../"' in page(tmp_path / "site", f"{MAIN}/en")
    assert links(page(tmp_path / "site", "care/care.de")) == [("../care/", "English")]
    assert lead_somewhere(tmp_path / "site")


def test_the_preview_shows_both(shop) -> None:
    """So does the preview, byte by byte but for its script."""
    preview = Preview(shop(files=HOMES), lambda _: [], cards=False)
    for path, language in (
        (f"/{MAIN}/", "de"),
        (f"/{MAIN}/en/", "en"),
        (f"/{ADA}/en/", "en"),
        ("/care/home.de/", "de"),
    ):
        answer = preview.answer(path)
        assert answer.status == 200 and f'<html lang="{language}">'.encode() in answer.data, path


@pytest.mark.parametrize(
    ("language", "name"),
    [("de", "Deutsch"), ("fr", "Français"), ("id", "Bahasa Indonesia"), ("ar", "العربية"), ("ja", "日本語"), ("zh", "中文"), ("xx", "xx")],
)  # fmt: skip
def test_languages_name_themselves(language: str, name: str) -> None:
    """CLDR's names, with a capital letter as in a list; a language without a name stands by its tag."""
    assert name_of(language) == name
