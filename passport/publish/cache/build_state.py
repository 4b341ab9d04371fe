"""What is remembered of each player from one build to the next, and whether it still holds.

A player is looked at again when a file of theirs changed, or an entry of the catalogue that they use, the workshop's
record, the program, or what was known of a string when it was strung. What was made of them is made again when its
facts changed, or its inputs: its template, styles, fonts, words, libraries, and what it shows of the workshop.
Everything else is as it was.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from pydantic_core import from_json, to_json

from passport.publish.cache.cache_database import CacheDatabase, Damaged
from passport.publish.cache.player_state import Gathered, Reviewed, Surveyed
from passport.publish.folder.digest import digest
from passport.publish.folder.listing import Mark
from passport.publish.outputs.tasks import Kind, SiteContext, Task, context_of
from passport.records.faults import Fault, Place
from passport.workshop.facts.wire import packed
from passport.workshop.strings.string_priors import Evidence, String

_ROWS = {"beds": ("frame", "string", "strung"), "told": ("frame", "job", "string", "strung", "readings", "played")}
"""What there is most of, kept without names, and as text that is taken apart only where it is asked for."""
STATE, FACTS = "state", "facts"
SHOP = ""
"""The name under which what belongs to no player is remembered."""


@dataclass(slots=True)
class Output:
    """One file of the site: what it is, the fingerprint of its facts, the set of inputs it was made with, its mark."""

    kind: Kind
    key: str
    label: str
    facts: str
    inputs: str = ""
    path: str = ""
    size: int = -1
    time: int = 0
    sum: str = ""
    """The hash of its bytes, by which the site's manifest knows it."""

    @property
    def name(self) -> str:
        """What is made, unique on the site."""
        return f"{self.kind} {self.key}"

    def stands(self, site: Mapping[str, Mark]) -> bool:
        """Whether the site has the file as it was written."""
        found = site.get(self.path)
        return found is not None and found[:2] == (self.size, self.time)


def _survey_of(found: Surveyed) -> dict[str, Any]:
    """What a look at the records brought, as plain data for the database."""
    survey: dict[str, Any] = from_json(packed(found))
    rows = {
        kind: to_json([[row[name] for name in names] for row in survey[kind]]).decode() for kind, names in _ROWS.items()
    }
    return {name: value for name, value in survey.items() if name not in ("files", "uses")} | rows


@dataclass(slots=True)
class PlayerState:
    """What is remembered of one player, as plain data.

    ``marks`` and ``files`` are those of the records, ``base`` and ``uses`` the fingerprints of what they were read
    with; ``survey`` is a `Surveyed` without those, its beds and what they told as rows, ``noticed`` are faults.
    ``inputs`` are the fingerprints that the outputs' sets of inputs had.
    """

    name: str
    marks: dict[str, Sequence[int] | None] = field(default_factory=dict)
    files: dict[str, str] = field(default_factory=dict)
    base: str = ""
    uses: dict[str, str] = field(default_factory=dict)
    survey: dict[str, Any] = field(default_factory=dict)
    noticed: list[dict[str, Any]] = field(default_factory=list)
    inputs: dict[str, str] = field(default_factory=dict)
    outputs: list[Output] = field(default_factory=list)

    @classmethod
    def of(cls, data: bytes) -> "PlayerState":
        """The state of some bytes. Raises `Damaged`."""
        try:
            plain = from_json(data)
            plain["outputs"] = [Output(*output) for output in plain["outputs"]]
            return cls(**plain)
        except (ValueError, TypeError, KeyError) as error:
            raise Damaged from error

    @property
    def data(self) -> bytes:
        """The state as bytes."""
        plain = {name: getattr(self, name) for name in self.__slots__ if name != "outputs"}
        rows = [[getattr(output, name) for name in Output.__slots__] for output in self.outputs]
        return to_json({**plain, "outputs": rows})

    @property
    def told(self) -> Iterator[Evidence]:
        """What the player's string beds told."""
        for frame, job, string, strung, *known in from_json(self.survey.get("told", "[]")):
            readings, played = (tuple((date.fromisoformat(day), *row) for day, *row in rows) for rows in known)
            yield Evidence(frame, job, tuple(string), date.fromisoformat(strung), readings, played)

    @property
    def beds(self) -> Iterator[tuple[str, String, date]]:
        """The frame, the string and the day of each of the player's string beds."""
        for frame, string, strung in from_json(self.survey.get("beds", "[]")):
            yield frame, tuple(string), date.fromisoformat(strung)

    @property
    def faults(self) -> Iterator[Fault]:
        """What was noticed in the player's records."""
        for plain in (*self.survey.get("faults", ()), *self.noticed):
            yield Fault(Place(**plain["place"]), plain["rule"], plain["what"], plain["do"], plain["severity"])

    def surveyed(
        self, found: Surveyed, base: str, catalogue: Mapping[str, str], marks: Mapping[str, Mark | None]
    ) -> None:
        """Take up what a new look at the records brought."""
        self.survey, self.files, self.base = _survey_of(found), dict(found.files), base
        self.uses = {name: catalogue.get(name, "") for name in found.uses}
        self.marks = dict(marks)

    def reviewed(self, found: Reviewed) -> None:
        """Take up what the bench's sums say of the records."""
        self.noticed = [asdict(fault) for fault in found.faults]

    def gathered(self, found: Gathered) -> None:
        """Take up what is to be made now; what has the same facts as before keeps its file."""
        before = {output.name: output for output in self.outputs}
        self.noticed = [asdict(fault) for fault in found.faults]
        self.outputs = []
        for item in found.items:
            output = Output(item.kind, item.key, item.label, digest(item.facts))
            old = before.get(output.name)
            # The old object, with its path and size, so that `stale` sees that its file can stay.
            if old and (old.facts, old.label) == (output.facts, output.label):
                output = old
            self.outputs.append(output)


