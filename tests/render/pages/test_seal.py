"""Sealed pages: what stands on the host tells nothing, and the secret in the printed code opens it."""

import base64
import hashlib
import hmac
import io
import re
from pathlib import Path
from urllib.parse import urlsplit

import building
import pytest
import smallshop
from cryptography.exceptions import InvalidTag
from everybyte import Searched
from htmlread import Page, faults, inline_parts
from hypothesis import given
from hypothesis import strategies as st
from sealread import expand, opened

from passport.acts.refused import Faulty
from passport.publish.outputs.tasks import SiteContext, frame_tasks, made
from passport.records.schema import numbers
from passport.render.pages import seal
from passport.render.pages.data import setup_json
from passport.render.theme.address import public_address
from passport.workshop.gathering.gather import site_facts

SECRET = "7K2M9QX4C8VTRN5B3WJH6YDPZ1GSFA0E"
OTHER = "0" * 32
KEY = smallshop.KEYS["main"]
MAIN = "players/ada/main.yaml"
TORN, FRESH = "players/ada/torn.yaml", "players/ada/fresh.yaml"
PLACE = f"{KEY}/index.html"


def as_sealed(name: str, secret: str = SECRET) -> dict[str, str]:
    """The small workshop's file with its frame sealed."""
    return {name: smallshop.FILES[name] + f"sealed: yes\nsecret: {secret}\n"}


# --- one file --------------------------------------------------------------------------------------------------


def test_the_derivation_is_that_of_the_standard():
    """The two steps written here give the first test vector of RFC 5869, appendix A.3 (SHA-256, no salt, no info)."""
    wanted = "8da4e775a563c18f715f802a063c5a31b8a11f5c5ee1879ec3454e5f3c738d2d"
    assert expand(b"\x0b" * 22, b"").hex() == wanted


@given(st.binary(max_size=3000), st.text(seal.ALPHABET, min_size=32, max_size=32))
def test_what_is_sealed_is_opened_with_its_secret_alone(data, secret):
    """Content and what is said of it come back with the secret; with another secret or in another place nothing does."""
    box = seal.sealed(data, {"name": "x", "type": "y"}, secret, PLACE)
    assert opened(box, secret, PLACE) == ({"name": "x", "type": "y"}, data)
    other = ("1" if secret[0] == "0" else "0") + secret[1:]
    for wrong in ((other, PLACE), (secret, f"{KEY}/ABCDEFGH.bin")):
        with pytest.raises(InvalidTag):
            opened(box, *wrong)


@given(st.binary(max_size=200), st.data())
def test_any_changed_byte_is_noticed(data, draw):
    """A sealed file that was changed anywhere, in nonce, content or tag, does not open."""
    box = bytearray(seal.sealed(data, {}, SECRET, PLACE, 64))
    box[draw.draw(st.integers(0, len(box) - 1))] ^= draw.draw(st.integers(1, 255))
    with pytest.raises(InvalidTag):
        opened(bytes(box), SECRET, PLACE)


@given(st.binary(max_size=40_000))
def test_the_size_tells_little(data):
    """A sealed file is whole blocks long, with nonce and tag."""
    assert (len(seal.sealed(data, {}, SECRET, PLACE)) - 28) % seal.FILE_BLOCK == 0
    assert len(seal.padded(data, 64)) % 64 == 0


@given(st.binary(max_size=50), st.binary(max_size=50))
def test_the_same_gives_the_same_and_another_a_nonce_of_its_own(one, other):
    """Sealing is repeatable; another content, place or secret has another nonce, so that none is used twice."""
    first = seal.sealed(one, {}, SECRET, PLACE)
    assert seal.sealed(one, {}, SECRET, PLACE) == first
    if one != other:
        assert seal.sealed(other, {}, SECRET, PLACE)[:12] != first[:12]
    assert seal.sealed(one, {}, SECRET, PLACE + "x")[:12] != first[:12]
    assert seal.sealed(one, {}, OTHER, PLACE)[:12] != first[:12]


def test_nothing_is_sealed_without_a_secret():
    """An empty secret is an error, never a file that anybody can open."""
    with pytest.raises(ValueError, match="without a secret"):
        seal.sealed(b"x", {}, "", PLACE)


def test_names_do_not_tell_what_they_are_of():
    """Each kind of file has a name of its own under each secret, and none of them names the kind."""
    kinds = ("data", "card", "reminder", "photo", "photo-jpeg")
    found = {seal.sealed_name(secret, kind) for kind in kinds for secret in (SECRET, OTHER)}
    assert len(found) == 10
    assert all(re.fullmatch(rf"[{seal.ALPHABET}]{{8}}\.bin", name) for name in found)


