"""What a bench sheet says, put into lines and figures; its words are those of ``templates/bench/words.html.j2``."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final, Literal

from markupsafe import Markup

from passport.physics.geometry import RacquetShape
from passport.physics.quadrature import integrate
from passport.physics.uncertainty import Estimate
from passport.render.drawing import fitted
from passport.render.plots.reach import Box, ReachFigures, ReachWords, sentence
from passport.render.sheets.drawing import Drawing
from passport.render.sheets.made_up import bar, causes_of
from passport.render.theme.formats import NONE, Formats
from passport.render.theme.textfit import packed
from passport.workshop.facts.facts import QuantityName
from passport.workshop.measuring.causes import Cause, CauseShare
from passport.workshop.rebuild.plan import Addition, Aim, Caution, Figures, Plan, Rebuild, percent
from passport.workshop.rebuild.reach import reach_of
from passport.workshop.rebuild.workorder import work_order

QUANTITIES: Final[tuple[QuantityName, ...]] = ("mass", "balance", "swingweight", "twistweight")

WIDTH: Final = 132.0
"""What is printed on of a page's width, mm."""
SIZE_PT: Final = 7.5
"""Size of running text, pt."""


Stamp = Literal["matched", "doubtful", "nearest", "impossible"]
"""What a sheet says of its plan; ``doubtful`` meets the target, but too near a limit to be sure of it."""


