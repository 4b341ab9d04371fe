"""CSV as programs save it: several signs between cells, encodings, and marks that keep figures from being counted."""

import pytest

from passport.records.tables.cells import Unusable
from passport.records.tables.csvtable import cell_of, read_csv


@pytest.mark.parametrize("sign", [";", ",", "\t", "|"])
def test_the_sign_between_cells_is_found(sign):
    """Also under a title that has none, with commas inside quotes."""
    text = f'Strung 2024\nDate{sign}Name{sign}Note\n5.3.24{sign}Ada{sign}"soft, please"\n6.3.24{sign}Bo{sign}\n'
    rows = read_csv(text.encode(), "t").sheets[0].rows
    assert [cell.text for cell in rows[2]] == ["5.3.24", "Ada", "soft, please"]


@pytest.mark.parametrize(
    ("encoding", "said"), [("utf-8", ""), ("utf-8-sig", ""), ("cp1252", "cp1252"), ("utf-16", "utf-16")]
)
def test_the_encoding_is_found_and_told(encoding, said):
    """UTF-8 needs no word, others do, so that somebody looks."""
    found = read_csv("Name;Größe\nMaëlle;4\n".encode(encoding), "t")
    assert (found.encoding, found.sheets[0].rows[1][0].text) == (said, "Maëlle")


def test_bytes_that_are_no_text_are_refused():
    """0x81 is no sign of Windows-1252, and alone none of UTF-8."""
    with pytest.raises(Unusable, match="no text"):
        read_csv(b"a;b\n\x81;\x8d\n", "t")


@pytest.mark.parametrize(
    ("text", "kind", "read"),
    [
        ("=SUM(A1:A3)", "formula", "=SUM(A1:A3)"),
        ("=B3", "formula", "=B3"),
        ('="0042"', "text", "0042"),
        ("'=loud", "text", "=loud"),
        ("'+44 1632", "text", "+44 1632"),
        ("#REF!", "error", "#REF!"),
        ("#WERT!", "error", "#WERT!"),
        ("Err:502", "error", "Err:502"),
        ("-24", "text", "-24"),
        (" plain\xa0", "text", "plain"),
    ],
)
def test_what_stands_in_a_cell(text, kind, read):
    """A formula is never worked out; what keeps a text a text is taken off."""
    assert (cell_of(text).kind, cell_of(text).text) == (kind, read)
