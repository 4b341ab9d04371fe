"""The change that takes over what is certain of a past table: players, models, strings, frames and jobs, all or nothing."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from passport.acts.adding.additions import Additions, FreshKeys
from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.count import counted
from passport.acts.frames.import_jobs import problem_of
from passport.acts.frames.issue import SITE
from passport.acts.frames.log import names_of, path_of
from passport.acts.reading import checked
from passport.records.checks import DOUBTS
from passport.records.faults import Fault
from passport.records.load import Content
from passport.records.schema.catalogue import StringType
from passport.records.schema.frame import Job
from passport.records.schema.player import Player
from passport.records.schema.workshop import Method
from passport.records.tables.cells import Spreadsheet
from passport.records.trial import tried
from passport.records.yaml import yamltext
from passport.records.yaml.edit import job_text, with_jobs
from passport.records.yaml.yamlplace import CannotEdit
from passport.workshop.entry.job_from_text import Names, Past, job_of
from passport.workshop.entry.merge import already, clashes
from passport.workshop.entry.newcomers import NewFrame, NewModel, NewPlayer, NewString, reach_of
from passport.workshop.entry.phrases import Unclear
from passport.workshop.entry.recognising import called
from passport.workshop.takeover.decisions import Asks, ImportDecisions
from passport.workshop.takeover.folding import gauge_in
from passport.workshop.takeover.frames import KnownFrame
from passport.workshop.takeover.naming import KnownName, Meant, is_shortened
from passport.workshop.takeover.taking import KnownShop, ReadyRow, Takeover, take_over

_SHOWN = 12
_PRIVATE = ("private_note", "price", "felt")


@dataclass
class TakenOver:
    """What comes of a table: how it was read, the rows written by their lines, those that are there already, and what was
    made for names that were not there."""

    takeover: Takeover | None = None
    written: list[str] = field(default_factory=list)
    there: list[str] = field(default_factory=list)
    frames: int = 0
    method: bool = False
    """Whether the workshop's way to pull strings counts for these jobs, too, since no day says from when on it does."""
    untaken: Counter[str] = field(default_factory=Counter)
    """What the table says of players and frames that are there already and is not taken, by what it is."""
    made: dict[Asks, dict[str, str]] = field(default_factory=dict)
    """The records made for new names, by kind and by how the table writes them."""


def known_of(records: Content) -> KnownShop:
    """What the records have that a table may name."""
    players = [KnownName(n, f"{e.record.name}", _player_forms(e.record)) for n, e in records.players.items()]
    models = [
        KnownName(n, f"{e.record.maker} {e.record.name}", called("", e.record)[1:]) for n, e in records.models.items()
    ]
    strings = [
        KnownName(n, f"{e.record.maker} {e.record.name}", *_string_forms(e.record)) for n, e in records.strings.items()
    ]
    sports = {e.record.sport for e in records.models.values()}
    makers = [e.record.maker for e in records.strings.values()] + [e.record.maker for e in records.models.values()]
    return KnownShop(
        tuple(players), tuple(models), tuple(strings),
        tuple(
            KnownFrame(n, n.partition("/")[0], e.record.model, e.record.label, e.record.serial, e.record.number)
            for n, e in records.frames.items()
        ),
        {name: entry.record.name for name, entry in records.models.items()},
        tuple(dict.fromkeys(makers)), sports.pop() if len(sports) == 1 else "",
    )  # fmt: skip


def _player_forms(player: Player) -> tuple[str, ...]:
    """All that a player is surely called. The folder is none of it: it has lost the accents that tell two people apart; and
    a shortened name is that of many, where the full one is known."""
    if player.full_name and is_shortened(player.name):
        return (player.full_name,)
    return tuple(filter(None, (player.name, player.full_name)))


def shown_as(name: str) -> str:
    """A full name as the pages show it, since full names are private: the first word, and the last one's first letter."""
    words = name.split()
    last = next((word for word in reversed(words[1:]) if word[:1].isupper()), words[-1] if words[1:] else "")
    return f"{words[0]} {last[0]}." if last else name


def _string_forms(string: StringType) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """All that a string is called with its thickness; and without, as others of its maker's may be, too."""
    own = called("", string)[1:]
    if gauge_in(string.name):
        return own, ()
    return tuple(f"{form} {string.gauge.value:.2f}" for form in own), own


def looked_at(base: Base, book: Spreadsheet, decisions: ImportDecisions) -> Takeover:
    """What would become of a table, before the records have had a word in it."""
    return take_over(book, decisions, known_of(base.records), today())


