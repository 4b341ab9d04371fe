"""What the rules of each sport allow of a racquet, for a warning when a setup leaves them.

Tennis: ITF Rules of Tennis, Appendix II. Squash: World Squash, racket specification. Badminton: BWF Laws of Badminton,
Law 4. Racketball: World Squash, Squash 57 equipment. The rules in force at an event stand above these figures.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from passport.physics.geometry import RacquetShape
from passport.records.language.worded import worded
from passport.records.schema.catalogue import FrameModel, IntoThroat, Sport


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
    into_throat: tuple[float, float] | None = None
    """Greatest width of a strung piece that reaches into the throat, and greatest strung length with it; None where the
    rules name no such piece."""


RULES: dict[Sport, Limits] = {
    "tennis": Limits("ITF Rules of Tennis, Appendix II", 737, 317, 394, 292),
    "squash": Limits("World Squash racket specification", 686, 215, 390, area=50_000, mass=255),
    "badminton": Limits("BWF Laws of Badminton, Law 4", 680, 230, 280, 220, into_throat=(35, 330)),
    "racketball": Limits("World Squash, Squash 57 equipment", 558.8, mass=280),
}


def breaches(model: FrameModel) -> Iterator[tuple[str, str]]:
    """The dimensions of a model that its sport's rules do not allow: the field's path, and what is wrong."""
    limits, shape = RULES[model.sport], model.shape()
    if model.head.into_throat:
        yield from _into_throat(model.head.into_throat, limits, shape)
    # Of a form that nobody recorded only what is over the limit whatever its form is known.
    unsure = 1 - 2 * dict(shape.assumed).get("outline", 0.0)
    measured = (
        ("length", worded("overall length"), shape.length, limits.length, "mm", ("length",)),
        ("rim", worded("overall width"), shape.head_width + 2 * shape.rim, limits.width, "mm", ("rim", "aspect")),
        ("head.length", worded("strung length"), shape.head_length, limits.head_length, "mm", ("aspect",)),
        ("head.width", worded("strung width"), shape.head_width, limits.head_width, "mm", ("aspect",)),
        ("head", worded("strung area"), shape.head_area * unsure / 100, limits.area / 100, "cm²", ()),
    )
    for path, name, value, limit, unit, rests_on in measured:
        if value > limit + 0.05 and not shape.is_assumed(*rests_on):
            yield (
                path,
                worded(
                    "The {name}, {value:.1f} {unit}, is over {limit:g} {unit} ({rule}).",
                    name=name,
                    value=value,
                    unit=unit,
                    limit=limit,
                    rule=limits.rule,
                ),
            )


def _into_throat(piece: IntoThroat, limits: Limits, shape: RacquetShape) -> Iterator[tuple[str, str]]:
    """Whether a strung piece that reaches into the throat is allowed: BWF Law 4 (its figures from memory)."""
    if limits.into_throat is None:
        yield (
            "head.into_throat",
            worded("These rules know no strings that reach into the throat ({rule}).", rule=limits.rule),
        )
        return
    width, whole = limits.into_throat
    if piece.width.value > width + 0.05:
        what = worded(
            "The strung piece in the throat, {width:.1f} mm wide, is over {width2:g} mm ({rule}).",
            width=piece.width.value,
            width2=width,
            rule=limits.rule,
        )
        yield "head.into_throat.width", what
    length = shape.head_length + piece.length.value
    if length > whole + 0.05 and not shape.is_assumed("aspect"):
        what = worded(
            "The strung length with the piece in the throat, {length:.1f} mm, is over {whole:g} mm ({rule}).",
            length=length,
            whole=whole,
            rule=limits.rule,
        )
        yield "head.into_throat.length", what


def too_heavy(sport: Sport, mass: float) -> str | None:
    """What is wrong with a mass in g under the sport's rules, or None."""
    limits = RULES[sport]
    if mass <= limits.mass:
        return None
    return worded(
        "A mass of {mass:.1f} g is over {mass2:g} g ({rule}).", mass=mass, mass2=limits.mass, rule=limits.rule
    )