@dataclass(frozen=True, slots=True)
class PieceRow:
    """A piece that is added, as the table and the drawing show it.

    ``along`` are the distances of a strip's two ends from the tip, measured along the middle of the hoop, mm.
    """

    number: int
    piece: Addition
    drawn: fitted.DrawnPart
    along: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class WorkRow:
    """A line of the work: its place in the order, the piece's number, what to do, and what should be read after it.

    ``expected`` are mass, balance and swingweight as they are printed; empty where nothing is read.
    """

    order: int
    number: int | None
    kind: str
    text: str
    expected: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One quantity as it is printed: the blank as measured, the frame untuned, the target, the plan's prediction.

    ``made_up`` is how the uncertainty behind its ``chance`` is made up.
    """

    quantity: QuantityName
    measured: str
    untuned: str
    target: str
    planned: str
    chance: str
    limits: str
    made_up: tuple[CauseShare, ...] = ()


@dataclass(frozen=True)
class SheetView:
    """The sheet of one rebuild and its best plan; ``say`` are the words, ``f`` the formats, ``key`` tells it apart."""

    found: Rebuild
    say: Any
    f: Formats
    key: str

    @property
    def name(self) -> str:
        """The number of the frame that is rebuilt, or the name of its record while it has none."""
        return self.found.frame.number or self.found.frame.name

    @property
    def other(self) -> bool:
        """Whether it is built on another frame, not worked on itself."""
        return self.found.blank.name != self.found.frame.name

    @property
    def plan(self) -> Plan:
        """The best plan, which the sheet is about."""
        return self.found.plans[0]

    @cached_property
    def pieces(self) -> tuple[PieceRow, ...]:
        """The additions in the order of their numbers, from the tip to the butt."""
        drawn = [_drawn(piece, plain_words(self.say.drawn(piece))) for piece in self.plan.additions]
        piece_of = dict(zip(map(id, drawn), self.plan.additions, strict=True))
        shape = self.found.shape
        return tuple(
            PieceRow(number, piece_of[id(d)], d, along_hoop(shape, piece_of[id(d)]))
            for number, d in fitted.number_pieces(shape, drawn)
        )

    @cached_property
    def work(self) -> tuple[WorkRow, ...]:
        """The order of work."""
        numbers = {row.piece.place: row.number for row in self.pieces}
        rows = []
        for order, stage in enumerate(work_order(self.found, self.plan), self.found.begun + 1):
            after, f = stage.after, self.f
            swing = NONE if self.unswung or after is None else f.number(after.swingweight())
            expected = (f.number(after.mass), f.number(after.balance), swing) if after else ()
            ours = stage.piece and stage.kind in ("trial", "add", "rest")
            number = numbers.get(stage.piece.place) if stage.piece and ours else None
            text = self.say.clear() if stage.kind == "clear" else self.say.stage(stage)
            rows.append(WorkRow(order, number, stage.kind, text, expected))
        return tuple(rows)

    @cached_property
    def figures(self) -> tuple[FigureRow, ...]:
        """The quantities that are known or wanted."""
        return tuple(self._figures())

    def _figures(self) -> Iterator[FigureRow]:
        f, found, chance = self.f, self.found, {o.quantity: o for o in self.plan.outlook}
        for quantity in QUANTITIES:
            aim, planned = found.aim(quantity), self.plan.predicted.get(quantity)
            if aim is None and planned is None:
                continue
            within = 2 * aim.u if aim and aim.source == "estimate" else aim.tolerance if aim else 0.0
            yield FigureRow(
                quantity,
                # nobody swung it: an estimate stands in no column of what was measured
                NONE if self.estimated(quantity) and self.unswung else self._figure(found.measured, quantity),
                self._figure(found.start, quantity),
                f"{f.number(aim.target)} ± {f.number(within)}" if aim else NONE,
                self._figure(self.plan.predicted, quantity),
                percent(chance[quantity].probability) if quantity in chance else NONE,
                self._limits(aim),
                chance[quantity].made_up if quantity in chance else (),
            )

    def _limits(self, aim: Aim | None) -> str:
        """From where to where a finished frame is inside; nothing is judged by an estimate."""
        if aim is None or aim.source == "estimate":
            return NONE
        return f"{self.f.number(aim.target - aim.tolerance)} – {self.f.number(aim.target + aim.tolerance)}"

    def estimated(self, quantity: QuantityName) -> bool:
        """Whether what the sheet says of a quantity is no more than an estimate."""
        return self.found.guess is not None and quantity == "swingweight"

    @property
    def unswung(self) -> bool:
        """Whether nobody swung the frame that is built on."""
        return self.found.guess is not None and self.found.guess.of_blank is not None

    @property
    def causes(self) -> tuple[Cause, ...]:
        """What the bars beside the chances are made up of."""
        return causes_of(row.made_up for row in self.figures)

    def bar(self, row: FigureRow) -> Markup:
        """How the uncertainty behind a chance is made up, as a small bar."""
        return bar_of(row.made_up, self.say, self.f)

    def _figure(self, figures: Figures, quantity: QuantityName) -> str:
        figure: Estimate | None = figures.get(quantity)
        return NONE if figure is None else f"{self.f.number(figure.value)} ± {self.f.number(figure.expanded())}"

    @cached_property
    def reach(self) -> ReachFigures | None:
        """What the chart shows; None where no mass, balance or swingweight is wanted, or the latter is an estimate."""
        found = self.found
        mass, balance, swing = (found.aim(q) for q in ("mass", "balance", "swingweight"))
        if not (mass and balance and swing) or found.guess:
            return None
        reach = reach_of(found, self.plan)
        plans = [(p.predicted.mass.value, p.predicted.balance.value) for p in found.plans]
        return ReachFigures(
            start=(reach.mass, reach.first / reach.mass),
            target=Box(mass.target, balance.target, mass.tolerance, balance.tolerance),
            outline=reach.outline(),
            fits=reach.fits(swing.target - swing.tolerance, swing.target + swing.tolerance),
            least=reach.least_field,
            lines=(reach.swing, reach.swing + 8 * swing.tolerance),
            plans=plans,
        )

    @property
    def sentence(self) -> str:
        """The chart in one sentence."""
        return sentence(self.reach, self.reach_words) if self.reach else ""

    @property
    def reach_words(self) -> ReachWords:
        """The words of the chart."""
        return ReachWords(**self.say.reach)

    @cached_property
    def drawing(self) -> Drawing:
        """The racquet with the pieces."""
        balance = self.found.aim("balance")
        return Drawing(
            self.found.shape,
            [row.drawn for row in self.pieces],
            balance.target if balance else None,
            plain_words(self.say.balance_mark(balance.target)) if balance else "",
            axis_text=plain_words(self.say.axis_mark()),
            ruler_text=plain_words(self.say.ruler()),
        )

    @cached_property
    def whose(self) -> tuple[Markup, ...]:
        """Whose frame it is and what it is built on, in lines that fit."""
        found = self.found
        texts = (self.say.target(found.frame), self.say.built_on(found.blank, self.other))
        blocks = (packed(text.split("|"), "text-600", WIDTH, SIZE_PT, " · ") for text in texts)
        return tuple(line for block in blocks for line in _led(block))

    @cached_property
    def build_lines(self) -> tuple[tuple[Markup, ...], ...]:
        """What comes off, what is fitted beside the tuning and what stays: a word, and the thing."""
        return _lines(self.say.build(self.found, self.plan), 2)

    @cached_property
    def string_lines(self) -> tuple[tuple[Markup, ...], ...]:
        """How it is strung: what a line is about, what stands out in it, and the rest."""
        return _lines(self.say.strings(self.found.recipe), 3)

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """What else the technician must know."""
        own, guess = self.found.frame.note, self.found.guess
        return tuple(
            filter(None, (*(guess.texts if guess else ()), *self.found.notes, self.say.own_note(own) if own else ""))
        )

    @property
    def stamp(self) -> Stamp:
        """What the plan promises, which is no verdict yet."""
        return stamp_of(self.found)

    @cached_property
    def together(self) -> str:
        """The chance that all quantities are inside together; empty where nothing is wanted."""
        return percent(self.plan.chance) if self.plan.outlook else ""

    @property
    def judged(self) -> tuple[QuantityName, ...]:
        """What that chance is of, where an estimate is left out of it; empty where it is of all that is wanted."""
        return tuple(o.quantity for o in self.plan.outlook) if self.found.guess else ()

    @cached_property
    def figures_notes(self) -> tuple[str, ...]:
        """What stands below the figures: what they are, what would make the plan surer, what it was chosen from."""
        surer = self.found.remedy.text if self.found.remedy else ""
        chosen = self.plan.chosen_from if self.plan.inside and self.other else ""
        measured: Markup = self.say.measured_note(self.found)
        return tuple(filter(None, (measured.strip(), surer, chosen)))

    @cached_property
    def why(self) -> tuple[str, ...]:
        """What is in the way of a match; where there is none, what to do with the nearest."""
        found = self.found
        told = tuple(obstacle.text for obstacle in found.obstacles)
        return told if found.status == "matched" else (*told, self.say.nearest())

    @cached_property
    def cautions(self) -> tuple[str, ...]:
        """The cautions that the plan calls for, and what stands above them all."""
        return (
            *(self.say.caution(kind) for kind in caution_kinds(self.found)),
            *((self.say.warranty(self.found.frame),) if against_warranty(self.found) else ()),
            self.say.above_all(self.found.recipe),
        )

    @cached_property
    def afterwards(self) -> Markup:
        """How the readings get into the records."""
        words: Markup = self.say.afterwards(self.found, self.name, self.other)
        return words

    @cached_property
    def asides(self) -> tuple[str, ...]:
        """The other plans in short; and where the target is not reached, what taking something off would do."""
        others = [self.say.alternative(i, plan) for i, plan in enumerate(self.found.plans[1:], 2)]
        offs = [] if self.found.status == "matched" else self.found.take_offs
        told = [self.say.take_off(t) for t in offs]
        none = [self.say.no_take_off()] if offs and not any(t.helps for t in offs) else []
        return (*others, *told, *none)


def stamp_of(found: Rebuild) -> Stamp:
    """What a plan promises of one frame."""
    sure = all(o.verdict == "inside" for plan in found.plans[:1] for o in plan.outlook)
    return "doubtful" if found.status == "matched" and not sure else found.status


def bar_of(parts: Sequence[CauseShare], say: Any, f: Formats) -> Markup:
    """How the uncertainty behind a chance is made up, as a small bar with its words for a reader that cannot see it."""
    return bar(parts, f.comma.join(f"{plain_words(say.cause(part.cause))} {f.percent(part.share)}" for part in parts))


def caution_kinds(found: Rebuild) -> tuple[Caution, ...]:
    """The cautions to print, lead also where it is on the frame already; the limits have a sentence of their own."""
    touched = (*found.stays, *found.off)
    there: tuple[Caution, ...] = ("lead",) if any("lead" in p.material.lower().split() for p in touched) else ()
    return tuple(dict.fromkeys((*there, *(kind for kind in found.cautions if kind != "limits"))))


def against_warranty(found: Rebuild) -> bool:
    """Whether it is to be strung as it was, in another way than the maker's warranty asks for."""
    bed, same = found.frame.stringing, found.blank.model == found.frame.model
    return bed is not None and bool(bed.warranty) and same and "strings" in found.cautions


