"""What is known of all addresses from ledger, records, the file beside the folder and the site's manifest."""

from dataclasses import replace

import pytest
import smallshop

from passport.publish.folder.foreign import MANIFEST, MARK
from passport.publish.folder.known import problems, survey
from passport.publish.folder.manifest import Manifest, encrypted
from passport.records.ledger.ledger import CLOSED, ISSUED, LedgerLine
from passport.records.ledger.witness import Witness
from passport.records.load import load
from passport.records.schema import numbers
from passport.records.transaction import ledger_file


@pytest.fixture
def content(tmp_path):
    """The small workshop, without a ledger."""
    return smallshop.write(tmp_path / "content")


def known_of(content, tmp_path):
    """What is known, and the records."""
    records, _ = load(content)
    return survey(content, tmp_path / "site", records), records


def test_a_word_from_anywhere_is_enough_to_have_begun(content, tmp_path):
    """A ledger with a line, a file beside it that counts some, or a manifest that does: each alone."""
    known, _ = known_of(content, tmp_path)
    assert not known.began
    assert Manifest().highest == 0
    assert replace(known, witness=Witness(count=1)).began
    assert replace(known, manifest=Manifest(count=1)).began
    ledger_file.append(content, [LedgerLine(ISSUED, "V" * 26, "player")], smallshop.TODAY)
    path = tmp_path / "content.closed.txt"
    path.unlink(missing_ok=True)
    assert known_of(content, tmp_path)[0].began


@pytest.mark.parametrize("count", [5, 6, 8])
def test_those_who_are_back_are_named_and_counted(content, tmp_path, count):
    """Five closed addresses with a record again are named, the rest counted."""
    keys = list(smallshop.KEYS.values())[:count]
    lines = [LedgerLine(CLOSED, key, "frame") for key in keys]
    ledger_file.append(content, lines, smallshop.TODAY)
    said = "\n".join(one.text for one in problems(*known_of(content, tmp_path)))
    assert said.count("was closed for good, but has a record again") == 5
    assert (f"So have {count - 5} more." in said) is (count > 5)


@pytest.mark.parametrize("ours", [True, False])
def test_a_manifest_that_the_key_does_not_open_counts_where_the_site_is_ours(content, tmp_path, ours):
    """A site with a key of these records has a manifest of theirs, which must open; that of another workshop's site says
    nothing of these records."""
    site = tmp_path / "site"
    folder = site / (smallshop.KEYS["main"] if ours else "7" * 26)
    folder.mkdir(parents=True)
    (folder / "index.html").write_text("page")
    (site / MARK).write_text("")
    (site / MANIFEST).write_bytes(encrypted("head", [], numbers.new_secret()))
    ledger_file.write_key(content, numbers.new_secret())
    known, records = known_of(content, tmp_path)
    found = [one.rule for one in problems(known, records)]
    assert ("sealed-manifest" in found) is ours
    assert bool(known.sealed) is ours
