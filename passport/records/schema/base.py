"""What all record types share, and the small text types they are made of."""

import re
import unicodedata
from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, ClassVar

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    model_validator,
)
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from passport.records.language.worded import worded
from passport.records.schema import numbers
from passport.records.target import HOSTS, is_host

UNKNOWN = "unknown"
"""Stands in a record where somebody looked and nobody knows."""


class Record(BaseModel):
    """An immutable record; a key that no field knows is an error."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", str_strip_whitespace=True, arbitrary_types_allowed=True, defer_build=True
    )

    @model_validator(mode="before")
    @classmethod
    def _unknown_on_purpose(cls, data: Any) -> Any:
        """``key: unknown`` says that somebody looked and nobody knows: nothing is recorded of it."""
        if not isinstance(data, dict) or UNKNOWN not in data.values():
            return data
        return {key: value for key, value in data.items() if value != UNKNOWN or not cls.may_be_unknown(key)}

    @classmethod
    def may_be_unknown(cls, key: Any) -> bool:
        """Whether a field of this name may be left out and has no word of its own for it."""
        info = cls.model_fields.get(str(key))
        return info is not None and info.default in (None, "") and key not in cls.own_unknown

    own_unknown: ClassVar[frozenset[str]] = frozenset()
    """Fields for which ``unknown`` says more than nothing does."""

    in_short: ClassVar[str] = ""
    """An example of the one text that may stand for the whole record; empty where none may."""


def refuse(rule: str, what: str, do: str) -> PydanticCustomError:
    """An error of a value, with its rule's name, what is wrong and what to do."""
    return PydanticCustomError("value", "{what}", {"rule": rule, "what": what, "do": do})


def _day(value: object) -> object:
    if isinstance(value, date):
        return value
    text = str(value).strip()
    do = worded("Write year, month and day with hyphens and two digits each, as in 2026-03-04.")
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        raise refuse("bad-date", worded("'{text}' is not a date.", text=text[:40]), do)
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise refuse("bad-date", worded("There is no day {text} in the calendar.", text=text), do) from None


def _sound_number(text: str) -> str:
    problem = numbers.problem(text)
    if problem:
        do = worded("Compare it with the printed card; 'passport issue' gives a new frame its number.")
        raise refuse("bad-number", problem, do)
    return text


def _sound_key(text: str) -> str:
    if not numbers.is_key(text):
        strange = next((c for c in text if c not in numbers.ALPHABET), "")
        what = (
            worded("A key holds no '{strange}'.", strange=strange)
            if strange
            else worded("This key has {text} characters.", text=len(text))
        )
        do = worded(
            "It is {key_length} digits and capitals without I, L, O and U: copy it from the page's address.",
            key_length=numbers.KEY_LENGTH,
        )
        raise refuse("bad-key", what, do)
    return text


def _sound_secret(text: str) -> str:
    if text and not numbers.is_secret(text):
        what = worded(
            "A secret is {secret_length} digits and capitals without I, L, O and U.",
            secret_length=numbers.SECRET_LENGTH,
        )
        raise refuse("bad-key", what, worded("Run 'passport seal CONTENT NUMBER --renew', which writes a new one."))
    return text


_RISKY = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ufffe\uffff]")


def risky(text: str) -> bool:
    """Whether a text holds a control character or a mark that turns the writing around."""
    return _RISKY.search(text) is not None


def _clean(text: str) -> str:
    found = _RISKY.search(text)
    if found:
        what = worded(
            "This text holds U+{ord:04X}, a control character or a mark that turns the writing around.",
            ord=ord(found[0]),
        )
        raise refuse("control-character", what, worded("Type the text anew instead of pasting it."))
    return text


SLUG = re.compile(r"[a-z0-9][a-z0-9-]{0,60}")
"""The form of a name in the catalogue."""


def slug_of(text: str, example: str = "deep-petrol-125") -> str:
    """A name for the catalogue that is close to a text, or an example where nothing of it can stay."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub("[^a-z0-9]+", "-", plain)[:60].strip("-") or example


_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def _colour(text: str) -> str:
    if not _COLOUR.fullmatch(text):
        raise refuse(
            "bad-value",
            worded("'{text}' is not a colour.", text=text[:40]),
            worded("Write it as # and six hexadecimal digits, '#0B5560'."),
        )
    return text.lower()


def _web_address(text: str) -> str:
    if not re.fullmatch(r"https?://[A-Za-z0-9.-]+(:\d+)?(/[A-Za-z0-9./-]*)?", text):
        do = worded("Write the address under which the site will stand, as in 'https://cards.shop.example'.")
        raise refuse("bad-address", worded("'{text}' is not a web address.", text=text[:80]), do)
    if not is_host(host := text.split("/")[2].partition(":")[0]):
        raise refuse("bad-address", worded("'{host}' names no host.", host=host[:80]), worded(HOSTS))
    return text.rstrip("/")


class _OneOrMore:
    """One value may stand where a list is meant, in records and in their JSON Schema."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        def listed(value: object) -> object:
            return value if isinstance(value, list | tuple) or value is None else [value]

        return core_schema.no_info_before_validator_function(listed, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        many = handler(schema)
        return {"anyOf": [many, many["items"]]}


def _shown(example: str, pattern: str, *, native: bool = False) -> Any:
    """What people and editors are told of a text type; ``native`` where it may look like a number or a date."""

    def extra(schema: dict[str, Any]) -> None:
        schema["pattern"] = pattern
        if not native:
            schema.pop("not", None)
            schema["type"] = "string"

    return Field(examples=[example] if example else None, json_schema_extra=extra)


class Checked:
    """What a function makes of a value of that type, or of whatever was written with ``first``.

    It stands where pydantic's validators might, which look into each function again wherever a type is used: a
    twentieth of a short command.
    """

    def __init__(self, check: Callable[[Any], object], *, first: bool = False) -> None:
        """``check`` returns the value, or raises what `refuse` makes."""
        self.check, self.first = check, first

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """The type's own schema with the function behind it, or before it."""
        if self.first:
            return core_schema.no_info_before_validator_function(self.check, handler(source))
        return core_schema.no_info_after_validator_function(self.check, handler(source))


Text = Annotated[str, Checked(_clean)]
Day = Annotated[date, Checked(_day, first=True), _shown("2026-03-04", "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", native=True)]
Number = Annotated[str, Checked(_sound_number), _shown(numbers.with_check(1042), "^[0-9]{3,8}-[0-9X]$")]
Key = Annotated[str, Checked(_sound_key), _shown("", f"^[{numbers.ALPHABET}]{{{numbers.KEY_LENGTH}}}$", native=True)]
Secret = Annotated[
    str, Checked(_sound_secret), _shown("", f"^[{numbers.ALPHABET}]{{{numbers.SECRET_LENGTH}}}$", native=True)
]
Colour = Annotated[str, Checked(_colour), _shown("#0B5560", "^#[0-9a-fA-F]{6}$")]
WebAddress = Annotated[str, Checked(_web_address), _shown("https://cards.shop.example", "^https?://")]
OneOrMore = _OneOrMore()
