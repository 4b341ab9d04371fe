"""The frame maker's tension limit and the rules of the sport: warnings that name the limit."""

import math
from collections.abc import Iterator
from datetime import date

from passport.physics.geometry import RacquetShape
from passport.physics.units import MM_PER_IN, kg_from_newtons, lb_from_newtons
from passport.records import sportrules
from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.schema.frame import Blank, Fitted, Frame
from passport.records.schema.places import FittedPlace
from passport.records.strung.zonedpulls import highest_zone

PRINTED_SPAN = 0.05
"""How far a printed size may be from the strung area, or from that to the middle of the hoop, as a share (common practice,
no source)."""

ROUNDING = 0.25
"""N by which a tension may exceed a limit that is the same when both are rounded to the tenth of a lb, as makers print."""

ROUNDEST = 3.0
"""How many times as long as wide, or as wide as long, no head is any more (common practice, no source: real ones are 1.2 to 1.5
times as long as wide)."""


def tensions(content: Content, today: date) -> Iterator[Fault]:
    """No job strings a frame above its maker's limit, and no order asks for it."""
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if model is None or model.record.tension is None:
            continue
        limit = model.record.tension.high.value
        for path, strings in entry.record.stringings():
            for part in ("mains", "crosses"):
                strung = getattr(strings, part)
                if strung is not None and strung.tension.value > limit + ROUNDING:
                    place = entry.at(*path, part, "tension")
                    what = worded(
                        "{both} on the {part} is over the frame maker's limit of {both2}.",
                        both=_both(strung.tension.value),
                        part=part,
                        both2=_both(limit),
                    )
                    do = worded("The maker's limit stands above any setup: string lower, or ask the maker in writing.")
                    yield Fault(place, "tension-limit", what, do, "warning")
            zoned = highest_zone(strings)
            if zoned > limit + ROUNDING:
                what = worded(
                    "A zone with {both} is over the frame maker's limit of {both2}.",
                    both=_both(zoned),
                    both2=_both(limit),
                )
                do = worded("The maker's limit stands above any setup: string lower, or ask the maker in writing.")
                yield Fault(entry.at(*path, "zones"), "tension-limit", what, do, "warning")


def sizes(content: Content, today: date) -> Iterator[Fault]:
    """The dimensions of each model fit into one frame, and its tension range has its lower end below."""
    for entry in content.models.values():
        model, shape = entry.record, entry.record.shape()
        rests = ("length", "handle", "rim", "aspect")
        if not shape.is_assumed("aspect") and not 1 / ROUNDEST < shape.head_width / shape.head_length < ROUNDEST:
            what = worded(
                "No head is {head_width:g} mm wide and {head_length:g} mm long.",
                head_width=shape.head_width,
                head_length=shape.head_length,
            )
            yield Fault(
                entry.at("head"), "impossible-value", what, worded("Measure again, or look for a slipped digit.")
            )
        if shape.handle + shape.head_length + 2 * shape.rim > shape.length and not shape.is_assumed(*rests):
            what = worded(
                "Handle, head and rim together are longer than the frame's {length:g} mm.", length=shape.length
            )
            yield Fault(
                entry.at("length"), "impossible-value", what, worded("Measure again, or look for a slipped digit.")
            )
        strings = (
            ("main_spacing", shape.mains, shape.head_width),
            ("throat_spacing", shape.mains, shape.head_width),
            ("cross_spacing", shape.crosses, shape.head_length),
        )
        for name, count, room in strings:
            spacing = getattr(model.pattern, name) if model.pattern else None
            if spacing and (count - 1) * spacing.value >= room:
                what = worded(
                    "{count} strings at this spacing take more than the head's {room:g} mm.", count=count, room=room
                )
                do = worded("Measure from one string to the next, or over several and divide.")
                yield Fault(entry.at("pattern", name), "impossible-value", what, do)
        first = model.pattern.first_cross if model.pattern else None
        if first and first.value + (shape.crosses - 1) * shape.spacing[1] >= shape.head_length:
            what = worded(
                "{crosses} crosses from there on take more than the head's {head_length:g} mm.",
                crosses=shape.crosses,
                head_length=shape.head_length,
            )
            do = worded(
                "Measure from the hoop's inside at the tip to the first cross, and 'cross_spacing' over several."
            )
            yield Fault(entry.at("pattern", "first_cross"), "impossible-value", what, do)
        if model.tension and model.tension.low and model.tension.low.value > model.tension.high.value:
            what = worded("The lower end of the maker's tension range is above its upper end.")
            yield Fault(entry.at("tension", "low"), "impossible-value", what, worded("Exchange 'low' and 'high'."))


