"""The whole public site of the demo: which files, where links lead, and what is nowhere in it."""

import html
import json
import re
import urllib.robotparser
from base64 import b64decode
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from building import Silent, built
from canaries import private_values
from conftest import DEMO
from htmlread import Page, faults, inline_parts
from pictures import camera
from PIL import ExifTags, Image
from sealread import opened
from smallshop import FILES, KEYS, NUMBERS, write

from passport.acts.refused import Refused
from passport.publish.folder.foreign import MANIFEST, MARK
from passport.publish.outputs import tasks
from passport.records.load import Content
from passport.records.schema import numbers
from passport.render.theme import assets


@pytest.fixture(scope="module", autouse=True)
def own_files():
    """The demo's own logo and photos are in use, as they are when it is built."""
    with assets.using(DEMO):
        yield


def files_of(site: Path) -> dict[str, bytes]:
    """Every file of a site by its path."""
    return {p.relative_to(site).as_posix(): p.read_bytes() for p in sorted(site.rglob("*")) if p.is_file()}


def unsealed(site: Path, content: Content) -> dict[str, bytes]:
    """Every file of a site by its path, with those of sealed passports opened and under the names that they then have."""
    secrets = {e.record.key: e.record.secret for e in content.frames.values() if e.record.sealed}
    found = {}
    for name, data in files_of(site).items():
        folder, _, file = name.partition("/")
        if folder not in secrets:
            found[name] = data
        elif file == "index.html":
            box = re.search(r'data-box="([^"]+)"', data.decode())
            assert box
            _, found[name] = opened(b64decode(box[1]), secrets[folder], name)
        else:
            about, found_data = opened(data, secrets[folder], name)
            found[f"{folder}/{about['name']}"] = found_data
    return found


def pages_of(site: Path) -> dict[str, Page]:
    """Every page of a site, read, by its path."""
    return {name: Page(data.decode()) for name, data in files_of(site).items() if name.endswith(".html")}


@pytest.fixture(scope="module")
def pages(built_demo):
    """The pages of the demo."""
    return pages_of(built_demo)


@pytest.fixture(scope="module")
def with_cards(tmp_path_factory):
    """The demo's site with its cards."""
    folder = tmp_path_factory.mktemp("cards") / "site"
    return folder, built(DEMO, folder, cards=True)


def test_the_files_are_those_of_the_records(built_demo, demo_content):
    """A page for each player and issued frame, downloads for those in use, the shop's pages, assets, and no more."""
    expected = {"index.html", "404.html", "robots.txt", "assets/style.css", "assets/other.css", MARK, MANIFEST}
    expected |= {"_headers", ".nojekyll", "kept.js"}
    expected |= {f"keep/{language}/index.html" for language in ("de", "en", "es", "fr")}
    expected |= {f"assets/{p.name}" for p in (assets.templates() / "assets").iterdir()} | {"assets/logo.svg"}
    expected |= {f"fonts/{p.name}" for p in assets.fonts().glob("*.woff2")}
    expected |= {f"care/{slug}/index.html" for slug in demo_content.pages if slug != "home"}
    expected |= {f"{e.record.key}/index.html" for e in demo_content.players.values() if e.record.key}
    for entry in demo_content.frames.values():
        frame = entry.record
        if frame.key:
            expected.add(f"{frame.key}/index.html")
        if frame.key and frame.status in ("active", "broken") and not frame.replaced_by:
            expected.add(f"{frame.key}/setup-{frame.number}.json")
            expected |= {f"{frame.key}/photo.{kind}" for kind in ("webp", "jpg") if frame.photo}
            plays = demo_content.players[entry.name.partition("/")[0]].record.plays_a_week
            if frame.status == "active" and plays and any(job.strings for job in frame.jobs):
                expected.add(f"{frame.key}/restring-{frame.number}.ics")
    spoken = {name: e.record.language for name, e in demo_content.players.items()}
    both = [
        (e.record.key, spoken[e.name.partition("/")[0]]) for e in demo_content.frames.values() if not e.record.sealed
    ]
    both += [(e.record.key, spoken[e.name]) for e in demo_content.players.values()]
    expected |= {f"{key}/en/index.html" for key, language in both if key and language not in ("", "en")}
    assert set(unsealed(built_demo, demo_content)) == expected
    sealed = {e.record.key for e in demo_content.frames.values() if e.record.sealed}
    shut = [name for name in files_of(built_demo) if name.partition("/")[0] in sealed]
    assert len(sealed) == 1 and len(shut) == 3
    assert all(re.fullmatch(r"\w{26}/(index\.html|\w{8}\.bin)", name) for name in shut)


