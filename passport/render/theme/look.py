"""The shop's own look: its colours in light and dark, its style sheet, its logo."""

import colorsys
import re
from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from functools import lru_cache
from pathlib import Path

from passport.render.theme import assets
from passport.render.theme.logo import Logo, logo
from passport.render.theme.palette import DARK, LIGHT, Palette, Token, declarations, luminance, weak_pairs
from passport.workshop.facts.facts import ShopFacts

STYLES = ("fonts-web.css", "tokens.css", "drawing.css", "pages.css")
LOOK = "style/look.css"
"""What a ready look changes of these on pages."""
OTHER_STYLE = "other.css"
"""Rules that a passport's page does without; it comes first on the pages that have it, so that a shop's rules stand last."""
EXTRA = "style/extra.css"
"""The shop's own rules, which stand last."""
FAMILIES = ("Shop Text", "Shop Text", "Shop Display")
_WEIGHTS = (400, 600, 600)
_NEUTRAL: tuple[Token, ...] = (
    "ground", "sheet", "band", "hair", "weave", "rule", "ink", "soft", "on_petrol", "on_ball", "frame",
)  # fmt: skip
"""Colours without a meaning of their own: they take the accent's hue."""
_UNDER: tuple[Token, ...] = ("ground", "sheet", "band", "weave")
"""Those of them that text stands on."""


_FIXED = re.compile(r"(--(?:space|size|leading|label|measure|radius|line|focus|target|pad)[\w-]*):([^;{}]+);?")
"""A length of the design that no setting of the reader changes, and its value."""


@lru_cache(maxsize=16)
def palettes(accent: str = "", second: str = "") -> tuple[Palette, Palette]:
    """The colours of a shop's pages, light and dark, from an accent and a second colour as ``#rrggbb``.

    On a dark ground both are as light as the house's own colours are there. Every other colour without a meaning takes
    the accent's hue and keeps its luminance, so that no contrast changes (WCAG 2.2: it depends on luminance alone).
    """
    light, dark = LIGHT, DARK
    if accent and accent != LIGHT.petrol:
        light, dark = _tinted(LIGHT, accent), _tinted(DARK, accent)
        light = replace(light, petrol=accent)
        dark = replace(dark, petrol=as_light_as(accent, luminance(DARK.petrol)))
    if second and second != LIGHT.plum:
        light = replace(light, plum=second)
        dark = replace(dark, plum=as_light_as(second, luminance(DARK.plum)))
    return light, dark


def readable(colour: str, token: Token) -> str:
    """The colour itself where it can be read as that token of the light palette, else the nearest darker one."""

    def weak(shade: str) -> bool:
        # What the house's own neutral colours are decides: with the accent's hue they are as light.
        return any(token in (pair.front, pair.ground) for pair in weak_pairs(replace(LIGHT, **{token: shade})))

    if not weak(colour):
        return colour
    low, high = 0.0, luminance(colour)
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (low, middle) if weak(as_light_as(colour, middle)) else (middle, high)
    return as_light_as(colour, low)


def as_light_as(colour: str, wanted: float, *, above: bool = False) -> str:
    """A colour of the same hue and saturation whose luminance is the wanted one, else the next below or ``above`` it."""
    hue, _, saturation = colorsys.rgb_to_hls(*_channels(colour))
    low, high = 0.0, 1.0
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (middle, high) if luminance(_hex(hue, middle, saturation)) <= wanted else (low, middle)
    found = _hex(hue, low, saturation)
    return _hex(hue, high, saturation) if above and luminance(found) < wanted else found


def _tinted(palette: Palette, accent: str) -> Palette:
    """The palette with the accent's hue; what is rounded is rounded away from what it has to differ from."""
    hue, _, strength = colorsys.rgb_to_hls(*_channels(accent))
    is_dark = luminance(palette.ground) < luminance(palette.ink)
    made = {}
    for token in _NEUTRAL:
        old = getattr(palette, token)
        if old != "#ffffff":
            _, lightness, saturation = colorsys.rgb_to_hls(*_channels(old))
            turned = _hex(hue, lightness, saturation * (0.6 if is_dark else 0.8) if strength > 0.1 else 0.0)
            above = (token in _UNDER) != is_dark and token not in ("on_petrol", "on_ball")
            made[token] = as_light_as(turned, luminance(old), above=above)
    found = replace(palette, **made)
    return palette if weak_pairs(found) else found


def _channels(colour: str) -> tuple[float, float, float]:
    red, green, blue = bytes.fromhex(colour.removeprefix("#"))
    return red / 255, green / 255, blue / 255


