"""An order from what is said over the counter, with the last recipe to go by: words in, the data of an order out. Pure.

What is said of strings, parts and repairs comes under the same names as for a job; ``ORDER_FIELDS`` lists the others.
A tension may be said as a change, ``two pounds looser``: the order holds what that comes to.
"""

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from pydantic import ValidationError

from passport.records.language.worded import worded
from passport.records.schema.frame import Job, Order
from passport.records.schema.intake import Condition
from passport.records.yaml.nested import value_at
from passport.records.yaml.yamlwrite import Tree
from passport.workshop.entry.job_from_text import SIDES, STRING_FIELDS, Names, Past, Said, job_of
from passport.workshop.entry.phrases import NOTHING, Unclear
from passport.workshop.entry.spoken import coming_day

TOLD = ("asked", "tuning", "rebuild", "price", "note")
"""What an order says in words of its own."""
LOOKED_AT = (
    "crack",
    "hoop",
    "grommets",
    "bumper",
    "paint",
    "grip",
    "strings",
    "ring",
    "photo",
    "seen",
    "advised",
    "decided",
)
"""What may be said of a frame's condition, ``seen`` for all else that was seen; those of wear can say where: ``worn 9T``."""
WORK = (*STRING_FIELDS, "stencil", "ink", "fit", "remove", "repair")
ORDER_FIELDS = ("promised", *TOLD, *(f"look_{name}" for name in LOOKED_AT))
_KEPT_OUT = ("date", "readings", "price", "note", "private_note", "felt", "felt_on_page")
_SENTENCES = ("photo", "seen", "advised", "decided")
_AT = {"crack": "crack_at", "grommets": "grommets_at"}


def order_of(words: Said, day: date, past: Past, names: Names, *, again: bool = False) -> dict[str, Tree]:
    """The data of an order that was taken on a ``day``; ``again`` asks for the last stringing once more.

    Whether that is enough to want is not asked here. Raises `Unclear`.
    """
    order: dict[str, Tree] = {"taken": day.isoformat()}
    if said := _text(words, "promised"):
        order["promised"] = coming_day(said, day).isoformat()
    told = {name: text for name in TOLD if (text := _text(words, name))}
    order |= {"asked": told.pop("asked")} if "asked" in told else {}
    work = {name: words[name] for name in WORK if words.get(name)}
    if again or work:
        job = job_of(work, day, past, names, again=again)
        order |= {name: value for name, value in job.items() if name not in _KEPT_OUT}
    for side in SIDES if "strings" in order else ():
        if side in order["strings"]:  # the batch is what is in the reel on the day that it is strung
            order["strings"][side] = {key: v for key, v in order["strings"][side].items() if key != "batch"}
    condition = condition_of(words)
    return in_order(order | told | ({"condition": condition} if condition else {}))


def in_order(order: Mapping[str, Tree]) -> dict[str, Tree]:
    """The data of an order with its keys as the record has them."""
    sorted_ = {name: order[name] for name in Order.model_fields if name in order}
    if "condition" in sorted_:
        sorted_["condition"] = {name: v for name in Condition.model_fields if (v := order["condition"].get(name))}
    return sorted_


def job_as_ordered(
    words: Said, day: date, past: Past, names: Names, order: Mapping[str, Tree], *, again: bool = False
) -> dict[str, Tree]:
    """The data of a job that does what was ordered, in all that is not said otherwise. Raises `Unclear`.

    The batch is that of the last stringing where its string is the same, as whenever a stringing is repeated; the
    reading of the old strings, taken when the frame came in, is one of the job. ``again`` repeats the last stringing
    instead of the recipe that was ordered.
    """
    wanted = order.get("strings") if not again else None
    if wanted:
        past = replace(past, strings=_with_batches(wanted, past.strings), stencil=order.get("stencil") or past.stencil)
    said = dict(words)
    if order.get("price") and not words.get("price"):
        said["price"] = order["price"]
    ring, taken = (order.get("condition") or {}).get("ring"), order.get("taken")
    if ring and not words.get("before_ring"):
        said["before_ring"] = ring
        days = (date.fromisoformat(taken) - past.strung_on).days if taken and past.strung_on else 0
        said |= {"before_minutes": f"{days} d"} if days > 0 else {}
    work = {name: _listed(order.get(name)) for name in ("fitted", "removed", "repairs")}
    if not wanted and not again and any(work.values()) and set(said) <= {"price"}:
        job: dict[str, Tree] = {"date": day.isoformat(), **({"price": said["price"]} if said else {})}
    else:
        job = job_of(said, day, past, names, again=again or bool(wanted))
    if wanted and not order.get("stencil") and not words.get("stencil"):
        job.pop("stencil", None)
    for name, ordered in work.items():
        key = "what" if name == "repairs" else "part"
        told = [one[key] for one in job.get(name, ())]
        both = [*(one for one in ordered if one[key] not in told), *job.get(name, ())]
        job |= {name: both} if both else {}
    return {name: job[name] for name in Job.model_fields if name in job}