def test_cards_stand_beside_the_pages_they_belong_to(with_cards, built_demo, demo_content):
    """With cards each open passport has one more file, linked there; else only those pages and the manifest differ."""
    folder, report = with_cards
    plain, more = unsealed(built_demo, demo_content), unsealed(folder, demo_content)
    cards = set(more) - set(plain)
    assert not set(plain) - set(more)
    setups = {name for name in plain if "/setup-" in name and numbers.is_key(name.partition("/")[0])}
    assert cards == {name.replace("setup-", "card-").replace(".json", ".pdf") for name in setups}
    lie_open = len([name for name in files_of(folder) if name.endswith(".pdf")])
    assert report.cards == lie_open + 1 > 10, "one frame of the demo is sealed, and its card with it"
    for card in cards:
        assert more[card].startswith(b"%PDF-")
        assert Path(card).name in Page(more[card.partition("/")[0] + "/index.html"].decode()).links
    keys = [card.partition("/")[0] for card in cards]
    with_card = {f"{key}/{page}" for key in keys for page in ("index.html", "en/index.html")} & set(plain)
    assert {name for name in plain if plain[name] != more[name]} == with_card | {MANIFEST}


def test_counts_are_those_of_the_site(with_cards):
    """What a build reports is what it wrote; the site's mark and its manifest are not counted."""
    folder, report = with_cards
    files = {name: data for name, data in files_of(folder).items() if name not in (MARK, MANIFEST)}
    assert (report.files, report.size) == (len(files), sum(map(len, files.values())))
    first = [n for n in files if numbers.is_key(n.split("/")[0]) and n.split("/")[1:] == ["index.html"]]
    assert report.frames + report.players == len(first)  # a second language's page is not counted


def test_addresses_are_keys_of_130_bits(built_demo, demo_content):
    """Every folder of a passport or player is a key of at least 120 bits, the record's own, and no number is an address."""
    folders = {name.split("/")[0] for name in files_of(built_demo) if "/" in name} - {"assets", "fonts", "care", "keep"}
    assert all(numbers.is_key(folder) for folder in folders)
    assert numbers.KEY_BITS >= 120
    records = [*demo_content.frames.values(), *demo_content.players.values()]
    assert folders == {e.record.key for e in records if e.record.key}


def test_every_page_is_sound(pages):
    """No page of the demo has inline style, script or handler, a broken structure or a label of nothing."""
    assert len(pages) > 25
    for name, page in pages.items():
        assert not inline_parts(page), name
        assert not faults(page), name


def targets(name: str, page: Page) -> Iterator[tuple[str, str]]:
    """The links inside the site as paths from its root, with the link itself."""
    for link in page.links:
        parts = urlsplit(link)
        if not parts.scheme and not parts.netloc and parts.path:
            start = Path("/") / name
            path = Path("/") / parts.path if parts.path.startswith("/") else start.parent / unquote(parts.path)
            target = Path(*_flat(path))
            yield (
                (f"{target.as_posix()}/index.html" if parts.path.endswith("/") else target.as_posix()).lstrip("./"),
                link,
            )


def _flat(path: Path) -> list[str]:
    found: list[str] = []
    for part in path.parts[1:]:
        if part == "..":
            found.pop()
        elif part != ".":
            found.append(part)
    return found


def test_every_link_inside_the_site_leads_somewhere(built_demo, pages):
    """No page links to a page, file or picture that is not there."""
    files, count = set(files_of(built_demo)), 0
    for name, page in pages.items():
        for target, link in targets(name, page):
            assert target in files, f"{name} links to {link}"
            count += 1
    assert count > 100


