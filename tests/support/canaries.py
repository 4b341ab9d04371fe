"""Canaries: every private field of every record filled with a text that must never be seen again."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel

from passport.records.jsonschemas import CATALOGUE, FILES
from passport.records.load import Content, Entry
from passport.records.schema.visibility import Audience, marks
from passport.records.yaml.validation_messages import models_in

MARK = "canary"
LOOKED_UP = {"Order.rebuild", "Condition.photo"}
"""Private texts that name something else: a check would miss what they name."""


def private_fields(*, texts: bool = False) -> set[str]:
    """The private fields of all record types as ``Type.field``; those inside a private block count as well.

    With ``texts`` only those that take any text: no day, no choice of some words, nothing that a check looks up.
    """
    found: set[str] = set()
    for kind in (*FILES.values(), *CATALOGUE.values()):
        found |= set(_fields(kind, texts=texts))
    return found - (LOOKED_UP if texts else set())


def _fields(kind: type[BaseModel], *, texts: bool) -> Iterator[str]:
    for name, info in kind.model_fields.items():
        inside = list(models_in(info.annotation))
        for model in inside:
            yield from _fields(model, texts=texts)
        if Audience.PRIVATE in marks(kind, name) and not inside and (info.annotation is str or not texts):
            yield f"{kind.__name__}.{name}"


def with_canaries(content: Content) -> tuple[Content, set[str]]:
    """The same content with a canary in every private field, and the fields that were filled."""
    filled: set[str] = set()

    def fill(value: Any) -> Any:
        if isinstance(value, tuple):
            return tuple(fill(v) for v in value)
        if not isinstance(value, BaseModel):
            return value
        update: dict[str, Any] = {}
        for name in type(value).model_fields:
            held = getattr(value, name)
            inner = next(models_in(type(value).model_fields[name].annotation), None)
            if Audience.PRIVATE in marks(type(value), name) and inner is None:
                filled.add(f"{type(value).__name__}.{name}")
                update[name] = f"{MARK}-{type(value).__name__}-{name}"
            else:
                update[name] = fill(held)
        return value.model_copy(update=update)

    def all_of(table: dict[str, Any]) -> dict[str, Any]:
        return {k: Entry(e.name, fill(e.record), e.source, e.prefix) for k, e in table.items()}

    shop = content.workshop
    assert shop
    names = ("strings", "models", "parts", "players", "frames", "blanks", "lots")
    made = replace(
        content,
        workshop=Entry(shop.name, fill(shop.record), shop.source),
        **{name: all_of(getattr(content, name)) for name in names},
    )
    return made, filled


def private_values(content: Content) -> set[str]:
    """The texts that stand in private fields of the records."""
    found: set[str] = set()

    def collect(value: Any) -> None:
        if isinstance(value, tuple):
            for item in value:
                collect(item)
        if isinstance(value, BaseModel):
            for name in type(value).model_fields:
                held = getattr(value, name)
                told = isinstance(held, str) and not _of_a_list(type(value), name) and name not in REFERENCES
                if Audience.PRIVATE in marks(type(value), name) and told:
                    found.add(held)
                else:
                    collect(held)

    assert content.workshop
    collect(content.workshop.record)
    for table in (content.strings, content.models, content.parts, content.players, content.frames, content.blanks):
        for entry in table.values():
            collect(entry.record)
    return found - {""}


def _of_a_list(kind: type[BaseModel], name: str) -> bool:
    """Whether a field holds one of a few words, which say nothing by themselves."""
    return "Literal" in str(kind.model_fields[name].annotation)


# --- a mark of its own in every text ---------------------------------------------------------------------------

REFERENCES = {
    "model", "part", "string", "number", "replaced_by", "rebuilds", "key", "language", "photo", "accent", "second", "logo",
    "address", "Fonts.text", "strong", "display", "blocked", "shared", "order", "Variant.name", "reader", "rebuild", "grommets_at",
    "StockLot.of", "frame",
}  # fmt: skip
"""Public texts that name something else or are checked for their form; they keep what they hold."""


@dataclass(frozen=True, slots=True)
class Canary:
    """A mark: whose record it stands in (the player's folder, or nothing), in which field, and whether that is private."""

    owner: str
    field: str
    private: bool


def marked(content: Content) -> tuple[Content, dict[str, Canary]]:
    """The content with a mark of its own in every private text, and in every free public text of players and frames."""
    known: dict[str, Canary] = {}

    def mark(owner: str, field: str, private: bool) -> str | None:
        if not (owner or private):
            return None
        # Letters alone, so that no line break, hyphen or kerning comes between them; eight of them, as the base64 of a
        # sealed page held one of a thousand marks of six letters, in either case, in one build of ten by chance.
        n, letters = len(known), ""
        for _ in range(6):
            n, digit = divmod(n, 20)
            letters += "bcdfghjklmnpqrstvwxz"[digit]
        known[f"zq{letters}"] = Canary(owner, field, private)
        return f"zq{letters}"

    return refilled(content, mark), known


def refilled(content: Content, choose: Callable[[str, str, bool], str | None]) -> Content:
    """The content with other texts: ``choose`` is asked for each free text by its owner (the player's folder, or
    nothing), its field and whether it is private; None leaves it as it is.
    """

    def fill(value: Any, owner: str) -> Any:
        if isinstance(value, tuple):
            return tuple(fill(v, owner) for v in value)
        if not isinstance(value, BaseModel):
            return value
        update: dict[str, Any] = {}
        for name, info in type(value).model_fields.items():
            held, private = getattr(value, name), Audience.PRIVATE in marks(type(value), name)
            text = private and info.annotation is str and f"{type(value).__name__}.{name}" not in LOOKED_UP
            fits = isinstance(held, str) and (text or _free(info, f"{type(value).__name__}.{name}"))
            chosen = choose(owner, f"{type(value).__name__}.{name}", private) if fits else None
            update[name] = fill(held, owner) if chosen is None else chosen
        return value.model_copy(update=update)

    def all_of(table: dict[str, Any], *, owned: bool) -> dict[str, Any]:
        named = ((k, e, k.partition("/")[0] if owned else "") for k, e in table.items())
        return {k: Entry(e.name, fill(e.record, owner), e.source, e.prefix) for k, e, owner in named}

    shop = content.workshop
    assert shop
    tables = {
        name: all_of(getattr(content, name), owned=False) for name in ("strings", "models", "parts", "blanks", "lots")
    }
    tables |= {name: all_of(getattr(content, name), owned=True) for name in ("players", "frames")}
    return replace(content, workshop=Entry(shop.name, fill(shop.record, ""), shop.source), **tables)


def _free(info: Any, field: str) -> bool:
    """Whether a field takes any text: no choice of some words, no reference."""
    return not {field, field.partition(".")[2]} & REFERENCES and info.annotation is str