def printed_sizes(content: Content, today: date) -> Iterator[Fault]:
    """The area of a measured head is about the size that its maker prints, which is the strung area or counts to the middle
    of the hoop."""
    for entry in content.models.values():
        head, shape = entry.record.head, entry.record.shape()
        if head.size is None or shape.is_assumed("aspect") or entry.record.sure:
            continue
        middle = shape.hoop_axes[0] * shape.hoop_axes[1] * math.pi * shape.outline.fullness
        low, high = shape.head_area * (1 - PRINTED_SPAN), middle * (1 + PRINTED_SPAN)
        if not low <= head.size.value <= high:
            ours = f"{shape.head_area / 100:.0f} cm² ({shape.head_area / MM_PER_IN**2:.1f} sq in)"
            what = worded(
                "Length, width and form make {ours}, which is far from the printed {size}.",
                ours=ours,
                size=head.size.text,
            )
            do = worded(
                "Measure length and width inside the hoop again, and look at its form: teardrops and eggs "
                "have less area. If it is right, write 'sure: …' with the reason into the model."
            )
            yield Fault(entry.at("head", "size"), "unlikely", what, do, "warning")


def fits(content: Content, today: date) -> Iterator[Fault]:
    """What is fitted lies on the frame: no place beyond the tip, no strip that is longer than its half of the hoop."""
    for entry in content.frames.values():
        lists: list[tuple[tuple[str | int, ...], tuple[Fitted, ...]]] = [(("build",), entry.record.build)]
        lists += [(("jobs", i, "fitted"), job.fitted) for i, job in enumerate(entry.record.jobs)]
        for path, items in lists:
            yield from _misfits(content, entry, path, items)
    for blank in content.blanks.values():
        yield from _misfits(content, blank, ("build",), blank.record.build)


def _misfits(
    content: Content, entry: Entry[Frame] | Entry[Blank], path: tuple[str | int, ...], items: tuple[Fitted, ...]
) -> Iterator[Fault]:
    model = content.models.get(entry.record.model)
    shape = model.record.shape() if model else None
    for k, item in enumerate(items) if shape else ():
        if shape and item.place.span and item.place.span[1] > shape.length:
            what = worded(
                "'{place}' is beyond the tip of a frame that is {length:g} mm long.",
                place=item.place.text,
                length=shape.length,
            )
            yield Fault(entry.at(*path, k, "place"), "impossible-value", what, worded("Measure from the butt end."))
        if shape and item.length and item.place.hour is not None and item.length.value > _room(shape, item.place):
            what = worded("A strip of {length} is longer than the hoop that it could lie on.", length=item.length.text)
            do = worded("Write the length of one side; a pair has the same length on both.")
            yield Fault(entry.at(*path, k, "length"), "impossible-value", what, do)


def _room(shape: RacquetShape, place: FittedPlace) -> float:
    """The longest strip at an o'clock position, mm: all of the hoop for one alone, half of it for each of a pair."""
    return shape.hoop_perimeter / (2 if place.mirrored else 1)


def sport_dimensions(content: Content, today: date) -> Iterator[Fault]:
    """Each model's dimensions are within the rules of its sport."""
    for entry in content.models.values():
        for path, what in sportrules.breaches(entry.record):
            do = worded("Check the dimension; in competition the frame may be refused.")
            yield Fault(entry.at(*path.split(".")), "sport-rule", what, do, "warning")


def sport_masses(content: Content, today: date) -> Iterator[Fault]:
    """Neither the target nor a strung reading is heavier than the sport's rules allow."""
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        for path, mass in _masses(entry.record) if model else ():
            what = sportrules.too_heavy(model.record.sport, mass) if model else None
            if what:
                do = worded("Take mass off, or tell the player that the frame may be refused in competition.")
                yield Fault(entry.at(*path), "sport-rule", what, do, "warning")


def _masses(frame: Frame) -> Iterator[tuple[tuple[str | int, ...], float]]:
    if frame.setup.mass:
        yield ("setup", "mass"), frame.setup.mass.target.value
    for i, job in enumerate(frame.jobs):
        for k, reading in enumerate(job.readings):
            if reading.mass and reading.state != "bare":
                yield ("jobs", i, "readings", k, "mass"), reading.mass.value


def _both(newtons: float) -> str:
    return f"{lb_from_newtons(newtons):.1f} lb ({kg_from_newtons(newtons):.1f} kg)"
