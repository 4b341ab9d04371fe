"""A print shop's file against PDF/X-4, clause by clause, and against Ghostscript, plate by plate.

No free program judges PDF/X-4, and the text of ISO 15930-7:2010 is not free either. The checks follow what is published
of it (scope, terms, table of contents) and ISO 32000-1, which it narrows; each names its clause in the one, or in both.
"""

import io
import struct
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from xml.etree.ElementTree import fromstring

import numpy as np
import pypdf
import pytest
import zxingcpp
from cardfacts import FRAME, LONG, SHOP
from PIL import Image
from printed import made, twins
from printread import MM, inked, pages
from pypdf.generic import ArrayObject, ContentStream, DictionaryObject, IndirectObject, StreamObject

from passport.render.print.card import card_piece
from passport.render.print.imposition import PAPERS, layout, sheets, single
from passport.render.print.setcard import set_pieces
from passport.render.print.sticker import sticker_piece
from passport.render.print.tag import TAG, tag_piece
from passport.render.standards.pdfx import PRESS
from passport.render.theme.address import public_address

DPI = 300
INK = 300
"""The most ink that offset presses dry on coated paper, percent of all plates (common practice, no source)."""
NS = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfxid": "http://www.npes.org/pdfx/ns/id/",
}


@cache
def press(kind: str) -> bytes:
    """A print shop's file of one kind."""
    if kind == "sheet":
        return sheets([card_piece(f, SHOP) for f in (FRAME, LONG)], PAPERS["a4"], standard=PRESS, notice=("a", "b"))
    if kind == "set":
        player, group = twins(3)
        return single(set_pieces(player, group, SHOP), bleed=True, standard=PRESS)
    pieces = {
        "card": lambda: card_piece(FRAME, SHOP), "tag": lambda: tag_piece(FRAME, SHOP),
        "sticker": lambda: sticker_piece(FRAME, SHOP), "round": lambda: sticker_piece(FRAME, SHOP, circular=True),
    }  # fmt: skip
    return single([pieces[kind]()], bleed=True, standard=PRESS)


KINDS = ("card", "tag", "sticker", "round", "set", "sheet")


@cache
def opened(kind: str) -> pypdf.PdfReader:
    """That file, read."""
    return pypdf.PdfReader(io.BytesIO(press(kind)))


def things(reader: pypdf.PdfReader) -> Iterator:
    """Every object of the file that can be reached."""
    waiting, seen = [reader.trailer], set()
    while waiting:
        thing = waiting.pop()
        if isinstance(thing, IndirectObject):
            if thing.idnum in seen:
                continue
            seen.add(thing.idnum)
            thing = thing.get_object()
        yield thing
        if isinstance(thing, DictionaryObject):
            waiting += thing.values()
        elif isinstance(thing, ArrayObject):
            waiting += thing


def painted(reader: pypdf.PdfReader) -> Iterator[tuple[list, bytes]]:
    """Every operation of pages, forms and patterns."""
    for page in reader.pages:
        yield from ContentStream(page["/Contents"], reader).operations
    for thing in things(reader):
        if isinstance(thing, StreamObject) and (thing.get("/Subtype") == "/Form" or "/PatternType" in thing):
            yield from ContentStream(thing, reader).operations


def operators(reader: pypdf.PdfReader) -> set[str]:
    """What operators there are."""
    return {operator.decode() for _, operator in painted(reader)}


def described(reader: pypdf.PdfReader):
    """The metadata as XML, without the processing instructions round it."""
    text = reader.trailer["/Root"]["/Metadata"].get_data().decode()
    return fromstring(text[text.index("<x:xmpmeta") : text.index("<?xpacket end")])


def told(reader: pypdf.PdfReader, name: str) -> str:
    """A property of the metadata."""
    return described(reader).findtext(f".//{name}", "", NS)


