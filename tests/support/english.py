"""English on a screen of another language: texts of which the catalogue has other words, standing as they are in the code."""

import re
from collections.abc import Iterator, Mapping
from functools import cache

from babel.messages.pofile import read_po

from passport.render.theme.assets import templates

FOLDERS = ("messages", "messages/bench", "messages/terminal")
_VALUE = re.compile(r"%\(\w+\)[a-z]|\{\w+(?:![rsa])?(?::[^{}]*)?\}|%%|\{\{|\}\}")
_LETTERS = re.compile(r"[^\W\d_]{2,}")
_LEAST = 7
"""Letters that a text with values in it must have besides them to be known again."""


@cache
def english_of(language: str) -> tuple[Mapping[str, str], tuple[tuple[re.Pattern[str], str], ...]]:
    """What a language has other words for: whole texts with these words, and forms of texts with values in them."""
    whole, forms, own = dict[str, str](), list[tuple[re.Pattern[str], str]](), set[str]()
    for folder in FOLDERS:
        with (templates() / folder / f"{language}.po").open("rb") as file:
            messages = [message for message in read_po(file, locale=language) if message.id]
        for message in messages:
            pair = isinstance(message.id, tuple)
            ids = message.id if pair else (message.id,)
            said = message.string if isinstance(message.string, tuple) else (message.string,)
            own.update(said)
            for text in ids:
                if not any(said) or text in said:
                    continue
                if not _VALUE.search(text):
                    whole[_plain(text)] = said[0]
                elif sum(map(len, _LETTERS.findall(_VALUE.sub(" ", text)))) >= _LEAST:
                    forms.append((_form(text), said[0]))
    return {text: words for text, words in whole.items() if text not in own and _LETTERS.search(text)}, tuple(forms)


def english_in(texts: list[str], language: str) -> Iterator[str]:
    """Those of some texts that a language has other words for, with these words."""
    whole, forms = english_of(language)
    for text in map(_plain, texts):
        words = whole.get(text) or next((said for form, said in forms if form.fullmatch(text)), "")
        if words:
            yield f"{text} → {words}"


def _plain(text: str) -> str:
    return " ".join(text.split())


def _form(text: str) -> re.Pattern[str]:
    parts, end = list[str](), 0
    for value in _VALUE.finditer(text):
        parts += re.escape(text[end : value.start()]), ".+"
        end = value.end()
    return re.compile("".join((*parts, re.escape(text[end:]))).replace("\\\n", " "))
