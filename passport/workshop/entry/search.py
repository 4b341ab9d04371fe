"""Finding a frame by what somebody remembers of it: number, player, label, model, serial or string, a typo allowed.

Names are compared in their own script and in Latin letters, so that ``zolki`` finds Żółki and ``arjun`` finds अर्जुन.
"""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from passport.workshop.entry.naming import latin

LONG = 4
"""Words shorter than this must be right to the letter; longer ones may hold a typo, those of twice the length two."""


@dataclass(frozen=True, slots=True)
class Findable:
    """Something that can be found: its words by weight, heaviest first, and what to say of it."""

    name: str
    number: str
    player: str
    label: str
    model: str
    serial: str
    status: str
    strings: tuple[str, ...]

    def fields(self) -> tuple[str, ...]:
        """What is searched, the most telling first; of the strings the newest first."""
        return (self.number, self.player, self.label, self.serial, self.name, self.model, " ".join(self.strings))


_LETTERS = {code: chr(code).lower() if chr(code).isalnum() else " " for code in range(128)}


@lru_cache(maxsize=1 << 17)
def plain(text: str) -> str:
    """Text as it is compared: small letters, no accents, no punctuation, in its own script.

    Full-width and half-width forms are one, as compatibility decomposition (NFKD, Unicode Standard Annex 15) has them;
    the vowel signs of Indic scripts are parts of their words, though Unicode does not count them as letters.
    """
    if text.isascii():
        return " ".join(text.translate(_LETTERS).split())
    folded = unicodedata.normalize("NFKD", text.casefold())
    kept = (c if c.isalnum() or _is_mark(c) else " " for c in folded if not unicodedata.combining(c))
    return " ".join("".join(kept).split())


def _is_mark(sign: str) -> bool:
    return unicodedata.category(sign)[0] == "M"


@lru_cache(maxsize=1 << 17)
def in_latin(text: str) -> str:
    """Text as it is compared, in Latin letters: ``zolki`` of Żółki; how it is read aloud is more than letters tell."""
    return latin(text).replace("-", " ")


@lru_cache(maxsize=1 << 17)
def _said(text: str) -> str:
    """A field as it is searched: as written, and in Latin letters where that is something else."""
    own = plain(text)
    return own if text.isascii() or own == in_latin(text) else f"{own} {in_latin(text)}"


def is_number(text: str, number: str) -> bool:
    """Whether a text is a passport number, however it is punctuated."""
    return bool(number) and _digits(text) == _digits(number)


@lru_cache(maxsize=1 << 17)
def _digits(text: str) -> str:
    return re.sub(r"[^0-9x]", "", text.casefold())


def search(text: str, frames: Sequence[Findable], most: int = 20) -> list[Findable]:
    """The frames that ``text`` fits, best first: each of its words must fit some field of the frame.

    Whole words count more than beginnings, those more than parts, and a typo is allowed only for a word that nothing
    fits exactly.
    """
    exact = [f for f in frames if is_number(text, f.number)]
    if exact:
        return exact
    words = plain(text).split()
    if not words:
        return []
    searched = [tuple(map(_said, frame.fields())) for frame in frames]
    whole = ["\n".join(fields) for fields in searched]
    scores = [0.0] * len(frames)
    for word in words:
        fits = _fits(word, searched, whole)
        if not any(fits) and not word.isascii():
            # Somebody may write Øystein where the record has Oystein: tried last, since letters tell less than the script.
            fits = _fits(in_latin(word).replace(" ", ""), searched, whole)
        # -1 for good: each word must fit, and no later one makes up for it.
        scores = [s + f if f and s >= 0 else -1.0 for s, f in zip(scores, fits, strict=True)]
    ranked = sorted(
        (-score, frames[i].status != "active", frames[i].name, i) for i, score in enumerate(scores) if score > 0
    )
    return [frames[i] for *_, i in ranked[:most]]


def _fits(word: str, searched: Sequence[tuple[str, ...]], whole: Sequence[str]) -> list[float]:
    """How well a word fits each frame, 0 where it does not; of none it fits exactly, its neighbours by a typo."""
    fits = [_weight(word, fields) if word in said else 0.0 for fields, said in zip(searched, whole, strict=True)]
    # Only then: a typo's neighbours are many, and a word that is right somewhere was meant so.
    if word and not any(fits):
        near = _near(word, {w for said in whole for w in said.split()})
        fits = [max((_weight(n, fields) / 2 for n in near), default=0.0) for fields in searched]
    return fits


def _weight(word: str, fields: Iterable[str]) -> float:
    best = 0.0
    for rank, field in enumerate(fields):
        if word in field:
            words = field.split()
            part = 1.0 if word in words else 0.6 if any(w.startswith(word) for w in words) else 0.3
            best = max(best, part * (1 - rank / 20))
    return best


def _near(word: str, known: set[str]) -> list[str]:
    """Known words at most one typo away, two for a long word: a letter wrong, missing, extra, or swapped."""
    if len(word) < LONG:
        return []
    allowed = 2 if len(word) >= 2 * LONG else 1
    from rapidfuzz import process  # late: most words are right to the letter
    from rapidfuzz.distance import OSA

    near = process.extract(word, known, scorer=OSA.distance, score_cutoff=allowed, limit=None)
    # equally near words in an order of their own: a set has none that a second run would repeat
    return [other for _, other in sorted((count, other) for other, count, _ in near)]


def typos(one: str, other: str, most: int) -> int:
    """Letters wrong, missing, extra or swapped between two words (optimal string alignment), at most ``most`` + 1."""
    from rapidfuzz.distance import OSA

    return OSA.distance(one, other, score_cutoff=most)
