"""The PDF engine: confined to its folder, the same bytes everywhere, and a clear text where Pango is missing."""

import hashlib
import io
import logging
import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import pypdf
import pytest

from passport.render.print import pdf
from passport.render.theme import assets
from passport.render.theme.assets import templates

BODY = "<h1>Match 1</h1><p>27 lb · 12.2 kg</p>"
SHEETS = ("style/fonts-print.css",)


@pytest.fixture(autouse=True)
def quiet(caplog):
    """WeasyPrint warns of nothing."""
    yield
    said = [r.getMessage() for r in caplog.records if r.name == "weasyprint" and r.levelno >= logging.WARNING]
    assert said == []


def written(body: str = BODY, css=SHEETS, **more) -> bytes:
    """A small document."""
    return pdf.engine().write(body, css, title="Proof & co", lang="en", **more)


def metadata(data: bytes):
    """What the PDF says of itself."""
    return pypdf.PdfReader(io.BytesIO(data)).metadata


def elsewhere(code: str, **environment: str) -> str:
    """What a fresh Python process prints."""
    env = {k: v for k, v in os.environ.items() if k != "SOURCE_DATE_EPOCH"} | environment
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
    assert done.stderr == ""
    return done.stdout.strip()


def test_title_and_language() -> None:
    """The document carries its title and its language."""
    reader = pypdf.PdfReader(io.BytesIO(written()))
    assert reader.metadata.title == "Proof & co"
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_one_engine_and_one_parse() -> None:
    """A process has one engine, and reads each style sheet once."""
    engine = pdf.engine()
    written()
    sheet = engine._sheets[SHEETS[0]][0]
    written()
    assert pdf.engine() is engine
    assert engine._sheets[SHEETS[0]][0] is sheet


def test_same_bytes_in_another_process(tmp_path) -> None:
    """The same input gives the same bytes in another process, folder, time zone and hash seed."""
    code = (
        "import hashlib; from passport.render.print import pdf;"
        f"data = pdf.engine().write({BODY!r}, {SHEETS!r}, title='Proof & co', lang='en');"
        "print(hashlib.sha256(data).hexdigest())"
    )
    here = hashlib.sha256(written()).hexdigest()
    assert here == hashlib.sha256(written()).hexdigest()
    assert elsewhere(code, TZ="Pacific/Auckland", PYTHONHASHSEED="7") == here


def test_dates_come_from_outside(monkeypatch) -> None:
    """The creation date is the date given, else SOURCE_DATE_EPOCH, else left out; never the clock's."""
    assert metadata(written(when=date(2026, 10, 12))).creation_date_raw.startswith("D:20261012")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    # 1 000 000 000 s of Unix time: 9 September 2001, 01:46:40 UTC (from memory).
    assert metadata(written()).creation_date_raw.startswith("D:20010909014640")
    assert metadata(written(when=date(2026, 10, 12))).creation_date_raw.startswith("D:20261012")
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    assert metadata(written()).creation_date_raw is None