def test_from_disk_every_link_names_a_file(tmp_path):
    """Built to be opened from disk, every link names the file itself, and each is there."""
    built(DEMO, tmp_path / "site", from_disk=True)
    files = set(files_of(tmp_path / "site"))
    for name, page in pages_of(tmp_path / "site").items():
        for target, link in targets(name, page):
            assert not link.endswith("/"), f"{name} links to {link}"
            assert target in files, f"{name} links to {link}"


def test_styles_load_only_what_is_there(built_demo):
    """Every font and picture that the style sheet asks for is in the site."""
    style = (built_demo / "assets/style.css").read_text(encoding="utf-8")
    asked = re.findall(r"url\([\"']?([^)\"']+)", style)
    assert asked
    for address in asked:
        assert (built_demo / "assets" / address).is_file(), address
    sizes = sum(p.stat().st_size for p in (built_demo / "fonts").iterdir())
    assert sizes < 70_000, "fonts that a phone has to load"


def test_nothing_leads_elsewhere_but_to_the_workshop(pages, demo_facts):
    """No page links outside the site except to call or write to the workshop, and no page tells where it came from."""
    shop = demo_facts.shop
    allowed = {f"mailto:{shop.email}", "tel:" + re.sub(r"[^\d+]", "", shop.phone)}
    for name, page in pages.items():
        outside = {link for link in page.links if urlsplit(link).scheme or urlsplit(link).netloc}
        # A request for a restring fills in subject and text, and nobody else to write to (RFC 6068: to, cc, bcc).
        filled = {link for link in outside if link.startswith("mailto:") and "?" in link}
        assert all(parse_qs(urlsplit(link).query).keys() == {"subject", "body"} for link in filled), name
        assert outside - filled | {link.partition("?")[0] for link in filled} <= allowed, name


def test_public_pages_list_nobody(pages, demo_content):
    """The pages that anybody can find hold no key, no number, no player's name and no label of a set."""
    told = {e.record.key for e in [*demo_content.frames.values(), *demo_content.players.values()]} - {""}
    told |= {e.record.number for e in demo_content.frames.values()} - {""}
    told |= {e.record.name for e in demo_content.players.values()}
    public = [name for name in pages if not numbers.is_key(name.split("/")[0])]
    assert len(public) > 4
    for name in public:
        assert not [t for t in told if t in pages[name].html], name


def test_no_page_holds_a_key_of_another_player(built_demo, demo_content):
    """In the folder of a frame or player stands no other player's key, in no file; a frame's own player's neither."""
    owner = {e.record.key: name for name, e in demo_content.players.items() if e.record.key}
    player_keys = set(owner)
    owner |= {e.record.key: name.partition("/")[0] for name, e in demo_content.frames.items() if e.record.key}
    for name, data in files_of(built_demo).items():
        folder = name.split("/")[0]
        if folder not in owner:
            continue
        held = {key for key in owner if key.encode() in data or key.lower().encode() in data}
        assert {owner[key] for key in held} <= {owner[folder]}, name
        if folder not in player_keys:
            assert not held & player_keys, f"{name} gives away the player's page"


def test_robots_may_read_that_they_must_not_list(built_demo, pages, demo_content):
    """robots.txt blocks nothing, since a page that is blocked never has its noindex read; every passport has one."""
    robots = urllib.robotparser.RobotFileParser()
    text = (built_demo / "robots.txt").read_text(encoding="utf-8")
    robots.parse(text.splitlines())
    key = next(e.record.key for e in demo_content.frames.values() if e.record.key)
    assert robots.can_fetch("anybot", f"https://x.example/{key}/")
    assert "sitemap" not in text.lower()
    assert not [k for k in (e.record.key for e in demo_content.frames.values()) if k and k in text]
    for name, page in pages.items():
        if numbers.is_key(name.split("/")[0]):
            assert "noindex" in page.meta("robots")[0], name


def readable(name: str, data: bytes) -> str:
    """All that can be read in a file: its text, also with entities and folds undone, and a PDF's text and metadata."""
    if name.endswith(".pdf"):
        return _pdf_text(data)
    if name.endswith((".woff2", ".png", ".webp", ".avif", ".jpg", ".bin")):
        return data.decode("latin-1")
    text = data.decode()
    return "\n".join((text, html.unescape(text), text.replace("\r\n ", "").replace("\\", "")))


