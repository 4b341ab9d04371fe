"""What the plots share: the same bytes whatever the user's settings, text as text, the shop's typefaces."""

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from io import BytesIO

import manynames
import pytest
from PIL import Image
from pypdf import PdfReader

from passport.records.language.worded import speaking
from passport.render.plots.paper import drawing, lenders, plotted, saved, sheet
from passport.render.sheets.measured.scale import BENCH
from passport.render.theme import assets
from passport.render.voice.bench_voice import voice_of

NAME = "ليلى النّور"

CODE = """
import sys
from passport.render.plots.paper import drawing, saved, sheet
from passport.render.theme.palette import LIGHT
with drawing(LIGHT):
    figure = sheet(60, 30)
    figure.subplots().plot([1, 2], [3, -4])
    sys.stdout.buffer.write(saved(figure, sys.argv[1], key="k", title="t"))
"""


@pytest.mark.parametrize("kind", ["svg", "pdf", "png"])
def test_the_users_own_settings_change_nothing(tmp_path, kind):
    """A plot has the same bytes in another process with wild settings of the user's own."""
    (tmp_path / "matplotlibrc").write_text("svg.fonttype: path\npath.sketch: 1, 90, 2\nfigure.dpi: 33\nfont.size: 30\n")
    outs = [
        subprocess.run(
            [sys.executable, "-c", CODE, kind],
            env={"MPLCONFIGDIR": str(tmp_path / str(i)), "MATPLOTLIBRC": rc},
            capture_output=True,
            check=True,
        ).stdout
        for i, rc in enumerate(("", str(tmp_path)))
    ]
    assert outs[0] == outs[1] and outs[0]


def test_files_have_size_title_and_typeface():
    """SVG, PDF and PNG are as large as asked for, and say their title; letters stay letters, in the shipped typeface."""
    with drawing(BENCH):
        figure = sheet(60, 30)
        figure.subplots().set_title("Words")
        files = {kind: saved(figure, kind, key="k", title="A title") for kind in ("svg", "pdf", "png")}
    root = ET.fromstring(files["svg"])
    assert [float(root.get(side, "").removesuffix("pt")) for side in ("width", "height")] == pytest.approx(
        [60 / 25.4 * 72, 30 / 25.4 * 72], abs=1e-4
    )
    assert root[0].text == "A title" and "Words" in "".join(root.itertext())
    assert set(re.findall(r"font-family: ([^;\"]+)", files["svg"].decode())) == {"'Barlow Semi Condensed'"}
    pdf = PdfReader(BytesIO(files["pdf"]))
    assert pdf.metadata is not None and pdf.metadata.title == "A title"
    assert "Words" in pdf.pages[0].extract_text()
    assert float(pdf.pages[0].mediabox.width) == pytest.approx(60 / 25.4 * 72, abs=0.01)
    assert Image.open(BytesIO(files["png"])).size == (472, 236)


def test_a_sign_that_the_typeface_lacks_is_no_warning():
    """A name in another script is drawn without a word to the technician's terminal."""
    with drawing(BENCH):
        figure = sheet(60, 30)
        figure.subplots().set_title("日本 $x^2$")
        assert saved(figure, "png", key="k")


def test_words_of_a_plot_are_in_letters_that_it_has():
    """German is said; Japanese, whose letters the plots' typefaces lack, is not, so that no box is drawn."""
    said = {}
    for language in ("en", "de", "fr", "ja"):
        with speaking(voice_of(language)):
            said[language] = plotted("swingweight")
    assert said == {"en": "swingweight", "de": "Schwunggewicht", "fr": "swingweight", "ja": "swingweight"}


def test_names_are_drawn_in_the_shops_own_typefaces(tmp_path, caplog):
    """A name whose letters the shipped typefaces lack is drawn in the typeface that the shop added, and joined: none of
    its letters is a box, and nothing is complained of. Without that typeface it would be."""
    with pytest.MonkeyPatch.context() as patch:
        manynames.add(tmp_path, patch)
        with assets.using(tmp_path), drawing(BENCH, words=NAME):
            figure = sheet(60, 30)
            figure.subplots().set_title(NAME)
            drawn = PdfReader(BytesIO(saved(figure, "pdf", key="k")))
    fonts = {font.get_object()["/BaseFont"] for font in drawn.pages[0]["/Resources"]["/Font"].values()}
    assert any("Arabic" in font for font in fonts) and not any("LastResort" in font for font in fonts), fonts
    assert not caplog.records
    with assets.using(tmp_path / "none"), drawing(BENCH, words=NAME):
        assert lenders(NAME) == []
