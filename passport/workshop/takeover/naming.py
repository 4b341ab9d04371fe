"""Names of a table against those that are known: the same for certain, perhaps the same, or new.

Letter case, spaces and punctuation make no difference. Whatever else two names differ in is asked about, once.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from passport.workshop.takeover.decisions import LEAVE_OUT, NEW, OPEN, NameDecision
from passport.workshop.takeover.folding import alike, folded, same_key, spelled

_MOST = 5
"""Names that are offered for one."""


@dataclass(frozen=True, slots=True)
class KnownName:
    """A record that names may mean: its name in the records, how it is shown, and all that it is called.

    ``partly`` are names that others may have, too, such as a string's without its thickness.
    """

    ref: str
    shown: str
    called: tuple[str, ...]
    partly: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WrittenName:
    """A name as the table writes it: the rows that do, and what they say of it otherwise."""

    text: str
    rows: tuple[int, ...]
    said: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Meant:
    """What a name means: the record ``ref``, or a new one as ``new`` says, whose ``ref`` begins with ``+``; ``left`` where its
    rows are left out."""

    ref: str = ""
    new: Mapping[str, str] | None = None
    left: bool = False


@dataclass(frozen=True, slots=True)
class NameQuestion:
    """A name that is not certain: why, what it may mean (each with a word on it), and what is known of a new one, blank
    where a person has to say it."""

    name: str
    rows: tuple[int, ...]
    why: str
    choices: tuple[tuple[str, str], ...]
    new: Mapping[str, str]
    problem: str = ""
    """Why what was decided cannot be done."""


@dataclass(frozen=True, slots=True)
class NamesTold:
    """What each name means, by its key, and the questions that are left."""

    meant: Mapping[str, Meant]
    questions: tuple[NameQuestion, ...]


Key = Callable[[str], str]
Fresh = Callable[[WrittenName, Mapping[str, str]], tuple[dict[str, str], Sequence[str]]]
"""What a new record would say, from the name and what a person said; and which of it is still lacking."""


def told(
    names: Iterable[WrittenName],
    known: Sequence[KnownName],
    decided: Callable[[str], NameDecision],
    fresh: Fresh,
    key: Key = same_key,
) -> NamesTold:
    """What the names of a table mean."""
    return _NamesTelling(known, decided, fresh, key).told(_grouped(names, key))


def _grouped(names: Iterable[WrittenName], key: Key) -> list[WrittenName]:
    """Names of the same key as one, the way that most rows write it, capitals throughout last; those with most rows first,
    shortened ones last."""
    groups: dict[str, list[WrittenName]] = defaultdict(list)
    for name in names:
        groups[key(name.text)].append(name)
    merged = []
    for group in groups.values():
        best = max(group, key=lambda name: (not name.text.isupper(), len(name.rows), -name.rows[0]))
        said: dict[str, str] = {}
        for name in group:
            said |= {what: text for what, text in name.said.items() if text and what not in said}
        merged.append(WrittenName(best.text, tuple(sorted(row for name in group for row in name.rows)), said))
    return sorted(merged, key=lambda name: (is_shortened(name.text), -len(name.rows), name.rows[0]))


def is_shortened(text: str) -> bool:
    """Whether a name has a word of one letter, as in ``A. Kern``."""
    return any(len(word) == 1 and word.isalpha() for word in folded(text).split())


@dataclass(slots=True)
class _NameShelf:
    """Names by what they begin and end with, so that each is compared with few others."""

    names: dict[str, tuple[str, ...]] = field(default_factory=dict)
    places: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))

    def add(self, ref: str, called: Iterable[str]) -> None:
        forms = tuple(dict.fromkeys(filter(None, called)))
        self.names[ref] = forms
        for form in forms:
            for mark in _marks(form):
                self.places[mark].add(ref)

    def near(self, text: str, known: Sequence[KnownName]) -> list[tuple[str, str]]:
        """The names that may mean the same, the surest first, each with a word on it."""
        shown = {each.ref: each.shown for each in known}
        found = []
        for ref in sorted(set().union(*(self.places.get(mark, set()) for mark in _marks(text)))):
            whys = [why for form in self.names[ref] if (why := _difference(text, form))]
            if whys:
                best = min(whys, key=_rank)
                found.append((_rank(best), ref, f"{shown.get(ref, 'of this table')}: {best}"))
        return [(ref, why) for _, ref, why in sorted(found)[:_MOST]]


@dataclass(slots=True)
class _NamesTelling:
    known: Sequence[KnownName]
    decided: Callable[[str], NameDecision]
    fresh: Fresh
    key: Key
    meant: dict[str, Meant] = field(default_factory=dict)
    questions: list[NameQuestion] = field(default_factory=list)
    taken: dict[str, WrittenName] = field(default_factory=dict)
    """Names of the table that were taken for new ones, by their texts."""
    shelf: _NameShelf = field(default_factory=_NameShelf)

    def told(self, names: Sequence[WrittenName]) -> NamesTold:
        exact: dict[str, list[KnownName]] = defaultdict(list)
        for each in self.known:
            for form in {self.key(form) for form in each.called} - {""}:
                exact[form].append(each)
            self.shelf.add(each.ref, (*each.called, *each.partly))
        there = {self.key(name.text): name for name in names}
        aliases: list[tuple[WrittenName, str]] = []
        for name in names:
            decision = self.decided(name.text)
            if decision.decide not in (OPEN, NEW, LEAVE_OUT) and not self._is_known(decision.decide):
                aliases.append((name, decision.decide))
                continue
            self._one(name, decision, exact[self.key(name.text)])
        for name, other in aliases:
            self._alias(name, other, there)
        return NamesTold(self.meant, tuple(self.questions))

    def _is_known(self, ref: str) -> bool:
        return any(each.ref == ref for each in self.known)

    def _one(self, name: WrittenName, decision: NameDecision, same: Sequence[KnownName]) -> None:
        mine = self.key(name.text)
        if decision.decide == LEAVE_OUT:
            self.meant[mine] = Meant(left=True)
        elif self._is_known(decision.decide):
            self.meant[mine] = Meant(decision.decide)
        elif decision.decide == NEW and self._is_known(decision.became):
            self.meant[mine] = Meant(decision.became)
        elif self._is_known(name.text) and decision.decide != NEW:
            self.meant[mine] = Meant(name.text)
        elif len(same) == 1 and decision.decide != NEW:
            self.meant[mine] = Meant(same[0].ref)
        else:
            self._unknown(name, decision, same)

    def _unknown(self, name: WrittenName, decision: NameDecision, same: Sequence[KnownName]) -> None:
        new, lacking = self.fresh(name, decision.new)
        near = [(each.ref, f"{each.shown}: of that name") for each in same] or self.shelf.near(name.text, self.known)
        self.shelf.add(name.text, (name.text,))
        if decision.decide == NEW or not near:
            if not lacking:
                mine = self.key(name.text)
                self.meant[mine] = Meant(f"+{mine}", new)
                if decision.decide != NEW:
                    self.taken[name.text] = name
                return
            why = "it is not in the records, and for a new one more must be known"
            problem = f"'new' needs {', '.join(lacking)} as well" if decision.decide == NEW else ""
            self.questions.append(NameQuestion(name.text, name.rows, why, tuple(near), new, problem))
            return
        for other, word in near:
            self._doubted(name, other, word)
        why = "several have that name" if same else "it may be one that is there"
        self.questions.append(NameQuestion(name.text, name.rows, why, tuple(near), new))

    def _doubted(self, name: WrittenName, other: str, word: str) -> None:
        """Ask about a name of the table, too, that was taken for the right one of two, where it is hardly written more often,
        or the other one alone has the accents, which nobody writes by mistake."""
        first = self.taken.get(other)
        fuller = is_shortened(name.text) and not is_shortened(other)
        bare = "accents" in word and other.isascii() and not name.text.isascii()
        if first is None or fuller or (len(first.rows) >= 2 * len(name.rows) and not bare):
            return
        del self.taken[other], self.meant[self.key(other)]
        new, _ = self.fresh(first, {})
        choices = ((name.text, f"of this table: {word.partition(': ')[2]}"),)
        self.questions.append(NameQuestion(other, first.rows, "it may be another one of this table", choices, new))

    def _alias(self, name: WrittenName, other: str, there: Mapping[str, WrittenName]) -> None:
        """A name of which a person said that it is another name of the table, or a name that nobody knows."""
        mine, seen = self.key(name.text), {self.key(name.text)}
        goal = self.key(other)
        while goal in there and goal not in self.meant and goal not in seen:
            seen.add(goal)
            goal = self.key(self.decided(there[goal].text).decide)
        if goal in self.meant:
            self.meant[mine] = self.meant[goal]
            return
        new, _ = self.fresh(name, {})
        waits = self.key(other) in there and goal not in seen
        problem = "" if waits else f"'{other}' is no name of the records, nor another one of this table"
        if goal in seen:
            problem = f"'{name.text}' and '{other}' are each said to be the other; the one that is right is 'new'"
        why = f"it is '{other}', which is open itself" if waits else "what was decided cannot be done"
        self.questions.append(
            NameQuestion(name.text, name.rows, why, tuple(self.shelf.near(name.text, self.known)), new, problem)
        )


def _difference(text: str, form: str) -> str:
    if same_key(text) == same_key(form):
        return "of that name, as far as it is said"
    why = alike(text, form)
    return f"differs {why}" if why else ""


def _rank(why: str) -> int:
    words = ("as far as", "accents", "script", "spaces", "order", "letters", "shortened", "lacks")
    return next((rank for rank, word in enumerate(words) if word in why), len(words))


def _marks(text: str) -> Iterator[str]:
    for form in spelled(text):
        yield f"={form.replace(' ', '')}"
        for word in form.split():
            if len(word) > 1:
                yield f"{word[:1]}…"
                yield f"…{word[-2:]}"
    for word in folded(text).split():
        if len(word) == 1:
            yield f"{word}…"