def _with_batches(wanted: Mapping[str, Tree], last: Mapping[str, Tree]) -> dict[str, Tree]:
    """The recipe that was ordered, with the batch of each string that was in before."""
    old = {side: last.get(side) or last.get("mains") or {} for side in SIDES}
    mixed = dict(wanted)
    for side in SIDES:
        new = wanted.get(side)
        if new and new.get("string") == old[side].get("string") and old[side].get("batch") and "batch" not in new:
            mixed[side] = {**new, "batch": old[side]["batch"]}
    return mixed


def _listed(value: Tree) -> list[Tree]:
    return value if isinstance(value, list) else [value] if value else []


def changed(order: Mapping[str, Tree], new: Mapping[str, Tree], left_out: tuple[str, ...] = ()) -> dict[str, Tree]:
    """An order with what is said of it anew: parts and repairs join those that were wanted before, all else takes the
    place of what stood there. What is in ``left_out`` goes; the day on which it was taken stays."""
    merged = {**order, **{key: value for key, value in new.items() if key != "taken"}}
    for name in ("fitted", "removed", "repairs"):
        before = _listed(order.get(name))
        more = [one for one in _listed(new.get(name)) if one not in before]
        if before or more:
            merged[name] = [*before, *more]
    if "strings" in new:  # somebody was sure of what stood there before
        merged.pop("sure", None)
    if "condition" in new:
        seen = {k: v for k, v in (order.get("condition") or {}).items() if k not in _stale(new["condition"])}
        merged["condition"] = {**seen, **new["condition"]}
    return in_order({key: value for key, value in merged.items() if key not in left_out and value})


def _stale(condition: Mapping[str, Tree]) -> set[str]:
    """The places that go with what was looked at anew."""
    return {where for name, where in _AT.items() if name in condition}


def looked_at(text: str) -> dict[str, str]:
    """What was looked at, said in one breath: ``no crack, grommets worn 9T 10H, bumper sound``; each by its field. What
    begins with none of the words that are asked for is kept as it was said. Raises `Unclear`."""
    said: dict[str, str] = {}
    for phrase in filter(None, (one.strip() for one in re.split(r"[,;]", text))):
        word, _, rest = phrase.partition(" ")
        name = word.lower().rstrip(":")
        if phrase.lower() in ("no crack", "no cracks"):
            said["look_crack"] = "none"
        elif name in LOOKED_AT and name not in _SENTENCES and rest:
            said[f"look_{name}"] = rest
        elif name in LOOKED_AT:
            example = worded("crack none") if name == "crack" else worded("{name} sound", name=name)
            raise Unclear(
                worded(
                    "'{phrase}' does not say what was seen. Write it as in '{example}'.", phrase=phrase, example=example
                )
            )
        else:
            said["look_seen"] = "; ".join(filter(None, (said.get("look_seen"), phrase)))
    return said


def condition_of(words: Said) -> dict[str, Tree]:
    """The data of a condition: what was looked at, each in a word, with where it is. Raises `Unclear`."""
    found: dict[str, Tree] = {}
    for name in LOOKED_AT:
        text = _text(words, f"look_{name}")
        if not text or text == NOTHING:
            continue
        key = "note" if name == "seen" else name
        first, where = _word_and_place(name, text) if name in _AT else (text, "")
        found[key] = first
        if where:
            found[_AT[name]] = where
    try:
        Condition.model_validate(found)
    except ValidationError as error:
        raise Unclear(_problem(error)) from None
    return found


def _word_and_place(name: str, text: str) -> tuple[str, str]:
    """``worn 9T 10H`` as its word and its holes, ``found at 3 o'clock`` likewise."""
    word, _, where = text.partition(" ")
    return word.rstrip(":,").lower(), re.sub(r"^at\s+", "", where.strip()) if name == "crack" else where.strip()


def _problem(error: ValidationError) -> str:
    """What is wrong with the first value, in a sentence or two."""
    first = error.errors()[0]
    name = str(first["loc"][0]) if first["loc"] else ""
    context = first.get("ctx", {})
    if "what" in context:
        return f"{context['what']} {context.get('do', '')}".strip()
    words = re.findall(r"'([^']+)'", str(context.get("expected", "")))
    said = value_at(first.get("input") if isinstance(first.get("input"), dict) else {name: first.get("input")}, (name,))
    return f"'{said}' is not said of '{name}'. Write one of: {', '.join(words)}." if words else str(first["msg"])


def _text(words: Said, name: str) -> str:
    value = words.get(name) or ""
    return " ".join(value.split()) if isinstance(value, str) else " ".join(value)
