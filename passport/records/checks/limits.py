"""The frame maker's tension limit and the rules of the sport: warnings that name the limit."""

from collections.abc import Iterator
from datetime import date

from passport.physics.units import kg_from_newtons, lb_from_newtons
from passport.records import sportrules
from passport.records.catalogue import FrameModel
from passport.records.faults import Fault
from passport.records.load import Content, Entry


def tensions(content: Content, today: date) -> Iterator[Fault]:
    """No job strings a frame above its maker's limit."""
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if model is None or model.record.tension is None:
            continue
        limit = model.record.tension.high
        for i, job in enumerate(entry.record.jobs):
            for part in ("mains", "crosses") if job.strings else ():
                strung = getattr(job.strings, part)
                if strung is not None and strung.tension.value > limit.value + 1e-9:
                    place = entry.at("jobs", i, "strings", part, "tension")
                    what = f"{_both(strung.tension.value)} on the {part} is over the maker's limit of {_both(limit.value)}."
                    do = "The maker's limit stands above any setup: string lower, or ask the maker in writing."
                    yield Fault(place, "tension-limit", what, do, "warning")


def sport_dimensions(content: Content, today: date) -> Iterator[Fault]:
    """Each model's dimensions are within the rules of its sport."""
    for entry in content.models.values():
        for path, what in sportrules.breaches(entry.record):
            do = "Check the dimension; in competition the frame may be refused."
            yield Fault(entry.at(*path.split(".")), "sport-rule", what, do, "warning")


def sport_masses(content: Content, today: date) -> Iterator[Fault]:
    """Neither the target nor a strung reading is heavier than the sport's rules allow."""
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        for path, mass in _masses(entry) if model else ():
            yield from _heavy(model, entry, path, mass)


def _masses(entry: Entry) -> Iterator[tuple[tuple[str | int, ...], float]]:  # type: ignore[type-arg]
    setup = entry.record.setup
    if setup.mass:
        yield ("setup", "mass"), setup.mass.target.value
    for i, job in enumerate(entry.record.jobs):
        for k, reading in enumerate(job.readings):
            if reading.mass and reading.state == "strung":
                yield ("jobs", i, "readings", k, "mass"), reading.mass.value


def _heavy(
    model: Entry[FrameModel] | None,
    entry: Entry,  # type: ignore[type-arg]
    path: tuple[str | int, ...],
    mass: float,
) -> Iterator[Fault]:
    what = sportrules.too_heavy(model.record.sport, mass) if model else None
    if what:
        do = "Take mass off, or tell the player that the frame may be refused in competition."
        yield Fault(entry.at(*path), "sport-rule", what, do, "warning")


def _both(newtons: float) -> str:
    return f"{lb_from_newtons(newtons):.1f} lb ({kg_from_newtons(newtons):.1f} kg)"
