"""Running text for a piece that has more to say than lines: set smaller and closer until all of it is on."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from passport.render.theme.textfit import Face, text_width

Block = tuple[str, Sequence[str]]
"""A leading word and the phrases of its paragraph."""
JOINT = "\N{NO-BREAK SPACE}· "
Settings = Sequence[tuple[float, float]]
SETTINGS: Settings = ((7.0, 2.8125), (7.0, 2.5))
"""Sizes in pt with the distance of their baselines in mm, from the first choice to the last; leading words have the
last size."""
_FACE: Face = "text-500"
_LEAD: Face = "text-600"
_LEAD_TRACKING = 0.09
_AFTER_LEAD = 1.2
"""Room after a leading word, mm."""


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of running text and where it stands, mm from the block's left and top baseline."""

    text: str
    left: float
    down: float
    size: float
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Running:
    """A block of running text ``width`` mm wide; ``left_over`` is how many phrases found no room and are counted in the last
    one."""

    lines: tuple[TextLine, ...]
    left_over: int = 0
    width: float = 0.0


def running(
    blocks: Sequence[Block],
    width: float,
    height: float,
    more: Callable[[int], str],
    air: float = 0.0,
    give: Sequence[int] = (),
    settings: Settings = SETTINGS,
    face: Face = _FACE,
    step: float = 0.0,
) -> Running:
    """Paragraphs of phrases, each after its leading word, in a block ``width`` mm wide and ``height`` mm deep.

    The depth runs from the first baseline to the last. The first of the ``settings`` in which all of it fits is
    taken, with up to ``air`` mm between paragraphs where there is room, in whole ``step``s. Where none does, paragraphs
    give up whole phrases from their ends, in the order of the indices in ``give`` (by default the last paragraph first),
    and ``more`` says how many, in the place of the last that went.
    """
    least = settings[-1][0]
    for size, pitch in settings:
        lines = _set(blocks, width, (size, pitch, least), face)
        if lines[-1].down <= height:
            spare = min(air, (height - lines[-1].down) / max(len(blocks) - 1, 1))
            return Running(_aired(lines, spare // step * step if step else spare), width=width)
    # Only in the smallest setting: as long as smaller type helps, nothing that was recorded is left out.
    order = [i for i in give or range(len(blocks) - 1, -1, -1) for _ in blocks[i][1]]
    for count in range(1, len(order) + 1):
        lines = _set(_without(blocks, order[:count], str(more(count))), width, (*settings[-1], least), face)
        if lines[-1].down <= height:
            return Running(lines, count, width)
    return Running((), len(order))


def fullest(
    forms: Sequence[Sequence[Block]], width: float, height: float, more: Callable[[int], str], air: float = 0.0
) -> Running:
    """The first of several forms of a text, from the long to the short, that fits whole; else the last as far as it fits."""
    made = (running(form, width, height, more, air) for form in forms)
    tried: list[Running] = []
    for each in made:
        tried.append(each)
        if not each.left_over:
            break
    return tried[-1]


def _without(blocks: Sequence[Block], gone: Sequence[int], more: str) -> list[Block]:
    """The paragraphs without as many of their last phrases as their index stands in ``gone``."""
    kept = [(lead, list(phrases[: len(phrases) - gone.count(i)])) for i, (lead, phrases) in enumerate(blocks)]
    kept[gone[-1]][1].append(more)
    return [(lead, phrases) for lead, phrases in kept if phrases]


def _set(
    blocks: Sequence[Block], width: float, setting: tuple[float, float, float], face: Face
) -> tuple[TextLine, ...]:
    """All paragraphs in one setting: its size, the distance of its baselines, and the size of leading words."""
    size, pitch, lead_size = setting
    lines: list[TextLine] = []
    for lead, phrases in blocks:
        # Summed in capitals, as the style sheet sets it.
        indent = text_width(lead.upper(), _LEAD, lead_size, _LEAD_TRACKING) + _AFTER_LEAD if lead else 0.0
        for i, text in enumerate(_broken(JOINT.join(phrases), width, size, indent, face)):
            first = i == 0
            lines.append(TextLine(text, indent if first else 0.0, len(lines) * pitch, size, lead if first else ""))
    return tuple(lines)


def _aired(lines: Sequence[TextLine], air: float) -> tuple[TextLine, ...]:
    """The lines with ``air`` mm more before each paragraph but the first."""
    starts = [i for i, line in enumerate(lines) if line.lead]
    return tuple(replace(line, down=line.down + air * sum(0 < s <= i for s in starts)) for i, line in enumerate(lines))


def _broken(text: str, width: float, size: float, indent: float, face: Face) -> list[str]:
    """The text in lines of ``width`` mm, the first one shorter by ``indent``; a word that is too long is broken too."""
    lines = [""]
    for word in text.split(" "):
        room = width - (indent if len(lines) == 1 else 0.0)
        longer = f"{lines[-1]} {word}" if lines[-1] else word
        if text_width(longer, face, size) <= room:
            lines[-1] = longer
            continue
        if lines[-1] or (indent and len(lines) == 1):
            lines.append("")
        rest = word
        while text_width(rest, face, size) > width:
            end = next(n for n in range(len(rest), 0, -1) if n == 1 or text_width(rest[:n], face, size) <= width)
            lines[-1], rest = rest[:end], rest[end:]
            lines.append("")
        lines[-1] = rest
    return lines
