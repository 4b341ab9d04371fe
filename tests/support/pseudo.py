"""Two pseudo-languages, made from English by code: a long one full of accents, and one that runs from right to left.

They show what no translation shows reliably: a text that stands in a template instead of a catalogue stays English, a line
that is too narrow for German is found before German is written, and a page that is not mirrored where it should be jars.
They stand under tags that have dates and numbers; Hebrew needs three small typefaces alone.

    .venv/bin/python tests/support/pseudo.py CONTENT he

gives a content folder the words, and its shop and players the language.
"""

import io
import re
import sys
from pathlib import Path
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po
from places import ROOT

LONG: Final = "en-ZA"
TURNED: Final = "he"
_KEPT = re.compile(r"%\(\w+\)[#0 +-]*[0-9.]*[a-zA-Z]|%%|\{\w*\}|&\w+;")
_ACCENTS = str.maketrans("aceginosuyzACEGINOSUYZ", "áçéğîñöšúýžÁÇÉĞÎÑÖŠÚÝŽ")
_LETTERS = dict(zip("abcdefghijklmnopqrstuvwxyz", "אבגדהוזחטיכלמנסעפצקרשתבגדה", strict=True))
_MORE = 0.35
"""How much longer a text becomes: German and Indonesian need a third more than English (common practice of translation)."""


def long(text: str) -> str:
    """``Strings`` as ``Štrîñğš őňé``: accents on every letter that has one, and a third more of it."""
    return _each(text, _lengthened)


def turned(text: str) -> str:
    """The text in letters that run from right to left."""
    return _each(text, lambda part: "".join(_LETTERS.get(sign.lower(), sign) for sign in part))


def _each(text: str, change: "object") -> str:
    """A text changed but for what is filled in."""
    assert callable(change)
    parts, end = list[str](), 0
    for kept in _KEPT.finditer(text):
        parts += [change(text[end : kept.start()]), kept[0]]
        end = kept.end()
    return "".join((*parts, change(text[end:])))


def _lengthened(part: str) -> str:
    words = part.translate(_ACCENTS)
    letters = sum(map(str.isalpha, part))
    if letters < 3:
        return words
    end = len(words.rstrip())
    return words[:end] + ("õ" * 12)[: max(1, round(_MORE * min(letters, 30)))] + words[end:]


def write(content: Path, language: str) -> None:
    """Give a content folder the words of a pseudo-language, on pages and at the bench."""
    change = long if language == LONG else turned
    for folder in ("messages", "messages/bench"):
        texts = read_po(io.BytesIO((ROOT / "templates" / folder / "passport.pot").read_bytes()))
        made = Catalog(locale=language.partition("-")[0], charset="utf-8")
        for text in texts:
            if isinstance(text.id, str):
                made.add(text.id, change(text.id)) if text.id else None
            elif text.id:
                forms = [change(text.id[0]), *[change(text.id[1])] * (made.num_plurals - 1)]
                made.add(text.id, forms)
        out = io.BytesIO()
        write_po(out, made)
        (content / folder).mkdir(exist_ok=True)
        (content / folder / f"{language}.po").write_bytes(out.getvalue())


def speak(content: Path, language: str) -> None:
    """Let the shop and every player of a content folder speak a language."""
    for path in (content / "workshop.yaml", *content.glob("players/*/player.yaml")):
        text = path.read_text(encoding="utf-8")
        told = re.sub(r"(?m)^language:.*$", f"language: {language}", text)
        path.write_text(told if told != text else f"{text.rstrip()}\nlanguage: {language}\n", encoding="utf-8")
    write(content, language)


if __name__ == "__main__":
    speak(Path(sys.argv[1]), sys.argv[2])
