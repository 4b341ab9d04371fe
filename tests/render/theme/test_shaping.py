"""How wide text runs: as wide as a browser sets it."""

import pytest
from fontTools.ttLib import TTFont

from passport.render.theme.assets import fonts
from passport.render.theme.shaping import shaped_width


def advances(name: str, content: str) -> float:
    """The sum of advances in em as fontTools reads them, figures by the font's own table of tabular ones."""
    font = TTFont(fonts() / name)
    tables = font["GSUB"].table
    tabular: dict[str, str] = {}
    for record in tables.FeatureList.FeatureRecord:
        if record.FeatureTag == "tnum":
            for index in record.Feature.LookupListIndex:
                for table in tables.LookupList.Lookup[index].SubTable:
                    tabular |= getattr(table, "ExtSubTable", table).mapping
    glyphs = [font.getBestCmap().get(ord(sign), ".notdef") for sign in content]
    return sum(font["hmtx"][tabular.get(glyph, glyph)][0] for glyph in glyphs) / font["head"].unitsPerEm


@pytest.mark.parametrize("name", ["text-400.ttf", "text-600.ttf", "display-600.ttf"])
@pytest.mark.parametrize("content", ["0123456789", "11", "mm", "日"])
def test_text_without_kerning_is_its_advances(name: str, content: str) -> None:
    """What does not kern is as wide as the font file says, a sign that it lacks as wide as the empty box."""
    assert shaped_width(content, name) == pytest.approx(advances(name, content), abs=1e-6)


def test_pairs_are_kerned() -> None:
    """A pair that the font draws together is narrower than its letters."""
    assert shaped_width("AV", "display-600.ttf") < advances("display-600.ttf", "AV")
