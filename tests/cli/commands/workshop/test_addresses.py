"""What a build makes of the ledger."""

import os
import re
import shutil
from pathlib import Path

import pytest
import smallshop
from commandline import full_disk, passport, refused, tree
from htmlread import Page

from passport.records.disk import opening
from passport.records.ledger import ledger
from passport.records.ledger.ledger import CLOSED, ISSUED, LedgerLine
from passport.records.load import load
from passport.records.transaction import ledger_file

GONE = LedgerLine(ISSUED, "Z" * 26, "frame", "9001-6")


@pytest.fixture
def content(tmp_path):
    """The small workshop with a ledger of what was issued."""
    content = smallshop.write(tmp_path / "content")
    ledger_file.append(content, ledger.in_content(smallshop.read(content)[0]), smallshop.TODAY)
    return content


def build(content, tmp_path):
    """A build without cards."""
    return passport("build", content, "--out", tmp_path / "site", "--no-cards")


def aged(content):
    """Let all files be an hour old: of those just written a build does not believe that they are as they were."""
    for path in (content, *content.rglob("*")):
        os.utime(path, (path.stat().st_mtime - 3600,) * 2)


def test_a_sound_ledger_says_nothing(content, tmp_path):
    """Where every address has its record the build is quiet."""
    assert build(content, tmp_path).stderr == ""


def test_an_address_without_a_record_stops_the_build(content, tmp_path):
    """A card that would lead nowhere is named, with what to do; nothing is written, and retiring it lets the build go on."""
    ledger_file.append(content, [GONE], smallshop.TODAY)
    result = build(content, tmp_path)
    refused(result, "passport 9001-6 was given out on 2026-11-25, but no record has it", "Nothing was written")
    assert not (tmp_path / "site").exists()
    assert f"passport retire {content} {GONE.key}" in result.stderr
    assert passport("retire", content, "9001-6", "--yes").exit_code == 0
    assert (build(content, tmp_path).exit_code, ledger.read(content).dropped(smallshop.read(content)[0])) == (0, ())
    assert "This passport is closed" in (tmp_path / "site" / GONE.key / "index.html").read_text(encoding="utf-8")


def test_a_number_of_two_keys_is_never_meant_alone(content, tmp_path):
    """What is advised for an address without a record never reaches the living frame that has the same number."""
    number = smallshop.NUMBERS["only"]
    ledger_file.append(content, [LedgerLine(ISSUED, "V" * 26, "frame", number)], smallshop.TODAY)
    refused(build(content, tmp_path), f"Passport {number} was given out twice", "V" * 26, smallshop.KEYS["only"])
    refused(passport("check", content), "given-twice")
    before = tree(content)
    refused(passport("retire", content, number, "--yes"), "several keys", "V" * 26)
    assert tree(content) == before
    assert passport("retire", content, "V" * 26, "--yes").exit_code == 0
    assert smallshop.read(content)[0].frames["bo/only"].record.status == "active"
    assert build(content, tmp_path).exit_code == 0


def test_an_address_closed_by_mistake_is_opened_again(content, tmp_path):
    """It is said how, the ledger says so for good, and the page is there again."""
    key = smallshop.KEYS["main"]
    ledger_file.append(content, [LedgerLine(CLOSED, key, "frame", smallshop.NUMBERS["main"])], smallshop.TODAY)
    refused(build(content, tmp_path), f"passport addresses {content} --reopen {key}", f"passport erase {content} ada")
    refused(passport("addresses", content, "--reopen", key), "Add --yes")
    assert passport("addresses", content, "--reopen", smallshop.NUMBERS["main"], "--yes").exit_code == 0
    assert ledger.read(content).lines[-1].event == "reopened"
    assert build(content, tmp_path).exit_code == 0
    refused(passport("addresses", content, "--reopen", key, "--yes"), "nothing to open")


def test_many_are_counted(content, tmp_path):
    """A handful is named, the rest counted."""
    ledger_file.append(content, [LedgerLine(ISSUED, c * 26, "player") for c in "ZXVKJHQ"], smallshop.TODAY)
    said = build(content, tmp_path).stderr
    assert said.count("no record has it") == 5
    assert "2 more addresses" in said


