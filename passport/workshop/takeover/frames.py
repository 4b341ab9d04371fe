"""Which frame a row is about: the one of that customer, model and mark; where several may be meant, a person is asked."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from passport.records.schema import numbers
from passport.workshop.takeover.decisions import LEAVE_OUT, NEW, OPEN, ImportDecisions
from passport.workshop.takeover.folding import folded, same_key
from passport.workshop.takeover.naming import Meant, NameQuestion
from passport.workshop.takeover.pastrows import PastRow


@dataclass(frozen=True, slots=True)
class KnownFrame:
    """A frame of the records: its name, whose it is, its model, and by what it is told from others."""

    name: str
    player: str
    model: str
    label: str
    serial: str = ""
    number: str = ""


@dataclass(frozen=True, slots=True)
class RowNames:
    """A row with what its names mean: player and racquet (None where the row names none), strings of mains and crosses."""

    row: PastRow
    player: Meant
    racquet: Meant | None
    model: str
    mains: str = ""
    crosses: str = ""


@dataclass(frozen=True, slots=True)
class FrameMeant:
    """The frame of a row: a record's name, or for a new one ``+`` with its text, and what the new record says."""

    ref: str = ""
    label: str = ""
    model: str = ""
    serial: str = ""
    grip: str = ""
    left: bool = False


@dataclass(slots=True)
class _FrameGroup:
    """The rows of one player and one model."""

    rows: list[RowNames] = field(default_factory=list)

    def labels(self) -> set[str]:
        return {folded(each.row.says("label")) for each in self.rows}

    def doubled(self) -> str:
        """A day on which two rows without a mark were strung; empty where there is none."""
        days = [each.row.day for each in self.rows if each.row.tensions[0] and not _told_apart(each.row)]
        return next((day.isoformat() for day in sorted({d for d in days if d}) if days.count(day) > 1), "")


def frames_of(
    rows: Sequence[RowNames], known: Sequence[KnownFrame], decisions: ImportDecisions
) -> tuple[dict[str, FrameMeant], list[NameQuestion]]:
    """The frame of each row by its line, and what has to be asked."""
    return _Frames(known, decisions).told(rows)


def _told_apart(row: PastRow) -> bool:
    return bool(row.says("label") or row.says("serial") or row.says("number"))


def frame_text(each: RowNames) -> str:
    """How a frame is called in the review list: customer, racquet, and its mark where it has one."""
    row = each.row
    mark = row.says("label") or row.says("serial")
    return " / ".join(filter(None, (row.customer, row.says("racquet") or "?", mark)))


