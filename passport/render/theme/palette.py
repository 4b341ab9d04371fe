"""The colours of pages, cards and drawings: tokens for light and dark, and their contrast.

The tokens stand here and, as custom properties, in ``templates/style/tokens.css``; a test holds the two together.
A drawing asks a `Paint` for its attributes: `CSS_PAINT` gives class names, so that the drawing follows the reader's
light or dark setting (the rules are in ``templates/style/drawing.css``); `PRINT_PAINT` gives the light colours
themselves, for PDF.
"""

import re
from dataclasses import dataclass, fields
from typing import Literal, get_args

Token = Literal[
    "ground", "sheet", "band", "hair", "weave", "rule", "ink", "soft", "petrol", "on_petrol", "plum", "ball", "on_ball",
    "fitted", "frame", "good", "doubt", "bad",
]  # fmt: skip
TOKENS: tuple[Token, ...] = get_args(Token)


@dataclass(frozen=True, slots=True)
class Palette:
    """One set of colours, each ``#rrggbb``."""

    ground: str
    """The page."""
    sheet: str
    """Something laid on the page: a card, a panel."""
    band: str
    """The fill of a tolerance band."""
    hair: str
    """A hairline that only divides; nothing is lost without it."""
    weave: str
    """The security-print ornament; decoration only."""
    rule: str
    """A line that carries meaning: an axis, the edge of a band."""
    ink: str
    """Text."""
    soft: str
    """Text of second rank."""
    petrol: str
    """The house colour: links, mains, what was measured."""
    on_petrol: str
    """Text on petrol."""
    plum: str
    """The second colour: crosses, what was aimed at."""
    ball: str
    """Optic yellow, for fresh strings alone: only ever a fill, behind ``on_ball``."""
    on_ball: str
    """Text and lines on ball yellow, and on what is fitted."""
    fitted: str
    """What is fitted to a frame: only ever a fill, behind ``on_ball`` or on ``frame``."""
    frame: str
    """A racquet's hoop and handle."""
    good: str
    """Inside the tolerance."""
    doubt: str
    """Undecided; a caution."""
    bad: str
    """Outside the tolerance; a warning."""


LIGHT = Palette(
    ground="#f0f5f5",
    sheet="#fbfdfd",
    band="#d3e4e5",
    hair="#c6d5d7",
    weave="#9fc0c4",
    rule="#6d878e",
    ink="#0a2c36",
    soft="#3a555e",
    petrol="#0d5566",
    on_petrol="#ffffff",
    plum="#7b2259",
    ball="#dcea3a",
    on_ball="#0a2c36",
    fitted="#ffd3a8",
    frame="#123f4d",
    good="#0f5f43",
    doubt="#6d4a00",
    bad="#9b1c2c",
)

DARK = Palette(
    ground="#071e28",
    sheet="#0c2935",
    band="#1a4553",
    hair="#1f4350",
    weave="#21505e",
    rule="#6f97a2",
    ink="#e4f0f1",
    soft="#abc5cb",
    petrol="#79d0dc",
    on_petrol="#06222c",
    plum="#eba4cd",
    ball="#dcea3a",
    on_ball="#071e28",
    fitted="#ffd3a8",
    frame="#477f8f",
    good="#7fd8ac",
    doubt="#f1c765",
    bad="#ffa29d",
)

TEXT_MINIMUM = 4.5
"""Least contrast of text, WCAG 2.2 success criterion 1.4.3."""
GRAPHIC_MINIMUM = 3.0
"""Least contrast of large text and of graphics, WCAG 2.2 success criteria 1.4.3 and 1.4.11."""
BODY_MINIMUM = 7.0
"""The contrast that running text is held to, WCAG 2.2 success criterion 1.4.6 (level AAA)."""

_COLOURED: tuple[Token, ...] = ("petrol", "plum", "good", "doubt", "bad")
_GROUNDS: tuple[Token, ...] = ("ground", "sheet", "band")
_LINES: tuple[Token, ...] = ("rule", "frame")

