"""Each kind of page: what it says, what it keeps to itself, and that nothing on it can act."""

import re
import shutil
from dataclasses import replace
from datetime import date

import jinja2
import pytest
from htmlread import Page, faults, inline_parts
from PIL import Image
from smallshop import KEYS, NUMBERS, facts, of

from passport.records.schema.places import FittedPlace
from passport.render.pages.pages import Pages
from passport.render.pages.photos import shown_size
from passport.render.theme.assets import templates
from passport.workshop.facts.facts import PageFacts, PhotoFacts

HOSTILE = """<b onclick=alert(1)>"x'&{{ 7*7 }}</b><script>alert(1)</script>"""


@pytest.fixture(scope="module")
def small(tmp_path_factory):
    """The facts of the small workshop."""
    return facts(tmp_path_factory.mktemp("small"))


@pytest.fixture(scope="module")
def pages(small):
    """The pages of the small workshop."""
    return Pages(small.shop, small.pages, (templates(),))


@pytest.fixture(scope="module")
def shown(small, pages):
    """Every page of the small workshop, by name."""
    made = {f.name: pages.frame(f, {"setup": "setup.json"}) for f in small.frames}
    made |= {p.name: pages.player(p) for p in small.players}
    made |= {"home": pages.home(), "care": pages.care("care"), "404": pages.missing("/p/")}
    return {name: Page(html.decode()) for name, html in made.items()}


PRIVATE = ["ada/main", "ada/torn", "ada/gone", "ada/done", "ada/split", "ada/fresh", "bo/only", "Ada", "Bo", "404"]
EVERY = [*PRIVATE, "home", "care"]


@pytest.mark.parametrize("name", EVERY)
def test_no_page_carries_anything_that_acts(shown, name):
    """No page has a style, a script or a handler of its own, and its structure is sound."""
    assert not inline_parts(shown[name])
    assert not faults(shown[name])


