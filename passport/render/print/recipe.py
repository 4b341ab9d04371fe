"""The recipe: everything that is needed to build the same racquet again, as short rows of plain words.

The rows are printed in the player's language; the code beside them holds the setup in words that do not depend on it, to
be read without a network, by a person or by the program of another workshop.
"""

import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from itertools import groupby, product
from typing import Final

from passport.records.exchange.tagtext import SHORTEST as LEAST_TEXT
from passport.records.exchange.tagtext import tag_text
from passport.render.charts.figures import numbered
from passport.render.drawing.qr import LEAST_MODULE_MM, QrCode, QrTooLarge, budget, qr_matrix
from passport.render.drawing.qr_mask import Level
from passport.render.pages.data import setup_data
from passport.render.theme import bed_words
from passport.render.theme.formats import KEEP, THIN, Formats, formats_of
from passport.render.theme.wording import handle_phrases, part_text, quantity
from passport.workshop.facts.facts import FrameFacts, QuantityName, SpecFacts, StringingFacts, StrungFacts

JOINT = " · "
"""Between the phrases of a row in print."""
SHORTEST = 2
"""The shortest form of a recipe: nothing is left out of it that the bench needs."""
CLEAR_MODULE_MM = 0.62
"""Size of a module at which a large code is read in a picture of the whole piece (tests/reference/test_ref_whole_pieces.py)."""
EASY_MODULE_MM = 0.45
"""Size of a module at which a large code is still read at once by a telephone held by hand (common practice, no source)."""

_LEVELS: Final[tuple[Level, ...]] = ("Q", "M")
_PLAIN = str.maketrans(
    {
        THIN: " ", KEEP: " ", "×": "x", "±": "+-", "’": "'", "“": '"', "”": '"', "„": '"', "«": '"',
        "»": '"', "–": "-", "−": "-", "²": "2", "·": "", "…": "...", "¼": "1/4", "½": "1/2", "¾": "3/4",
    }
)  # fmt: skip
_LOOSE = re.compile(rf"[ {KEEP}]([±×])[ {KEEP}]|(?<=[0-9]){THIN}()")
"""Spaces that a plain text does without: round a sign, and between a number and its unit."""


@dataclass(frozen=True, slots=True)
class RecipeRow:
    """One row: what it is about, and what it says in one or more phrases."""

    label: str
    phrases: tuple[str, ...]

    @property
    def text(self) -> str:
        """The phrases as they are printed."""
        return JOINT.join(self.phrases)


@dataclass(frozen=True, slots=True)
class RecipeText:
    """The rows of a recipe; ``left_out`` says how much was left out to make it shorter, 0 to `SHORTEST`."""

    rows: tuple[RecipeRow, ...]
    left_out: int = 0

    @property
    def plain(self) -> str:
        """The recipe as one text, a line a row: ASCII but for letters that names themselves contain."""
        lines = (f"{row.label}: {'; '.join(row.phrases)}" for row in self.rows)
        return "\n".join(re.sub(_LOOSE, r"\1\2", line).translate(_PLAIN) for line in lines)


def recipe(frame: FrameFacts, shorter: int = 0) -> RecipeText:
    """The recipe of a frame in the language of its player.

    ``shorter`` 1 leaves out the setup's note, 2 also the player and the makers, who are not needed to build it again.
    """
    rows = (row for row in _rows(frame, formats_of(frame), shorter) if any(row.phrases))
    return RecipeText(tuple(RecipeRow(r.label, tuple(p for p in r.phrases if p)) for r in rows), shorter)


def printed_forms(frame: FrameFacts, left_out: int = 0) -> tuple[tuple[tuple[str, tuple[str, ...]], ...], ...]:
    """The rows of the recipe for print, label and phrases, from the form with ``left_out`` to the shortest."""
    forms = (recipe(frame, shorter) for shorter in range(left_out, SHORTEST + 1))
    return tuple(tuple((row.label, row.phrases) for row in form.rows) for form in forms)