def intents(reader: pypdf.PdfReader) -> list:
    """The output intents of this standard."""
    return [each for each in reader.trailer["/Root"].get("/OutputIntents", []) if each["/S"] == "/GTS_PDFX"]


def spaces(reader: pypdf.PdfReader) -> list:
    """The colour spaces that have a name."""
    found = [
        thing["/ColorSpace"]
        for thing in things(reader)
        if isinstance(thing, DictionaryObject) and "/ColorSpace" in thing
    ]
    return [space for each in found for space in (each.values() if isinstance(each, DictionaryObject) else [each])]


def version(reader: pypdf.PdfReader, data: bytes) -> bool:
    """It is PDF 1.6, is told apart from all others, and says which standard it follows."""
    named = len(reader.trailer["/ID"]) == 2 if "/ID" in reader.trailer else False
    return data.startswith(b"%PDF-1.6") and named and told(reader, "pdfxid:GTS_PDFXVersion") == "PDF/X-4"


def whole(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Nothing is encrypted, compressed in a way that needs a licence, or elsewhere."""
    filters = {
        str(each) for thing in things(reader) if isinstance(thing, StreamObject) for each in [thing.get("/Filter", "")]
    }
    outside = [
        t
        for t in things(reader)
        if isinstance(t, DictionaryObject) and (("/F" in t and "/FFilter" in t) or "/OPI" in t)
    ]
    return not reader.is_encrypted and filters <= {"", "/FlateDecode", "/DCTDecode"} and not outside


def condition(reader: pypdf.PdfReader, data: bytes) -> bool:
    """One output intent names a condition of the registry."""
    found = intents(reader)
    return len(found) == 1 and (found[0]["/OutputConditionIdentifier"], found[0]["/RegistryName"]) == (
        "FOGRA39", "http://www.color.org",
    )  # fmt: skip


def profile(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Its profile is in the file, of a printer in four inks, with both directions, of an ICC version that PDF 1.6 reads."""
    found = intents(reader)
    if not found:
        return False
    icc = found[0]["/DestOutputProfile"].get_data()
    tags = {icc[132 + 12 * i : 136 + 12 * i] for i in range(struct.unpack(">I", icc[128:132])[0])}
    right = struct.unpack(">I", icc[:4])[0] == len(icc) and icc[12:20] == b"prtrCMYK" and icc[36:40] == b"acsp"
    return right and icc[8] in (2, 4) and {b"A2B0", b"A2B1", b"B2A0", b"B2A1", b"cprt", b"desc", b"wtpt"} <= tags


def inks(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Every colour is of the press or a named ink: none of a screen, none that the profile would have to be asked for."""
    mixed = {"/DeviceCMYK", "/DeviceGray"}
    named = [s for s in spaces(reader) if isinstance(s, ArrayObject)]
    groups = [t["/Group"] for t in things(reader) if isinstance(t, DictionaryObject) and "/Group" in t]
    return (
        not operators(reader) & {"rg", "RG", "sh"}
        and all(s[0] == "/Separation" for s in named)
        and all(s in mixed for s in spaces(reader) if not isinstance(s, ArrayObject))
        and all(g.get("/CS", "/DeviceCMYK") in mixed for g in groups)
    )


def named_inks(reader: pypdf.PdfReader, data: bytes) -> bool:
    """A named ink has a name in UTF-8, and stands for four inks by a function that is the same wherever it is."""
    found = [s for s in spaces(reader) if isinstance(s, ArrayObject) and s[0] == "/Separation"]
    for space in found:
        function = space[3].get_object()
        if space[2] != "/DeviceCMYK" or function["/FunctionType"] != 2 or len(function["/C1"]) != 4:
            return False
    return bool(found) and len({str(s[1]) for s in found}) == len({str(s) for s in found})


def fonts(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Every typeface is in the file."""
    found = [t for t in things(reader) if isinstance(t, DictionaryObject) and t.get("/Type") == "/FontDescriptor"]
    return bool(found) and all({"/FontFile", "/FontFile2", "/FontFile3"} & set(t) for t in found)


def identification(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Title, dates and a name of the document are in the metadata, and say what the document's own description says."""
    info = reader.metadata
    day = told(reader, "xmp:CreateDate").replace("-", "").replace(":", "").replace("T", "")
    return (
        bool(
            told(reader, "xmpMM:DocumentID")
            and told(reader, "xmpMM:VersionID")
            and told(reader, "xmpMM:RenditionClass")
        )
        and info.get("/CreationDate") == info.get("/ModDate") == f"D:{day}"
        and told(reader, "xmp:ModifyDate") == told(reader, "xmp:MetadataDate") == told(reader, "xmp:CreateDate")
        and described(reader).findtext(".//dc:title//rdf:li", "", NS) == info.title
        and told(reader, "pdf:Producer") == info.producer
    )


def trapped(reader: pypdf.PdfReader, data: bytes) -> bool:
    """It is said that no traps are in it."""
    return reader.metadata.get("/Trapped") == "/False" and told(reader, "pdf:Trapped") == "False"


def boxes(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Each page says where it is cut, inside its bleed, inside its paper, and has no second such box."""
    for page in reader.pages:
        if "/TrimBox" not in page or "/ArtBox" in page:
            return False
        media, bleed, trim = (page[name] for name in ("/MediaBox", "/BleedBox", "/TrimBox"))
        for inner, outer in ((trim, bleed), (bleed, media)):
            if any(i < o - 0.01 for i, o in zip(inner[:2], outer[:2], strict=True)):
                return False
            if any(i > o + 0.01 for i, o in zip(inner[2:], outer[2:], strict=True)):
                return False
    return True


def plain(reader: pypdf.PdfReader, data: bytes) -> bool:
    """No PostScript, no transfer curves, no halftones, no alternate images."""
    keys = {k for t in things(reader) if isinstance(t, DictionaryObject) for k in t}
    kinds = {str(t.get("/Subtype", "")) for t in things(reader) if isinstance(t, DictionaryObject)}
    return not keys & {"/TR", "/TR2", "/HT", "/HTP", "/Alternates", "/Ref"} and "/PS" not in kinds


def actionless(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Nothing acts, asks or is filled in, and no note lies on a page."""
    keys = {k for t in things(reader) if isinstance(t, DictionaryObject) for k in t}
    return not keys & {"/JavaScript", "/JS", "/AA", "/OpenAction", "/AcroForm", "/Annots", "/EmbeddedFiles"}


def known(reader: pypdf.PdfReader, data: bytes) -> bool:
    """No operator is skipped by a reader that does not know it."""
    return not operators(reader) & {"BX", "EX"}


def seen_through(reader: pypdf.PdfReader, data: bytes) -> bool:
    """What is seen through is mixed in the inks of the press, and states of graphics have known modes."""
    modes = {str(t["/BM"]) for t in things(reader) if isinstance(t, DictionaryObject) and "/BM" in t}
    return modes <= {"/Normal", "/Multiply"}


def rendering(reader: pypdf.PdfReader, data: bytes) -> bool:
    """A rendering intent, where one is named, is one of the four."""
    named = {str(o[0]) for o, operator in painted(reader) if operator == b"ri"}
    return named <= {"/RelativeColorimetric", "/AbsoluteColorimetric", "/Perceptual", "/Saturation"}


def limits(reader: pypdf.PdfReader, data: bytes) -> bool:
    """Saved states of graphics nest no deeper than 28."""
    deepest = 0
    for page in reader.pages:
        depth = 0
        for _, operator in ContentStream(page["/Contents"], reader).operations:
            depth += {b"q": 1, b"Q": -1}.get(operator, 0)
            deepest = max(deepest, depth)
        if depth:
            return False
    return deepest <= 28


Check = Callable[[pypdf.PdfReader, bytes], bool]
CLAUSES: dict[str, Check] = {
    "ISO 15930-7, 6.1; ISO 32000-1, 7.5.2, 14.4": version,
    "ISO 15930-7, 6; ISO 32000-1, 7.4.4, 7.6, 7.11.5, 14.11.7": whole,
    "ISO 15930-7, 6; ISO 32000-1, 14.11.5": condition,
    "ISO 15930-7, 6.4; ICC.1, 8.5": profile,
    "ISO 15930-7, 6; ISO 32000-1, 8.6": inks,
    "ISO 15930-7, 6.6; ISO 32000-1, 8.6.6.4": named_inks,
    "ISO 15930-7, 6.5; ISO 32000-1, 9.9": fonts,
    "ISO 15930-7, 6.10; ISO 32000-1, 14.3": identification,
    "ISO 15930-7, 6; ISO 32000-1, 14.11.6": trapped,
    "ISO 15930-7, 6; ISO 32000-1, 14.11.2": boxes,
    "ISO 15930-7, 6.14; ISO 32000-1, 8.8.2, 10.4, 10.5": plain,
    "ISO 15930-7, 6.18, 6.26; ISO 32000-1, 12.5, 12.6, 12.7": actionless,
    "ISO 15930-7, 6.19; ISO 32000-1, 7.8.2": known,
    "ISO 15930-7, 6.20; ISO 32000-1, 11.3.5": seen_through,
    "ISO 15930-7, 6.23; ISO 32000-1, 8.6.5.8": rendering,
    "ISO 15930-7, 6.25; ISO 32000-1, C.2": limits,
}


@pytest.mark.parametrize("clause", CLAUSES)
@pytest.mark.parametrize("kind", KINDS)
def test_pdf_x_4(kind, clause) -> None:
    """What the clause asks for holds."""
    assert CLAUSES[clause](opened(kind), press(kind)), CLAUSES[clause].__doc__


def test_the_checks_tell_other_files_apart() -> None:
    """A card for the screen fails at version, condition, profile, inks, named inks, description and trapping."""
    data = made("card", bleed=True)
    reader = pypdf.PdfReader(io.BytesIO(data))
    failed = {check.__name__ for check in CLAUSES.values() if not check(reader, data)}
    assert failed == {"version", "condition", "profile", "inks", "named_inks", "identification", "trapped"}


@cache
def separated(kind: str) -> dict[tuple[int, str], Image.Image]:
    """The plates of every page as Ghostscript makes them."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "press.pdf"
        source.write_bytes(press(kind))
        subprocess.run(
            ["gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=tiffsep", f"-r{DPI}", "-o", f"{folder}/%d.tif", source],
            check=True, capture_output=True,
        )  # fmt: skip
        found = {}
        for path in Path(folder).glob("*(*).tif"):
            number, _, ink = path.stem.rstrip(")").partition("(")
            found[int(number) - 1, ink] = Image.open(path).convert("L")
        return found


def plates(kind: str, number: int) -> dict[str, Image.Image]:
    """The plates of a page: 255 where there is no ink, 0 where there is all of it."""
    return {ink: plate for (page, ink), plate in separated(kind).items() if page == number}


def within(page, left: float, top: float, right: float, low: float) -> tuple[int, int, int, int]:
    """A box in points from the upper left, in pixels, with a pixel round it."""
    scale = DPI / 72
    return int(left * scale) - 1, int(top * scale) - 1, int(right * scale) + 2, int(low * scale) + 2


def trim(kind: str, number: int) -> tuple[float, float]:
    """Where the cut begins on a page, mm from its upper left corner."""
    page = pypdf.PdfReader(io.BytesIO(press(kind))).pages[number]
    return float(page.trimbox.left) / MM, float(page.mediabox.top - page.trimbox.top) / MM


SPOTS = {
    "card": {"DieLine", "Corners"}, "tag": {"DieLine", "Hole"}, "sticker": {"DieLine"}, "round": {"DieLine"},
    "set": {"DieLine"}, "sheet": {"DieLine", "Corners"},
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_plates_are_four_and_those_of_the_tools(kind) -> None:
    """There is a plate for each of the four inks and for each tool that the piece needs, and no other."""
    assert set(plates(kind, 0)) == {"Cyan", "Magenta", "Yellow", "Black"} | SPOTS[kind]


@pytest.mark.parametrize(("kind", "number"), [("card", 1), ("tag", 0), ("sticker", 0)])
def test_the_code_is_on_the_black_plate_alone(kind, number) -> None:
    """Read from the black plate it is the address; none of its modules is on another plate."""
    made_plates = plates(kind, number)
    (found,) = zxingcpp.read_barcodes(made_plates["Black"])
    assert found.text == public_address(SHOP, FRAME.key, FRAME.secret)
    corners = [getattr(found.position, name) for name in ("top_left", "top_right", "bottom_left", "bottom_right")]
    box = min(c.x for c in corners), min(c.y for c in corners), max(c.x for c in corners), max(c.y for c in corners)
    assert made_plates["Black"].crop(box).getextrema() == (0, 255)
    for name in ("Cyan", "Magenta", "Yellow"):
        assert made_plates[name].crop(box).getextrema() == (255, 255), name


@pytest.mark.parametrize(("kind", "number"), [("card", 0), ("card", 1), ("tag", 0), ("tag", 1), ("set", 0), ("set", 1)])
def test_black_text_is_on_the_black_plate_alone(kind, number) -> None:
    """Where a letter is black, cyan, magenta and yellow are the bare paper."""
    page = list(pages(press(kind)))[number]
    dark = [c for c in page.chars if c["non_stroking_color"] == (0, 0, 0, 1) and not c["text"].isspace()]
    assert len(dark) > 40
    for letter in dark:
        x0, x1, low, high = inked(letter)
        box = within(page, x0, float(page.height) - high, x1, float(page.height) - low)
        for name in ("Cyan", "Magenta", "Yellow"):
            low = plates(kind, number)[name].crop(box).getextrema()[0]
            assert low == 255, (letter["text"], name)


@pytest.mark.parametrize("kind", KINDS)
def test_text_that_has_no_colour_of_its_own_is_black_or_bare(kind) -> None:
    """Every letter is black alone, bare paper, or in a colour of shop or house, which has one ink above all others."""
    for page in pages(press(kind)):
        for letter in page.chars:
            cyan, magenta, yellow, black = letter["non_stroking_color"]
            assert (cyan, magenta, yellow) == (0, 0, 0) or max(cyan, magenta, yellow) - min(cyan, magenta, yellow) > 0.3
            assert 0 <= black <= 1


@pytest.mark.parametrize("kind", KINDS)
def test_there_is_no_more_ink_than_dries(kind) -> None:
    """The plates together have at most 300 % inside the bleed."""
    made_plates = plates(kind, 0)
    page = pypdf.PdfReader(io.BytesIO(press(kind))).pages[0]
    box = page.bleedbox
    if kind == "sheet":  # between the marks, which are on every plate
        c = layout(PAPERS["a4"], card_piece(FRAME, SHOP).format, shop=True).block
        area = tuple(round(v * DPI / 25.4) for v in (c.left, c.top, c.left + c.width, c.top + c.height))
    else:
        top = float(page.mediabox.top)
        area = within(page, float(box.left), top - float(box.top), float(box.right), top - float(box.bottom))
    inked = sum(255.0 - np.asarray(made_plates[name].crop(area)) for name in ("Cyan", "Magenta", "Yellow", "Black"))
    assert 100 < inked.max() / 2.55 <= INK


def lined(plate: Image.Image) -> tuple[float, float, float, float]:
    """The box round all ink of a plate, mm from its upper left corner."""
    return tuple(v / DPI * 25.4 for v in plate.point(lambda v: 255 * (v < 200)).getbbox())


NEAR = 0.2
"""How far a hairline's box may be off where it is drawn in pixels of 0.085 mm, mm."""


@pytest.mark.parametrize("kind", ["card", "tag", "sticker", "round", "set"])
def test_the_die_goes_along_the_cut(kind) -> None:
    """The line of the die lies on the TrimBox; crop marks are on its plate as on all others."""
    left, top = trim(kind, 0)
    page = pypdf.PdfReader(io.BytesIO(press(kind))).pages[0]
    width, height = (float(v) / MM for v in (page.trimbox.width, page.trimbox.height))
    die = plates(kind, 0)["DieLine"]
    # A millimetre round the cut: the marks begin further out.
    box = tuple(round(v * DPI / 25.4) for v in (left - 1, top - 1, left + width + 1, top + height + 1))
    assert lined(die.crop(box)) == pytest.approx((1, 1, 1 + width, 1 + height), abs=NEAR)
    for name, plate in plates(kind, 0).items():
        assert lined(plate) == pytest.approx(lined(die), abs=NEAR), name


def test_the_punch_goes_where_the_tag_has_its_hole() -> None:
    """The hole is 5 mm wide, 30 mm from the left and 8 mm from the top, on the front and seen from the back."""
    for number in (0, 1):
        left, top = trim("tag", number)
        box = tuple(round(v * DPI / 25.4) for v in (left + 1, top + 1, left + 59, top + 100))
        x0, y0, x1, y1 = (v + 1 for v in lined(plates("tag", number)["Hole"].crop(box)))
        assert ((x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0) == pytest.approx((*TAG.hole[:2], 5, 5), abs=NEAR)


def test_a_cards_corners_are_those_of_id_1() -> None:
    """A corner is rounded with 3.18 mm (ISO/IEC 7810, ID-1: 2.88 to 3.48 mm): its arc begins that far along each side."""
    left, top = trim("card", 0)
    box = tuple(round(v * DPI / 25.4) for v in (left - 0.5, top - 0.5, left + 10, top + 10))
    x0, y0, x1, y1 = (v - 0.5 for v in lined(plates("card", 0)["Corners"].crop(box)))
    assert (x0, y0) == pytest.approx((0, 0), abs=NEAR)
    assert 2.88 <= x1 <= 3.48 and 2.88 <= y1 <= 3.48


def test_lines_for_tools_leave_no_trace_in_the_picture() -> None:
    """Under the line of the die the panel's inks are what they are beside it."""
    left, top = trim("card", 0)
    x, y = round((left + 85.6) * DPI / 25.4), round((top + 50) * DPI / 25.4)
    die = plates("card", 0)["DieLine"]
    on = min(range(x - 3, x + 4), key=lambda at: die.getpixel((at, y)))
    assert die.getpixel((on, y)) < 128
    for name in ("Cyan", "Black"):
        plate = plates("card", 0)[name]
        assert plate.getpixel((on, y)) == plate.getpixel((on + 6, y)) == plate.getpixel((on - 6, y)) < 250


def test_the_bleed_is_printed_whole() -> None:
    """On single pages and between the pieces of a sheet the panel's colour runs 3 mm past the cut."""
    left, top = trim("card", 0)
    plate = plates("card", 0)["Cyan"]
    for out, printed in ((2.8, True), (3.3, False)):
        at = round((left + 85.6 + out) * DPI / 25.4), round((top + 20) * DPI / 25.4)
        assert (plate.getpixel(at) < 250) is printed
    plan = layout(PAPERS["a4"], card_piece(FRAME, SHOP).format, shop=True)
    assert plan.bleed == 3.0 and plan.gap >= 2 * plan.bleed + 0.5


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_records_give_the_same_bytes(kind) -> None:
    """Made anew it is the same, name and dates included."""
    first = press(kind)
    press.cache_clear()
    assert press(kind) == first
