"""Did it match? A frame whose last readings lie outside what its setup, or the frame that it rebuilds, asks for."""

from collections.abc import Iterator
from datetime import date

from passport.records.faults import Fault, Place
from passport.records.load import Content, Entry
from passport.records.schema.frame import Frame
from passport.workshop.facts.facts import SpecFacts
from passport.workshop.gathering.gather import Gatherer

_UNITS = {"mass": "g", "balance": "mm", "swingweight": "kg·cm²", "twistweight": "kg·cm²"}


def off_target(content: Content, gatherer: Gatherer, today: date) -> Iterator[Fault]:
    """A frame in use is not surely outside the tolerance of any target."""
    if content.workshop is None:
        return
    for entry in content.frames.values():
        if entry.record.model not in content.models or entry.record.status != "active":
            continue
        for spec in gatherer.specs(entry.name):
            if spec.verdict == "outside":
                yield Fault(_place(entry, spec), "off-target", _what(spec), _DO, "warning")


_DO = "Measure again, tune it (see 'passport rebuild --help'), or write the target that it now has."


def _what(spec: SpecFacts) -> str:
    assert spec.off is not None and spec.target is not None and spec.taken is not None, "only these can be outside"
    unit, side = _UNITS[spec.quantity], "over" if spec.off > 0 else "under"
    return (
        f"On {spec.taken.isoformat()} its {spec.quantity} was {spec.value:.1f} {unit}, {abs(spec.off):.1f} {unit} {side} "
        f"the target of {spec.target:g} ± {spec.tolerance:g} {unit}."
    )


def _place(entry: Entry[Frame], spec: SpecFacts) -> Place:
    """The target's line, or the frame's label where the target stands in the record of the frame that it rebuilds."""
    own = getattr(entry.record.setup, spec.quantity)
    return entry.at("setup", spec.quantity) if own else entry.at("label")