def faults_in(root: Path, states: Iterable[PlayerState]) -> Iterator[Fault]:
    """What was noticed in the records of some players, with the paths of their files."""
    for state in states:
        for fault in state.faults:
            yield replace(fault, place=replace(fault.place, file=str(root / fault.place.file)))


class Inputs:
    """What outputs are made with beside their facts, as it is now."""

    def __init__(self, shop: SiteContext, fixed: Mapping[Kind | str, str], templates: Mapping[str, str]) -> None:
        """``fixed`` is the fingerprint of program and libraries, under "" and, for kinds that need more, their name;
        ``templates`` that of each file behind a name."""
        self._shop, self._fixed, self._templates = shop, fixed, templates
        self._used: dict[str, tuple[str, ...]] = {}
        self._now: dict[str, str] = {}

    def learn(self, known: Mapping[str, Sequence[str]]) -> None:
        """Take up the sets of an earlier build: the files that are in each."""
        self._used |= {name: tuple(files) for name, files in known.items()}

    @property
    def known(self) -> dict[str, tuple[str, ...]]:
        """The files that are in each set."""
        return self._used

    def of(self, kind: Kind, used: Sequence[str]) -> str:
        """The name of the set that a kind of output was made with, which used some files."""
        name = f"{kind} {digest(*used)}"
        self._used[name] = tuple(used)
        return name

    def now(self, name: str) -> str:
        """The fingerprint of a set as it is now; empty for one that is not known."""
        if name not in self._now:
            kind: Any = name.partition(" ")[0]
            used = self._used.get(name)
            fixed = (self._fixed[""], self._fixed.get(kind, ""))
            files = (self._templates.get(file, "") for file in used or ())
            self._now[name] = digest(*fixed, self.context(kind), *files) if used is not None else ""
        return self._now[name]

    def context(self, kind: Kind) -> bytes:
        """What outputs of a kind show of the workshop."""
        return context_of(self._shop, kind)


def stale(state: PlayerState, inputs: Inputs, site: Mapping[str, Mark]) -> list[Output]:
    """The outputs of a player that have to be made: new ones, those whose inputs changed, those that the site lacks."""
    old = {name for name in {output.inputs for output in state.outputs} if not _same(state, inputs, name)}
    return [output for output in state.outputs if output.inputs in old or not output.stands(site)]


def _same(state: PlayerState, inputs: Inputs, name: str) -> bool:
    return bool(name) and bool(now := inputs.now(name)) and state.inputs.get(name) == now


def tasks_of(outputs: Iterable[Output], facts: Mapping[str, bytes], inputs: Inputs) -> Iterator[Task]:
    """The tasks that make some outputs, from their facts. Raises `Damaged` where one is missing."""
    for output in outputs:
        found = b"" if output.facts == NOTHING else facts.get(output.facts)
        if found is None:
            raise Damaged
        yield Task(output.kind, output.key, output.label, found, inputs.context(output.kind))


NOTHING = digest(b"")
"""The fingerprint of no facts."""


def keep_facts(database: CacheDatabase, found: Gathered) -> None:
    """Keep the facts of a player, each once. Raises OSError."""
    facts = list({digest(item.facts): item.facts for item in found.items}.items())
    head = to_json([[print_, len(data)] for print_, data in facts])
    database.put(f"{FACTS} {found.name}", b"".join((head, b"\n", *(data for _, data in facts))))


def kept_facts(database: CacheDatabase, name: str) -> dict[str, bytes]:
    """The facts of a player by their fingerprints; none where they were not kept. Raises `Damaged`."""
    data = database.get(f"{FACTS} {name}")
    if data is None:
        return {}
    head, _, body = data.partition(b"\n")
    facts, at = {}, 0
    for print_, size in from_json(head):
        facts[print_] = body[at : at + size]
        at += size
    # The database proves its bytes; this proves that the head and the cuts still belong to them.
    if any(digest(data) != print_ for print_, data in facts.items()):
        raise Damaged
    return facts


def known_inputs(database: CacheDatabase) -> dict[str, Sequence[str]]:
    """The files in each set of inputs of an earlier build. Raises `Damaged`."""
    found: dict[str, Sequence[str]] = from_json(database.get("inputs") or b"{}")
    return found


def keep_inputs(database: CacheDatabase, inputs: Inputs) -> None:
    """Keep which files are in each set of inputs. Raises OSError."""
    database.put("inputs", to_json(inputs.known))