def beside_front(frame: FrameFacts) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The rows of the shortest form that a piece still needs on its back where its front names owner, frame and strings."""
    _ = formats_of(frame).words.gettext
    front = {frame.number, _("Frame"), *((_("Mains"), _("Crosses")) if frame.stringing else ())}
    return tuple((row.label, row.phrases) for row in recipe(frame, SHORTEST).rows if row.label not in front)


def recipe_code(frame: FrameFacts, size_mm: float) -> tuple[str, QrCode | None]:
    """The fullest text of a frame's setup whose code is easily read from a square of ``size_mm``, quiet zone included; see
    `passport.records.exchange.tagtext`.

    A long text gives way to a shorter one before its modules get small. Level M, which is read less often when soiled, is
    taken for the names of parts, else only where the shortest text has no room at level Q. Where not even the shortest fits
    at the least size of a module the code is None and the text empty: what is printed beside it has to do.
    """
    setup = setup_data(frame)
    texts = [tag_text(setup, shorter) for shorter in range(LEAST_TEXT + 1)]
    for module, forms in ((CLEAR_MODULE_MM, texts), (EASY_MODULE_MM, texts[-1:]), (LEAST_MODULE_MM, texts[-1:])):
        # Fuller forms first: the first that fits is the fullest. The first two name the parts.
        for text, level in (*product(forms[:2], _LEVELS), *((text, level) for level in _LEVELS for text in forms[2:])):
            with suppress(QrTooLarge):
                return text, qr_matrix(text, budget(size_mm, module), level)
    return "", None


def _rows(frame: FrameFacts, f: Formats, shorter: int) -> Iterator[RecipeRow]:
    """All rows, those with nothing to say too."""
    _ = f.words.gettext
    bed, full = frame.stringing, shorter < SHORTEST
    maker = frame.maker if full else ""
    yield RecipeRow(
        frame.number, (_("“%(label)s”") % {"label": frame.label}, frame.player if full else "", _updated(frame, f))
    )
    yield RecipeRow(
        _("Frame"), (f"{maker} {frame.model}".strip(), frame.grip and _("grip %(size)s") % {"size": frame.grip})
    )
    pattern = bed_words.pattern(frame)
    if bed:
        yield RecipeRow(_("Mains"), tuple(_strung(bed.mains, f, full)))
        yield RecipeRow(_("Crosses"), (_("the same"),) if bed.same else tuple(_crosses(bed, f, full)))
        yield RecipeRow(_("By zone"), bed_words.zones(bed, f))
        yield RecipeRow(_("Pattern"), (pattern, *bed_words.work(bed, f), bed_words.starts(bed, f)))
        yield RecipeRow(_("Pulled"), (bed_words.method(bed, f),))
        yield RecipeRow(_("Skips"), (bed_words.by_maker(bed, "skips", f),))
        yield RecipeRow(_("Tie-offs"), (bed_words.by_maker(bed, "tie_offs", f),))
        yield RecipeRow(_("Fresh reading"), (bed_words.fingerprint(bed, f),))
        yield RecipeRow(_("Stencil"), (f.comma.join(word for word in (bed.stencil, bed.ink) if word),))
    else:
        yield RecipeRow(_("Pattern"), (pattern, _("no stringing recorded")))
    yield RecipeRow(_("Target"), tuple(_target(s, frame, f) for s in frame.specs if s.target is not None))
    read = _("Best estimate") if any(s.best for s in frame.specs) else _("Measured")
    yield RecipeRow(
        read, tuple(_measured(s, frame, f) for s in frame.specs if s.target is None and s.value is not None)
    )
    yield RecipeRow(_("Fitted"), tuple(_fitted(frame, f)))
    yield RecipeRow(_("Handle"), handle_phrases(frame.handle, f))
    yield RecipeRow(_("Note"), (frame.note if not shorter else "",))


def _updated(frame: FrameFacts, f: Formats) -> str:
    return f.short_day(frame.updated) if frame.updated else ""


def _strung(s: StrungFacts, f: Formats, full: bool) -> Iterator[str]:
    """String, maker, gauge, both tensions, pre-stretch."""
    yield f"{s.maker} {s.name}".strip() if full else s.name
    if f.number(s.gauge, 2) not in s.name and f"{s.gauge:.2f}" not in s.name:
        yield f.gauge(s.gauge, s.gauge_number)
    yield from _pull(s, f)


def _pull(s: StrungFacts, f: Formats) -> Iterator[str]:
    _ = f.words.gettext
    yield "/".join(f.tension(s.tension, s.written))
    if s.prestretch:
        yield (_("pre-stretch %(amount)s %%") % {"amount": f.short(s.prestretch)}).replace(" %", f"{KEEP}%")


def _crosses(bed: StringingFacts, f: Formats, full: bool) -> Iterator[str]:
    """The crosses; a string that is the mains' too is not named twice."""
    _ = f.words.gettext
    if (bed.crosses.string, bed.crosses.gauge) == (bed.mains.string, bed.mains.gauge):
        yield _("same string")
        yield from _pull(bed.crosses, f)
    else:
        yield from _strung(bed.crosses, f, full)


def _target(s: SpecFacts, frame: FrameFacts, f: Formats) -> str:
    """``swingweight 318.5 ± 1.5 kg·cm²``."""
    if s.target_points is not None:
        amount = f"{f.points_light(s.target_points)}{KEEP}±{KEEP}{f.short(s.tolerance)}{THIN}mm"
        return f"{quantity(s.quantity, f)} {amount}"
    if s.quantity == "balance" and frame.balance_unit:
        amount = f"{f.balance(s.target, frame.balance_unit, frame.shape.length)}{KEEP}±{KEEP}{f.mm(s.tolerance)}"
        return f"{quantity(s.quantity, f)} {amount} ({f.mm(s.target)})"
    told = s.quantity == "balance" and not frame.shape.is_assumed("length")
    points = f" ({f.points(s.target, frame.shape.length)})" if told else ""
    amount = f"{f.short(s.target)}{KEEP}±{KEEP}{f.short(s.tolerance)}{THIN}{_unit(s.quantity)}{points}"
    return f"{quantity(s.quantity, f)} {amount}"


def _unit(name: QuantityName) -> str:
    return {"mass": "g", "balance": "mm"}.get(name, "kg·cm²")


def _measured(s: SpecFacts, frame: FrameFacts, f: Formats) -> str:
    if s.read_points is not None:
        return f"{quantity(s.quantity, f)} {f.points_light(s.read_points)}"
    if s.quantity == "balance":
        return f"{quantity(s.quantity, f)} {f.balance(s.value, frame.balance_unit, frame.shape.length)}"
    return f"{quantity(s.quantity, f)} {f.short(s.value)}{THIN}{_unit(s.quantity)}"


def _fitted(frame: FrameFacts, f: Formats) -> Iterator[str]:
    """``0.5 g Tungsten tape, 25 mm, under the bumper``; parts of one name that follow each other are named once."""
    texts = ((part, part_text(part, f, grips_placed=False)) for _, part in numbered(frame))
    for _, alike in groupby(texts, key=lambda each: each[0].name):
        for i, (_, text) in enumerate(alike):
            named_once = text.mass if i and text.mass else f"{text.mass}{KEEP}{text.name}".strip(KEEP)
            yield f.comma.join(word for word in (named_once, text.where) if word)