def taken(
    base: Base,
    *,
    book: Spreadsheet,
    decisions: ImportDecisions,
    keys: FreshKeys,
    last: list[TakenOver],
    numbered: bool = False,
    site: Path = SITE,
) -> Change:
    """The change that takes over what is certain; what becomes of the table is put into ``last``.

    A row that the records cannot take, or whose values are far from what is usual, is put among those to decide, and the
    change is worked out without it. Raises Refused.
    """
    found = looked_at(base, book, decisions)
    refused: dict[str, str] = {}
    sure: dict[str, str] = {}
    while True:
        work = _TableWork(base, Additions(base, keys, site), numbered, refused, sure)
        work.all([each for each in found.ready if each.row.line not in refused])
        if not work.judged():
            break
    there = {each.row.line: each.row for each in found.ready}
    moved = [replace(there[line], troubles=(f"row {there[line].number}: {why}",)) for line, why in refused.items()]
    outcome = last[0] = work.outcome
    method = base.records.workshop.record.method if base.records.workshop else Method()
    outcome.method = method.since is None and method != Method()
    outcome.takeover = replace(
        found,
        ready=tuple(each for each in found.ready if each.row.line not in refused),
        open_rows=tuple(sorted([*found.open_rows, *moved], key=lambda row: (row.sheet, row.number))),
    )
    summary = f"{counted(len(outcome.written), 'job')} of {counted(outcome.frames, 'frame')} from a table"
    return work.additions.change(summary, work.shown()) if outcome.written else Change({})