def test_a_deleted_record_stops_the_build_and_the_old_site_stands(content, tmp_path):
    """A record that is taken away after its page was published stops the build; the page is still there."""
    build(content, tmp_path)
    before = tree(tmp_path / "site")
    (content / "players/bo/only.yaml").unlink()
    refused(build(content, tmp_path), smallshop.NUMBERS["only"], "passport retire")
    assert tree(tmp_path / "site") == before


def test_a_lost_ledger_does_not_lose_what_the_site_has(content, tmp_path):
    """Without its ledger a build does not drop an address that stands on the site: it stops and says how to mend."""
    build(content, tmp_path)
    before = tree(tmp_path / "site")
    (content / ledger.FILE).unlink()
    (content / "players/bo/only.yaml").unlink()
    refused(build(content, tmp_path), smallshop.KEYS["only"], f"addresses {content} --mend --site {tmp_path / 'site'}")
    assert tree(tmp_path / "site") == before


def test_another_workshops_site_stands(content, tmp_path):
    """A site that shares no address with the records is not replaced: the message says whose it may be, and where else to
    build; once it is emptied by hand, the build goes on."""
    build(content, tmp_path)
    before = tree(tmp_path / "site")
    other = smallshop.write(tmp_path / "other")
    for path in sorted(other.rglob("*.yaml")):
        path.write_text(re.sub(r"(?m)^(key: .*).$", r"\g<1>7", path.read_text(encoding="utf-8")), encoding="utf-8")
    refused(build(other, tmp_path), "site of another workshop", "another folder with --out", "Nothing was written")
    assert tree(tmp_path / "site") == before
    assert not (other / ledger.FILE).exists()
    shutil.rmtree(tmp_path / "site")
    assert build(other, tmp_path).exit_code == 0


def test_a_ledger_that_is_as_it_was_is_not_read_again(content, tmp_path, monkeypatch):
    """A build after a good one takes the ledger as it was then; not where a page stands that nobody knows, nor where the
    ledger or the keys in the records are others."""
    build(content, tmp_path)
    build(content, tmp_path)
    parsed, usual = [], ledger.parse
    monkeypatch.setattr(ledger, "parse", lambda text: parsed.append(text) or usual(text))
    frame = content / "players/bo/only.yaml"
    frame.write_text(frame.read_text(encoding="utf-8") + "# looked at\n", "utf-8")
    assert build(content, tmp_path).exit_code == 0
    assert not parsed

    unknown = tmp_path / "site" / GONE.key
    unknown.mkdir()
    (unknown / "index.html").write_text("a page", "utf-8")
    refused(build(content, tmp_path), f"neither the records nor the ledger know, {GONE.key}")
    shutil.rmtree(unknown)
    assert build(content, tmp_path).exit_code == 0

    ledger_file.append(content, [GONE], smallshop.TODAY)
    refused(build(content, tmp_path), "9001-6")


@pytest.mark.parametrize("more", [(), ("--anew",)])
def test_records_and_ledger_gone_together_do_not_empty_the_site(content, tmp_path, more):
    """With all players and the ledger gone each build is refused, one after another too, and every page stands; put back,
    they are built as before."""
    build(content, tmp_path)
    before = tree(tmp_path / "site")
    for name in ("players", ledger.FILE):
        (content / name).rename(tmp_path / name)
    for _ in range(2):
        result = passport("build", content, "--out", tmp_path / "site", "--no-cards", *more)
        refused(result, "records and ledger are missing", f"put players/ and ledger.txt back into '{content}'")
        assert tree(tmp_path / "site") == before
    for name in ("players", ledger.FILE):
        (tmp_path / name).rename(content / name)
    assert build(content, tmp_path).exit_code == 0
    assert tree(tmp_path / "site") == before