def _pdf_text(data: bytes) -> str:
    import io

    import pypdf
    import pypdfium2

    document = pypdfium2.PdfDocument(data)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    reader = pypdf.PdfReader(io.BytesIO(data))
    xmp = reader.trailer["/Root"].get("/Metadata")
    packet = xmp.get_object().get_data().decode() if xmp else ""
    assert text.strip()
    return "\n".join((text, repr(reader.metadata), html.unescape(packet)))


def squeezed(text: str) -> str:
    """A text without white space, in small letters: a line break hides nothing."""
    return re.sub(r"\s+", "", text).lower()


def test_no_private_value_is_anywhere(with_cards, demo_content):
    """No contact, price, note, full name or serial that the demo's records keep private is in any file of the site.

    Searched in file names, pages, data, calendars, styles, and the text and metadata of the cards.
    """
    folder, _ = with_cards
    private = {squeezed(value) for value in private_values(demo_content)}
    assert len(private) > 60
    assert min(map(len, private)) >= 5
    searched = 0
    for files in (files_of(folder), unsealed(folder, demo_content)):
        for name, data in files.items():
            text = squeezed(name + readable(name, data))
            found = [value for value in private if value in text]
            assert not found, name
            searched += len(data)
    assert searched > 500_000


def test_what_is_public_can_be_found_by_the_same_search(with_cards, demo_content):
    """The search of the test above does find what is meant to be seen, in pages, data, calendars and cards alike."""
    folder, _ = with_cards
    entry = next(e for e in demo_content.frames.values() if e.record.key and e.record.status == "active")
    files = {n: d for n, d in files_of(folder).items() if n.startswith(entry.record.key)}
    assert {Path(n).suffix for n in files} == {".html", ".json", ".ics", ".pdf"}
    for name, data in files.items():
        assert squeezed(entry.record.number) in squeezed(readable(name, data)), name


def test_two_builds_are_the_same(built_demo, tmp_path):
    """The same records give the same bytes, calendar files with their identities included."""
    built(DEMO, tmp_path / "other")
    assert files_of(tmp_path / "other") == files_of(built_demo)


def test_data_files_are_json(built_demo, demo_content):
    """Each setup file is readable data with the number of its passport."""
    known = {e.record.key: e.record.number for e in demo_content.frames.values()}
    found = [path for path in built_demo.glob("*/setup-*.json") if numbers.is_key(path.parent.name)]
    assert len(found) > 10
    for path in found:
        assert json.loads(path.read_text(encoding="utf-8"))["number"] == known[path.parent.name]


def test_an_error_while_building_keeps_the_old_site(tmp_path, built_demo, monkeypatch):
    """When one card cannot be made the old site stays as it was, whole, and the refusal says which."""
    import shutil

    target = tmp_path / "site"
    shutil.copytree(built_demo, target)
    before = files_of(target)
    made: list[str] = []

    def card(frame, shop):
        made.append(frame.number)
        if len(made) == 3:
            raise RuntimeError("no ink")
        return b"%PDF-"

    monkeypatch.setattr(tasks, "_card_pdf", card)
    with pytest.raises(Refused, match=r"passport .*: RuntimeError: no ink") as refused:
        built(DEMO, target, cards=True)
    assert made[2] in str(refused.value)
    assert files_of(target) == before
    assert [p.name for p in tmp_path.iterdir()] == ["site"]


def test_progress_names_what_is_made_and_comes_to_its_end(demo_facts, tmp_path):
    """Progress goes on up to the total and never back, and says what is being made."""
    telling = Silent()
    built(DEMO, tmp_path / "site", telling=telling)
    done = [done for _, done, _ in telling.steps]
    assert all(after > before - 1e-9 for before, after in pairwise(done))
    assert all(done < total + 1e-9 for _, done, total in telling.steps)
    assert telling.steps[-1][1] == telling.steps[-1][2]
    assert f"passport {demo_facts.frames[0].number}" in [name for name, _, _ in telling.steps]


