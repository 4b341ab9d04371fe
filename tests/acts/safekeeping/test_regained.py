"""A workshop regained from its site: what is public comes back the same, and nothing else is claimed."""

import json
import shutil
import ssl

import pytest
from building import built
from commandline import passport
from places import DEMO
from servers import free_port
from webserver import nginx

from passport.acts.refused import Misused, Refused
from passport.acts.safekeeping.regained import mirrored, regain
from passport.publish.asked.web import Web
from passport.publish.folder import manifest
from passport.publish.folder.manifest import FILE, FileMark, Manifest
from passport.records.ledger import key, ledger
from passport.records.load import load
from passport.records.transaction import ledger_file


@pytest.fixture(scope="module")
def lost(tmp_path_factory):
    """The demo's site, and its manifest's key; the records are lost."""
    root = tmp_path_factory.mktemp("lost")
    content = shutil.copytree(DEMO, root / "content")
    assert passport("build", content, "--out", root / "site", "--no-cards").exit_code == 0
    return root / "site", key.read(content), content


def _back(lost, folder):
    """The workshop from the site's folder; what was said."""
    site, secret, _ = lost
    done = passport(
        "restore", folder, "--from-site", site, "--key", key.grouped(secret), "--address", "https://cards.shop.example"
    )
    assert done.exit_code == 0, done.output
    return done.output


def _numbers(content):
    return {entry.record.number for entry in content.frames.values()}


def _targets(frame):
    """What is wanted of a frame, as far as it is said, in the units of records."""
    setup = frame.setup
    if setup is None:
        return None
    # The balance may be recorded in points there; the next test holds it in mm.
    bands = [(one.target.value, one.tolerance and one.tolerance.value) if one else None
             for one in (setup.mass, setup.swingweight, setup.twistweight)]  # fmt: skip
    return bands


def _parts(setup):
    """The parts of a published setup with their masses."""
    return [(part["part"], part.get("mass_g")) for part in setup.get("build") or []]


def silent(*_):
    """Nothing is said."""


def test_what_is_public_comes_back(lost, tmp_path):
    """Numbers, keys, players, strings and targets are what they were; lost, retired and sealed frames are named."""
    site, secret, content = lost
    said = _back(lost, tmp_path / "back")
    was, now = load(content)[0], load(tmp_path / "back")[0]
    assert passport("check", tmp_path / "back").exit_code == 0
    known = {e.record.number: e.record for e in was.frames.values() if e.record.number}
    for entry in now.frames.values():
        old = known[entry.record.number]
        assert entry.record.key == old.key
        assert entry.record.label == old.label
        assert (entry.record.status == "broken") == (old.status == "broken")
        assert _targets(entry.record) == _targets(old)
    assert all(
        e.record.number in said for e in was.frames.values() if e.record.number not in _numbers(now) and e.record.number
    )
    assert "Only number and key of 1108-5: it is sealed: only its card opens it." in said
    names = {e.record.key: e.record.name for e in was.players.values()}
    assert all(names[e.record.key] == e.record.name for e in now.players.values())
    book = ledger.read(tmp_path / "back")
    assert book
    assert (
        book.numbers.items()
        >= {line.key: line.number for line in manifest.read(site, secret).keys if line.number}.items()
    )
    assert "01632" in now.workshop.record.contact.phone


def test_a_build_of_it_shows_the_same_strings_and_targets(lost, tmp_path):
    """Built again, a frame's setup says of strings, parts and targets what it said before."""
    site = lost[0]
    _back(lost, tmp_path / "back")
    book, now = ledger.read(tmp_path / "back"), load(tmp_path / "back")[0]
    for one, number in book.numbers.items():
        if number not in _numbers(now):
            assert passport("retire", tmp_path / "back", one, "--yes").exit_code == 0
    made = built(tmp_path / "back", tmp_path / "site", cards=False)
    assert made
    for path in (tmp_path / "site").glob("*/setup-*.json"):
        if (site / path.parent.name / path.name).is_file():
            was, now = (json.loads(one.read_text()) for one in (site / path.parent.name / path.name, path))
            for part in ("mains", "crosses"):
                assert (now.get("strings") or {}).get(part) == (was.get("strings") or {}).get(part), path.name
            assert _parts(now) == _parts(was)
            for name in ("mass", "balance", "swingweight"):
                targets = [
                    {k: v for k, v in (one.get("finished") or {}).get(name, {}).items() if "target" in k}
                    for one in (was, now)
                ]
                assert targets[0] == targets[1], (path.name, name)