def plain_words(words: Markup) -> str:
    """Words as plain text, for a drawing, which makes its own markup."""
    return words.unescape()


def _led(block: Sequence[str]) -> Iterator[Markup]:
    """Lines of phrases, each safe to print, with the first phrase strong."""
    first, dot, rest = block[0].partition(" · ")
    yield Markup("<b>{}</b>{}{}").format(Markup(first), dot, Markup(rest))
    yield from map(Markup, block[1:])


def _lines(words: Markup, fields: int) -> tuple[tuple[Markup, ...], ...]:
    """Lines of words with bars between their fields, each field markup that is safe to print."""
    lines = (line.split("|", fields - 1) for line in words.split("\n") if line.strip())
    return tuple(tuple(Markup(field.strip()) for field in line) for line in lines)


def _drawn(piece: Addition, label: str) -> fitted.DrawnPart:
    """A piece as the drawing takes it."""
    kinds: dict[str, fitted.Kind] = {"tape": "tape", "silicone": "silicone", "putty": "putty"}
    return fitted.DrawnPart(
        kinds.get(piece.kind, "other"), piece.from_mm, piece.to_mm, piece.clock, piece.length_mm or 0.0, piece.mass_g, label,
        alone=piece.count == 1,
    )  # fmt: skip


def along_hoop(shape: RacquetShape, piece: Addition) -> tuple[float, float] | None:
    """Distances of a strip's ends from the tip along the middle of the hoop, mm; None for a piece elsewhere.

    A strip over the tip begins at a negative distance: it runs as far to the other side.
    """
    if piece.clock is None:
        return None
    length = piece.length_mm or 0.0
    start, stop = shape.hoop_span(piece.clock, length)
    ends = [integrate(shape.hoop_speed, 0.0, angle, panels=16) for angle in (start, stop)]
    return ends[0], ends[1]
