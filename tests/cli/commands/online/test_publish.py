"""``passport publish``: what it says, and what it refuses, to a folder; other protocols are tried with real servers."""

import shutil

import pytest
import smallshop
from commandline import as_a_person, passport, refused
from onlineshop import Online, files_of, key_of, online, served
from speed import Pace

from passport.publish.folder import manifest
from passport.publish.folder.manifest import Manifest
from passport.records.ledger.ledger import Ledger
from passport.records.schema import numbers
from passport.records.schema.numbers import with_check


@pytest.fixture
def shop(tmp_path):
    """A workshop whose site is published to the folder ``far``."""
    (tmp_path / "far").mkdir()
    return online(tmp_path, "../far")


def published(shop, *options):
    """``passport publish`` of this workshop."""
    return passport("publish", shop.content, "--site", shop.site, *options)


def there(shop):
    """What is served."""
    return {path: data for path, data in served(shop.content.parent / "far").items() if path != "manifest.bin"}


def test_the_whole_site_then_nothing(shop):
    """Everything goes there, with how much and how fast, and the address; a second run has nothing to do."""
    result = published(shop)
    assert result.exit_code == 0 and "29 files sent: " in result.stdout and "MB/s" in result.stdout
    assert "Its address is https://cards.bench-nine.example/p;" in result.stdout
    assert there(shop) == files_of(12)
    assert "is up to date: nothing was sent" in published(shop).stdout


def test_a_dry_run_shows_and_changes_nothing(shop, tmp_path):
    """What is new, changed and going away is listed; the far side, and even the lock, are not touched."""
    published(shop)
    before = served(tmp_path / "far")
    shop.write({**files_of(11, 1, 2), "assets/new.css": b"x"})
    said = published(shop, "--dry-run").stdout
    assert "1 file new:\n  + assets/new.css" in said
    assert f"  ~ {key_of(0)}/index.html" in said and f"  - {key_of(11)}/card-11.pdf" in said
    assert "1 passport would no longer be there" in said and "Nothing was sent" in said
    assert served(tmp_path / "far") == before


def test_no_more_than_a_tenth_goes_without_a_word(shop):
    """Two of twelve passports go only when two are allowed, and the refusal names them and how to say so."""
    published(shop)
    shop.write(files_of(10))
    refused(published(shop), "2 of 12 passports on-line would go away", with_check(2010), "--delete 2")
    refused(published(shop, "--delete", "1"), "--delete 2")
    assert there(shop) == files_of(12)
    assert published(shop, "--delete", "2").exit_code == 0
    assert there(shop) == files_of(10)


def test_files_of_others_stay_and_are_not_overwritten_unasked(shop, tmp_path):
    """A folder with a site of somebody else's is refused; with --anew ours takes its place, and other files stay."""
    (tmp_path / "far/index.html").write_text("somebody's")
    (tmp_path / "far/CNAME").write_text("cards.shop.example")
    refused(published(shop), "'index.html' that this program did not put there", "--anew")
    assert there(shop).keys() == {"index.html", "CNAME"}
    assert published(shop, "--anew").exit_code == 0
    assert there(shop) == {**files_of(12), "CNAME": b"cards.shop.example"}


def test_a_disk_that_is_not_mounted_is_noticed(shop, tmp_path):
    """Where the folder is away, or stands empty after a site was put there, it says so and sends nothing."""
    published(shop)
    (tmp_path / "far").rename(tmp_path / "unplugged")
    refused(published(shop), "There is no folder", "Mount the disk")
    (tmp_path / "far").mkdir()
    refused(published(shop), "holds no site any more", "--anew")
    assert there(shop) == {}
    assert published(shop, "--anew").exit_code == 0 and there(shop) == files_of(12)


def test_what_must_be_there_first(shop, tmp_path):
    """Without a place to publish to, without a site, or with another workshop's, it says what to do."""
    refused(passport("publish", shop.content, "--site", tmp_path / "none"), "There is no site", "passport build")
    (shop.content / "manifest-key.txt").write_text(numbers.new_secret() + "\n")
    refused(published(shop), "is not one of this workshop", "passport build")
    text = (shop.content / "workshop.yaml").read_text()
    (shop.content / "workshop.yaml").write_text(text.partition("publish:")[0])
    refused(published(shop), "Nothing says where to publish to", "sftp://", "davs://")
    (shop.content / "workshop.yaml").write_text(f"{text.partition('publish:')[0]}publish: sftp://a:b@web.example/p\n")
    refused(published(shop), "bad-address", "A password stands in this address")