def test_it_is_brought_from_the_web(lost, tmp_path, monkeypatch):
    """With the key alone: every file by the manifest, from a real server, then the same as from the folder."""
    site, secret, content = lost
    port = free_port()
    with nginx(tmp_path / "nginx", content, site, port) as cert:
        trust = ssl.create_default_context(cafile=str(cert))
        with Web(f"https://localhost:{port}", 5, trust) as web:
            target = mirrored(web, secret, tmp_path / "site", silent)
            with pytest.raises(Refused, match="does not open the manifest"):
                mirrored(web, "Z" * 32, tmp_path / "other", silent)
        monkeypatch.setenv("SSL_CERT_FILE", str(cert))
        done = passport("restore", tmp_path / "b", "--from-site", f"https://localhost:{port}", "--key", secret,
                        "--site", tmp_path / "s")  # fmt: skip
        assert done.exit_code == 0, done.output
        assert "13 frames with their setups" in done.output
    marks = manifest.read(site, secret).files
    assert all((target / mark.path).is_file() for mark in marks if not mark.path.startswith((".", "_")))


def test_without_the_key_it_says_what_is_not_known(lost, tmp_path):
    """The folder alone tells its pages; that numbers without a page are not known is said."""
    site, _, _ = lost
    done = passport("restore", tmp_path / "back", "--from-site", site)
    assert done.exit_code == 0, done.output
    assert "Without the key, numbers that were given out and have no page are not known" in done.output
    assert len(load(tmp_path / "back")[0].frames) == 13


def test_a_passphrase_alone_brings_the_addresses_back(lost, tmp_path, monkeypatch):
    """Where the shop put key and ledger on its site, encrypted, the ledger comes back with its days; another passphrase
    opens nothing, and the file tells nothing."""
    content = shutil.copytree(lost[2], tmp_path / "content")
    monkeypatch.setenv("PASSPORT_PASSPHRASE", "heron rowing slate umbrella")
    done = passport("backup", content, "--online")
    assert done.exit_code == 0, done.output
    data = (content / "public/ledger.age").read_bytes()
    assert data.startswith(b"age-encryption.org/")
    assert lost[1].encode() not in data
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    assert (tmp_path / "site/ledger.age").read_bytes() == data
    done = passport(
        "restore", tmp_path / "back", "--from-site", tmp_path / "site", "--address", "https://cards.example"
    )
    assert done.exit_code == 0, done.output
    was, now = ledger.read(content), ledger.read(tmp_path / "back")
    assert [line for line in was.lines if line not in now.lines] == []
    monkeypatch.setenv("PASSPORT_PASSPHRASE", "another one that is long")
    refused = passport("restore", tmp_path / "other", "--from-site", tmp_path / "site")
    assert refused.exit_code == 1
    assert "does not open" in refused.output


def test_what_cannot_be_is_refused(lost, tmp_path):
    """A key that is none, or another shop's; no site; a folder that holds something; a path that leads out."""
    site, secret, _ = lost
    with pytest.raises(Misused):
        regain(site, tmp_path / "a", "short", "", silent)
    with pytest.raises(Refused, match="does not open"):
        regain(site, tmp_path / "a", "Z" * 32, "", silent)
    with pytest.raises(Refused, match="no pages"):
        regain(tmp_path, tmp_path / "a", "", "", silent)
    (tmp_path / "full").mkdir()
    (tmp_path / "full/x").write_text("x")
    with pytest.raises(Refused, match="not empty"):
        regain(site, tmp_path / "full", secret, "", silent)
    assert passport("restore", tmp_path / "a", "--key", "x").exit_code == 2
    nowhere = passport("restore", tmp_path / "a", "--from-site", "https://nobody.invalid")
    assert (nowhere.exit_code, "is not found" in nowhere.output) == (1, True)
    evil = tmp_path / "evil"
    evil.mkdir()
    (evil / "x").write_bytes(b"x")
    head = manifest.head_of(Manifest())
    made = ledger_file.made_key(_shop(tmp_path))
    (evil / FILE).write_bytes(manifest.encrypted(head, [FileMark("../out", manifest.sum_of(b"x"), 1)], made))
    with pytest.raises(Refused, match="leads out"):
        mirrored(_Told(evil), made, tmp_path / "caught", silent)
    assert not (tmp_path / "out").exists()


def _shop(root):
    shop = root / "shop"
    shop.mkdir()
    return shop


class _Told(Web):
    """A web that answers every path but the manifest with the same byte."""

    def __init__(self, folder):
        """``folder`` has the manifest."""
        super().__init__("https://cards.shop.example")
        self._folder = folder

    def ask(self, path):
        """The manifest, or an x."""
        from passport.publish.asked.web import Served

        return Served(200, {}, (self._folder / path).read_bytes() if path == FILE else b"x")