@dataclass
class _TableWork:
    """One attempt: what is added, the text of each frame's record, and which row each of its jobs comes from."""

    base: Base
    additions: Additions
    numbered: bool
    refused: dict[str, str]
    sure: dict[str, str]
    outcome: TakenOver = field(default_factory=TakenOver)
    refs: dict[str, str] = field(default_factory=dict)
    jobs: dict[str, list[tuple[str, dict[str, Any]]]] = field(default_factory=lambda: defaultdict(list))
    order: dict[str, list[str]] = field(default_factory=dict)
    agreed: set[str] = field(default_factory=set)
    """Lines whose odd values a person has agreed to."""
    dated: list[str] = field(default_factory=list)
    at_first: int = 0
    numbers: dict[str, int] = field(default_factory=dict)

    def all(self, ready: list[ReadyRow]) -> None:
        """Work all rows out, the earliest first."""
        names, self.at_first = names_of(self.base.records), len(self.refused)
        for each in sorted(ready, key=lambda each: (each.row.day or today(), each.row.sheet, each.row.number)):
            self._row(each, names)
        for frame, jobs in self.jobs.items():
            self._write(frame, jobs)
        self.outcome.frames = len(self.jobs)

    def _row(self, each: ReadyRow, names: Names) -> None:
        line = each.row.line
        self.numbers[line] = each.row.number
        known = self._known_frame(each)
        try:
            tree, job = self._tree(each, names)
        except Unclear as unclear:
            self.refused[line] = str(unclear)
            return
        except ValidationError as error:
            self.refused[line] = problem_of(error)
            return
        if known:
            jobs = self.base.records.frames[known].record.jobs
            if already(jobs, self._public(job)):
                self.outcome.there.append(line)
                return
            if clashes(jobs, self._public(job)):
                self.refused[line] = f"'{known}' was strung otherwise on {job.date.isoformat()}, as its record says."
                return
        if each.row.sure:
            self.agreed.add(line)
        self._left_behind(each, known)
        self.jobs[known or self._frame(each)].append((line, tree))
        self.outcome.written.append(line)

    def _left_behind(self, each: ReadyRow, known: str) -> None:
        """Note what the table says of a player or frame whose record is there and says otherwise, or nothing."""
        player = self.base.records.players.get(each.player.ref)
        frame = self.base.records.frames[known].record if known else None
        held = {
            "email": player.record.contact.email if player else None, "phone": player.record.contact.phone if player else None,
            "grip": frame.grip if frame else None, "serial": frame.serial if frame else None,
        }  # fmt: skip
        for name, there in held.items():
            said = each.row.says(name)
            if said and there is not None and said != there:
                self.outcome.untaken[f"{name} of {each.player.ref if name in ('email', 'phone') else known}"] += 1

    @staticmethod
    def _public(job: Job) -> Job:
        """A job without remarks and price, which may have been written anew since; one of remarks alone stays whole."""
        bare = {name: getattr(job, name) for name in job.model_fields_set if name not in _PRIVATE}
        return Job.model_construct(set(bare), **bare) if len(bare) > 1 else job

    def _tree(self, each: ReadyRow, names: Names) -> tuple[dict[str, Any], Job]:
        row = each.row
        mains, crosses = (self._ref("strings", meant) if meant else "" for meant in (each.mains, each.crosses))
        words: dict[str, str] = {"mains": mains, "crosses": crosses or mains} if mains else {}
        if mains:
            words |= {"mains_tension": row.tensions[0], "crosses_tension": row.tensions[1] or row.tensions[0]}
        words |= dict(row.measures)
        more = [row.remark, *self._lost(row.texts)]
        words |= {"note": row.note, "private_note": "; ".join(filter(None, more)), "price": row.says("price")}
        assert row.day, "a row that is ready has a day"
        tree = job_of({name: text for name, text in words.items() if text}, row.day, Past(), names)
        if note := self.sure.get(row.line):
            tree["sure"] = note
        return tree, Job.model_validate(tree)

    @staticmethod
    def _lost(texts: Mapping[str, str]) -> Iterator[str]:
        """What a row says and no record has a place for as it is written."""
        for name in ("email", "phone"):
            if texts.get(name) and not _reach(texts[name]):
                yield f"{name}: {texts[name]}"

    # --- what is not there -----------------------------------------------------------------------------------------

    def _known_frame(self, each: ReadyRow) -> str:
        return "" if each.frame.ref.startswith("+") else each.frame.ref

    def _ref(self, kind: Asks, meant: Meant) -> str:
        """The record that a name means; made where it is not there yet."""
        if meant.new is None:
            return meant.ref
        place = f"{kind} {meant.ref}"
        if place not in self.refs:
            self.refs[place] = self._made(kind, dict(meant.new))
            self.outcome.made.setdefault(kind, {})[meant.ref.removeprefix("+")] = self.refs[place]
        return self.refs[place]

    def _made(self, kind: Asks, new: dict[str, str]) -> str:
        if kind == "strings":
            return self.additions.string(NewString(new["maker"], new["name"], new["gauge"], new["material"]))
        if kind == "racquets":
            return self.additions.model(NewModel(new["maker"], new["name"], new["sport"], new["head"]))
        email, phone = (new.get(name, "") if _reach(new.get(name, "")) else "" for name in ("email", "phone"))
        full, shown = new["name"], new.get("shown") or shown_as(new["name"])
        player = NewPlayer(shown, full_name=full if shown != full else "", email=email, phone=phone)
        return self.additions.player(player, published=self.numbered, folder=full)

    def _frame(self, each: ReadyRow) -> str:
        place = f"frames {each.frame.ref}"
        if place not in self.refs:
            assert each.racquet, "a new frame has a model"
            new = NewFrame(
                self._ref("players", each.player),
                self._ref("racquets", each.racquet),
                each.frame.label,
                each.frame.grip,
                each.frame.serial,
            )
            self.refs[place] = self.additions.frame(new) if self.numbered else self.additions.past_frame(new)
            self.outcome.made.setdefault("frames", {})[each.frame.ref.removeprefix("+")] = self.refs[place]
        return self.refs[place]

    def _write(self, frame: str, jobs: list[tuple[str, dict[str, Any]]]) -> None:
        path = path_of(frame)
        entry = self.base.records.frames.get(frame)
        old = [job.date.isoformat() for job in entry.record.jobs] if entry else []
        placed = [(sum(day <= tree["date"] for day in old), tree) for _, tree in jobs]
        text = self.additions.text(path)
        try:
            self.additions.put(path, with_jobs(text, placed))
        except CannotEdit as error:
            for line, _ in jobs:
                self.refused[line] = f"'{frame}': {error}"
            return
        order = [""] * len(old)
        for (place, _), (line, _) in reversed(list(zip(placed, jobs, strict=True))):
            order.insert(place, line)
        self.order[frame] = order
        for line, tree in jobs:
            self.dated.append(f"# row {self.numbers[line]}: {line}\n{job_text(text, tree)}")

    # --- what the records say to it --------------------------------------------------------------------------------

    def judged(self) -> bool:
        """Try the change; whether rows were refused, or found to need a remark, so that it has to be worked out anew."""
        if len(self.refused) > self.at_first:  # what was made for such a row must not stay
            return True
        if not self.additions.files:
            return False
        _, new = tried(self.base.records, self.additions.files, self.base.faults, checked)
        before = len(self.refused), len(self.sure)
        odd = set[str]()
        for fault in new:
            doubt = fault.severity != "error" and fault.rule in DOUBTS
            # What is odd beside an odd value may be right without it, so of each frame the first one is taken out alone.
            if (fault.severity == "error" or doubt) and not (doubt and fault.place.file in odd):
                for line in self._rows_of(fault):
                    self._blame(line, fault)
            if doubt:
                odd.add(fault.place.file)
        return (len(self.refused), len(self.sure)) != before

    def _blame(self, line: str, fault: Fault) -> None:
        if fault.severity == "error":
            self.refused[line] = f"{fault.what} {fault.do}"
        elif line in self.agreed:
            noted = self.sure.get(line, "")
            self.sure[line] = noted if fault.what in noted else f"{noted} {fault.what}".strip()
        else:
            self.refused[line] = f"{fault.what} Correct it, or decide 'as it is'."

    def _rows_of(self, fault: Fault) -> Iterable[str]:
        """The rows that a fault in a frame's record comes from: the job that it stands in, or all where it is in none."""
        for frame, order in self.order.items():
            path = path_of(frame)
            if str(self.base.records.root / path) != fault.place.file:
                continue
            _, source, _ = yamltext.read(self.additions.text(path).removeprefix("\ufeff"), frame)
            starts = [(source.values["jobs", i][0] + 1, line) for i, line in enumerate(order)]
            found = next((line for start, line in reversed(starts) if start <= fault.place.line), None)
            if found is not None:
                return [found] if found else []
            return [line for line in order if line]
        return []

    def shown(self) -> list[str]:
        """The first jobs as they are written, and how many more there are."""
        rest = len(self.dated) - _SHOWN
        return [*self.dated[:_SHOWN], *([f"… and {counted(rest, 'more job')}."] if rest > 0 else [])]


def _reach(text: str) -> bool:
    try:
        return bool(text) and any(reach_of(text))
    except Unclear:
        return False