def test_secrets_have_160_bits_of_the_systems_secure_source():
    """A secret is 32 characters of 5 bits, another one each time, in the form that records ask for."""
    made = {numbers.new_secret() for _ in range(50)}
    assert len(made) == 50
    assert all(numbers.is_secret(secret) for secret in made)
    assert numbers.SECRET_LENGTH * 5 == 160


# --- the site --------------------------------------------------------------------------------------------------


def built(tmp_path: Path, changes: dict[str, str], *, cards: bool = False) -> Path:
    """A site of the small workshop with changes."""
    building.built(smallshop.write(tmp_path / "content", changes), tmp_path / "site", cards=cards)
    return tmp_path / "site"


def box_of(site: Path, key: str) -> bytes:
    """The sealed page at a key."""
    found = re.search(r'data-box="([^"]+)"', (site / key / "index.html").read_text(encoding="utf-8"))
    assert found
    return base64.b64decode(found[1])


def test_the_same_page_and_files_are_inside(tmp_path):
    """Opened, a sealed frame has the very page and files that it would have unsealed."""
    plain = built(tmp_path / "plain", {MAIN: smallshop.FILES[MAIN]}, cards=True)
    site = built(tmp_path / "sealed", as_sealed(MAIN), cards=True)
    about, page = opened(box_of(site, KEY), SECRET, PLACE)
    assert page == (plain / PLACE).read_bytes()
    before = {p.name for p in (plain / KEY).iterdir()} - {"index.html"}
    assert set(about["files"]) == before
    assert {p.name for p in (site / KEY).iterdir()} == {"index.html", *about["files"].values()}
    for name, box in about["files"].items():
        said, data = opened((site / KEY / box).read_bytes(), SECRET, f"{KEY}/{box}")
        assert said["name"] == name
        if not name.endswith(".pdf"):
            assert data == (plain / KEY / name).read_bytes()
        else:
            assert data.startswith(b"%PDF-")


def test_without_the_secret_the_site_tells_nothing(tmp_path, counted):
    """No fact, name, number or file name of a sealed frame is in any byte of the site, and no page leads there."""
    marks = {"label: Main": "label: Qzlabel", "shape: Ring": "shape: Qzshape", "set: pair": "set: Qzset"}
    marks |= {"grip: L3": "grip: Qzgrip", "note: Said": "note: Qznote", "3 and 9,": "3 and 9, note: Qzpart,"}
    changed = as_sealed(MAIN)[MAIN]
    for old, new in marks.items():
        assert old in changed
        changed = changed.replace(old, new)
    told = {
        "qzlabel",
        "qzshape",
        "qzset",
        "qzgrip",
        "qznote",
        "qzpart",
        "tl-1",
        smallshop.NUMBERS["main"],
        SECRET.lower(),
    }
    # A name of three letters stands by chance in one box of base64 among thirty; this one does in none.
    person = smallshop.FILES["players/ada/player.yaml"].replace("name: Ada", "name: Qzperson")
    site = built(tmp_path, {MAIN: changed, "players/ada/player.yaml": person}, cards=True)
    found = Searched(site, told | {KEY.lower()})
    assert {mark: found.where(mark) for mark in told if found.where(mark)} == {}
    assert all(name.startswith(KEY) for name in found.where(KEY.lower()))
    inside = Page((site / PLACE).read_text(encoding="utf-8"))
    others = [
        Page((site / k / "index.html").read_text(encoding="utf-8"))
        for k in (smallshop.KEYS["gone"], smallshop.KEYS["done"])
    ]
    assert all(KEY not in link for page in others for link in page.links)
    assert "Qzperson" not in inside.html
    assert any("Qzperson" in page.html for page in map(Page, (p.read_text() for p in site.rglob("index.html"))))
    assert SECRET not in inside.html
    counted(f"sealed page: {len(told)} facts searched in {found.files} files, {found.size / 1e6:.1f} MB, 0 found")


def test_two_sealed_pages_look_alike(tmp_path):
    """But for the box and the key, the page of one sealed frame is that of any other, lost and retired ones too."""
    names = {
        "players/ada/gone.yaml": "gone",
        "players/ada/done.yaml": "done",
        MAIN: "main",
        "players/bo/only.yaml": "only",
    }
    changes = {k: v for i, name in enumerate(names) for k, v in as_sealed(name, SECRET[:-1] + str(i)).items()}
    site = built(tmp_path, changes)
    shells = set()
    for name in names.values():
        text = (site / smallshop.KEYS[name] / "index.html").read_text(encoding="utf-8")
        shells.add(re.sub(r'data-box="[^"]+"', "", text).replace(smallshop.KEYS[name], ""))
    assert len(shells) == 1


