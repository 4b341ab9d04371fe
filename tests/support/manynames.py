"""Sixty invented names in twenty-six ways of writing, and typefaces that have just their signs.

The typefaces in ``tests/support/faces`` are cut out of the files that the program knows, so that the tests need no
package: `add` puts them into a content folder and lets the program know them instead of the whole files.

    .venv/bin/python tests/support/manynames.py FOLDER

cuts them anew from the whole files somewhere below FOLDER (see `passport.render.faces.known` for the packages).
"""

import io
import sys
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from places import TESTS

from passport.render.faces import cutting, known, shelf

FACES = TESTS / "support" / "faces"
NAMES: Final = MappingProxyType(
    {
        "Latin, Polish": ("Żółki Śnieżyński", "Łucja Gęśl"),
        "Latin, Turkish": ("Işıl Gümüşçü", "İdil Yağız"),
        "Latin, Icelandic": ("Þórdís Æðey", "Ýmir Öræfi"),
        "Latin, Yoruba": ("Ọlámídé Ẹ̀ṣọ́", "Ṣadé Ọ̀kín"),
        "Latin, Vietnamese": ("Nguyễn Thị Ơn", "Trần Đỗ Quỳnh", "Phạm Ngữ Ưng"),
        "Greek": ("Ελένη Δρυάδη", "Ψάμαθος Ξύλης", "Ἀριάδνη Ὠκεανοῦ"),
        "Cyrillic": ("Нина Озёрная", "Їжак Щедрик", "Ђурђа Љиљак"),
        "Arabic": ("محمد الكاظمي", "ليلى النّور", "شادي ظافر"),
        "Arabic, Persian and Urdu": ("پژمان گلچین", "ٹیپو ڈھلوں"),
        "Hebrew": ("יעל כרמלי", "נֹעַם שָׁדֶה", "צוף רימון"),
        "Devanagari": ("अनीता शर्मा", "ज्ञानेश्वर क्षीरसागर", "ऋतु त्रिपाठी"),
        "Bengali": ("সুমনা দত্ত", "ঋত্বিক ঘোষাল"),
        "Tamil": ("தமிழ்ச்செல்வி", "கௌசிக் ஸ்ரீதர்"),
        "Telugu": ("శ్రీవల్లి కొండ", "ఋషి చంద్ర"),
        "Kannada": ("ಕೃಷ್ಣಮೂರ್ತಿ ಹೊಳೆ", "ಜ್ಯೋತಿ"),
        "Malayalam": ("മാളവിക കൃഷ്ണ", "സ്നേഹ"),
        "Gujarati": ("જ્યોત્સ્ના દરિયા", "ક્ષિતિજ"),
        "Gurmukhi": ("ਹਰਪ੍ਰੀਤ ਬਾਗ਼", "ਗੁਰਦੀਪ"),
        "Sinhala": ("ක්‍රිෂාන්ති ගඟ", "ශ්‍රියානි"),
        "Thai": ("นภา ศรีสุข", "ณัฐพงษ์ น้ำใส"),
        "Lao": ("ສົມພອນ ນ້ຳທາ", "ແກ້ວ"),
        "Khmer": ("ភារុណ ស្ទឹង", "ចន្ទ្រា"),
        "Myanmar": ("မြတ်နိုး ကျော်", "သန္တာ"),
        "Ethiopic": ("ሠናይት ጸደይ", "ኃይሉ"),
        "Armenian": ("Անուշ Գետակ", "Ծովիկ"),
        "Georgian": ("თამარ ჭალა", "ვაჟა"),
        "Chinese, simplified": ("王伟明", "赵丽荷"),
        "Chinese, traditional": ("陳懷遠", "劉麗蘋"),
        "Japanese": ("山田 花子", "さくら・ミドリ", "渡邉 悠"),
        "Korean": ("김민준", "최햇살"),
    }
)
ELSEWHERE: Final = "陳大文山瀬実波王小明"
"""Signs of names in other tests."""
HEBREW: Final = "".join(map(chr, (*range(0x05D0, 0x05EB), 0x05F3, 0x05F4)))
"""What the pseudo-language from right to left is written in, and its months."""
ARABIC: Final = "".join(map(chr, (*range(0x621, 0x63B), *range(0x640, 0x653), 0x670, 0x60C, 0x61B, 0x61F)))
"""All letters and points that Arabic is written with, and its punctuation: every word of the language."""
ALL: Final = tuple(name for names in NAMES.values() for name in names)


def add(content: Path, patch: object) -> None:
    """Put the cut typefaces into a content folder, and let the program know them while ``patch`` holds."""
    import hashlib
    import shutil

    (content / known.FOLDER).mkdir(exist_ok=True)
    sums = {}
    for path in sorted(FACES.iterdir()):
        shutil.copy2(path, content / known.FOLDER / path.name)
        sums[path.name] = hashlib.sha256(path.read_bytes()).hexdigest()
    patch.setattr(known, "KNOWN", tuple(replace(one, sha256=sums[one.name]) for one in known.KNOWN if one.name in sums))


def cut_all(folder: Path) -> None:
    """Cut the typefaces of the tests out of the whole ones."""
    from fontTools.ttLib import TTCollection, TTFont

    wanted = frozenset(ord(sign) for sign in "".join((*ALL, ELSEWHERE, HEBREW, ARABIC)) if sign > "\u024f")
    FACES.mkdir(exist_ok=True)
    for path in sorted(folder.rglob("Noto*")):
        if path.name not in known.NAMES:
            continue
        faces = [shelf.Face(path, (0, 0), index) for index in (range(4) if path.suffix == ".ttc" else (0,))]
        parts = [cutting.cut(face, wanted & shelf.signs(face)) for face in faces]
        if len(parts) > 1:
            whole, out = TTCollection(), io.BytesIO()
            whole.fonts = [TTFont(io.BytesIO(part)) for part in parts]
            whole.save(out)
            parts = [out.getvalue()]
        (FACES / path.name).write_bytes(parts[0])


if __name__ == "__main__":
    cut_all(Path(sys.argv[1]))
