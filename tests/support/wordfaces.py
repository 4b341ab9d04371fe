"""Typefaces for whole languages, whose words have more signs than the cut typefaces of `manynames`.

Arabic's are the cut ones: they have all letters. Those of Chinese and Japanese are drawn here, since any new word may bring
a new sign: each sign is as wide as it is in the whole typeface, a frame with bars that tell it from the others.
"""

import hashlib
import io
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Final

import manynames

from passport.render.faces import known
from passport.render.theme import assets
from passport.render.theme.words import languages, signs_of

EM: Final = 1000
CJK: Final = ("NotoSansCJK-Regular.ttc", "NotoSansCJK-Bold.ttc", "NotoSerifCJK-Bold.ttc")


def add(content: Path, patch: object, *texts: str) -> None:
    """Put typefaces for every shipped language, all invented names and ``texts`` into a content folder, and let the
    program know them while ``patch`` holds."""
    manynames.add(content, patch)
    sums = {}
    at_the_bench = (path.read_text("utf-8") for path in (assets.templates() / "messages/bench").glob("*.po"))
    signs = "".join(sorted(set("".join((*manynames.ALL, *texts, *at_the_bench, *map(signs_of, languages()))))))
    for name in CJK:
        data = drawn(name.partition(".")[0], signs)
        (content / known.FOLDER / name).write_bytes(data)
        sums[name] = hashlib.sha256(data).hexdigest()
    patch.setattr(known, "KNOWN", tuple(replace(one, sha256=sums.get(one.name, one.sha256)) for one in known.KNOWN))


@cache
def drawn(name: str, signs: str) -> bytes:
    """A collection of four equal faces with all those of some signs that are of East Asia."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.ttLib import TTCollection, TTFont

    codes = sorted({ord(sign) for sign in signs if known.script_of(sign) == "CJK"})
    glyphs = [".notdef", "space", *(f"u{code:04X}" for code in codes)]
    builder = FontBuilder(EM, isTTF=True)
    builder.setupGlyphOrder(glyphs)
    builder.setupCharacterMap({0x20: "space"} | {code: f"u{code:04X}" for code in codes})
    builder.setupGlyf({".notdef": _bars(0), "space": _nothing(), **{f"u{code:04X}": _bars(code) for code in codes}})
    builder.setupHorizontalMetrics({glyph: (EM // 4 if glyph == "space" else EM, 40) for glyph in glyphs})
    builder.setupHorizontalHeader(ascent=880, descent=-120)
    builder.setupNameTable({"familyName": name, "styleName": "Regular", "psName": name})
    builder.setupOS2(sTypoAscender=880, sTypoDescender=-120, usWinAscent=1160, usWinDescent=288)
    builder.setupPost()
    builder.font["head"].created = builder.font["head"].modified = 3_500_000_000
    one, whole, out = io.BytesIO(), TTCollection(), io.BytesIO()
    builder.save(one)
    whole.fonts = [TTFont(io.BytesIO(one.getvalue()), recalcTimestamp=False) for _ in range(4)]
    whole.save(out)
    return out.getvalue()


def _nothing() -> object:
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    return TTGlyphPen(None).glyph()


def _bars(code: int) -> object:
    """A frame with a bar for each binary digit of a number."""
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    pen = TTGlyphPen(None)
    low, high = -80, 840
    boxes = [(40, low, 90, high), (910, low, 960, high), (90, low, 910, low + 50), (90, high - 50, 910, high)]
    boxes += [(140 + 45 * i, 0, 165 + 45 * i, 760 if code >> i & 1 else 200) for i in range(17)]
    for left, bottom, right, top in boxes:
        pen.moveTo((left, bottom))
        for point in ((left, top), (right, top), (right, bottom)):
            pen.lineTo(point)
        pen.closePath()
    return pen.glyph()
