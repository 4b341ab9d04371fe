"""Figures as shops write them in tables, ``55/53``, ``24x25``, ``24,5 kg``, as the records write them; or that they are not plain."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from passport.records.tables.cells import TableCell
from passport.workshop.takeover.dates import Unsure

BY_SIZE: Final = "by size"
"""Bare tensions of two units in one column: below `PARTED` kilograms, above it pounds."""
PARTED: Final = 38.0
"""No frame is strung with 38 kg or more, and 38 lb is little for tennis (common practice, no source)."""
TENSION_UNITS: Final = ("kg", "lb", BY_SIZE)
_NUMBER = r"[0-9]{1,3}(?:[.,][0-9]{1,3})?(?:\s?½|\s1/2)?"
_KG, _LB = (
    ("kg", "kgs", "kilo", "kilos", "kp", "k", "kgf"),
    ("lb", "lbs", "lbf", "pounds", "#", "p", "livres", "libras"),
)
_UNITS: Final = {**dict.fromkeys(_KG, "kg"), **dict.fromkeys(_LB, "lb"), "n": "N"}
_UNIT = r"(?:kgs?|kilos?|kgf|kp|k|lbs?|lbf|pounds|livres|libras|#|p|n)\.?(?![a-z])"
_ONE = re.compile(rf"({_NUMBER})\s*({_UNIT})?", re.IGNORECASE)
_TWO = re.compile(
    rf"({_NUMBER})\s*({_UNIT})?\s*(?:/|x|×|-|–|—|\||\+|\*|auf|on)\s*({_NUMBER})\s*({_UNIT})?", re.IGNORECASE
)
_MARK = r"(?:mains?|m|längs|laengs|l|montants?|verticales?|v)"
_CROSS = r"(?:cross(?:es)?|c|x|quer|q|travers|t|horizontales?|h)"
_MARKED = re.compile(
    rf"{_MARK}\s*[:=.]?\s*({_NUMBER})\s*({_UNIT})?\s*[/,;|+ -]?\s*{_CROSS}\s*[:=.]?\s*({_NUMBER})\s*({_UNIT})?"
    rf"|({_NUMBER})\s*({_UNIT})?\s*{_MARK}\s*[/,;|+ -]?\s*({_NUMBER})\s*({_UNIT})?\s*{_CROSS}",
    re.IGNORECASE,
)
_FIGURE = re.compile(r"([0-9]{1,4}(?:[.,][0-9]{1,3})?)\s*([a-zA-Zµ°²·/]{0,8}[0-9²]?)\.?")


@dataclass(frozen=True, slots=True)
class TensionPair:
    """The tensions of mains and crosses as a record writes them; the crosses' is empty where one figure stands for both."""

    mains: str
    crosses: str = ""


@dataclass(frozen=True, slots=True)
class _Amount:
    number: float
    unit: str


def tensions(cell: TableCell, unit: str) -> TensionPair:
    """The tensions of a cell; bare figures are in ``unit``. Raises `Unsure` where they are not plain."""
    if cell.day:
        raise Unsure(
            f"It holds the day {cell.day.isoformat()}: programs make one of '10-11'. Write the tension, as in 10/11 kg."
        )
    found = _amounts(cell.text)
    if not found:
        raise Unsure(f"'{cell.text[:60]}' is no tension. Write it as in 24.5 kg, or 25/24 kg for mains and crosses.")
    lent = next((amount.unit for amount in reversed(found) if amount.unit), "")
    texts = [_text(amount, amount.unit or lent or _unit_of(amount, unit), cell.text) for amount in found]
    return TensionPair(texts[0], texts[1] if len(texts) > 1 and texts[1] != texts[0] else "")


def is_tension(cell: TableCell) -> bool:
    """Whether a cell reads like one."""
    found = [] if cell.day else _amounts(cell.text)
    return bool(found) and all(5 <= amount.number <= 90 for amount in found)


def bare_amounts(cells: Iterable[TableCell]) -> list[float]:
    """The figures of a column that say no unit."""
    found = []
    for cell in cells:
        amounts = [] if cell.day else _amounts(cell.text)
        if not any(amount.unit for amount in amounts):
            found += [amount.number for amount in amounts]
    return found


def unit_of_column(bare: list[float]) -> str:
    """The unit of a column's bare tensions as far as their size alone tells it: pounds where all are large; else empty."""
    return "lb" if bare and min(bare) >= PARTED else ""


def _unit_of(amount: _Amount, unit: str) -> str:
    if unit == BY_SIZE:
        return "kg" if amount.number < PARTED else "lb"
    return unit


def _text(amount: _Amount, unit: str, text: str) -> str:
    if not unit:
        raise Unsure(f"'{text[:40]}' has no unit. Write it with one, as in 24 kg or 53 lb.")
    low, high = {"kg": (4.0, PARTED), "lb": (9.0, 85.0), "N": (40.0, 370.0)}[unit]
    if not low <= amount.number < high:
        other = f"; {amount.number:g} lb would" if unit == "kg" and amount.number >= PARTED else ""
        raise Unsure(f"{amount.number:g} {unit} cannot be the tension of a racquet{other}. Write it with its unit.")
    return f"{amount.number:g} {unit}"


def _amounts(text: str) -> list[_Amount]:
    clean = " ".join(text.split())
    for pattern in (_ONE, _TWO, _MARKED):
        match = pattern.fullmatch(clean)
        if match:
            parts = [part for part in _pairs(match.groups()) if part[0]]
            return [_Amount(_number(number or ""), _known(unit)) for number, unit in parts]
    return []


def _pairs(groups: tuple[str | None, ...]) -> list[tuple[str | None, str | None]]:
    return list(zip(groups[::2], groups[1::2], strict=True))


def _known(unit: str | None) -> str:
    return _UNITS.get((unit or "").lower().rstrip("."), "")


def _number(text: str) -> float:
    half = "½" in text or text.endswith(" 1/2")
    whole = re.sub(r"\s?½|\s1/2", "", text).replace(",", ".")
    return float(whole) + (0.5 if half else 0.0)


def figure(cell: TableCell, unit: str, example: str) -> str:
    """One figure with its unit as a record writes it; a bare one is in ``unit``. Raises `Unsure`."""
    match = _FIGURE.fullmatch(" ".join(cell.text.split())) if not cell.day else None
    if not match:
        raise Unsure(f"'{cell.text[:60]}' is no figure of this column. Write it as in {example}.")
    said = match[2] or unit
    if not said:
        raise Unsure(f"'{cell.text[:40]}' has no unit. Write it with one, as in {example}.")
    return f"{match[1].replace(',', '.')} {said}"