def test_closed_passports_have_a_page_and_nothing_beside_it(tmp_path):
    """In the folder of a lost, retired or replaced frame stands its page alone."""
    built(write(tmp_path / "content"), tmp_path / "site")
    for name in ("gone", "done", "torn"):
        assert [p.name for p in (tmp_path / "site" / KEYS[name]).iterdir()] == ["index.html"]
    open_ = {p.name for p in (tmp_path / "site" / KEYS["split"]).iterdir()}
    assert open_ == {"index.html", f"setup-{NUMBERS['split']}.json"}


def test_a_site_below_a_path(tmp_path):
    """Under an address with a path the page for wrong addresses finds the site, and reminders lead to the passport."""
    built(write(tmp_path / "content"), tmp_path / "site")
    links = Page((tmp_path / "site/404.html").read_text(encoding="utf-8")).links
    assert "/p/assets/style.css" in links
    (calendar,) = (tmp_path / "site" / KEYS["main"]).glob("*.ics")
    text = calendar.read_text(encoding="utf-8").replace("\r\n ", "").replace("\n ", "")
    assert f"URL:https://cards.bench-nine.example/p/{KEYS['main']}/" in text
    assert f"UID:{KEYS['main'].lower()}-restring@cards.bench-nine.example" in text


def test_photos_hold_nothing_of_the_camera(built_demo, demo_content):
    """Nothing that the camera wrote into the demo's photo, and not its name, is in any file of the site."""
    (photo,) = {e.record.photo for e in demo_content.frames.values()} - {""}
    with Image.open(DEMO / "photos" / photo) as opened:
        written = opened.getexif()
    assert written.get_ifd(ExifTags.IFD.GPSInfo), "the photo says where it was taken"
    told = [str(written[tag]).encode() for tag in (ExifTags.Base.Make, ExifTags.Base.Model, ExifTags.Base.DateTime)]
    told += [photo.encode(), Path(photo).stem.encode(), b"Exif\0"]
    for name, data in files_of(built_demo).items():
        assert not [sign for sign in told if sign in data], name


def test_a_player_may_keep_photos_to_themselves(tmp_path):
    """Where the player does not want photos shown, neither the page nor the site has one."""
    photos = tmp_path / "content/photos"
    photos.mkdir(parents=True)
    (photos / "a.jpg").write_bytes(camera())
    head = "photo: a.jpg\nphoto_alt: A racquet\n"
    frame = {f"players/{who}.yaml": head + FILES[f"players/{who}.yaml"] for who in ("ada/main", "bo/only")}
    hidden = {"players/bo/player.yaml": f"name: Bo\nkey: {KEYS['bo']}\nshows: {{photos: no}}\n"}
    built(write(tmp_path / "content", {**frame, **hidden}), tmp_path / "site")
    names = [name for name in files_of(tmp_path / "site") if "photo" in name]
    assert sorted(names) == [f"{KEYS['main']}/photo.jpg", f"{KEYS['main']}/photo.webp"]
    assert not pages_of(tmp_path / "site")[f"{KEYS['only']}/index.html"].all("picture")


def test_what_hosts_read_and_legal_pages_stand_where_they_are_looked_for(tmp_path):
    """_headers, .nojekyll and 404.html at the top, legal pages in a folder of their own; a shop's own _headers wins."""
    changes = {"pages/imprint.md": "# Imprint\n\nBench Nine.", "pages/imprint.de.md": "# Impressum\n\nBench Nine."}
    built(write(tmp_path / "shop", changes), tmp_path / "site")
    files = files_of(tmp_path / "site")
    assert files[".nojekyll"] == b"" and b"nosniff" in files["_headers"] and "404.html" in files
    assert {name for name in files if name.startswith("legal/")} == {
        "legal/imprint/index.html",
        "legal/imprint.de/index.html",
    }
    built(write(tmp_path / "shop", {"public/_headers": "/*\n  X-Own: yes\n"}), tmp_path / "site")
    assert files_of(tmp_path / "site")["_headers"] == b"/*\n  X-Own: yes\n"
