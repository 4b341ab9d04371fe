"""A blank comes into stock, or is measured anew; an instrument is held against something known."""

from collections.abc import Mapping
from typing import Any

from passport.acts.adding.additions import Additions
from passport.acts.amending.targets import Target
from passport.acts.change import Base, Change
from passport.acts.refused import Refused
from passport.records.disk import walking
from passport.records.language.worded import worded
from passport.records.schema.frame import Blank
from passport.records.schema.workshop import Workshop
from passport.records.yaml.appending import with_appended
from passport.records.yaml.difference import difference
from passport.records.yaml.yamlwrite import Style, block
from passport.workshop.entry.naming import made_name
from passport.workshop.entry.newcomers import NewModel

SHOP = "workshop.yaml"


def stocked(new: Additions, model: str | NewModel, values: Mapping[str, str], reading: Mapping[str, Any]) -> Change:
    """The change that adds a blank with what is known of it: ``values`` of its record, and one ``reading``.

    Its file is named after its model. Raises Refused and CannotEdit.
    """
    called = model if isinstance(model, str) else new.model(model)
    there = {path.stem for path in walking.listed(new.base.records.root / "blanks")}
    name = made_name(called, there, "blank")
    tree: dict[str, Any] = {"model": called, **{key: values[key] for key in Blank.model_fields if values.get(key)}}
    if any(key != "state" for key in reading):
        tree["readings"] = [dict(reading)]
    order = [key for key in Blank.model_fields if key in tree]
    lines = block({key: tree[key] for key in order}, Style())
    path = f"blanks/{name}.yaml"
    new.put(path, "\n".join([*lines, ""]))
    return new.change(worded("A blank {name} in stock", name=name), [f"{path}:", *(f"  {line}" for line in lines)])


def measured(base: Base, *, target: Target, reading: Mapping[str, Any]) -> Change:
    """The change that adds a reading to a blank. Raises Refused and CannotEdit."""
    if not any(key != "state" for key in reading):
        raise Refused(worded("Nothing was measured, so nothing was written."))
    before = base.text(target.file) or ""
    after = with_appended(before, ("readings",), dict(reading), Blank.model_fields)
    head = f"{target.called[0].upper()}{target.called[1:]}, in {target.file}:"
    shown = "\n".join([head, *(f"  {line}" for line in difference(before, after))])
    return Change({target.file: after}, shown, (head,), summary=f"A reading of {target.called}")


def held_against(base: Base, *, place: int, check: Mapping[str, Any]) -> Change:
    """The change that adds a check to the instrument at a ``place`` in workshop.yaml, counted from 0."""
    kind = base.records.workshop.record.instruments[place].kind if base.records.workshop else "instrument"
    before = base.text(SHOP) or ""
    after = with_appended(before, ("instruments", place, "checks"), dict(check), Workshop.model_fields)
    return _of_instrument(before, after, worded("The {kind} checked on {check}", kind=kind, check=check["date"]))


def listed(base: Base, *, instrument: Mapping[str, Any]) -> Change:
    """The change that adds an instrument, with its first check where there is one, to workshop.yaml."""
    before = base.text(SHOP) or ""
    after = with_appended(before, ("instruments",), dict(instrument), Workshop.model_fields)
    return _of_instrument(before, after, f"A {instrument['kind']} listed")


def _of_instrument(before: str, after: str, summary: str) -> Change:
    head = f"{SHOP}:"
    return Change(
        {SHOP: after}, "\n".join([head, *(f"  {line}" for line in difference(before, after))]), (head,), summary=summary
    )
