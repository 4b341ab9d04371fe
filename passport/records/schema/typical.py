"""What frames of a sport usually measure, for a model of which the catalogue says little: assumed, with its uncertainty.

Common practice, no source, for every figure: the middle of what frames on the market have and half of the span between
the usual smallest and largest. The widest rules (`passport.records.sportrules`) lie outside all of them. A value from
here may serve a computation, which widens its uncertainty and says so; it is never shown as a fact.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from passport.physics.geometry import RacquetShape, Throat
from passport.physics.head.outline import EGG, ELLIPSE, ROUNDER, SQUARER, TEARDROP, HeadOutline
from passport.physics.uncertainty import from_half_width


@dataclass(frozen=True, slots=True)
class Typical:
    """The usual value of a dimension (mm), a count or a mass (g), and half of the span in which they usually lie."""

    value: float
    half: float


Dimensions = Mapping[str, Typical]
USUAL: Final[Mapping[str, Dimensions]] = {
    "tennis": {
        "length": Typical(686, 4),
        "rim": Typical(12, 2),
        "handle": Typical(185, 15),
        "handle_width": Typical(32, 2),
        "mains": Typical(16, 2),
        "crosses": Typical(19, 1),
    },
    "squash": {
        "length": Typical(685, 3),
        "rim": Typical(11, 2),
        "handle": Typical(200, 20),
        "handle_width": Typical(27, 2),
        "mains": Typical(14, 2),
        "crosses": Typical(18, 1),
    },
    "badminton": {
        "length": Typical(674, 3),
        "rim": Typical(9, 1.5),
        "handle": Typical(175, 15),
        "handle_width": Typical(24, 2),
        "mains": Typical(22, 1),
        "crosses": Typical(21, 1),
    },
    "racketball": {
        "length": Typical(552, 6),
        "rim": Typical(13, 2),
        "handle": Typical(165, 15),
        "handle_width": Typical(30, 2),
        "mains": Typical(16, 1),
        "crosses": Typical(16, 2),
    },
}

ASPECT: Final[Mapping[str, Typical]] = {
    "tennis": Typical(0.745, 0.025),
    "squash": Typical(0.60, 0.08),
    "badminton": Typical(0.775, 0.02),
    "racketball": Typical(0.70, 0.03),
}
"""Width of the strung area as a share of its length, where only its size is known."""

FORMS: Final[Mapping[str, HeadOutline]] = {
    "ellipse": ELLIPSE, "rounder": ROUNDER, "squarer": SQUARER, "egg": EGG, "teardrop": TEARDROP,
}  # fmt: skip
"""The outline that each form's name stands for."""

FORM: Final[Mapping[str, str]] = {
    "tennis": "ellipse",
    "squash": "teardrop",
    "badminton": "squarer",
    "racketball": "egg",
}
"""How heads usually are; squash frames whose throat is closed by a bridge are eggs."""

FORM_SPAN: Final[Mapping[str, float]] = {"tennis": 0.03, "squash": 0.07, "badminton": 0.05, "racketball": 0.05}
"""By how much of its area a head may have more or less than the usual form of the sport: squash has teardrops and eggs,
badminton squarer heads and ellipses."""

NAMED_U: Final = 0.012
"""Standard uncertainty of the area of a form that was named and not measured, as a share of it."""

MEASURED_U: Final = 0.004
"""The same of one through measured widths."""

THROAT: Final[Mapping[str, Throat]] = {"tennis": "open", "squash": "open", "badminton": "shaft", "racketball": "open"}
"""How the throat usually is; squash frames have either."""


PARTS: Final[Mapping[str, Typical]] = {
    "damper": Typical(2.0, 1.0),
    "head tape": Typical(1.5, 0.8),
    "string savers": Typical(0.3, 0.2),
    "power pad": Typical(0.3, 0.2),
    "leather strip": Typical(0.5, 0.3),
    "pallet foam": Typical(5.0, 4.0),
    "butt cap": Typical(7.0, 3.0),
}
"""Mass of a whole part of a kind, g, where nobody weighed it: savers those of a bed, a butt cap with its tacks."""


@dataclass(frozen=True, slots=True)
class ToldOutline:
    """What a record says of an outline: the ``outline``, whether widths were ``measured``, whether no bridge closes it."""

    outline: HeadOutline | None = None
    measured: bool = False
    joined: bool = False


def shape(
    sport: str,
    known: Mapping[str, float | None],
    *,
    area: float = 0.0,
    throat: Throat | None = None,
    told: ToldOutline = ToldOutline(),
    fan: float = 0.0,
    first_cross: float = 0.0,
    into_throat: tuple[float, float] = (0.0, 0.0),
) -> RacquetShape:
    """A racquet's dimensions, mm: the ``known`` ones, and the rest as usual in the sport, named in ``assumed``.

    A tennis head whose form is not told is taken for the ellipse of its length and width, whose uncertainty is theirs; in
    the other sports the usual form is assumed.
    Without a head's length and width its printed ``area``, mm², has the sport's usual aspect. The printed
    size counts the strung area of some makers and the hoop's middle of others; that is within the aspect's own span.
    """
    usual, found = USUAL[sport], {name: value for name, value in known.items() if value}
    assumed = {name: from_half_width(each.half) for name, each in usual.items() if name not in found}
    form = FORM[sport] if throat != "shaft" or sport != "squash" else "egg"
    outline = FORMS[form] if told.outline is None else told.outline
    outline_u = MEASURED_U if told.measured else NAMED_U if told.outline is not None and outline.profile else 0.0
    if told.outline is None and outline.profile:
        assumed["outline"] = from_half_width(FORM_SPAN[sport])
    if "head_length" not in found:
        aspect = ASPECT[sport]
        found["head_length"] = math.sqrt(4 * area / (math.pi * aspect.value * outline.fullness))
        found["head_width"] = aspect.value * found["head_length"]
        assumed["aspect"] = from_half_width(aspect.half)
    dimensions = {name: each.value for name, each in usual.items()} | found
    return RacquetShape(
        length=dimensions["length"],
        head_length=dimensions["head_length"],
        head_width=dimensions["head_width"],
        rim=dimensions["rim"],
        handle=dimensions["handle"],
        handle_width=dimensions["handle_width"],
        throat=throat or THROAT[sport],
        mains=int(dimensions["mains"]),
        crosses=int(dimensions["crosses"]),
        main_spacing=dimensions.get("main_spacing", 0.0),
        cross_spacing=dimensions.get("cross_spacing", 0.0),
        outline=outline,
        outline_u=outline_u,
        joined=told.joined or (told.outline is None and form == "teardrop"),
        fan=fan,
        first_cross=first_cross,
        into_throat=into_throat,
        assumed=tuple(sorted(assumed.items())) + ((("throat", 0.0),) if throat is None else ()),
    )
