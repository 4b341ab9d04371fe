"""The manifest on the site: all of it for whoever has the key, a size and nothing else for everybody else."""

from datetime import date

import pytest
import smallshop
from commandline import passport
from everybyte import squeezed
from hypothesis import given, settings
from hypothesis import strategies as st

from passport.publish.folder import manifest
from passport.publish.folder.manifest import FileMark, Sealed, TooNew
from passport.records.ledger import key, ledger
from passport.records.ledger.ledger import CLOSED, ISSUED, LedgerLine
from passport.records.schema import numbers
from passport.render.pages import seal

SECRET = "7" * numbers.SECRET_LENGTH
FRAME = LedgerLine(ISSUED, "A" * 26, "frame", "1042-9", "https://a.example")
PLAYER = LedgerLine(ISSUED, "B" * 26, "player")
DAY = date(2026, 11, 25)
FILE = FileMark("A/index.html", manifest.sum_of(b"page"), 4)


def said(*lines, highest=1042, closed=(), files=(FILE,), secret=SECRET):
    """A manifest of a ledger with these lines."""
    known = ledger.parse(ledger.added("", lines, DAY))
    return manifest.encrypted(manifest.head_of(manifest.manifest_of(known, highest, closed)), files, secret)


def test_whoever_has_the_key_reads_all_of_it():
    """Ledger, highest number, keys, what is closed, files."""
    closed = LedgerLine(CLOSED, "B" * 26, "player")
    found = manifest.opened(said(FRAME, PLAYER, closed), SECRET)
    known = ledger.parse(ledger.added("", [FRAME, PLAYER, closed], DAY))
    assert (found.first, found.last, found.count, found.highest) == (known.first, known.last, 3, 1042)
    assert {(line.key, line.kind, line.number) for line in found.keys} == {
        ("A" * 26, "frame", "1042-9"),
        ("B" * 26, "player", ""),
    }
    assert found.closed == {"B" * 26}
    assert found.files == (FILE,)


def test_what_others_say_is_closed_is_closed():
    """Keys that the ledger has no closing line of are closed in it where somebody else says so."""
    assert manifest.opened(said(FRAME, closed=["A" * 26, "C" * 26]), SECRET).closed == {"A" * 26, "C" * 26}


def test_the_hash_of_a_file_is_the_one_of_the_standard():
    """BLAKE2b with 16 bytes (RFC 7693): of 'abc' as ``b2sum -l 128`` of GNU coreutils prints it."""
    assert manifest.sum_of(b"abc") == "cf4ab791c62b8d2b2109c90275287816"


@pytest.mark.parametrize("wrong", ["8" * numbers.SECRET_LENGTH])
def test_another_key_opens_nothing(wrong):
    """Nor does a changed byte."""
    data = said(FRAME)
    with pytest.raises(Sealed):
        manifest.opened(data, wrong)
    with pytest.raises(Sealed):
        manifest.opened(data[:-1] + bytes([data[-1] ^ 1]), SECRET)


def test_a_newer_one_is_refused():
    """Its form is named."""
    plain = seal.padded(__import__("zlib").compress(b"racquet-passport manifest 9\nx"), manifest.LEAST)
    with pytest.raises(TooNew, match="manifest 9"):
        manifest.opened(seal.encrypted(plain, SECRET, manifest.FILE), SECRET)


@given(st.integers(0, 400), st.integers(0, 400))
@settings(max_examples=20)
def test_its_size_is_one_of_a_few(one, other):
    """Two workshops of a few hundred frames have manifests of one size; it is a power of two beside nonce and tag."""
    sizes = {
        len(said(*(LedgerLine(ISSUED, f"{n:0>26}", "frame", numbers.with_check(n + 1)) for n in range(count))))
        for count in (one, other)
    }
    assert sizes == {manifest.LEAST + seal.NONCE + 16}


def test_the_same_site_has_the_same_manifest():
    """Byte for byte; and with another file another nonce."""
    assert said(FRAME) == said(FRAME)
    other = said(FRAME, files=(FILE, FileMark("b", manifest.sum_of(b""), 0)))
    assert other[: seal.NONCE] != said(FRAME)[: seal.NONCE]


def test_the_site_without_the_key_tells_nothing_of_it(tmp_path, counted):
    """In a real site's manifest no key, number, count, hash or word of it stands, squeezed or not, and the key is nowhere
    on the site. (That pages stand at the addresses anybody sees who can list the host's folder: it is the one list of
    what was closed and given out that must not be readable.)"""
    content = smallshop.write(tmp_path / "content")
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    assert passport("erase", content, "bo", "--site", tmp_path / "site", "--yes").exit_code == 0
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    secret = key.read(content)
    data = (tmp_path / "site" / manifest.FILE).read_bytes()
    known = manifest.opened(data, secret)
    assert len(known.closed) == 2
    canaries = {word for line in known.keys for word in (line.key, line.number) if word}
    canaries |= {known.last, known.first, secret, *(one.sum for one in known.files), *(one.path for one in known.files)}
    assert len(canaries) > 50
    assert not [word for word in canaries if word.encode() in data or squeezed(word).encode() in data.lower()]
    for path in (tmp_path / "site").rglob("*"):
        if path.is_file():
            assert secret.encode() not in path.read_bytes()
    on_disk = {
        p.relative_to(tmp_path / "site").as_posix(): p.read_bytes()
        for p in (tmp_path / "site").rglob("*")
        if p.is_file()
    }
    listed = {one.path: one.sum for one in known.files}
    assert listed == {
        path: manifest.sum_of(data)
        for path, data in on_disk.items()
        if path not in (manifest.FILE, ".racquet-passport")
    }
    counted(f"manifest: {len(canaries)} words searched in it without its key, 0 found; {len(listed)} files as listed")


def test_nothing_but_what_changed_is_written(tmp_path):
    """A build that changes one page keeps all other files and says the new hash; one that changes nothing keeps it."""
    content = smallshop.write(tmp_path / "content")
    site = tmp_path / "site"
    assert passport("build", content, "--out", site, "--no-cards").exit_code == 0
    first = manifest.read(site, key.read(content))
    assert passport("build", content, "--out", site, "--no-cards").exit_code == 0
    assert manifest.read(site, key.read(content)) == first
    smallshop.write(content, {"pages/care.md": "# Care of strings\n\nKeep them cool.\n"})
    assert passport("build", content, "--out", site, "--no-cards").exit_code == 0
    second = manifest.read(site, key.read(content))
    changed = {one.path for one in second.files} & {one.path for one in set(second.files) - set(first.files)}
    assert "care/care/index.html" in changed
    assert not any(path.endswith(".json") for path in changed)
