"""The page "How sure is this bench?" in the shop's language."""

import io
from dataclasses import replace

import pypdf
import pytest
from smallshop import TODAY

from passport.records.language.worded import speaking
from passport.render.sheets.sureness import sureness_pdf
from passport.render.voice.bench_voice import voice_of
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.gathering.sureness import sureness


def _page(content, language: str) -> tuple[pypdf.PdfReader, str]:
    with speaking(voice_of(language)):
        shop = replace(Gatherer(content).shop, language=language)
        read = pypdf.PdfReader(io.BytesIO(sureness_pdf(shop, sureness(content, TODAY))))
    return read, " ".join(" ".join(page.extract_text() for page in read.pages).split())


@pytest.mark.parametrize(
    ("language", "there", "not_there"),
    [
        ("en", ("How sure is this bench?", "Last held against", "Next check by", "Too close to call", "correction, %"), "Waage"),
        ("de", ("Wie sicher misst diese Werkstatt?", "Zuletzt gegen", "Nächste Prüfung bis", "Zu knapp", "Korrektur, %"), "Last held"),
        ("es", ("¿Qué seguridad tiene este taller?", "Comparado por última vez", "corrección, %"), "Last held"),
    ],
)  # fmt: skip
def test_the_page_speaks_the_shops_language(demo_content, language, there, not_there):
    """Heads, sentences and the words of the plots; one page in each language, which says which one it is."""
    read, text = _page(demo_content, language)
    assert len(read.pages) == 1 and read.trailer["/Root"]["/Lang"] == language
    assert [words for words in there if words not in text] == []
    assert not_there not in text
