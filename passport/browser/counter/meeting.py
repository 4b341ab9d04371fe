"""Whether what somebody names is there already: found by any of its names, chosen among those near it, or new."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from passport.records.load import Content, records_of
from passport.workshop.entry.newcomers import NewModel, NewString, model_of, string_of
from passport.workshop.entry.phrases import Unclear
from passport.workshop.entry.recognising import called, recognised

NEW = "new"
"""What is chosen where none of those that are near is meant."""
Parts = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Meeting:
    """What a field names: its ``name`` in the records; those ``near`` it, each as it is shown; or that it is ``new``."""

    name: str = ""
    near: tuple[tuple[str, str], ...] = ()
    new: bool = False

    @property
    def undecided(self) -> bool:
        """Whether a person has to say which one is meant."""
        return bool(self.near) and not self.name and not self.new


def met(
    said: str,
    ways: Mapping[str, Sequence[str]],
    shown: Callable[[str], str],
    chosen: str = "",
    name_of: Callable[[str], str] = str,
) -> Meeting:
    """What is meant by what was ``said``, and ``chosen`` where it was asked; ``name_of`` finds the name in a line that says
    more."""
    for text in dict.fromkeys((said, name_of(said))) if said else ():
        found = recognised(text, ways)
        offered = tuple((name, shown(name)) for name in ((found.sure,) if found.sure else found.near))
        if not offered:
            continue
        if chosen == NEW:
            return Meeting("", offered, new=True)
        sure = found.sure or next((name for name, _ in offered if name == chosen), "")
        return Meeting(sure, offered)
    return Meeting(new=bool(said))


def string_met(records: Content, said: str, chosen: str) -> Meeting:
    """Which string of the catalogue is meant, or that it is a new one."""
    table = records_of(records.strings)

    def shown(name: str) -> str:
        return f"{table[name].maker} {table[name].name}, {table[name].gauge.text}, {table[name].material}"

    return met(said, {name: called(name, one) for name, one in table.items()}, shown, chosen, _named(string_parts))


def model_met(records: Content, said: str, chosen: str) -> Meeting:
    """Which frame model of the catalogue is meant, or that it is a new one."""
    table = records_of(records.models)

    def shown(name: str) -> str:
        return f"{table[name].maker} {table[name].name}, {table[name].sport}"

    return met(said, {name: called(name, one) for name, one in table.items()}, shown, chosen, _named(model_parts))


def string_parts(line: str) -> Parts:
    """What a line says of a new string; of one name alone, that it is the string's own."""
    return _parts(line, string_of, ("maker", "name", "gauge", "material"))


def model_parts(line: str) -> Parts:
    """What a line says of a new frame model; of one name alone, that it is the model's own."""
    return _parts(line, model_of, ("maker", "name", "sport", "head"))


def _parts(line: str, read: Callable[[str], NewString | NewModel], keys: Sequence[str]) -> Parts:
    try:
        found = {key: str(getattr(read(line), key)) for key in keys}
    except Unclear:
        return dict.fromkeys(keys, "")
    if found["maker"] and not found["name"]:
        found |= {"maker": "", "name": found["maker"]}
    return found


def _named(parts: Callable[[str], Parts]) -> Callable[[str], str]:
    """The name in a line that says more than a name."""

    def name_of(line: str) -> str:
        found = parts(line)
        return f"{found['maker']} {found['name']}".strip() or line

    return name_of


def usual_sport(records: Content) -> str:
    """The sport of most models here; nothing where there are none."""
    sports = [entry.record.sport for entry in records.models.values()]
    return max(dict.fromkeys(sports), key=sports.count) if sports else ""
