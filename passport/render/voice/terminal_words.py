"""A catalogue of what the terminal says, read without a library: a command that says one sentence must not wait for it."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from gettext import c2py

_ENTRY = re.compile(r'(msgid|msgid_plural|msgstr(?:\[\d\])?) ((?:".*"\s*)+)')
_STRING = re.compile(r'"(.*)"')
_PLURAL = re.compile(r"plural=([^;\n]+)")
_ESCAPED = re.compile(r"\\(.)")
_OTHERWISE = c2py("n != 1")
_SIGNS = {"n": "\n", "t": "\t", "r": "\r"}


@dataclass(frozen=True, slots=True)
class TerminalWords:
    """The words for English sentences, and for those that depend on a count the words in each form."""

    singles: dict[str, str] = field(default_factory=dict)
    plurals: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """By the English sentence for several."""
    form: Callable[[int], int] = _OTHERWISE
    """Which of the forms a whole number takes."""

    def single(self, text: str) -> str:
        """The words for a sentence; nothing where there are none."""
        return self.singles.get(text, "")

    def plural(self, text: str, count: int) -> str:
        """The words for a count, by the English sentence for several; nothing where there are none."""
        forms, form = self.plurals.get(text, ()), self.form(count)
        return forms[form] if form < len(forms) else ""


def read(text: str) -> TerminalWords:
    """The catalogue that a .po file holds; what is in doubt in it, or is no entry, has no words."""
    singles, plurals, form = dict[str, str](), dict[str, tuple[str, ...]](), _OTHERWISE
    for block in text.split("\n\n"):
        if "\n#, fuzzy" in f"\n{block}" or "\n#~" in f"\n{block}":
            continue
        parts = {name: _joined(said) for name, said in _ENTRY.findall(block)}
        one, many = parts.get("msgid"), parts.get("msgid_plural")
        if many is not None:
            plurals[many] = tuple(said for name, said in parts.items() if name.startswith("msgstr["))
        elif one:
            singles[one] = parts.get("msgstr", "")
        elif one == "" and (found := _PLURAL.search(parts.get("msgstr", ""))):
            form = c2py(found[1].strip())
    for many, forms in plurals.items():  # the same sentence may be said without a count elsewhere
        singles.setdefault(many, forms[-1] if forms else "")
    return TerminalWords(singles, plurals, form)


def _joined(quoted: str) -> str:
    text = quoted[1:-1] if "\n" not in quoted.strip() and quoted.endswith('"') else "".join(_STRING.findall(quoted))
    return _ESCAPED.sub(lambda sign: _SIGNS.get(sign[1], sign[1]), text) if "\\" in text else text