def test_the_players_page_only_counts_it(tmp_path):
    """On the player's page a sealed frame is neither named nor shown nor compared: there is one more, and no more of it."""
    site = built(tmp_path, as_sealed(MAIN))
    page = Page((site / smallshop.KEYS["ada"] / "index.html").read_text(encoding="utf-8"))
    assert "1 more passport is sealed" in page.words
    assert KEY not in page.html
    assert smallshop.NUMBERS["main"] not in page.html
    assert "Main" not in page.words
    assert smallshop.NUMBERS["twin"] in page.words
    open_page = Page((site / smallshop.KEYS["bo"] / "index.html").read_text(encoding="utf-8"))
    assert "sealed" not in open_page.words


def test_an_open_page_does_not_name_a_sealed_one(tmp_path):
    """The page of a frame before or after a sealed one says neither its number nor its address; a sealed one may."""
    site = built(tmp_path / "new", as_sealed(FRESH))
    old = (site / smallshop.KEYS["torn"] / "index.html").read_text(encoding="utf-8")
    assert "has a successor" in old
    assert smallshop.KEYS["fresh"] not in old
    assert smallshop.NUMBERS["fresh"] not in old
    site = built(tmp_path / "old", as_sealed(TORN))
    new = (site / smallshop.KEYS["fresh"] / "index.html").read_text(encoding="utf-8")
    assert smallshop.KEYS["torn"] not in new
    assert smallshop.NUMBERS["torn"] not in new
    both = as_sealed(TORN) | as_sealed(FRESH, OTHER)
    site = built(tmp_path / "both", both)
    place = f"{smallshop.KEYS['torn']}/index.html"
    _, page = opened(box_of(site, smallshop.KEYS["torn"]), SECRET, place)
    assert f"../{smallshop.KEYS['fresh']}/#{OTHER}" in Page(page.decode()).links


def test_the_outer_page_is_sound(tmp_path):
    """It has no inline parts, no fault of structure, asks search engines to stay away, and reaches its own site alone."""
    page = Page((built(tmp_path, as_sealed(MAIN)) / PLACE).read_text(encoding="utf-8"))
    assert not inline_parts(page)
    assert not faults(page)
    assert "noindex" in page.meta("robots")[0]
    (policy,) = page.meta("Content-Security-Policy")
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "connect-src 'self';" in policy
    assert "img-src 'self' blob:;" in policy


def test_a_sealed_frame_without_a_secret_is_never_published(tmp_path):
    """A record that says sealed and has no secret is an error, and so is making its page from facts without one."""
    content, found = smallshop.read(tmp_path / "content", {MAIN: smallshop.FILES[MAIN] + "sealed: yes\n"})
    assert [fault.rule for fault in found if fault.severity == "error"] == ["no-secret"]
    with pytest.raises(Faulty):
        building.built(content.root, tmp_path / "site")
    assert not (tmp_path / "site").exists()
    site = site_facts(content)
    for task in frame_tasks(smallshop.of(site, "ada/main"), SiteContext(site.shop)):
        with pytest.raises(ValueError, match="no secret"):
            made(task)


def test_a_photo_is_sealed_too(tmp_path):
    """Beside a sealed page no photo can be looked at; opened, it is the one of the page."""
    from PIL import Image

    content = smallshop.write(tmp_path / "content", {
        MAIN: smallshop.FILES[MAIN] + f"photo: p.jpg\nphoto_alt: The racquet\nsealed: yes\nsecret: {SECRET}\n"
    })  # fmt: skip
    (content / "photos").mkdir()
    Image.new("RGB", (300, 200), (200, 30, 30)).save(content / "photos/p.jpg")
    building.built(content, tmp_path / "site")
    about, _ = opened(box_of(tmp_path / "site", KEY), SECRET, PLACE)
    box = about["files"]["photo.webp"]
    said, data = opened((tmp_path / "site" / KEY / box).read_bytes(), SECRET, f"{KEY}/{box}")
    assert said == {"name": "photo.webp", "type": "image/webp"}
    assert Image.open(io.BytesIO(data)).size == (300, 200)
    assert not [p.name for p in (tmp_path / "site" / KEY).iterdir() if p.suffix in (".webp", ".jpg")]


# --- the printed code ------------------------------------------------------------------------------------------


def test_the_secret_stands_behind_the_number_sign(tmp_path):
    """The printed address has the secret in its fragment, which no browser sends (RFC 3986, 3.5), and nowhere else."""
    shop = smallshop.facts(tmp_path / "content").shop
    address = public_address(shop, KEY, SECRET)
    assert urlsplit(address).fragment == SECRET
    assert SECRET not in address.partition("#")[0]
    assert public_address(shop, KEY) == address.partition("#")[0]


