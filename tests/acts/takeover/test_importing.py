"""What a table may name of the records, how new players are shown, and what is told of what was not taken."""

import pytest
import smallshop

from passport.acts.adding.additions import FreshKeys
from passport.acts.change import base_of
from passport.acts.takeover.importing import TakenOver, known_of, shown_as, taken
from passport.records.tables.csvtable import read_csv
from passport.workshop.takeover.decisions import ImportDecisions

HEAD = "Date;Customer;Racket;Racket no;String;Tension (kg);Phone;Grip\n"


def taking(tmp_path, rows, changes=None, **how):
    """The change and what is told of some rows."""
    base = base_of(smallshop.write(tmp_path / "content", changes))
    last = [TakenOver()]
    change = taken(
        base,
        book=read_csv((HEAD + rows).encode(), "S"),
        decisions=ImportDecisions(),
        keys=FreshKeys(),
        last=last,
        **how,
    )
    return change, last[0]


@pytest.mark.parametrize(
    ("full", "shown"),
    [("Anna Kern", "Anna K."), ("Anna-Lena van der Kern", "Anna-Lena K."), ("Anna Kern jun.", "Anna K."), ("Maëlle L.", "Maëlle L."),
     ("Anna", "Anna"), ("Мирослава Зорянко", "Мирослава З."), ("王小明", "王小明"), ("ines holm", "ines h.")],
)  # fmt: skip
def test_full_names_are_private(full, shown):
    """Pages show the first name and an initial, as README promises that no full name reaches the site."""
    assert shown_as(full) == shown


def test_a_full_name_stands_in_no_public_field(tmp_path):
    """Neither the whole name nor telephone, remark and price."""
    change, _ = taking(tmp_path, "5.3.24;Ines Holmgard;Larch 98;;Reed 125;24;01632 960455;\n")
    text = change.files["players/ines-holmgard/player.yaml"] or ""
    assert "name: Ines H." in text
    assert "full_name: Ines Holmgard" in text
    frame = change.files["players/ines-holmgard/larch-98.yaml"] or ""
    assert "Holmgard" not in frame
    assert "960455" not in frame


def test_a_shortened_name_is_that_of_many(tmp_path):
    """Ines H. of the table may be another one than the record's, whose full name is known; a name that is whole is sure."""
    changes = {"players/bo/player.yaml": f"name: Bo T.\nfull_name: Bo Tann\nkey: {smallshop.KEYS['bo']}\n"}
    _, found = taking(tmp_path, "5.3.24;Bo T.;Larch 98;x;Reed 125;24;;\n", changes)
    assert found.takeover and [question.name for question in found.takeover.questions["players"]] == ["Bo T."]
    called = {each.ref: each.called for each in known_of(base_of(tmp_path / "content").records).players}
    assert called == {"ada": ("Ada", "SECRET-FULL-NAME"), "bo": ("Bo Tann",)}


def test_a_string_is_known_for_certain_with_its_thickness_alone(tmp_path):
    """The table's Reed may have been another Reed than the one of the catalogue, so it is asked about, once."""
    known = known_of(base_of(smallshop.write(tmp_path / "content")).records)
    reed = next(each for each in known.strings if each.ref == "reed-125")
    assert {"Reed 1.25", "Oxbow Reed 1.25"} <= set(reed.called)
    assert "Reed" in reed.partly
    assert known.sport == "tennis"
    _, found = taking(tmp_path, "5.3.24;Cy;Larch 98;;Reed;24;;\n")
    assert found.takeover
    (question,) = found.takeover.questions["strings"]
    assert question.choices == (("reed-125", "Oxbow Reed: of that name, as far as it is said"),)


def test_what_a_record_says_otherwise_is_told_and_not_taken(tmp_path):
    """A telephone or a grip of the table does not change a player or frame that is there."""
    change, found = taking(tmp_path, "5.3.24;Ada;Larch 98;Main;Reed 125;24;01632 960999;L2\n")
    assert dict(found.untaken) == {"phone of ada": 1, "grip of ada/main": 1}
    assert list(change.files) == ["players/ada/main.yaml"]


def test_a_method_without_a_day_counts_for_the_past_too(tmp_path):
    """That is told, so that somebody gives it one; with a day it does not."""
    rows = "5.3.24;Cy;Larch 98;;Reed 125;24;;\n"
    shop = smallshop.FILES["workshop.yaml"]
    assert not taking(tmp_path / "a", rows)[1].method
    assert taking(tmp_path / "b", rows, {"workshop.yaml": shop + "method: {machine: lockout}\n"})[1].method
    assert not taking(
        tmp_path / "c", rows, {"workshop.yaml": shop + "method: {machine: lockout, since: 2025-01-01}\n"}
    )[1].method


def test_numbers_are_given_only_where_they_are_wanted(tmp_path):
    """A page of somebody who may never come again is nobody's wish; with numbers each address goes into the ledger."""
    rows = "5.3.24;Cy;Larch 98;;Reed 125;24;;\n"
    assert taking(tmp_path / "a", rows)[0].issued == ()
    change, _ = taking(tmp_path / "b", rows, numbered=True, site=tmp_path / "site")
    assert {line.kind for line in change.issued} >= {"player", "frame"}