def test_what_nothing_changed_rests_on_holds_the_site(content, tmp_path):
    """A build of no players that was remembered is no way round: the site that came to stand there since is kept."""
    for name in ("players", ledger.FILE):
        (content / name).rename(tmp_path / name)
    aged(content)
    assert build(content, tmp_path).exit_code == 0
    assert "nothing changed" in build(content, tmp_path).stdout
    full = smallshop.write(tmp_path / "full")
    passport("build", full, "--out", tmp_path / "whole", "--no-cards")
    before = tree(tmp_path / "whole")
    shutil.rmtree(tmp_path / "site")
    (tmp_path / "whole").rename(tmp_path / "site")
    refused(build(content, tmp_path), "records and ledger are missing")
    assert tree(tmp_path / "site") == before


def test_a_build_writes_down_what_it_publishes(tmp_path):
    """Keys that stand in records without ever having been issued are in the ledger before they are on the site."""
    content = smallshop.write(tmp_path / "content")
    assert build(content, tmp_path).exit_code == 0
    known = ledger.read(content)
    assert set(known.issued) == set(smallshop.KEYS.values())
    before = (content / ledger.FILE).read_bytes()
    build(content, tmp_path)
    assert (content / ledger.FILE).read_bytes() == before


def test_a_folder_that_cannot_be_written_is_a_warning(tmp_path, monkeypatch):
    """Where the ledger cannot be written the site is built, and the warning says so."""
    content = smallshop.write(tmp_path / "content")
    monkeypatch.setattr(ledger_file, "append", full_disk)
    result = build(content, tmp_path)
    assert result.exit_code == 0
    assert "could not be written down" in result.stderr
    assert "No space left" in result.stderr


def test_cards_under_another_web_address_are_counted(content, tmp_path):
    """After the web address was changed each build says how many cards lead to the old one, until that is settled."""
    shop = smallshop.FILES["workshop.yaml"]
    smallshop.write(content, {"workshop.yaml": shop.replace("cards.bench-nine.example/p", "new.bench-nine.example")})
    result = build(content, tmp_path)
    assert result.exit_code == 0
    assert "8 cards that were given out lead to https://cards.bench-nine.example/p" in result.stderr
    assert "address is now https://new.bench-nine.example" in result.stderr
    assert "8 cards are now taken to lead to" in passport("addresses", content, "--moved").stdout
    assert build(content, tmp_path).stderr == ""
    smallshop.write(content, {"workshop.yaml": shop})
    assert "8 cards" in build(content, tmp_path).stderr


def test_a_closed_address_says_no_more_than_that(content, tmp_path):
    """Its page stays, names nothing of whom it was, and leads to the workshop."""
    ledger_file.append(content, [GONE, LedgerLine(CLOSED, GONE.key, "frame", "9001-6")], smallshop.TODAY)
    result = build(content, tmp_path)
    assert (result.exit_code, result.stderr) == (0, "")
    page = Page((tmp_path / "site" / GONE.key / "index.html").read_text(encoding="utf-8"))
    text = (tmp_path / "site" / GONE.key / "index.html").read_text(encoding="utf-8")
    assert page
    assert "This passport is closed" in text
    assert "noindex" in text
    assert "9001-6" not in text
    assert "hello@bench-nine.example" in text


def test_a_closed_address_with_a_record_stops_the_build(content, tmp_path):
    """A record that is back after its address was closed for good is refused before anything is written."""
    ledger_file.append(content, [LedgerLine(CLOSED, smallshop.KEYS["main"], "frame")], smallshop.TODAY)
    refused(build(content, tmp_path), smallshop.NUMBERS["main"], "closed for good", "passport issue")
    assert not (tmp_path / "site").exists()


def test_a_damaged_ledger_stops_the_build(content, tmp_path):
    """A changed line and one that is gone are named, with how to mend it; nothing is dropped meanwhile."""
    path = content / ledger.FILE
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    path.write_text("".join([*lines[:4], *lines[5:]]), encoding="utf-8")
    refused(build(content, tmp_path), "line number 3 is gone", "--mend")
    path.write_text("".join(lines).replace("issued", "issuer", 1), encoding="utf-8")
    refused(build(content, tmp_path), f"{path}:3: this line was changed", "--mend")
    assert not (tmp_path / "site").exists()


