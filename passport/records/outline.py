"""The little of a record that finding it needs, read from its text without typing it: quick at ten thousand frames."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from passport.records.yaml import yamltext


@dataclass(frozen=True, slots=True)
class Outline:
    """What a frame is found by. ``strings`` are catalogue names, the newest first; nothing here is checked."""

    name: str
    number: str = ""
    label: str = ""
    model: str = ""
    serial: str = ""
    status: str = "active"
    strings: tuple[str, ...] = ()


def frame_outline(text: str, name: str) -> Outline:
    """The outline of one frame's record; what cannot be read is left empty."""
    data, _, _ = yamltext.read(text, name)
    if not isinstance(data, dict):
        return Outline(name)
    return Outline(
        name=name,
        number=_word(data, "number"),
        label=_word(data, "label"),
        model=_word(data, "model"),
        serial=_word(data, "serial"),
        status=_word(data, "status") or "active",
        strings=tuple(dict.fromkeys(_strings(data.get("jobs")))),
    )


def player_names(text: str) -> tuple[str, str, str]:
    """A player's public name, full name, and how the name is read."""
    data, _, _ = yamltext.read(text, "")
    return _word(data, "name"), _word(data, "full_name"), _word(data, "reading")


def catalogue_names(text: str) -> dict[str, str]:
    """What a catalogue file calls each of its entries: ``maker name`` by the entry's own name."""
    data, _, _ = yamltext.read(text, "")
    entries = data.items() if isinstance(data, dict) else ()
    return {key: f"{_word(v, 'maker')} {_word(v, 'name')}".strip() for key, v in entries if isinstance(v, dict)}


def _word(data: Any, key: str) -> str:
    value = data.get(key) if isinstance(data, dict) else None
    return value if isinstance(value, str) else ""


def _strings(jobs: Any) -> Iterator[str]:
    for job in reversed(jobs if isinstance(jobs, list) else []):
        strings = job.get("strings") if isinstance(job, dict) else None
        for part in ("mains", "crosses"):
            name = _word(strings.get(part), "string") if isinstance(strings, dict) else ""
            if name:
                yield name
