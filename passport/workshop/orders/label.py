"""What stands on the label that hangs on a racquet while it waits. Pure; for the bench alone: it names the player."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from passport.physics.units import kg_from_newtons, lb_from_newtons
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame, Order, Stringing, Strung
from passport.records.schema.quantities import Quantity, bare_unit
from passport.workshop.orders.wanted import Catalogue, work_wanted


@dataclass(frozen=True, slots=True)
class PullLine:
    """One line of the recipe: ``side`` (empty where mains and crosses are alike), the tension in the unit it was said in,
    the same in the other unit, the string."""

    side: str
    pull: str
    other: str
    string: str


@dataclass(frozen=True, slots=True)
class IntakeLabel:
    """A label: ``code`` is what a scanner types, ``stop`` what forbids to string it; ``work`` is all that is wanted besides
    the strings, ``asked`` what was said where nothing else tells what is wanted."""

    code: str
    number: str
    owner: str
    label: str
    promised: date | None
    taken: date | None
    pulls: tuple[PullLine, ...]
    work: tuple[str, ...]
    asked: str
    stop: str


def intake_label(content: Content, entry: Entry[Frame], names: Catalogue) -> IntakeLabel:
    """The label of a frame that waits, or of one of which nothing is wanted yet."""
    frame, player = entry.record, content.players[entry.name.partition("/")[0]].record
    order = frame.waiting or Order()
    work = work_wanted(order.model_copy(update={"strings": None}), names)
    unit = (content.workshop.record.units.tension or "") if content.workshop else ""
    zones = order.strings.zones if order.strings else None
    found = order.condition.crack == "found"
    broken = worded("Broken: do not string.") if frame.status == "broken" else ""
    stop = worded("Crack found: do not string.") if found else broken
    return IntakeLabel(
        code=frame.number or entry.name,
        number=frame.number or entry.name,
        owner=player.full_name or player.name,
        label=frame.label,
        promised=order.promised,
        taken=order.taken,
        pulls=tuple(_pulls(order.strings, names, unit)) if order.strings else (),
        work=(*([worded("by zone: {pulls}", pulls=zones.text)] if zones else []), *work),
        asked="" if work or order.strings else order.asked,
        stop=stop,
    )


def in_both_units(pull: Quantity, shop: str = "") -> tuple[str, str]:
    """A tension in the ``shop``'s unit, else as it was said, and in the other unit: lb and kg to the tenth (1 lb =
    0.45359237 kg, exact)."""
    both = {"lb": f"{lb_from_newtons(pull.value):.1f} lb", "kg": f"{kg_from_newtons(pull.value):.1f} kg"}
    said = "lb" if bare_unit(pull.unit).startswith("lb") else "kg"
    first = shop or said
    other = "kg" if first == "lb" else "lb"
    as_said = first == said and bare_unit(pull.unit)[:2] in both
    return pull.text if as_said else both[first], both[other]


def _pulls(strings: Stringing, names: Catalogue, unit: str) -> Iterator[PullLine]:
    mains, crosses = strings.both
    if mains.string == crosses.string and abs(mains.tension.value - crosses.tension.value) < 1e-6:
        yield _pull("", mains, names, unit)
        return
    yield _pull(worded("Mains"), mains, names, unit)
    yield _pull(worded("Crosses"), crosses, names, unit)


def _pull(side: str, strung: Strung, names: Catalogue, unit: str) -> PullLine:
    known = names.get(strung.string)
    said, other = in_both_units(strung.tension, unit)
    string = known.name if known else strung.string
    if strung.prestretch:
        string = worded("{string}, pre-stretch {amount}", string=string, amount=strung.prestretch.text)
    return PullLine(side, said, other, string)