@pytest.mark.parametrize("kind", ["card", "tag", "sticker"])
def test_printed_pieces_carry_the_secret(tmp_path, kind):
    """The code on card, tag and sticker of a sealed frame, read from the PDF by another package, opens its page."""
    from passport.render.print import pdf

    missing = pdf.available()
    if missing:
        pytest.skip(missing.splitlines()[0])
    import pypdfium2
    import zxingcpp

    from passport.render.print.card import card_pdf
    from passport.render.print.sticker import sticker_pdf
    from passport.render.print.tag import tag_pdf

    shop = smallshop.FILES["workshop.yaml"].replace("/p\n", "\n")
    facts = smallshop.facts(tmp_path / "content", as_sealed(MAIN) | {"workshop.yaml": shop})
    frame = smallshop.of(facts, "ada/main")
    data = {"card": card_pdf, "tag": tag_pdf, "sticker": sticker_pdf}[kind](frame, facts.shop)
    pages = [page.render(scale=300 / 72).to_pil().convert("L") for page in pypdfium2.PdfDocument(data)]
    read = {found.text for page in pages for found in zxingcpp.read_barcodes(page)}
    assert public_address(facts.shop, KEY, SECRET) in read


def test_nobody_else_gets_the_secret(tmp_path):
    """Neither the setup as data nor the page of a sealed frame holds its secret: who shares them shares no key."""
    frame = smallshop.of(smallshop.facts(tmp_path / "content", as_sealed(MAIN)), "ada/main")
    assert SECRET not in setup_json(frame).decode()
    assert SECRET not in repr(frame)
    site = built(tmp_path, as_sealed(MAIN))
    about, page = opened(box_of(site, KEY), SECRET, PLACE)
    assert SECRET not in page.decode()
    for box in about["files"].values():
        assert SECRET.encode() not in opened((site / KEY / box).read_bytes(), SECRET, f"{KEY}/{box}")[1]


NEWER = smallshop.FILES[MAIN].replace("private_note: SECRET-FRAME", "  - {date: 2026-06-01, readings: {mass: 331.2 g}}\nprivate_note: SECRET-FRAME")  # fmt: skip


def test_an_older_page_says_how_old_it_is(tmp_path):
    """H2: put back after a later job, the older page opens, with another version and the day before that job."""
    told = []
    for text in (smallshop.FILES[MAIN], NEWER):
        site = built(tmp_path / str(len(told)), {MAIN: text + f"sealed: yes\nsecret: {SECRET}\n"})
        about, page = opened(box_of(site, KEY), SECRET, PLACE)
        assert about["version"] == seal.version_of(page)
        assert about["version"] in about["said"]
        told.append(about)
    older, newer = told
    assert (older["day"], newer["day"]) == ("2026-04-02", "2026-06-01")
    assert older["version"] != newer["version"]
    assert "2 April 2026" in older["said"]
    assert "1 June 2026" in newer["said"]


def test_what_is_closed_tells_no_day(tmp_path):
    """The sealed page of a lost frame, which says only that it is lost, tells its version and nothing of its work."""
    site = built(tmp_path, {MAIN: smallshop.FILES[MAIN] + f"status: lost\nsealed: yes\nsecret: {SECRET}\n"})
    about, page = opened(box_of(site, KEY), SECRET, PLACE)
    assert about["day"] == ""
    assert about["said"] == f"This page is version {seal.version_of(page)}."


@given(st.binary(max_size=300), st.binary(max_size=300))
def test_a_version_is_that_of_the_bytes(one, other):
    """The version is a mark of the page's bytes in the letters of keys; what it is of is given by none but those bytes."""
    digest = hashlib.sha256(b"racquet-passport seal 1 version\n" + one).digest()
    mark = seal.version_of(one)
    assert mark.replace("-", "") == "".join(seal.ALPHABET[b % 32] for b in digest[:8])
    assert re.fullmatch(r"[0-9A-Z]{4}-[0-9A-Z]{4}", mark)
    assert (mark == seal.version_of(other)) is (one == other)


def test_the_hash_of_names_is_not_of_the_encryption_key():
    """Names and nonces come from another derived key than the encryption."""
    key = expand(SECRET.encode(), b"racquet-passport seal 1 key")
    nonces = expand(SECRET.encode(), b"racquet-passport seal 1 nonce")
    assert key != nonces
    digest = hmac.digest(nonces, b"name card", hashlib.sha256)
    assert seal.sealed_name(SECRET, "card") == "".join(seal.ALPHABET[b % 32] for b in digest[:8]) + ".bin"
