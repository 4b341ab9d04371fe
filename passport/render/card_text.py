"""Running text for a piece that has more to say than lines: set smaller and closer until all of it is on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from passport.render.textfit import Face, text_width

JOINT = " · "
SETTINGS = ((6.0, 2.25), (5.5, 2.25), (5.5, 1.96875))
"""Sizes in pt with the distance of their baselines in mm, from the first choice to the last."""
_FACE: Face = "barlow-sc-500"
_LEAD: Face = "barlow-sc-600"
_LEAD_TRACKING = 0.09
_LEAD_SIZE = 5.5
_AFTER_LEAD = 1.2
"""Room after a leading word, mm."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of running text and where it stands, mm from the block's left and top baseline."""

    text: str
    left: float
    down: float
    size: float
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Running:
    """A block of running text; ``left_over`` is how many phrases found no room and are counted in the last one."""

    lines: tuple[Line, ...]
    left_over: int = 0


def running(
    blocks: Sequence[tuple[str, Sequence[str]]],
    width: float,
    height: float,
    more: Callable[[int], str],
    air: float = 0.0,
) -> Running:
    """Paragraphs of phrases, each after its leading word, in a block ``width`` mm wide and ``height`` mm deep.

    The depth runs from the first baseline to the last. The first setting of `SETTINGS` in which all of it fits is
    taken, with up to ``air`` mm between paragraphs where there is room. Where none does, the first paragraph gives up
    phrases from its end, and ``more`` says how many.
    """
    for size, pitch in SETTINGS:
        lines = _set(blocks, width, size, pitch)
        if lines[-1].down <= height:
            return Running(_aired(lines, min(air, (height - lines[-1].down) / max(len(blocks) - 1, 1))))
    (lead, phrases), rest = blocks[0], list(blocks[1:])
    for count in range(1, len(phrases) + 1):
        kept = [*phrases[: len(phrases) - count], str(more(count))]
        lines = _set([(lead, kept), *rest], width, *SETTINGS[-1])
        if lines[-1].down <= height:
            return Running(lines, count)
    return Running(tuple(line for line in lines if line.down <= height), len(phrases))


def _set(blocks: Sequence[tuple[str, Sequence[str]]], width: float, size: float, pitch: float) -> tuple[Line, ...]:
    """All paragraphs in one setting."""
    lines: list[Line] = []
    for lead, phrases in blocks:
        indent = text_width(lead.upper(), _LEAD, _LEAD_SIZE, _LEAD_TRACKING) + _AFTER_LEAD if lead else 0.0
        for i, text in enumerate(_broken(JOINT.join(phrases), width, size, indent)):
            first = i == 0
            lines.append(Line(text, indent if first else 0.0, len(lines) * pitch, size, lead if first else ""))
    return tuple(lines)


def _aired(lines: Sequence[Line], air: float) -> tuple[Line, ...]:
    """The lines with ``air`` mm more before each paragraph but the first."""
    starts = [i for i, line in enumerate(lines) if line.lead]
    return tuple(replace(line, down=line.down + air * sum(0 < s <= i for s in starts)) for i, line in enumerate(lines))


def _broken(text: str, width: float, size: float, indent: float) -> list[str]:
    """The text in lines of ``width`` mm, the first one shorter by ``indent``; a word that is too long is broken too."""
    lines = [""]
    for word in text.split(" "):
        room = width - (indent if len(lines) == 1 else 0.0)
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if text_width(longer, _FACE, size) <= room:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        rest = word
        while text_width(rest, _FACE, size) > width:
            end = next(n for n in range(len(rest), 0, -1) if n == 1 or text_width(rest[:n], _FACE, size) <= width)
            lines[-1], rest = rest[:end], rest[end:]
            lines.append("")
        lines[-1] = rest
    return lines
