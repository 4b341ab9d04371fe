"""What of a frame is printed from the bench: what the commands print, each where it can be."""

import re
import shutil

import pytest
from benchserver import serving
from commandline import passport
from places import DEMO
from pypdf import PdfReader
from starlette.responses import Response

from passport.acts.printing import KINDS
from passport.browser.devices.veil import without_contacts

FRAME, WAITS = "askwell/i", "quintaval/dos"


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """The demo's bench."""
    content = tmp_path_factory.mktemp("prints") / "content"
    shutil.copytree(DEMO, content)
    with serving(content) as asker:
        yield asker


def links(text: str) -> list[str]:
    """The documents that a screen leads to."""
    return re.findall(r'href="(/(?:card|label)/[^"]+)"', text)


def read(data: bytes, path) -> list[str]:
    """The text of each page of a PDF."""
    path.write_bytes(data)
    return [page.extract_text() for page in PdfReader(path).pages]


def test_a_frames_screen_leads_to_all_of_its_prints(bench):
    """From the machine to the choice, and from there to each piece in a tab of its own."""
    assert f'href="/frame/{FRAME}/print"' in bench.ask(f"/frame/{FRAME}").text
    page = bench.ask(f"/frame/{FRAME}/print")
    base = f"/card/{FRAME}"
    kinds = [kind for kind in KINDS if kind not in ("card", "set")]
    expected = [base, *(f"{base}/{kind}" for kind in kinds), *([f"{base}/set"] if f"{base}/set" in page.text else [])]
    assert links(page.text) == [*expected, f"/label/{FRAME}"]
    assert page.text.count('target="_blank"') == len(expected) + 1
    for address in links(page.text):
        got = bench.ask(address)
        assert (got.status, got.headers["content-type"]) == (200, "application/pdf"), address
        assert got.headers["content-disposition"].startswith("inline; filename="), address


@pytest.mark.parametrize("kind", ["tag", "sticker", "wrap"])
def test_a_piece_is_the_one_that_the_command_prints(bench, kind, tmp_path):
    """The same words on as many pages as ``passport cards --paper own`` makes of it."""
    done = passport(
        "cards", bench.serving.bench.root, "1042-9", "--kind", kind, "--paper", "own", "--out", tmp_path / "c.pdf"
    )
    assert done.exit_code == 0, done.output
    printed = [page.extract_text() for page in PdfReader(tmp_path / "c.pdf").pages]
    assert read(bench.ask(f"/card/{FRAME}/{kind}").data, tmp_path / "b.pdf") == printed
    assert any(printed)


def test_the_label_is_the_one_that_the_command_prints(bench, tmp_path):
    """What hangs on a frame while it waits, for the shop's own roll."""
    assert passport("label", bench.serving.bench.root, "0967-1", "--out", tmp_path / "c.pdf").exit_code == 0
    printed = [page.extract_text() for page in PdfReader(tmp_path / "c.pdf").pages]
    assert read(bench.ask(f"/label/{WAITS}").data, tmp_path / "b.pdf") == printed
    assert "0967-1" in "".join(printed)


def test_the_day_is_the_one_that_the_command_prints(bench, tmp_path):
    """The rack, what it takes and who is due on one page, by a press on the first screen; a device that is shown no contact
    data does not get it."""
    assert 'href="/day"' in bench.ask("/").text
    assert passport("day", bench.serving.bench.root, "--out", tmp_path / "c.pdf").exit_code == 0
    printed = [page.extract_text() for page in PdfReader(tmp_path / "c.pdf").pages]
    got = bench.ask("/day")
    assert (got.status, got.headers["content-type"]) == (200, "application/pdf")
    assert read(got.data, tmp_path / "b.pdf") == printed
    assert len(printed) == 1 and "0967-1" in printed[0]
    answer = Response(got.data, media_type="application/pdf")
    assert without_contacts(bench.serving.bench.root, answer, "/day", {}) is None


def test_what_there_is_not_is_not_made(bench):
    """No kind of somebody's own, no set card of a frame alone, no frame that is not in the records."""
    for address in (f"/card/{FRAME}/poster", f"/card/{FRAME}/../tag", "/card/nobody/i/tag", "/label/nobody/i"):
        assert bench.ask(address).status == 404, address
    alone = "/card/wachtelberg/zwei/set"
    assert alone not in bench.ask("/frame/wachtelberg/zwei/print").text
    assert bench.ask(alone).status == 409


def test_a_frame_out_of_use_has_its_label_alone(bench):
    """A frame that another took over from, or without a number, gets no card, and the screen says so."""
    record = bench.serving.bench.root / "players/askwell/new.yaml"
    record.write_text("model: haldric-fallowgate-100\nlabel: New\n")
    try:
        page = bench.ask("/frame/askwell/new/print")
        assert links(page.text) == ["/label/askwell/new"]
        assert "it has no card" in page.text
        assert bench.ask("/card/askwell/new/tag").status == 409
        assert bench.ask("/card/askwell/new").status == 409
    finally:
        record.unlink()
