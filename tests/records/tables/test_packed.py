"""The archive around a spreadsheet: bombs, entities and strange encodings are refused before a library sees them."""

import time
import zipfile

import pytest
import workbooks

from passport.records.tables import packed
from passport.records.tables.cells import Unusable
from passport.records.tables.reading import read_spreadsheet

LAUGHS = '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'


def test_a_few_kilobytes_do_not_unpack_to_whatever_they_like():
    """C9: what is unpacked is counted as it comes, whatever the archive says of its size."""
    data = workbooks.packed({"mimetype": workbooks.ODS, "content.xml": bytes(90_000_000)})
    assert len(data) < 1_000_000
    start = time.process_time()
    with pytest.raises(Unusable, match="larger than 80 MB"):
        read_spreadsheet(data)
    assert time.process_time() - start < 5


@pytest.mark.parametrize(
    "data",
    [
        workbooks.ods_by_hand("", head=LAUGHS),
        workbooks.ods_by_hand("", head='<!DOCTYPE x SYSTEM "file:///etc/hostname">'),
        workbooks.xlsx_by_hand("<sheetData/>", **{"xl/sharedStrings.xml": LAUGHS + "<sst/>"}),
        workbooks.packed({"mimetype": workbooks.ODS, "content.xml": "<a/>".encode("utf-16")}),
        workbooks.packed({"mimetype": workbooks.ODS, "content.xml": '<?xml version="1.0" encoding="cp037"?><a/>'}),
    ],
    ids=["entities", "a file elsewhere", "entities in a workbook", "UTF-16", "EBCDIC"],
)
def test_no_entity_is_unfolded_and_no_file_asked_for(data):
    """C9: a type declaration is refused, also where another encoding would hide it."""
    with pytest.raises(Unusable, match="no plain XML"):
        read_spreadsheet(data)


def test_more_parts_or_tags_than_a_table_has():
    """C9: both are bounded."""
    many = workbooks.packed({f"{n}.xml": "<a/>" for n in range(packed.MOST_PARTS + 1)})
    with pytest.raises(Unusable, match="parts inside"):
        read_spreadsheet(many)
    with pytest.raises(Unusable, match="larger than what is read"):
        read_spreadsheet(workbooks.packed({"mimetype": workbooks.ODS, "content.xml": "<" * (packed.MOST_TAGS + 1)}))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_part_that_stands_twice_is_refused(tmp_path):
    """One program would read the first of them, another the last."""
    path = tmp_path / "t.ods"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("content.xml", "<a/>")
        archive.writestr("content.xml", "<b/>")
    with pytest.raises(Unusable, match="twice"):
        read_spreadsheet(path.read_bytes())


def test_a_cut_file_is_damaged():
    """Half of a file is none."""
    data = workbooks.ods([["a"]])
    with pytest.raises(Unusable, match="damaged"):
        read_spreadsheet(data[: len(data) // 2])