def _hex(hue: float, lightness: float, saturation: float) -> str:
    return "#" + "".join(f"{round(255 * c):02x}" for c in colorsys.hls_to_rgb(hue, lightness, saturation))


def stylesheet(shop: ShopFacts) -> bytes:
    """The whole style sheet of a shop's pages: the shipped rules, its colours and typefaces, its own rules."""
    extra = [_rules(path) for path in assets.sources(EXTRA)]
    sheets = [*(assets.find(f"style/{name}") for name in STYLES), *assets.sources(LOOK)]
    shipped = (_written_out(_short(_rules(sheet)), extra) for sheet in sheets)
    return "\n".join([*shipped, *_colours(shop), *_typefaces(shop), *extra]).encode()


def other_stylesheet() -> bytes:
    """The rules that pages other than a passport have besides."""
    extra = [_rules(path) for path in assets.sources(EXTRA)]
    return _written_out(_short(_rules(assets.find(f"style/{OTHER_STYLE}"))), extra).encode()


def _written_out(css: str, extra: Sequence[str]) -> str:
    """Rules with lengths in the place of their names, which are longer; a name that a shop's own rules say stays a name."""
    fixed = dict(_FIXED.findall(_short(_rules(assets.find("style/tokens.css")))))
    for name in [name for name in fixed if any(name in rules for rules in extra)]:
        del fixed[name]
    css = _FIXED.sub(lambda found: "" if found[1] in fixed else found[0], css).replace(":root{}", "")
    return re.sub(r"var\((--[\w-]+)\)", lambda found: fixed.get(found[1], found[0]), css)


def _rules(path: Path) -> str:
    """The rules of a file; a shop's own ones as a parser understood them. Raises `own_style.BadStyle`."""
    text = assets.text(path)
    if not assets.is_own(path):
        return text
    from passport.render.untrusted.own_style import cleaned  # few shops have rules of their own

    return cleaned(text)


def copied(name: str) -> bytes:
    """A file of the templates folder as it is copied to the site; a shop's own typeface is written anew, and a shipped
    script goes without its comments and indents.

    Raises OSError and `passport.render.untrusted.typeface.NotATypeface`.
    """
    path = assets.find(name)
    if path.suffix == ".js" and not assets.is_own(path):
        script = re.sub(r"(?m)^ *(//.*\n *)*", "", assets.text(path))
        return re.sub(r" (=>|===|!==|&&|=) |(?<=[;{])\n", lambda found: found[1] or "", script).encode()
    if path.suffix != ".woff2" or not assets.is_own(path):
        return assets.data(path)
    from passport.render.untrusted.typeface import typeface  # fontTools is for few shops

    return typeface(assets.data(path))


def own_logo(shop: ShopFacts) -> Logo | None:
    """The shop's logo; None where there is none, or its file is not in use. Raises `passport.render.theme.logo.NotALogo`."""
    files = assets.sources(f"style/{shop.logo}") if shop.logo else ()
    return logo(assets.data(files[0])) if files else None


def _colours(shop: ShopFacts) -> Iterator[str]:
    for palette, usual, rule in zip(
        palettes(shop.accent, shop.second),
        (LIGHT, DARK),
        (":root{%s}", "@media screen and (prefers-color-scheme:dark){:root{%s}}"),
        strict=True,
    ):
        changed = {f.name for f in fields(Palette) if getattr(palette, f.name) != getattr(usual, f.name)}
        if changed:
            yield rule % _short(declarations(palette, ""))


def _typefaces(shop: ShopFacts) -> Iterator[str]:
    for name, family, weight in zip(shop.fonts, FAMILIES, _WEIGHTS, strict=True):
        if name:
            yield (
                f'@font-face{{font-family:"{family}";font-weight:{weight};font-display:swap;'
                f'src:url("../fonts/{name}") format("woff2")}}'
            )
    text, _, display = shop.fonts
    if text:
        # The drawings are laid out by the widths of the shipped letters, so they keep them.
        yield ':root{--text:"Shop Text","House Text","Near Text",sans-serif}'
        yield '.drawing{font-family:"House Text",sans-serif}'
    if display:
        yield ':root{--display:"Shop Display","House Display","House Text","Near Text",serif}'


def _short(css: str) -> str:
    """Rules without comments and without the spaces that nobody but people needs."""
    css = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL)
    css = re.sub(r"\s+", " ", css)
    css = re.sub(r" ?([{};,>]) ?", r"\1", css).replace(": ", ":").replace(";}", "}").strip()
    return re.sub(r"(?<=[\s:,(-])0(?=\.\d)", "", css)