@pytest.mark.parametrize("name", EVERY)
def test_a_strict_policy_stands_on_every_page(shown, name):
    """Every page allows its own files only, says where it came from to nobody, and loads nothing from elsewhere."""
    page = shown[name]
    (policy,) = page.meta("Content-Security-Policy")
    rules = dict(rule.strip().partition(" ")[::2] for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["base-uri"] == rules["form-action"] == "'none'"
    assert set(" ".join(rules.values()).split()) <= {"'none'", "'self'"}
    assert page.meta("referrer") == ["no-referrer"]
    loaded = [link["href"] for link in page.all("link")] + [s["src"] for s in page.all("script")]
    assert loaded
    assert not [address for address in loaded if ":" in address or address.startswith("//")]
    assert not page.all("img") + page.all("iframe")


@pytest.mark.parametrize("name", PRIVATE)
def test_private_pages_ask_not_to_be_found(shown, name):
    """Every page behind a key, and the page for wrong addresses, asks search engines to leave it out."""
    (robots,) = shown[name].meta("robots")
    assert "noindex" in robots


@pytest.mark.parametrize("name", ["home", "care"])
def test_public_pages_may_be_found(shown, name):
    """The workshop's own pages may stand in search engines."""
    assert not shown[name].meta("robots")


@pytest.mark.parametrize("name", EVERY)
def test_every_page_has_its_language_title_and_one_top_heading(shown, name):
    """A language, a title, a description, one first heading, a place to skip to, and how to reach the workshop."""
    page = shown[name]
    assert page.all("html")[0]["lang"] == "en"
    assert re.search(r"<title>[^<]+</title>", page.html)
    assert page.meta("description") != [""]
    assert len(page.all("h1")) == 1
    assert "#content" in page.links
    assert {"tel:01632960001", "mailto:hello@bench-nine.example"} <= set(page.links)


@pytest.mark.parametrize("name", PRIVATE)
def test_no_key_of_another_player(shown, name):
    """No page of a player holds a key of another player's."""
    others = {"ada": ("bo", "only"), "bo": tuple(set(KEYS) - {"bo", "only"}), "404": tuple(KEYS)}
    player = name.partition("/")[0].lower()
    assert not [key for key in others[player] if KEYS[key] in shown[name].html]


@pytest.mark.parametrize("name", [n for n in PRIVATE if "/" in n])
def test_a_frames_page_leads_to_no_other_frame(shown, name):
    """A frame's page, once shared, gives away neither the player's page nor other frames: only a successor's key."""
    allowed = {"ada/torn": {"fresh"}, "ada/fresh": {"torn"}}.get(name, set())
    own = name.partition("/")[2]
    found = {key for key in KEYS if KEYS[key] in shown[name].html}
    assert found <= allowed | {own}


@pytest.mark.parametrize("name", ["home", "care", "404"])
def test_public_pages_hold_no_key_number_or_player(shown, name):
    """The pages that anybody can find list no passport, no player and no number."""
    assert not [key for key in KEYS.values() if key in shown[name].html]
    assert not [number for number in NUMBERS.values() if number in shown[name].html]
    assert not re.search(r"\b(Ada|Bo)\b", shown[name].words)


CLOSED = {
    "ada/gone": ("lost", "TL-GONE", "Gone"),
    "ada/done": ("retired", "TL-DONE", "Done"),
    "ada/torn": ("successor", "TL-TORN", "Torn"),
}


@pytest.mark.parametrize(("name", "word", "serial", "label"), [(n, *v) for n, v in CLOSED.items()])
def test_a_closed_passport_says_only_that(shown, small, name, word, serial, label):
    """A lost, retired or replaced frame's page says so and tells nothing of the frame or the player."""
    page = shown[name]
    found = of(small, name)
    assert word in page.words.lower()
    assert found.serial == serial
    for told in (serial, label, found.number, found.maker, found.model, found.key):
        assert told not in page.html
    assert not re.search(r"\bAda\b", page.html)
    assert not page.all("table") + page.all("script")


@pytest.mark.parametrize("status", ["lost", "retired"])
def test_a_lost_frame_with_a_successor_says_only_that_it_is_lost(small, pages, status):
    """Whoever finds a lost racquet is not led to the page of the one that replaced it."""
    found = replace(of(small, "ada/torn"), status=status)
    page = Page(pages.frame(found, {}).decode())
    assert status in page.words
    assert KEYS["fresh"] not in page.html
    assert NUMBERS["fresh"] not in page.html


def test_a_replaced_frame_leads_to_its_successor(shown):
    """The page of a broken frame that was replaced leads to the successor, and the successor's back."""
    assert f"../{KEYS['fresh']}/" in shown["ada/torn"].links
    assert NUMBERS["fresh"] in shown["ada/torn"].words
    assert f"../{KEYS['torn']}/" in shown["ada/fresh"].links


def test_a_broken_frame_keeps_its_setup_and_says_that_it_is_broken(shown):
    """Without a successor the page of a broken frame stays, with the caution that it must not be strung or played."""
    words = shown["ada/split"].words
    assert "must not be strung or played" in words
    assert "Reed" in words
    assert "Restring by" not in words


def test_what_a_frames_page_says(shown):
    """Number, label, model, strings with both units, age, figures with target, parts, history and cautions are there."""
    page = shown["ada/main"]
    words = page.words.replace("\u202f", " ")
    for told in (
        NUMBERS["main"], "Main", "Larch 98", "Ada", "Reed", "Flint", "24.0 kg", "52.9 lb", "Strung on 2 March 2026",
        "Restring by 1 July 2026", "331.1 g", "target 330.0 g", "Said to the player.", "2 pieces", "4 knots", "Ring, red",
        "585 Hz", "15 min after stringing", "31 days after stringing", "Lead tape is fitted", "at most 57.3 lb (26.0 kg)",
    ):  # fmt: skip
        assert told in words, told
    (box,) = [a for _, a in page.elements if "data-strung" in a]
    assert (box["data-strung"], box["data-due"]) == ("2026-03-02", "2026-07-01")


def test_the_caution_about_lead_is_there_for_lead_only(shown):
    """The caution about lead stands where lead is fitted, and only there."""
    assert "Lead tape" not in shown["ada/twin"].words
    assert "Lead tape is fitted." in shown["ada/main"].words


def test_three_tensions_are_kept_apart(shown):
    """Pull tension and acoustic reading are named as what they are, with a sentence that tells them apart."""
    words = shown["ada/main"].words
    assert "Pull tension" in words
    assert "Acoustic readings of this string bed" in words
    assert "The pull tension is what the machine was set to." in words


def test_a_frame_without_anything(shown):
    """A frame without strings, parts, targets or jobs has a page without empty sections."""
    words = shown["ada/fresh"].words
    assert "No fitted part is recorded." in words and "as its maker built it" not in words
    for absent in ("Strung on", "History", "None", "Undefined"):
        assert absent not in words


def test_a_player_may_hide_serial_and_history(shown):
    """Where the player does not want it, neither serial nor history is on the page."""
    page = shown["bo/only"]
    assert "TL-BO" not in page.html
    assert "BO-HISTORY" not in page.html
    assert "History" not in page.words
    assert "TL-1" in shown["ada/main"].html


def test_the_players_page_compares(shown):
    """All frames of the player, those of a set side by side with their spread, those out of use apart."""
    page = shown["Ada"]
    for name in ("main", "twin", "fresh", "torn", "gone", "done", "split"):
        assert f"../{KEYS[name]}/" in page.links
    assert "Set: pair" in page.words
    assert re.search(r"Mass g 331\.1 331\.5 0\.4 within ± 1", page.words)
    assert "Out of use" in page.words


def test_the_shops_pages(shown):
    """The home page has its own text and leads to the care notes; a wrong address finds the way home."""
    assert "Bench text." in shown["home"].words
    assert "care/care/" in shown["home"].links
    assert "Keep them dry." in shown["care"].words
    assert "/p/" in shown["404"].links
    assert "/p/assets/style.css" in shown["404"].links


def test_legal_pages_stand_at_the_foot_of_every_page_and_among_no_notes(small):
    """An imprint and a privacy page are linked from every page's foot, in its language, and are no care notes."""
    texts = (
        PageFacts("care-of-strings", "# Care\n\nx"),
        PageFacts("imprint", "# Whose site this is\n\nx"),
        PageFacts("imprint.de", "# Impressum\n\nx"),
        PageFacts("privacy", "# What is kept\n\nx"),
    )
    pages = Pages(small.shop, texts, (templates(),))
    frame = pages.frame(small.frames[0], {}).decode()
    for text, root in (
        (pages.home().decode(), ""),
        (frame, "../"),
        (pages.closed().decode(), "../"),
        (pages.player(small.players[0]).decode(), "../"),
        (pages.care("care-of-strings").decode(), "../../"),
        (pages.missing("/p/").decode(), "/p/"),
    ):
        body, _, foot = text.partition("<footer")
        links = [link for link in Page(foot).links if "legal/" in link]
        assert links == [f"{root}legal/imprint/", f"{root}legal/privacy/"]
        assert "legal/" not in body
    imprint = Page(pages.care("imprint.de").decode())
    assert "Impressum" in imprint.text and "Care notes" not in imprint.text
    german = pages.frame(replace(small.frames[0], language="de"), {}).decode()
    assert "../legal/imprint.de/" in Page(german).links


def test_links_from_disk_name_the_file(small):
    """For pages that are opened without a server every link to a folder names its index file."""
    pages = Pages(small.shop, small.pages, (templates(),), "index.html")
    made = [pages.home(), pages.care("care"), *(pages.player(p) for p in small.players)]
    made += [pages.frame(f, {"setup": "setup.json"}) for f in small.frames]
    for html in made:
        links = [link for link in Page(html.decode()).links if not re.match(r"(mailto|tel|#)", link)]
        assert links
        assert not [link for link in links if link.endswith("/")]


def test_downloads_are_offered_only_where_there_are_any(small, pages):
    """Card and reminder are offered when their files exist, the setup always."""
    main = of(small, "ada/main")
    every = Page(pages.frame(main, {"setup": "s.json", "card": "c.pdf", "reminder": "r.ics"}).decode()).links
    assert {"s.json", "c.pdf", "r.ics"} <= set(every)
    few = Page(pages.frame(main, {"setup": "s.json"}).decode())
    assert "s.json" in few.links
    assert "for your calendar" not in few.words


def test_texts_with_markup_are_shown_as_text(small):
    """Names and notes with HTML or template syntax stand on the pages as they were written, and do nothing."""
    main = of(small, "ada/main")
    job = main.jobs[0]
    fitted = tuple(replace(p, name=HOSTILE, place=FittedPlace(HOSTILE, name="throat")) for p in job.fitted)
    hostile = replace(
        main, label=HOSTILE, player=HOSTILE, maker=HOSTILE, model=HOSTILE, serial=HOSTILE, grip=HOSTILE, set=HOSTILE,
        note=HOSTILE, jobs=(replace(job, note=HOSTILE, fitted=fitted), *main.jobs[1:]), parts=fitted,
    )  # fmt: skip
    ada = small.players[0]
    group = replace(ada.groups[0], name=HOSTILE, frames=(hostile, *ada.groups[0].frames[1:]))
    pages = Pages(replace(small.shop, name=HOSTILE, visit=HOSTILE, tagline=HOSTILE), (), (templates(),))
    player = replace(ada, name=HOSTILE, groups=(group,))
    for html in (pages.frame(hostile, {"setup": "s"}), pages.player(player), pages.home(), pages.missing("/")):
        page = Page(html.decode())
        assert not inline_parts(page)
        assert not faults(page)
        assert HOSTILE in page.text


def test_a_shop_that_says_little(small):
    """A shop without phone, visit and tagline has pages without empty links."""
    shop = replace(small.shop, phone="", visit="", hours="", tagline="", since="")
    for html in (Pages(shop, (), (templates(),)).home(), Pages(shop, (), (templates(),)).missing("/")):
        page = Page(html.decode())
        assert not [link for link in page.links if link.startswith("tel:")]
        assert not faults(page)


def test_a_page_name_with_odd_characters_keeps_its_link(small):
    """A care page whose file has spaces or signs in its name is linked by an address that a browser understands."""
    pages = Pages(small.shop, (PageFacts("50% off & more", "# Sale\n\nText."),), (templates(),))
    (link,) = [link for link in Page(pages.home().decode()).links if link.startswith("care/")]
    assert not set(link) & set(" &?#<>\"'")
    assert "%25" in link


TOLD = {"home": "# Own", "home.de": "# Deutsch", "home.en": "# English", "home.fr": "# Français"}


@pytest.mark.parametrize(
    ("there", "shop", "shown"),
    [
        (("home", "home.en"), "de", "Own"),  # without a language it is the shop's own
        (("home", "home.de", "home.en"), "de", "Deutsch"),
        (("home.de", "home.en", "home.fr"), "de", "Deutsch"),
        (("home.de", "home.en"), "de-AT", "Deutsch"),
        (("home.fr", "home.en"), "de", "English"),
        (("home.fr",), "de", "Français"),
    ],
)
def test_a_text_is_chosen_by_its_language(small, there, shop, shown):
    """The reader's language, else the workshop's, else English, else any; what is in another language says so."""
    texts = tuple(PageFacts(slug, TOLD[slug]) for slug in there)
    html = Pages(replace(small.shop, language=shop), texts, (templates(),)).home().decode()
    assert f'<h2 id="about">{shown}</h2>' in html
    marked = re.search(r'aria-labelledby="about"( lang="(\w+)")?', html)
    assert marked
    assert marked[2] == {"English": "en", "Français": "fr"}.get(shown)


def test_an_unknown_name_in_a_template_is_an_error(small, tmp_path):
    """A template that asks for what is not there stops with an error instead of showing nothing."""
    folder = tmp_path / "templates"
    shutil.copytree(templates() / "pages", folder / "pages")
    reach = folder / "pages/reach.html.j2"
    reach.write_text(reach.read_text(encoding="utf-8") + "{{ shop.nickname }}", encoding="utf-8")
    with pytest.raises(jinja2.UndefinedError, match="nickname"):
        Pages(small.shop, small.pages, (folder,)).home()


def test_a_shops_own_template_stands_above_the_shipped_one(small, tmp_path):
    """Of several template folders the first that has a template gives it."""
    own = tmp_path / "pages"
    own.mkdir()
    (own / "reach.html.j2").write_text("<p>Knock twice.</p>", encoding="utf-8")
    html = Pages(small.shop, small.pages, (tmp_path, templates())).home().decode()
    assert "Knock twice." in html


def test_two_renderings_are_the_same(small):
    """A page has the same bytes each time it is made."""
    one, two = (Pages(small.shop, small.pages, (templates(),)) for _ in range(2))
    for found in small.frames:
        assert one.frame(found, {"setup": "s"}) == two.frame(found, {"setup": "s"})
    assert [one.player(p) for p in small.players] == [two.player(p) for p in small.players]


def test_history_is_newest_first_and_older_visits_fold_away(small, pages):
    """The last four visits stand open, newest first; the ones before are folded away but on the page."""
    main = of(small, "ada/main")
    jobs = tuple(replace(main.jobs[0], date=date(2026, 1, day)) for day in range(1, 8))
    page = Page(pages.frame(replace(main, jobs=jobs), {"setup": "s"}).decode())
    history = page.html[page.html.index('class="history"') :]
    days = re.findall(r'datetime="([^"]+)"', history)
    assert days == sorted(days, reverse=True)
    assert len(days) == 7
    assert page.html.index('<details class="older"') > page.html.index(f'datetime="{days[3]}"')
    assert page.html.index('<details class="older"') < page.html.index(f'datetime="{days[4]}"')
    assert "2026 · 3 earlier visits" in page.words


def test_a_long_history_folds_by_year(small, pages):
    """Of sixty visits over six years the latest four stand open, and each year before has a fold with its count."""
    main = of(small, "ada/main")
    days = [date(2021 + i // 10, 1 + i % 10, 5) for i in range(60)]
    jobs = tuple(replace(main.jobs[0], date=day) for day in days)
    page = Page(pages.frame(replace(main, jobs=jobs), {"setup": "s"}).decode())
    assert re.findall(r"(\d{4}) · (\d+) earlier visits", page.words) == [
        ("2026", "6"), ("2025", "10"), ("2024", "10"), ("2023", "10"), ("2022", "10"), ("2021", "10")
    ]  # fmt: skip
    history = page.html[page.html.index('class="history"') :]
    assert re.findall(r'datetime="([^"]+)"', history) == [day.isoformat() for day in reversed(days)]


def test_a_photo_stands_with_its_text_and_its_room(small, pages):
    """A photo is offered as WebP with a JPEG behind it, with its words and the room that it will take."""
    photo = PhotoFacts("ada-behind-the-shed.jpg", "A racquet <on> the bench", 3000, 4000, "mark-1234")
    page = Page(pages.frame(replace(of(small, "ada/main"), photo=photo), {"setup": "s"}).decode())
    (shown,) = page.all("img")
    assert (shown["src"], shown["alt"], shown["loading"]) == ("photo.jpg", "A racquet <on> the bench", "lazy")
    assert (int(shown["width"]), int(shown["height"])) == shown_size(3000, 4000)
    assert [source["srcset"] for source in page.all("source")] == ["photo.webp"]
    assert not faults(page)
    assert "ada-behind" not in page.html, "the name of the file is nobody's business"
    assert "mark-1234" not in page.html
    assert not pages.frame(of(small, "ada/main"), {"setup": "s"}).count(b"<img")


SHARED = ("og:site_name", "og:type", "og:title", "og:description", "og:image", "og:image:alt")


def shared(page: Page) -> dict[str, str]:
    """What a chat shows of a page's address."""
    return {m["property"]: m["content"] for m in page.all("meta") if "property" in m}


@pytest.mark.parametrize("name", PRIVATE)
def test_a_shared_passport_tells_nothing_of_its_owner(shown, name):
    """A chat that shows a shared address of a passport has a neutral title, text and picture, the same for all."""
    found = shared(shown[name])
    assert set(SHARED) <= set(found)
    assert found["og:title"] == "Racquet passport"
    assert found["og:description"] == "Kept by Bench Nine & Daughters."
    assert found["og:image"] == "https://cards.bench-nine.example/p/assets/share.png"
    told = " ".join([*found.values(), *shown[name].meta("description"), *re.findall("<title>(.*?)<", shown[name].html)])
    assert not re.search(r"Ada|Bo\b|Larch|Reed|TL-", told)
    assert not [key for key in KEYS.values() if key in told]
    assert not [number for number in NUMBERS.values() if number in " ".join(found.values())]


def test_a_shared_page_of_the_workshop_says_what_it_is(shown):
    """The workshop's own pages are shared under their own title and first sentence."""
    assert shared(shown["care"])["og:title"] == "Care of strings · Bench Nine & Daughters"
    assert shared(shown["care"])["og:description"] == "Keep them dry."
    assert shared(shown["home"])["og:title"] == "Bench Nine & Daughters"


def test_the_shared_picture_has_the_size_that_is_told():
    """The picture is there, of the size that is told, and tells nothing of anybody: it holds pixels alone."""
    with Image.open(templates() / "assets/share.png") as picture:
        assert picture.size == (1200, 630)
        assert not picture.info


@pytest.mark.parametrize(
    ("language", "told"),
    [
        ("de", ("Neu bespannen bis 1. Juli 2026", "331,1 g", "Spieler/in", "3 und 9 Uhr", "4 Knoten")),
        (
            "fr",
            (
                "À recorder au plus tard le 1er juillet 2026",
                "331,1 g",
                "Joueur / joueuse",
                "3 heures et 9 heures",
                "4 nœuds",
            ),
        ),
        (
            "es",
            ("Reencordar a más tardar el 1 de julio de 2026", "331,1 g", "Jugador/a", "3 h y 9 h", "4 nudos"),
        ),
    ],
)
def test_a_page_is_in_the_players_language(small, pages, language, told):
    """Words, dates, decimals, places and charts of a page are in the language of the player's record."""
    text = pages.frame(replace(of(small, "ada/main"), language=language), {"setup": "s"}).decode()
    assert ("1<sup>er</sup> juillet" in text) == (language == "fr") and "ᵉ" not in text
    page = Page(re.sub("</?sup>", "", text))
    words = page.words.replace("\u202f", " ").replace("\xa0", " ")
    assert page.all("html")[0]["lang"] == language
    for phrase in told:
        assert phrase in words
    for english in ("Restring", "Measured", "Strung", "Mains", "days after", "o’clock"):
        assert english not in words, english
    # French technicians say swingweight (common practice, no source)
    assert ("swingweight" in words) == (language == "fr")


@pytest.mark.parametrize("language", ["de", "fr", "es"])
def test_every_kind_of_page_is_in_the_players_language(small, pages, language):
    """Also the pages of lost, broken, replaced and closed frames and of players hold no English of the program's."""
    made = [pages.frame(replace(f, language=language), {"setup": "s"}) for f in small.frames]
    made += [pages.player(replace(p, language=language)) for p in small.players]
    for html in made:
        page = Page(html.decode())
        assert not faults(page)
        assert page.all("html")[0]["lang"] == language
        assert not re.search(r"\b(racquet|the|strung|frame)\b", re.sub(r"Bench.*", "", page.words), re.IGNORECASE)


@pytest.mark.parametrize(("unit", "first"), [("points", "4.1 pt HL"), ("in", "12.97 in"), ("", "329.5 mm")])
def test_the_unit_of_the_shop_stands_first(small, pages, unit, first):
    """A balance is large in the shop's unit with the mm below: by hand, 329.5 mm of a frame of 685 mm are 12.97 in, and
    (342.5 - 329.5) / 3.175 = 4.1 points head light, a point being an eighth of an inch (common practice, no source)."""
    twin = of(small, "ada/twin")
    shown = Page(pages.frame(replace(twin, balance_unit=unit), {"setup": "s.json"}).decode()).words
    plain = " ".join(shown.replace("\u202f", " ").split())
    assert first in plain
    assert (f"{first} 329.5 mm" in plain) == bool(unit)
