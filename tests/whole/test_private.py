"""What is private stays private, and what is one player's stays with that player: every byte of a site searched."""

import zlib
from pathlib import Path

import pytest
import smallshop
from building import built, built_of
from canaries import marked, private_fields
from everybyte import Searched, squeezed

from passport.records.schema import numbers


@pytest.fixture(scope="module")
def searched(demo_content, tmp_path_factory):
    """The demo with a mark of its own in every text, built with cards and searched; the marks; whose each folder is."""
    content, known = marked(demo_content)
    site = tmp_path_factory.mktemp("marked") / "site"
    built_of(content, site, cards=True)
    told = set(known) | {squeezed(text) for text in _told(content)}
    owners = {
        e.record.key: name.partition("/")[0] for table in (content.players, content.frames) for name, e in table.items()
    }
    return Searched(site, told), known, owners, content


def _told(content) -> set[str]:
    """Numbers and keys of frames and players."""
    records = [e.record for e in (*content.frames.values(), *content.players.values())]
    return {text for r in records for text in (r.key, getattr(r, "number", "")) if text}


def test_every_private_field_has_a_mark(searched):
    """No private text of any record type is left out: the demo has at least one of each."""
    _, known, _, _ = searched
    assert {canary.field for canary in known.values() if canary.private} == private_fields(texts=True)


def test_no_private_mark_is_anywhere(searched, counted):
    """No mark of a private field is in any byte of the site: pages, data, calendars, cards, metadata, file names."""
    found, known, _, _ = searched
    private = [mark for mark, canary in known.items() if canary.private]
    assert {mark: found.where(mark) for mark in private if found.where(mark)} == {}
    assert len(private) > 100
    assert found.files > 60
    counted(
        f"private texts: {len(private)} canaries in {len(private_fields(texts=True))} fields searched in {found.files} files, "
        f"{found.size / 1e6:.1f} MB, 0 found"
    )


def test_the_search_finds_what_is_public(searched):
    """The same search finds the public marks: in pages, data, calendars and cards of the player whose they are."""
    found, known, _, _ = searched
    public = {mark: canary for mark, canary in known.items() if not canary.private}
    seen = {canary.field for mark, canary in public.items() if found.where(mark)}
    assert {"Player.name", "Frame.label", "Frame.serial", "Frame.set", "Job.note", "Setup.note", "Stencil.ink"} <= seen
    kinds = {Path(name).suffix for mark in public for name in found.where(mark)}
    assert {".html", ".json", ".ics", ".pdf"} <= kinds


def test_no_page_shows_what_is_another_players(searched, counted):
    """No text, number or key of one player is in any file of another's page, card or data, or on a page for everybody."""
    found, known, owners, content = searched
    whose = {mark: canary.owner for mark, canary in known.items() if canary.owner}
    for table in (content.players, content.frames):
        for name, entry in table.items():
            told = (entry.record.key, getattr(entry.record, "number", ""))
            whose |= {squeezed(text): name.partition("/")[0] for text in told if text}
    leaks = []
    for name, marks in found.found.items():
        folder = name.split("/")[0]
        owner = owners.get(folder) if numbers.is_key(folder) else None
        leaks += [(name, mark) for mark in marks if mark in whose and whose[mark] != owner]
    assert leaks == []
    assert len(set(whose.values())) >= 6
    counted(
        f"other players' texts: {len(whose)} canaries of {len(set(whose.values()))} players searched in {found.files} "
        "files, 0 found outside their own"
    )


def test_frames_of_two_players_strung_in_one_go_stay_apart(tmp_path):
    """The same recipe on the same day for two players is no reason to name one on the other's page."""
    job = """\
model: larch-98
label: {label}
set: pair
jobs:
  - date: 2026-03-02
    strings: {{mains: {{string: reed-125, tension: 52 lb, batch: A7}}}}
    readings: {{mass: 331.5 g, ring: {ring}, age: 15 min}}
"""
    frames = [("ada", "main", "QZADA", "580 Hz"), ("ada", "twin", "QZADA", "581 Hz"), ("bo", "only", "QZBO", "541 Hz")]
    changes = {
        f"players/{player}/{name}.yaml": smallshop._frame(name, job.format(label=label, ring=ring))
        for player, name, label, ring in frames
    }
    built(smallshop.write(tmp_path / "c", changes), tmp_path / "site")
    found = Searched(tmp_path / "site", {"qzada", "qzbo"}).found
    folders = {name.split("/")[0]: marks for name, marks in found.items() if marks}
    assert folders[smallshop.KEYS["bo"]] == folders[smallshop.KEYS["only"]] == {"qzbo"}
    assert folders[smallshop.KEYS["ada"]] == folders[smallshop.KEYS["main"]] == {"qzada"}
    assert set(folders) == {smallshop.KEYS[name] for name in ("ada", "bo", "main", "twin", "only")}


def test_keys_come_from_the_systems_secure_source(monkeypatch):
    """A key is made of nothing but what the operating system's secure source gives, at least 120 bits of it."""
    asked = []

    def source(count):
        asked.append(count)
        return bytes(range(count))

    monkeypatch.setattr("secrets.token_bytes", source)
    assert numbers.new_key() == numbers.ALPHABET[:26]
    assert sum(asked) >= numbers.KEY_LENGTH
    assert numbers.KEY_BITS >= 120


@pytest.mark.parametrize("hidden", ["plain", "entity", "packed", "gzip", "wide", "name", "pdf", "picture", "percent"])
def test_the_search_sees_through(tmp_path, hidden):
    """A mark is found in plain text, entities, packed streams, wide characters, names, and a PDF's or picture's metadata."""
    mark = "zqbcdf"
    path = tmp_path / "file.html"
    if hidden == "name":
        (tmp_path / f"{mark}.txt").write_text("x")
    elif hidden == "pdf":
        import pypdf

        writer = pypdf.PdfWriter()
        writer.add_blank_page(100, 100)
        writer.add_metadata({"/Subject": f"ü {mark}"})
        writer.write(tmp_path / "file.pdf")
    elif hidden == "picture":
        from PIL import Image

        exif = Image.Exif()
        exif[0x010E] = mark
        Image.new("RGB", (4, 4)).save(tmp_path / "file.jpg", exif=exif)
    else:
        import gzip

        path.write_bytes(
            {
                "plain": b"<p>zq<b>bc</b>\ndf</p>",
                "entity": b"&#122;qbcdf",
                "packed": b"xx" + zlib.compress(mark.encode()) + b"yy",
                "gzip": b"xx" + gzip.compress(mark.encode()),
                "wide": mark.encode("utf-16-be"),
                "percent": b"%7Aqbcdf",
            }[hidden]
        )
    found = Searched(tmp_path, {mark})
    assert len(found.where(mark)) == 1
