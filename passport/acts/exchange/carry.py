"""What another workshop told of a frame, put among the records: catalogue entries that lack, and the frame's own record."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from passport.acts.adding.additions import MODELS, STRINGS, Additions
from passport.acts.clock import today
from passport.acts.refused import Refused
from passport.records.exchange import trees
from passport.records.exchange.setup import FittedData, SetupData, StrungData
from passport.records.language.worded import worded
from passport.records.load import Entry
from passport.records.masses import linear_density
from passport.records.schema.as_printed import read_gauge
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.yaml.appending import with_entry
from passport.records.yaml.yamlwrite import Style, block
from passport.workshop.entry.naming import folded, made_name

PARTS = "catalogue/parts.yaml"


@dataclass
class Carry:
    """Puts what a setup names among the records of ``new``; what is there already under its own name is used."""

    new: Additions
    setup: SetupData
    said: list[str] = field(default_factory=list)
    """What a person should know: what is used instead of what was told."""
    _names: dict[tuple[str, ...], str] = field(default_factory=dict)
    _taken: dict[str, set[str]] = field(default_factory=dict)

    def model(self) -> str:
        """The frame model, by its name in the catalogue. Raises Refused where too little is told of it."""
        table = self.new.base.records.models
        told = self.setup.frame
        same = [
            e
            for e in table.values()
            if folded(e.record.name) == folded(told.model) and e.record.sport == self.setup.sport
        ]
        own = [e for e in same if not told.maker or folded(e.record.maker) == folded(told.maker)]
        if len(own) == 1:
            self._differing(own[0].record)
            return own[0].name
        tree = trees.model_tree(self.setup)
        if not told.model or not tree.get("head"):
            lacks = worded("its model") if not told.model else worded("how large its head is")
            raise Refused(
                worded(
                    "The setup does not say {lacks}, and no frame model of the catalogue is called '{filter}'.\n  "
                    "Add the model to catalogue/frames.yaml under that name, with what is printed on it.",
                    lacks=lacks,
                    filter=" ".join(filter(None, (told.maker, told.model))),
                )
            )
        name = self._made(MODELS, f"{told.maker} {told.model}", "frame", table)
        self._enter(MODELS, name, tree)
        self.new.said.append(f"New frame model: {told.maker} {told.model}, {self.setup.sport}")
        return name

    def string(self, told: StrungData) -> str:
        """A string, by its name in the catalogue. Raises Refused."""
        key = ("string", told.maker, told.string, trees.gauge_of(told), told.material)
        if key not in self._names:
            self._names[key] = self._string(told)
        return self._names[key]

    def _string(self, told: StrungData) -> str:
        table, gauge = self.new.base.records.strings, trees.gauge_of(told)
        alike = [e for e in table.values() if _same_string(e.record, told, gauge)]
        if len(alike) == 1:
            self._heavier(alike[0].record, told)
            return alike[0].name
        if not gauge:
            raise Refused(
                worded(
                    "The setup does not say how thick '{string}' is, and no string of the catalogue is called "
                    "so.\n  Add it to catalogue/strings.yaml under that name, or its gauge to the text, as in "
                    "'1.25mm polyester'.",
                    string=told.string,
                )
            )
        thickness = str(round(100 * read_gauge(gauge).value))
        words = told.string if thickness in folded(told.string) else f"{told.string} {thickness}"
        name = self._made(STRINGS, words, "string", table)
        self._enter(STRINGS, name, trees.string_tree(told))
        called = " ".join(filter(None, (told.maker, told.string)))
        self.new.said.append(f"New string: {called}, {gauge}, {told.material}")
        return name

    def part(self, told: FittedData) -> str:
        """A part, by its name in the catalogue."""
        tree = trees.part_tree(told)
        key = ("part", told.kind, tree["name"], tree.get("mass", ""))
        if key not in self._names:
            table = self.new.base.records.parts
            alike = [e for e in table.values() if _same_part(e.record, told, tree)]
            self._names[key] = alike[0].name if alike else self._made(PARTS, tree["name"], "part", table)
            if not alike:
                self._enter(PARTS, self._names[key], tree)
                self.new.said.append(f"New part: {tree['name']}, {told.kind}, not in stock here")
        return self._names[key]

    def blocks(self, *, whole: bool, measured: bool) -> dict[str, Any]:
        """What the frame's record says beside its number and names; see `trees.frame_tree`."""
        day = today().isoformat()
        return trees.frame_tree(self.setup, self.string, self.part, day, whole=whole, measured=measured)

    def put(self, path: str, top: Mapping[str, Any], blocks: Mapping[str, Any]) -> None:
        """Have a record say these values, and these blocks apart from each other."""
        lines = block(top, Style())
        for name, tree in blocks.items():
            lines += ["", *block({name: tree}, Style())]
        self.new.put(path, "\n".join(lines) + "\n")

    # --- what is there -----------------------------------------------------------------------------------------

    def _made(self, path: str, words: str, otherwise: str, there: Mapping[str, Entry[Any]]) -> str:
        taken = self._taken.setdefault(path, set(there))
        name = made_name(words, taken, otherwise)
        taken.add(name)
        return name

    def _enter(self, path: str, name: str, tree: dict[str, Any]) -> None:
        self.new.put(path, with_entry(self.new.text(path), name, tree))

    def _differing(self, own: FrameModel) -> None:
        """Say which of the model's dimensions differ from the catalogue's own, which are used."""
        g, shape = self.setup.geometry, own.shape()
        told = {
            "length": (self.setup.length_mm, shape.length if own.length else None),
            "head length": (g and g.head_length_mm, shape.head_length if own.head.length else None),
            "head width": (g and g.head_width_mm, shape.head_width if own.head.width else None),
        }
        for name, (theirs, mine) in told.items():
            if theirs and mine and abs(theirs - mine) > 1:
                self.said.append(
                    f"Of the {own.name} the setup says {name} {theirs:g} mm, your catalogue {mine:g} mm: yours is used."
                )

    def _heavier(self, own: StringType, told: StrungData) -> None:
        theirs, mine = told.mass_per_length_g_m, linear_density(own)
        if theirs and mine and abs(theirs / mine - 1) > 0.03:
            self.said.append(
                f"Of {own.name} the setup says {theirs:g} g/m, your catalogue {mine:.3g} g/m: yours is used."
            )


def _same_string(own: StringType, told: StrungData, gauge: str) -> bool:
    alike = folded(own.name) == folded(told.string) and own.material == told.material
    maker = not told.maker or folded(own.maker) == folded(told.maker)
    return alike and maker and (not gauge or abs(own.gauge.value - read_gauge(gauge).value) < 0.005)


def _same_part(own: Part, told: FittedData, tree: Mapping[str, str]) -> bool:
    """Whether the catalogue has a part of that kind and name, and of a piece that mass; a part whose name is not told is
    none of the catalogue's."""
    if own.kind != told.kind or folded(own.name) != folded(tree["name"]):
        return False
    return own.mass is None or told.mass_g is None or "mass" not in tree or abs(own.mass.value - told.mass_g) < 0.05
