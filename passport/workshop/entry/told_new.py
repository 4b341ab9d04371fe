"""Strings that are named with all that their packet says, and that the catalogue has not: told apart from known ones. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from passport.records.schema.catalogue import StringType
from passport.workshop.entry.job_from_text import SIDES, Said
from passport.workshop.entry.newcomers import NewString, string_of
from passport.workshop.entry.phrases import Unclear, known_as


@dataclass(frozen=True, slots=True)
class ToldNew:
    """What is said of a job, and the strings in it that are new, each by the field that names it."""

    words: Said
    strings: Mapping[str, NewString]


def told_new(words: Said, strings: Mapping[str, StringType]) -> ToldNew:
    """Which strings of a job are new: ``maker, name, gauge, material`` in a line, where no string is called so.

    What is no such line stays as it is said, for whoever looks it up. Two strings with `` / `` between are mains and
    crosses.
    """
    spelled = _by_side(words)
    new: dict[str, NewString] = {}
    for field in ("string", *SIDES):
        text = spelled.get(field)
        if isinstance(text, str) and "," in text and known_as(text, strings) not in strings:
            try:
                found = string_of(text)
            except Unclear:
                continue
            if not found.lacking:
                new[field] = found
    return ToldNew(spelled, new)


def _by_side(words: Said) -> dict[str, str | Sequence[str]]:
    text = words.get("string")
    if not isinstance(text, str) or " / " not in text:
        return dict(words)
    mains, _, crosses = text.partition(" / ")
    rest = {name: value for name, value in words.items() if name != "string"}
    return {"mains": mains.strip(), "crosses": crosses.strip(), **rest}
