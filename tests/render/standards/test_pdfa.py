"""A file for an archive, held to PDF/A-3a and PDF/UA-1.

page-validation is the one free judge of PDF/A that a package registry has; qpdf looks at the file's inner order.
"""

import io
import subprocess
from datetime import date

import page as validation
import pypdf
import pytest
from cardfacts import FRAME, LONG, LONG_SHOP, SHOP
from printed import twins

from passport.render.pages.data import setup_json
from passport.render.print.card import card_piece
from passport.render.print.imposition import single
from passport.render.print.setcard import set_pieces
from passport.render.print.sticker import sticker_piece
from passport.render.print.tag import tag_piece
from passport.render.standards.pdfa import NO_DAY, ArchivedFile, ArchiveStandard

DAY = date(2026, 10, 12)
FILES = (
    ArchivedFile("setup-b.json", "The setup of b as data", DAY, setup_json(LONG)),
    ArchivedFile("setup-a.json", "The setup of a as data", DAY, setup_json(FRAME)),
)


def archived(pieces, files=FILES) -> bytes:
    """Some pieces with files."""
    return single(pieces, standard=ArchiveStandard(files))


def of_kind(kind):
    """Two pieces of a kind."""
    player, group = twins(2)
    made = {
        "card": lambda: [card_piece(FRAME, SHOP), card_piece(LONG, LONG_SHOP)],
        "tag": lambda: [tag_piece(FRAME, SHOP), tag_piece(LONG, LONG_SHOP)],
        "sticker": lambda: [sticker_piece(FRAME, SHOP)],
        "set": lambda: list(set_pieces(player, group, SHOP)),
    }
    return made[kind]()


@pytest.mark.parametrize("kind", ["card", "tag", "sticker", "set"])
def test_it_follows_both_standards(kind, tmp_path) -> None:
    """It passes every check of PDF/A-3a (ISO 19005-3) and of PDF/UA-1 (ISO 14289-1), and qpdf finds nothing."""
    data = archived(of_kind(kind))
    for profile in ("3a", "ua1"):
        report = validation.validate_pdf_bytes(data, profile=profile)
        assert report.is_compliant and report.rules.failed == 0 and report.rules.passed > 100, report.failures
    (tmp_path / "kept.pdf").write_bytes(data)
    done = subprocess.run(["qpdf", "--check", str(tmp_path / "kept.pdf")], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_print_for_paper_follows_no_archives_standard() -> None:
    """The judge tells the ordinary file apart: no output intent, no word of PDF/A."""
    report = validation.validate_pdf_bytes(single(of_kind("card")), profile="3a")
    assert not report.is_compliant and report.rules.failed >= 2


def test_the_data_go_along_byte_for_byte() -> None:
    """Each file is in the PDF once, as JSON, as data of the document (ISO 19005-3, 6.8), with its day."""
    reader = pypdf.PdfReader(io.BytesIO(archived([card_piece(FRAME, SHOP)])))
    assert {name: data for name, (data,) in reader.attachments.items()} == {each.name: each.data for each in FILES}
    named = reader.trailer["/Root"]["/Names"]["/EmbeddedFiles"]["/Names"]
    assert named[::2] == ["setup-a.json", "setup-b.json"]  # a tree of names is in order (ISO 32000-1, 7.9.6)
    specs = [each.get_object() for each in reader.trailer["/Root"]["/AF"]]
    assert [spec["/UF"] for spec in specs] == ["setup-a.json", "setup-b.json"]
    for spec in specs:
        stream = spec["/EF"]["/F"].get_object()
        assert (spec["/AFRelationship"], stream["/Subtype"]) == ("/Data", "/application/json")
        assert stream["/Params"]["/ModDate"] == "D:20261012000000Z"


def test_without_data_it_is_an_archives_file_too() -> None:
    """No file goes along, and both standards hold."""
    data = archived([card_piece(FRAME, SHOP)], ())
    assert not pypdf.PdfReader(io.BytesIO(data)).attachments
    assert validation.validate_pdf_bytes(data, profile="3a").is_compliant


def test_the_same_records_give_the_same_bytes() -> None:
    """Nothing in it is of today or by chance, whatever the order in which the files are given."""
    assert archived([card_piece(FRAME, SHOP)]) == archived([card_piece(FRAME, SHOP)], FILES[::-1])
    assert NO_DAY.isoformat() == "1970-01-01"
