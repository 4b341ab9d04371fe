"""Places on a racquet where something is fitted, as the trade says them: ``3 and 9``, ``throat``, ``under the bumper``.

A place is either on the hoop, at an o'clock position with its mirror image, or a span along the long axis. The spans
are proportions of the model's own dimensions; a record may give exact millimetres instead.
"""

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic_core import PydanticCustomError

from passport.physics.geometry import RacquetShape
from passport.records.quantities import LENGTH, _Text, parse

_CLOCK = re.compile(
    r"(\d{1,2}(?:[.:]\d{1,2})?)(?:\s*(?:and|&|/|\+)\s*(\d{1,2}(?:[.:]\d{1,2})?))?(?:\s*o'?clock)?", re.I
)
_SPAN = re.compile(r"(?:at\s+)?(.+?)(?:\s*(?:to|–|-)\s*(.+))?", re.I)
NAMED = (
    "under the bumper",
    "throat",
    "top of the handle",
    "along the handle",
    "inside the handle",
    "butt cap",
)


@dataclass(frozen=True, slots=True)
class FittedPlace:
    """Where a part sits: ``hour`` on the hoop (mirrored unless 12 or 6), or a ``name``, or a span in mm."""

    text: str
    hour: float | None = None
    name: str = ""
    span: tuple[float, float] | None = None

    def extent(self, shape: RacquetShape, length: float | None = None) -> tuple[float, float]:
        """From and to, mm from the butt, on a frame of ``shape``; ``length`` in mm shortens a named span.

        The named spans are common practice, no source; a record that knows better gives millimetres.
        """
        if self.span:
            return self.span
        if self.hour is not None:
            x = shape.on_hoop(self.hour)[0]
            return x, x
        low, high = self._named(shape)
        return (low, high) if length is None else _shorten(self.name, low, high, length)

    def _named(self, shape: RacquetShape) -> tuple[float, float]:
        throat = shape.head_centre - shape.head_length / 2
        return {
            "under the bumper": (shape.length - shape.rim, shape.length),
            "throat": (throat - 0.35 * (throat - shape.handle), throat - 0.15 * (throat - shape.handle)),
            "top of the handle": (shape.handle - 40, shape.handle),
            "along the handle": (0.0, shape.handle),
            "inside the handle": (10.0, 60.0),
            "butt cap": (0.0, 10.0),
        }[self.name]


def _shorten(name: str, low: float, high: float, length: float) -> tuple[float, float]:
    """Things on the handle are laid from its top down or from the butt up; the rest is centred."""
    if name == "top of the handle":
        return high - length, high
    if name in ("along the handle", "inside the handle"):
        return low, low + length
    middle = (low + high) / 2
    return middle - length / 2, middle + length / 2


def _hour(text: str) -> float:
    hours, _, minutes = text.replace(".", ":").partition(":")
    return int(hours) % 12 + (int(minutes) / 60 if ":" in text else float(f"0.{minutes or 0}"))


def parse_place(text: str) -> FittedPlace:
    """Read a place: ``12``, ``10 and 2``, ``3 and 9``, one of the named places, or ``352 mm`` or ``20 mm to 60 mm``."""
    clean = " ".join(text.strip().split())
    if clean.lower() in NAMED:
        return FittedPlace(clean.lower(), name=clean.lower())
    clock = _CLOCK.fullmatch(clean)
    if clock:
        return _clock_place(clean, clock)
    span = _SPAN.fullmatch(clean)
    if span and any(c.isdigit() for c in clean):
        low = parse(span[1], LENGTH).value
        return FittedPlace(clean, span=(low, parse(span[2], LENGTH).value if span[2] else low))
    do = (
        f"Use an o'clock position ('12', '10 and 2', '3 and 9'), millimetres ('20 mm to 60 mm') or: {', '.join(NAMED)}."
    )
    ctx = {"rule": "unknown-place", "what": f"'{clean[:60]}' is not a place on a racquet.", "do": do}
    raise PydanticCustomError("place", "{what}", ctx)


def _clock_place(text: str, clock: re.Match[str]) -> FittedPlace:
    first = _hour(clock[1])
    second = _hour(clock[2]) if clock[2] else (12 - first) % 12
    if int(clock[1].partition(":")[0].partition(".")[0]) > 12 or abs((first + second) % 12) > 1e-6:
        what = f"'{text}' is not a position and its mirror image."
        do = "Mirror positions add up to 12: '10 and 2', '3 and 9', '1 and 11'; give 12 or 6 alone."
        raise PydanticCustomError("place", "{what}", {"rule": "unknown-place", "what": what, "do": do})
    return FittedPlace(text, hour=min(first, (12 - first) % 12) if first else 0.0)


PlaceText = Annotated[FittedPlace, _Text(parse_place, "3 and 9")]
