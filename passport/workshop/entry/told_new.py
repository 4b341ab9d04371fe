"""Strings that are named with all that their packet says, and that the catalogue has not: told apart from known ones. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from passport.records.language.worded import worded
from passport.records.schema.catalogue import StringType
from passport.workshop.entry.job_from_text import SIDES, Said
from passport.workshop.entry.newcomers import NewString, string_of
from passport.workshop.entry.phrases import Unclear, known_as
from passport.workshop.entry.recognising import called, recognised

_MOST = 30
"""Strings that are listed at once."""


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


def string_said(text: str, strings: Mapping[str, StringType]) -> str:
    """The catalogue's name of a string that is said, or the whole line where that says all of a new one.

    Raises `Unclear` for anything else, with what is near, or with what there is where ``?`` asks for it.
    """
    if text.startswith("?"):
        raise Unclear(_listed(text.removeprefix("?").strip(), strings))
    name = known_as(text, strings)
    if name in strings or told_new({"string": text}, strings).strings:
        return name
    near = recognised(text, {key: called(key, record) for key, record in strings.items()}, most=3).near
    names = ", ".join(f"'{one}'" for one in near)
    meant = worded(" Did you mean {names}?", names=names) if near else ""
    raise Unclear(
        worded(
            "'{text}' is not in the catalogue.{meant} A new one is said as 'maker, name, gauge, "
            "material'; '?' lists them.",
            text=text,
            meant=meant,
        )
    )


def _listed(part: str, strings: Mapping[str, StringType]) -> str:
    """The strings whose names hold some letters, a line each."""
    low = part.casefold()
    found = [key for key, one in strings.items() if any(low in way.casefold() for way in called(key, one))]
    lines = [f"{key}  {strings[key].maker} {strings[key].name}" for key in found[:_MOST]]
    more = [f"… and {len(found) - _MOST} more: '? PART OF THE NAME' lists some."] if len(found) > _MOST else []
    return "\n  ".join([*lines, *more]) or "There is none."


def _by_side(words: Said) -> dict[str, str | Sequence[str]]:
    text = words.get("string")
    if not isinstance(text, str) or " / " not in text:
        return dict(words)
    mains, _, crosses = text.partition(" / ")
    rest = {name: value for name, value in words.items() if name != "string"}
    return {"mains": mains.strip(), "crosses": crosses.strip(), **rest}