def test_another_workshops_site_is_not_replaced(shop, tmp_path):
    """A site whose manifest our key does not open is another workshop's, or its key is lost: a person decides."""
    published(shop)
    other = online(tmp_path / "other", "../../far")
    refused(published(other), "whose manifest the key here does not open", "--anew")
    assert there(shop) == files_of(12)


def test_older_records_do_not_replace_newer_ones(shop):
    """Where the site on-line knows of a ledger that goes on behind the one here, nothing is sent."""
    said = Manifest(*(Ledger().first, "0123456789abcdef", 7), keys=())
    head = manifest.head_of(said)
    published(shop)
    far = shop.content.parent / "far"
    (far / "manifest.bin").write_bytes(manifest.encrypted(head, (), shop.key))
    refused(published(shop), "published from newer records", "--mend")


def test_records_that_changed_since_the_build_are_not_left_behind_in_silence(tmp_path, monkeypatch):
    """After a change in the records nothing older goes on-line unless that is said; it offers to build, and does."""
    monkeypatch.chdir(tmp_path)
    content = smallshop.write(tmp_path / "content")
    shop, page = Online(content, tmp_path / "site", ""), f"{smallshop.KEYS['main']}/index.html"
    shop.to("../far")
    (tmp_path / "far").mkdir()
    assert passport("build", content, "--no-cards").exit_code == 0
    assert published(shop).exit_code == 0
    before = there(shop)
    frame = content / "players/ada/main.yaml"
    frame.write_text(frame.read_text().replace("label: Main", "label: Renamed"))
    refused(published(shop), "written last was 'players/ada/main.yaml'", "passport build", "--build", "--as-built")
    shown = published(shop, "--dry-run")
    assert shown.exit_code == 0 and "The records changed after" in shown.stderr
    assert "nothing was sent" in published(shop, "--as-built").stdout
    assert there(shop) == before
    as_a_person(monkeypatch)
    monkeypatch.setattr("passport.cli.commands.online.publish.confirmed", lambda question, yes: False)
    refused(passport("publish", content), "The records changed after")
    assert there(shop) == before
    monkeypatch.setattr("passport.cli.commands.online.publish.confirmed", lambda question, yes: True)
    assert passport("publish", content).exit_code == 0
    assert b"Renamed" in there(shop)[page] and b"Renamed" not in before[page]
    frame.write_text(frame.read_text().replace("label: Renamed", "label: Again"))
    assert published(shop, "--build").exit_code == 0
    assert b"Again" in there(shop)[page] and not list(tmp_path.glob("site/*/card-*.pdf"))
    shutil.rmtree(content / ".passport-cache")
    assert "is not known" in published(shop).stderr


def test_ten_thousand_passports_with_one_changed_take_little(tmp_path, counted):
    """One passport changed: under 3 s of this computer's own time for 10,000, tried with a fifth of them, all of the command
    counted, the look at the records too."""
    some = 2_000
    names = [f"{key_of(n)}/{name}" for n in range(some) for name in ("index.html", f"card-{n}.pdf")]
    files = {**files_of(0), **{name: name.encode() for name in names}}
    shop = online(tmp_path, "../far", files)
    for n in range(some):
        (shop.content / f"players/p{n}").mkdir()
        (shop.content / f"players/p{n}/i.yaml").write_text("label: I\n")
    shop.site.rename(tmp_path / "far")  # as it stands there after the first time
    shop.write({**files, f"{key_of(500)}/index.html": b"new"})
    with Pace() as pace:
        result = published(shop)
    assert result.exit_code == 0 and "1 file sent:" in result.stdout
    assert (tmp_path / "far" / key_of(500) / "index.html").read_bytes() == b"new"
    counted(f"publishing one of {some:,} passports: {pace.spent:.2f} s of the processor")
    assert pace.spent * 10_000 / some < 3 * pace.slow