@pytest.mark.parametrize("text", ["yesterday", "-1", "1.5", " 12", "१२", "9" * 30])
def test_malformed_epoch_is_refused(monkeypatch, text) -> None:
    """A malformed SOURCE_DATE_EPOCH ends with an error that names it, even where a date is given."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", text)
    with pytest.raises(pdf.BadEpoch, match="SOURCE_DATE_EPOCH"):
        written(when=date(2026, 10, 12))


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/hostname",
        "../pyproject.toml",
        "style/../../pyproject.toml",
        "%2e%2e/pyproject.toml",
        "file://elsewhere/etc/hostname",
        "http://127.0.0.1:9/x.png",
        "data:image/png;base64,AAAA",
        "picture:unknown",
    ],
)
def test_nothing_outside_the_folder_is_read(monkeypatch, caplog, address) -> None:
    """A document that asks for a file outside the templates, or for the network, is refused."""
    monkeypatch.setattr("socket.socket.connect", lambda *_: pytest.fail("went to the network"))
    with pytest.raises(pdf.FaultyDocument):
        written(f'<p><img src="{address}" alt="x"></p>')
    caplog.clear()


def test_links_out_of_the_folder_are_not_followed(tmp_path) -> None:
    """A symbolic link inside the folder that leads out of it is refused."""
    root, secret = tmp_path / "templates", tmp_path / "secret.svg"
    root.mkdir()
    secret.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>')
    (root / "inside.svg").write_text(secret.read_text())
    (root / "link.svg").symlink_to(secret)
    engine = pdf.Engine(root)
    assert engine.write('<img src="inside.svg" alt="x">', (), title="t", lang="en").startswith(b"%PDF")
    with pytest.raises(pdf.FaultyDocument):
        engine.write('<img src="link.svg" alt="x">', (), title="t", lang="en")


def test_pictures_are_decoration() -> None:
    """A picture handed over with the document is drawn as vectors and is no figure to a screen reader."""
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M1 1H8V8z" fill="#0d5566"/></svg>'
    body = '<p style="height:5cm;background:url(picture:mark)">x</p>'
    plain, drawn = written("<p>x</p>"), written(body, pictures={"mark": svg})
    reader = pypdf.PdfReader(io.BytesIO(drawn))
    assert len(reader.pages[0].get_contents().get_data()) > len(
        pypdf.PdfReader(io.BytesIO(plain)).pages[0].get_contents().get_data()
    )
    assert not any("/Figure" in str(o.get_object()) for o in _objects(reader))


def _objects(reader: pypdf.PdfReader):
    return [reader.get_object(i) for i in range(1, len(reader.xref[0]) + 1) if reader.get_object(i) is not None]


def test_figure_without_text_is_refused(caplog) -> None:
    """A picture in the text without an alternative text is an error, not a document."""
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>'
    with pytest.raises(pdf.FaultyDocument, match="alt"):
        written('<img src="picture:x">', pictures={"x": svg})
    caplog.clear()


def test_libraries_are_here() -> None:
    """On a machine with Pango nothing is missing."""
    assert pdf.available() is None


def test_missing_pango_is_explained() -> None:
    """Without Pango the text names the package for each system, nothing else is printed, and an engine is refused."""
    code = (
        "import cffi\n"
        "def gone(self, name, flags=0): raise OSError(f'{name}: cannot open shared object file')\n"
        "cffi.FFI.dlopen = gone\n"
        "from passport.render.print import pdf\n"
        "text = pdf.available()\n"
        "try: pdf.engine()\n"
        "except pdf.NoPango as error: assert str(error) == text\n"
        "print(text)"
    )
    text = elsewhere(code)
    for package in ("libpango-1.0-0", "dnf install pango", "brew install pango", "mingw-w64-ucrt-x86_64-pango"):
        assert package in text
    assert text.startswith("Cards and sheets need the Pango library")
    assert "http" not in text


def test_weasyprint_is_imported_late() -> None:
    """Importing the card and the engine does not import WeasyPrint."""
    code = "import sys, passport.render.print.card, passport.render.print.pdf; print('weasyprint' in sys.modules)"
    assert elsewhere(code) == "False"


def test_no_folder_is_left_behind(tmp_path) -> None:
    """The fonts' temporary folder is gone when the process, or a worker process, ends."""
    code = (
        "import multiprocessing as m\n"
        "from passport.render.print import pdf\n"
        "def work(n): return len(pdf.engine().write('<p>x</p>', ('style/fonts-print.css',), title='t', lang='en'))\n"
        "if __name__ == '__main__':\n"
        "    pool = m.get_context('fork').Pool(1)\n"
        "    pool.map(work, [1])\n"
        "    pool.close(); pool.join()\n"
        "    work(0)\n"
    )
    script = tmp_path / "work.py"
    script.write_text(code)
    temporary = tmp_path / "tmp"
    temporary.mkdir()
    done = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"TMPDIR": str(temporary)},
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert list(temporary.glob("weasyprint-*")) == []


def test_the_folder_is_the_shipped_one() -> None:
    """The engine's folder is the templates that belong to this installation."""
    assert pdf.engine()._roots == (Path(templates()).resolve(),)


def test_the_shop_s_own_style_stands_above_the_shipped_one(tmp_path) -> None:
    """A style sheet in the content folder replaces the shipped one; nothing else of that folder may be read."""
    (tmp_path / "style").mkdir()
    (tmp_path / "style" / "fonts-print.css").write_text("p { font-size: 33pt; }")
    (tmp_path / "secret.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>')
    plain = written()
    with assets.using(tmp_path):
        assert written() != plain
        with pytest.raises(pdf.FaultyDocument):
            written(f'<p><img src="{(tmp_path / "secret.svg").as_uri()}" alt="x"></p>')
    assert written() == plain


def test_what_is_used_is_noted() -> None:
    """Style sheets and the fonts that they name count as used in every document, also when they were read before."""
    for _ in range(2):
        with assets.noted() as names:
            written()
        assert {"style/fonts-print.css", "fonts/display-600.ttf", "fonts/text-500.ttf"} <= names
