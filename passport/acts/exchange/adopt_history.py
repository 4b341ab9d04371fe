"""Taking over all frames of a player from another workshop, with every job that was done there."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from passport.acts.adding.additions import MODELS, STRINGS, Additions, FreshKeys
from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.count import counted
from passport.acts.exchange.carry import PARTS
from passport.acts.frames.issue import SITE
from passport.acts.frames.log import path_of
from passport.acts.refused import Refused
from passport.records.exchange.history import CATALOGUE, PlayerHistory
from passport.records.exchange.trees import ELSEWHERE
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.schema.base import Record
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.yaml.appending import with_entry
from passport.records.yaml.yamlwrite import Style, block
from passport.workshop.entry.naming import folded, made_name
from passport.workshop.entry.newcomers import NewFrame, NewPlayer

Tree = dict[str, Any]
_PATHS: Mapping[str, str] = {"strings": STRINGS, "frames": MODELS, "parts": PARTS}
_POINTERS = ("rebuilds", "replaced_by")


def adopted_history(
    base: Base, history: PlayerHistory, player: str | NewPlayer, keys: FreshKeys, site: Path = SITE
) -> tuple[list[str], Change]:
    """The names of the new frames, and the change that makes them all. Raises Refused, CannotEdit."""
    work = _Adopting(Additions(base, keys, site), history)
    owner = player if isinstance(player, str) else work.new.player(player)
    work.catalogue()
    names = [work.frame(owner, number, tree) for number, tree in history.frames]
    work.write(names)
    where = f" of {history.workshop}" if history.workshop else ""
    summary = f"Adopted {counted(len(names), 'frame')}{where} for {owner}"
    jobs = sum(len(_listed(tree.get("jobs"))) for _, tree in history.frames)
    return names, work.new.change(
        summary, [f"With {counted(jobs, 'job')} that {'was' if jobs == 1 else 'were'} done there."]
    )


@dataclass
class _Adopting:
    """What is made of one history: the catalogue's names for those that it uses, and the numbers of its frames here."""

    new: Additions
    history: PlayerHistory
    names: dict[tuple[str, str], str] = field(default_factory=dict)
    numbers: dict[str, str] = field(default_factory=dict)

    def catalogue(self) -> None:
        """Find or add each entry that the frames name."""
        records = self.new.base.records
        tables: Mapping[str, Mapping[str, Entry[Any]]] = {
            "strings": records.strings, "frames": records.models, "parts": records.parts
        }  # fmt: skip
        for kind, entries in self.history.catalogue.items():
            taken = set(tables[kind])
            for name, tree in entries.items():
                told = self._read(CATALOGUE[kind], tree, f"the entry '{name}' of its {kind}")
                own = next((e.name for e in tables[kind].values() if _same(e.record, told)), None)
                self.names[kind, name] = own or made_name(name, taken, kind.removesuffix("s"))
                if own is None:
                    taken.add(self.names[kind, name])
                    entry = tree | ({"stock": ELSEWHERE} if kind == "parts" else {})
                    path = _PATHS[kind]
                    self.new.put(path, with_entry(self.new.text(path), self.names[kind, name], entry))
                    self.new.said.append(f"New in the catalogue's {kind}: {self.names[kind, name]}")

    def _read(self, kind: type[BaseModel], tree: Tree, what: str) -> BaseModel:
        try:
            return kind.model_validate(tree)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            where = ".".join(map(str, first["loc"]))
            said = first.get("ctx", {}).get("what") or f"{first['msg'][0].lower()}{first['msg'][1:]}"
            raise Refused(
                worded(
                    "Nothing was written: {what} cannot be read, at '{where}': {said}\n  Ask for the folder "
                    "again, unchanged.",
                    what=what,
                    where=where,
                    said=said,
                )
            ) from None

    def frame(self, owner: str, number: str, tree: Tree) -> str:
        """Give a frame its name and number here."""
        label, model = tree.get("label"), self.names.get(("frames", str(tree.get("model"))))
        if not isinstance(label, str) or not label.strip() or model is None:
            raise Refused(
                worded(
                    "Nothing was written: frame {number} has no label, or its model is not in the history's "
                    "catalogue.\n  Ask for the folder again, unchanged.",
                    number=number,
                )
            )
        name = self.new.frame(NewFrame(owner, model, label, str(tree.get("grip", "")), str(tree.get("serial", ""))))
        self.numbers[number] = self.new.number_of(name)
        return name

    def write(self, names: list[str]) -> None:
        """Write each frame's record, now that the numbers of all are known."""
        for name, (number, tree) in zip(names, self.history.frames, strict=True):
            record = {
                "number": self.numbers[number],
                "key": self.new.keys.of(name),
                **self._renamed({key: value for key, value in tree.items() if key not in ("origin", *_POINTERS)}),
                **{key: self.numbers[tree[key]] for key in _POINTERS if tree.get(key) in self.numbers},
                "origin": self._origin(number),
            }
            flat = {key: value for key, value in record.items() if not isinstance(value, dict | list)}
            lines = block(flat, Style())
            for key, value in record.items():
                if key not in flat:
                    lines += ["", *block({key: value}, Style())]
            self.new.put(path_of(name), "\n".join(lines) + "\n")

    def _origin(self, number: str) -> Tree:
        return {
            "number": number,
            **({"workshop": self.history.workshop} if self.history.workshop else {}),
            "came_as": "history",
            "adopted": today().isoformat(),
        }

    def _renamed(self, tree: Any, key: str = "") -> Any:
        """The record with the names that entries have in this catalogue; every job says where it was done."""
        if isinstance(tree, list):
            return [self._renamed(each, key) for each in tree]
        if isinstance(tree, dict):
            found = {name: self._renamed(value, name) for name, value in tree.items()}
            if key == "jobs" and self.history.workshop:
                found = {"date": found.pop("date", ""), "elsewhere": self.history.workshop, **found}
            return found
        kind = {"string": "strings", "model": "frames", "part": "parts"}.get(key, "")
        return self.names.get((kind, tree), tree)


def _same(own: Record, told: BaseModel) -> bool:
    """Whether two entries of the catalogue are the same thing: what is printed on it is the same."""
    if isinstance(own, StringType) and isinstance(told, StringType):
        return _called(own) == _called(told) and abs(own.gauge.value - told.gauge.value) < 0.005
    if isinstance(own, FrameModel) and isinstance(told, FrameModel):
        return _called(own) == _called(told) and own.sport == told.sport
    if isinstance(own, Part) and isinstance(told, Part):
        masses = [part.mass.value if part.mass else None for part in (own, told)]
        return own.kind == told.kind and folded(own.name) == folded(told.name) and masses[0] == masses[1]
    return False


def _called(record: StringType | FrameModel) -> tuple[str, str]:
    return folded(record.maker), folded(record.name)


def _listed(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
