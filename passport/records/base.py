"""What all record types share, and the small text types they are made of."""

import re
from datetime import date
from typing import Annotated

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict
from pydantic_core import PydanticCustomError

from passport.records import numbers


class Record(BaseModel):
    """An immutable record; a key that no field knows is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", str_strip_whitespace=True, arbitrary_types_allowed=True)


def refuse(rule: str, what: str, do: str) -> PydanticCustomError:
    """An error of a value, with its rule's name, what is wrong and what to do."""
    return PydanticCustomError("value", "{what}", {"rule": rule, "what": what, "do": do})


def _day(value: object) -> object:
    if isinstance(value, date):
        return value
    text = str(value)
    try:
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
            raise ValueError
        return date.fromisoformat(text)
    except ValueError:
        do = "Write year-month-day with two digits each, as in 2026-03-04."
        raise refuse("bad-date", f"'{text[:40]}' is not a date.", do) from None


def _sound_number(text: str) -> str:
    problem = numbers.problem(text)
    if problem:
        do = "Compare it with the printed card; 'passport issue' gives a new frame its number."
        raise refuse("bad-number", problem, do)
    return text


def _sound_key(text: str) -> str:
    if not numbers.is_key(text):
        what = f"This key is not {numbers.KEY_LENGTH} characters of digits and capitals without I, L, O, U."
        raise refuse("bad-key", what, "Take it from the printed card or the ledger; 'passport issue' makes a new one.")
    return text


_RISKY = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]")


def _clean(text: str) -> str:
    if _RISKY.search(text):
        what = "This text holds a control character or a mark that reverses the direction of writing."
        raise refuse("control-character", what, "Type the text anew instead of pasting it.")
    return text


_SLUG = re.compile(r"[a-z0-9][a-z0-9-]{0,60}")


def _slug(text: str) -> str:
    if not _SLUG.fullmatch(text):
        do = "Use small letters, digits and hyphens, as in 'deep-petrol-125'."
        raise refuse("bad-name", f"'{text[:60]}' cannot be a name in the catalogue.", do)
    return text


_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def _colour(text: str) -> str:
    if not _COLOUR.fullmatch(text):
        raise refuse(
            "bad-value", f"'{text[:40]}' is not a colour.", "Write it as # and six hexadecimal digits, '#0B5560'."
        )
    return text.lower()


def _web_address(text: str) -> str:
    if not re.fullmatch(r"https?://[A-Za-z0-9.-]+(:\d+)?(/[A-Za-z0-9./-]*)?", text):
        do = "Write the address under which the site will stand, as in 'https://cards.shop.example'."
        raise refuse("bad-address", f"'{text[:80]}' is not a web address.", do)
    return text.rstrip("/")


def _listed(value: object) -> object:
    """One value may stand where a list is meant."""
    return value if isinstance(value, list | tuple) or value is None else [value]


Text = Annotated[str, AfterValidator(_clean)]
Day = Annotated[date, BeforeValidator(_day)]
Number = Annotated[str, AfterValidator(_sound_number)]
Key = Annotated[str, AfterValidator(_sound_key)]
Slug = Annotated[str, AfterValidator(_slug)]
Colour = Annotated[str, AfterValidator(_colour)]
WebAddress = Annotated[str, AfterValidator(_web_address)]
OneOrMore = BeforeValidator(_listed)
