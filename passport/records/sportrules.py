"""What the rules of each sport allow of a racquet, for a warning when a setup leaves them.

Tennis: ITF Rules of Tennis, Appendix II. Squash: World Squash, racket specification. Badminton: BWF Laws of Badminton,
Law 4. Racketball: World Squash, Squash 57 equipment. The rules in force at an event stand above these figures.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from passport.records.schema.catalogue import FrameModel, Sport


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of one sport: mm, mm², g; infinity where the rules name none."""

    rule: str
    length: float
    width: float = float("inf")
    head_length: float = float("inf")
    head_width: float = float("inf")
    area: float = float("inf")
    mass: float = float("inf")


RULES: dict[Sport, Limits] = {
    "tennis": Limits("ITF Rules of Tennis, Appendix II", 737, 317, 394, 292),
    "squash": Limits("World Squash racket specification", 686, 215, 390, area=50_000, mass=255),
    "badminton": Limits("BWF Laws of Badminton, Law 4", 680, 230, 280, 220),
    "racketball": Limits("World Squash, Squash 57 equipment", 558.8, mass=280),
}


def breaches(model: FrameModel) -> Iterator[tuple[str, str]]:
    """The dimensions of a model that its sport's rules do not allow: the field's path, and what is wrong."""
    limits, shape = RULES[model.sport], model.shape()
    measured = (
        ("length", "overall length", shape.length, limits.length, "mm", ("length",)),
        ("rim", "overall width", shape.head_width + 2 * shape.rim, limits.width, "mm", ("rim", "aspect")),
        ("head.length", "strung length", shape.head_length, limits.head_length, "mm", ("aspect",)),
        ("head.width", "strung width", shape.head_width, limits.head_width, "mm", ("aspect",)),
        ("head", "strung area", shape.head_area / 100, limits.area / 100, "cm²", ()),
    )
    for path, name, value, limit, unit, rests_on in measured:
        if value > limit + 0.05 and not shape.is_assumed(*rests_on):
            yield path, f"The {name}, {value:.1f} {unit}, is over {limit:g} {unit} ({limits.rule})."


def too_heavy(sport: Sport, mass: float) -> str | None:
    """What is wrong with a mass in g under the sport's rules, or None."""
    limits = RULES[sport]
    if mass <= limits.mass:
        return None
    return f"A mass of {mass:.1f} g is over {limits.mass:g} g ({limits.rule})."
