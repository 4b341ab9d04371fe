"""All that the records hold by which a player is reached: what a device without contact data is never shown."""

from functools import lru_cache
from pathlib import Path

from passport.records.disk import opening, walking
from passport.records.schema.player import PlayerContact
from passport.records.yaml import yamltext

_LEAST = 5
"""Signs of what is looked for as it stands: a shorter word is in every page."""


def reached_by(root: Path) -> frozenset[str]:
    """E-mail addresses, telephone numbers and the lines of addresses of all players, each record read when it changed."""
    found: set[str] = set()
    for path in walking.listed(root / "players"):
        record = path / "player.yaml"
        try:
            stat = record.stat()
        except OSError:
            continue
        found |= _of(root, record, stat.st_mtime_ns, stat.st_size)
    return frozenset(found)


@lru_cache(maxsize=20_000)
def _of(root: Path, record: Path, changed: int, size: int) -> frozenset[str]:
    try:
        text = opening.read_text(record, inside=root, errors="replace")
    except OSError:
        return frozenset()
    data = yamltext.read(text.removeprefix("\ufeff"), str(record))[0]
    said: list[str] = []
    if isinstance(data, dict):
        contact, told = data.get("contact"), data.get("told")
        said += _strings(contact)
        notices = told if isinstance(told, list) else [told]
        said += [str(one["to"]) for one in notices if isinstance(one, dict) and one.get("to")]
    else:  # a record that cannot be read is searched for its lines
        keys = tuple(f"{name}:" for name in (*PlayerContact.model_fields, "to"))
        said += [
            line.strip().partition(":")[2].strip(" '\"") for line in text.splitlines() if line.strip().startswith(keys)
        ]
    lines = (line.strip() for one in said for line in one.splitlines())
    return frozenset(line for line in lines if len(line) >= _LEAST)


def _strings(data: object) -> list[str]:
    if isinstance(data, str):
        return [data]
    inner = data.values() if isinstance(data, dict) else data if isinstance(data, list) else ()
    return [text for one in inner for text in _strings(one)]
