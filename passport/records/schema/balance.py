"""Balance as the trade writes it: millimetres from the butt, or points head light or head heavy."""

import re
from dataclasses import dataclass
from typing import Annotated

from passport.physics import units as u
from passport.records.language.worded import worded
from passport.records.schema.quantities import BALANCE, TextValue, fail, lend_unit, parse, tidy


@dataclass(frozen=True, slots=True)
class BalanceValue:
    """A balance: mm from the butt, or points head light (positive) or head heavy, which need the frame's length."""

    mm_value: float | None
    points_light: float | None
    tolerance_mm: float | None
    text: str

    def mm(self, length: float) -> float:
        """Balance in mm from the butt for a frame of ``length`` mm."""
        if self.mm_value is not None:
            return self.mm_value
        return u.balance_from_head_light(self.points_light or 0.0, length)


MOST_POINTS = 60.0
_POINT = r"([+-]?[0-9]+(?:[.,][0-9]+)?) ?(?:pts?|points?)"
_SIDE = r"(HL|HH|EB|head[ -]?light|head[ -]?heavy|even)"
_POINTS = re.compile(rf"{_POINT}(?: ?{_SIDE})?|([+-]?[0-9]+(?:[.,][0-9]+)?) ?{_SIDE}", re.IGNORECASE)


def parse_balance(text: str) -> BalanceValue:
    """Read ``322 mm``, ``32.2 cm``, ``4 pt HH`` (head heavy), ``6 pt HL`` (head light), ``even``, each with ± if wanted."""
    clean = tidy(text)
    target, _, tolerance = (part.strip() for part in clean.replace("+/-", "±").partition("±"))
    points = _points_light(target)
    if points is not None:
        return BalanceValue(None, points, _tolerance(tolerance), clean)
    if tolerance:
        target, tolerance = lend_unit(target, tolerance)
    return BalanceValue(parse(target, BALANCE).value, None, _tolerance(tolerance), clean)


def _points_light(target: str) -> float | None:
    """Points head light, negative for head heavy; None for a balance that is not in points."""
    if target.lower() in ("even", "eb"):
        return 0.0
    match = _POINTS.fullmatch(target)
    if not match:
        return None
    amount = float((match[1] or match[3]).replace(",", "."))
    side = re.sub("[ -]", "", match[2] or match[4] or "").lower()
    if not side and amount:
        what = worded("'{target}' does not say to which side.", target=target)
        raise fail("missing-unit", what, worded("Add HL for head light or HH for head heavy, as in '4 pt HH'."))
    if abs(amount) > MOST_POINTS or (amount and side in ("eb", "even")):
        do = worded("Check the number: a point is an eighth of an inch. A usual one looks like '4 pt HH'.")
        raise fail("impossible-value", worded("'{target}' cannot be right for a balance.", target=target), do)
    return amount if side in ("hl", "headlight") else -amount if amount else 0.0


def _tolerance(text: str) -> float | None:
    """A tolerance of a balance in mm; it may be written in points too."""
    if not text:
        return None
    match = re.fullmatch(_POINT, text, re.IGNORECASE)
    return float(match[1].replace(",", ".")) * u.MM_PER_POINT if match else parse(text, BALANCE).value


Balance = Annotated[
    BalanceValue, TextValue(parse_balance, "322 mm ± 2 mm", pattern=r"^\s*([+−-]?[0-9].*[^0-9.,\s]|[eE])")
]
