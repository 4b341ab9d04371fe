"""A new entry of the catalogue, a lot or a blank in stock, with whatever a form says of it."""

from collections.abc import Mapping
from typing import Any, Final

from passport.acts.adding.additions import MODELS, STRINGS, string_words
from passport.acts.amending.filled import change_of
from passport.acts.amending.targets import Target, tree_of
from passport.acts.change import Base, Change
from passport.acts.refused import Refused
from passport.acts.stock import lot_name
from passport.records.disk import walking
from passport.records.language.worded import worded
from passport.records.load import STOCK
from passport.records.schema.frame import Blank
from passport.records.yaml.appending import with_entry
from passport.records.yaml.yamlwrite import Style, block
from passport.workshop.entry.naming import made_name
from passport.workshop.entry.newcomers import NewString

Tree = Any
PARTS = "catalogue/parts.yaml"
_FILES: Final = {"string": STRINGS, "model": MODELS, "part": PARTS}
ADDED: Final = (*_FILES, "lot", "blank")
"""Kinds of records that a form can begin."""


def entered(base: Base, *, kind: str, tree: Mapping[str, Tree]) -> Change:
    """The change that puts a new string, model or part into the catalogue, or a lot or blank into stock; the program names it.
    Raises Refused and CannotEdit."""
    if not tree:
        raise Refused(worded("Nothing was filled in, so nothing was written."))
    if kind == "blank":
        return _stocked(base, tree)
    if kind == "lot":
        return _begun(base, tree)
    file = _FILES[kind]
    taken = {*tree_of(base, file), *(name.partition(" ")[2] for name in base.records.unread)}
    name = made_name(_words(kind, tree), taken, kind)
    before = base.text(file) or ""
    after = with_entry(before, name, tree)
    return change_of(
        Target(file, (name,), tree, worded("the {kind} '{name}'", kind=kind, name=name)), before, after, "added"
    )


def _words(kind: str, tree: Mapping[str, Tree]) -> str:
    """What an entry of the catalogue is named after."""
    if kind == "string" and tree.get("gauge"):
        new = NewString(str(tree.get("maker", "")), str(tree.get("name", "")), str(tree["gauge"]), "")
        try:
            return string_words(new)
        except ValueError:  # no thickness, which is told when the change is tried
            return new.name
    parts = (tree.get("maker"), tree.get("name")) if kind != "part" else (tree.get("name"),)
    return " ".join(str(one) for one in parts if one)


def _begun(base: Base, tree: Mapping[str, Tree]) -> Change:
    """A new lot, named as the commands name it."""
    of, batch = str(tree.get("of", "")), str(tree.get("batch", ""))
    if any((lot.record.of, lot.record.batch) == (of, batch) for lot in base.records.lots.values()):
        whole = f"{of} {batch}".strip()
        raise Refused(worded("{of} is in stock already: add to that lot, or name another batch.", of=whole))
    name = lot_name(of, batch, base.records)
    before = base.text(STOCK) or ""
    return change_of(Target(STOCK, (name,), tree, f"the lot '{name}'"), before, with_entry(before, name, tree), "begun")


def _stocked(base: Base, tree: Mapping[str, Tree]) -> Change:
    folder = base.records.root / "blanks"
    there = {path.stem for path in walking.listed(folder)} if folder.is_dir() else set()
    name = made_name(str(tree.get("model", "")), there, "blank")
    file = f"blanks/{name}.yaml"
    base.text(file)
    lines = block({key: tree[key] for key in Blank.model_fields if key in tree}, Style())
    return change_of(
        Target(file, (), tree, worded("the blank '{name}'", name=name)), "", "\n".join([*lines, ""]), worded("in stock")
    )