def test_the_state_of_the_ledger(content, tmp_path, monkeypatch):
    """The command counts what is open and closed, and ends with 1 where a build would stop."""
    monkeypatch.chdir(tmp_path)
    result = passport("addresses", content)
    assert (result.exit_code, result.stderr) == (0, "")
    assert "8 passports and 2 players have an address, 0 are closed." in result.stdout
    ledger_file.append(content, [GONE], smallshop.TODAY)
    refused(passport("addresses", content), "9001-6", "passport retire")


def test_mending_keeps_the_old_file_and_says_what_is_not_proven(content, tmp_path):
    """A damaged ledger is made anew; the old one stays beside it, and the build goes on."""
    site = tmp_path / "site"
    ledger_file.append(content, [GONE, LedgerLine(CLOSED, GONE.key, "frame", "9001-6")], smallshop.TODAY)
    build(content, tmp_path)
    path = content / ledger.FILE
    damaged = path.read_text(encoding="utf-8").replace(f"closed {GONE.key}", f"closed {GONE.key[:-1]}X")
    path.write_text(damaged, encoding="utf-8")
    refused(passport("addresses", content, "--mend", "--site", site), "Nothing was written")
    assert path.read_text(encoding="utf-8") == damaged
    result = passport("addresses", content, "--mend", "--site", site, "--yes")
    assert result.exit_code == 0
    assert "11 lines are sound" in result.stdout
    assert "All of it is proven." in result.stdout
    assert (content / "ledger-damaged-2026-11-25.txt").read_text(encoding="utf-8") == damaged
    known = ledger.read(content)
    assert known.sound
    assert GONE.key in known.closed
    assert (build(content, tmp_path).exit_code, build(content, tmp_path).stderr) == (0, "")
    assert "Nothing was written" in passport("addresses", content, "--mend", "--site", site, "--yes").stdout


def test_a_lost_ledger_comes_back_from_records_and_site(content, tmp_path):
    """All that the records and the last site show is in the new ledger, and what they cannot show is said."""
    ledger_file.append(content, [GONE, LedgerLine(CLOSED, GONE.key, "frame", "9001-6")], smallshop.TODAY)
    build(content, tmp_path)
    before = ledger.read(content)
    (content / ledger.FILE).unlink()
    result = passport("addresses", content, "--mend", "--site", tmp_path / "site", "--yes")
    assert "10 addresses come from the records, 1 from the site" in result.stdout
    assert "was gone altogether" in result.stdout
    after = ledger.read(content)
    assert set(after.issued) == set(before.issued)
    assert set(after.closed) == set(before.closed)
    assert build(content, tmp_path).stderr == ""


def test_a_site_of_others_is_counted_where_it_is_named_alone(content, tmp_path, monkeypatch):
    """Started where another workshop's site stands, mending takes none of its addresses for this workshop's own."""
    other = smallshop.write(tmp_path / "other")
    for path in sorted(other.rglob("*.yaml")):
        path.write_text(re.sub(r"(?m)^(key: .*).$", r"\g<1>7", path.read_text(encoding="utf-8")), encoding="utf-8")
    assert build(other, tmp_path).exit_code == 0
    monkeypatch.chdir(tmp_path)
    assert passport("issue", content, "ada/new", "--yes").exit_code == 0
    (content / ledger.FILE).unlink()
    result = passport("addresses", content, "--mend", "--yes")
    assert "Left out: the site at 'site'" in result.stderr
    assert "from no site" in result.stdout
    assert set(ledger.read(content).issued) == ledger.keys_in(load(content)[0])
    assert passport("addresses", content).exit_code == 0


def test_mending_and_moving_are_two_things(content):
    """Both at once is wrong usage."""
    assert passport("addresses", content, "--mend", "--moved").exit_code == 2


def test_an_unreadable_ledger_is_not_taken_for_none(tmp_path, monkeypatch):
    """After a build that had no address to write down, a ledger that cannot be read stops the next one all the same."""
    content = smallshop.write(tmp_path / "content")
    shutil.rmtree(content / "players")
    aged(content)
    build(content, tmp_path)
    assert "nothing changed" in build(content, tmp_path).stdout
    real = opening.read

    def denied(path, **bounds):
        if Path(path).name == ledger.FILE:
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, **bounds)

    monkeypatch.setattr(opening, "read", denied)
    refused(build(content, tmp_path), "could not be read: Permission denied", "from a backup")