PAIRS: tuple[tuple[Token, Token, float], ...] = (
    ("ink", "ground", BODY_MINIMUM),
    ("ink", "sheet", BODY_MINIMUM),
    ("ink", "band", BODY_MINIMUM),
    ("soft", "ground", BODY_MINIMUM),
    ("soft", "sheet", BODY_MINIMUM),
    ("soft", "band", TEXT_MINIMUM),
    ("on_ball", "ball", BODY_MINIMUM),
    ("on_petrol", "petrol", BODY_MINIMUM),
    ("ink", "weave", TEXT_MINIMUM),
    *((text, ground, TEXT_MINIMUM) for text in _COLOURED for ground in _GROUNDS),
    *((line, ground, GRAPHIC_MINIMUM) for line in _LINES for ground in _GROUNDS[:2]),
    ("on_ball", "fitted", BODY_MINIMUM),
    ("fitted", "frame", GRAPHIC_MINIMUM),
)
"""What may stand on what, and the least contrast it needs: text or line, ground, ratio."""


@dataclass(frozen=True, slots=True)
class WeakPair:
    """A pair of tokens whose contrast is below its minimum."""

    front: Token
    ground: Token
    ratio: float
    minimum: float


def luminance(colour: str) -> float:
    """Relative luminance of an ``#rrggbb`` colour, 0 (black) to 1 (white), by the definition in WCAG 2.2.

    Raises:
        ValueError: the text is not ``#`` and six hexadecimal digits.
    """
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise ValueError(f"not a colour like #0d5566: {colour!r}")
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two ``#rrggbb`` colours, 1 to 21, by the definition in WCAG 2.2."""
    dark, light = sorted((luminance(first), luminance(second)))
    return (light + 0.05) / (dark + 0.05)


def weak_pairs(palette: Palette) -> tuple[WeakPair, ...]:
    """Every pair that may meet on a page and has too little contrast; empty for a palette fit for use."""
    return tuple(
        WeakPair(front, ground, ratio, minimum)
        for front, ground, minimum in PAIRS
        if (ratio := contrast(getattr(palette, front), getattr(palette, ground))) < minimum
    )


def property_name(token: str) -> str:
    """The CSS custom property of a token: ``--on-ball`` for ``on_ball``."""
    return "--" + token.replace("_", "-")


def declarations(palette: Palette, indent: str = "  ") -> str:
    """The palette as CSS custom properties, one a line."""
    return "\n".join(f"{indent}{property_name(f.name)}: {getattr(palette, f.name)};" for f in fields(palette))


def colour_css(light: Palette = LIGHT, dark: Palette = DARK) -> str:
    """The rules that set every colour token: light, dark where the reader asks for it on a screen."""
    return (
        f":root {{\n  color-scheme: light dark;\n{declarations(light)}\n}}\n\n"
        f"@media screen and (prefers-color-scheme: dark) {{\n  :root {{\n{declarations(dark, '    ')}\n  }}\n}}\n"
    )


@dataclass(frozen=True, slots=True)
class Paint:
    """Turns tokens into SVG attributes: class names when ``palette`` is None, else that palette's colours."""

    palette: Palette | None = None

    def __call__(self, fill: Token | Literal["none"] | None = None, stroke: Token | None = None) -> str:
        """The attributes for a fill and a stroke, with a leading space; nothing for what is not given.

        A class name of a stroke alone says that nothing is filled: the rules do, for hundreds of lines a page.
        """
        tokens = [("fill", fill if fill != "none" else None), ("stroke", stroke)]
        if self.palette is None:
            names = " ".join(f"{kind[0]}-{token.replace('_', '-')}" for kind, token in tokens if token)
            return f' class="{names}"' if names else ' fill="none"' if fill == "none" else ""
        none = ' fill="none"' if fill == "none" else ""
        return none + "".join(f' {kind}="{getattr(self.palette, token)}"' for kind, token in tokens if token)


CSS_PAINT = Paint()
"""For drawings inside a page: class names that follow light and dark."""
PRINT_PAINT = Paint(LIGHT)
"""For print: the light colours themselves."""