@dataclass(slots=True)
class _Frames:
    known: Sequence[KnownFrame]
    decisions: ImportDecisions
    meant: dict[str, FrameMeant] = field(default_factory=dict)
    asked: dict[str, NameQuestion] = field(default_factory=dict)
    texts: dict[str, FrameMeant] = field(default_factory=dict)
    news: dict[tuple[str, str, str], FrameMeant] = field(default_factory=dict)

    def told(self, rows: Sequence[RowNames]) -> tuple[dict[str, FrameMeant], list[NameQuestion]]:
        groups: dict[tuple[str, str], _FrameGroup] = defaultdict(_FrameGroup)
        for each in rows:
            groups[each.player.ref, each.racquet.ref if each.racquet else ""].rows.append(each)
        waiting = []
        for (player, model), group in groups.items():
            mine = [frame for frame in self.known if frame.player == player]
            for each in group.rows:
                if not self._row(each, model, mine, group):
                    waiting.append((each, mine, group))
        for each, mine, group in waiting:
            self._decided(each, mine, group)
        return self.meant, list(self.asked.values())

    def _row(self, each: RowNames, model: str, mine: Sequence[KnownFrame], group: _FrameGroup) -> bool:
        """Settle a row whose frame is certain; whether it is."""
        decision = self.decisions.name("frames", frame_text(each))
        if decision.decide not in (OPEN, NEW):
            return False
        if decision.decide == NEW and any(frame.name == decision.became for frame in mine):
            self.meant[each.row.line] = FrameMeant(decision.became)
            return True
        found = list(_same(each, [frame for frame in mine if not model or frame.model == model]))
        if len(found) == 1:
            self.meant[each.row.line] = FrameMeant(found[0].name)
            return True
        new = decision.decide == NEW or each.row.marked
        # A mark of the table is another racquet's where the table names those that are there by their own marks.
        others = [frame for frame in mine if frame.model == model and folded(frame.label) not in group.labels()]
        unclear = bool(others) or self._unmarked_among_others(each, group)
        if not model or found or (unclear and not new):
            return False
        self.meant[each.row.line] = self._new(each)
        return True

    def _unmarked_among_others(self, each: RowNames, group: _FrameGroup) -> bool:
        return not _told_apart(each.row) and (len(group.labels() - {""}) > 0 or bool(group.doubled()))

    def _new(self, each: RowNames) -> FrameMeant:
        """The new frame of a row: the same for all rows of that player, model and mark, however they write them."""
        row, racquet = each.row, each.racquet.ref if each.racquet else ""
        mark = same_key(row.says("label") or row.says("serial"))
        first = self.news.get((each.player.ref, racquet, mark))
        if first is None:
            label = row.says("label") or each.model
            first = FrameMeant(f"+{same_key(frame_text(each))}", label, racquet, row.says("serial"), row.says("grip"))
            self.news[each.player.ref, racquet, mark] = first
        self.texts[same_key(frame_text(each))] = first
        return first

    def _decided(self, each: RowNames, mine: Sequence[KnownFrame], group: _FrameGroup) -> None:
        text = frame_text(each)
        decide = self.decisions.name("frames", text).decide
        there = {frame.name for frame in mine}
        if decide == LEAVE_OUT:
            self.meant[each.row.line] = FrameMeant(left=True)
        elif decide in there:
            self.meant[each.row.line] = FrameMeant(decide)
        elif same_key(decide) in self.texts:
            self.meant[each.row.line] = self.texts[same_key(decide)]
        else:
            self._ask(each, text, "" if decide in (OPEN, NEW) else decide, mine, group)

    def _ask(self, each: RowNames, text: str, wrong: str, mine: Sequence[KnownFrame], group: _FrameGroup) -> None:
        before = self.asked.get(text)
        rows = (*(before.rows if before else ()), each.row.number)
        fitting = [frame for frame in mine if each.racquet is None or frame.model == each.racquet.ref]
        choices = [(frame.name, f"{frame.label} {frame.number}".strip()) for frame in fitting]
        choices += [
            (frame_text(other), "of this table") for other in _firsts(group.rows)
            if _told_apart(other.row) and same_key(frame_text(other)) in self.texts and frame_text(other) != text
        ]  # fmt: skip
        doubled = group.doubled()
        if each.racquet is None:
            why = "no racquet is named"
        elif doubled and not _told_apart(each.row):
            why = f"two of them were strung on {doubled}, so there are several, and no mark tells which"
        else:
            why = "it may be one that is there"
        problem = f"'{wrong}' is no frame of this player in the records, nor another one of this table" if wrong else ""
        self.asked[text] = NameQuestion(text, rows, why, tuple(choices), {}, problem)


def _firsts(rows: Sequence[RowNames]) -> Iterator[RowNames]:
    seen = set()
    for each in rows:
        if frame_text(each) not in seen:
            seen.add(frame_text(each))
            yield each


def _same(each: RowNames, mine: Sequence[KnownFrame]) -> Iterator[KnownFrame]:
    """The frames that a row means for certain: by number, serial or mark; without a mark by the model's own name."""
    row = each.row
    number, serial, label = row.says("number"), row.says("serial"), row.says("label")
    if number:
        wanted = numbers.normalise(number)
        yield from (frame for frame in mine if frame.number in (number, wanted))
    elif serial and any(frame.serial.casefold() == serial.casefold() for frame in mine):
        yield from (frame for frame in mine if frame.serial.casefold() == serial.casefold())
    elif label:
        yield from (frame for frame in mine if same_key(frame.label) == same_key(label))
    elif each.model and not serial:
        yield from (frame for frame in mine if same_key(frame.label) == same_key(each.model))


def models_named(known: Mapping[str, str], meant: Meant) -> str:
    """The model's own name, of a record or of a new one."""
    return str(meant.new["name"]) if meant.new is not None else known.get(meant.ref, "")
