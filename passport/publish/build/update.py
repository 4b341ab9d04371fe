"""The site brought up to date: what changed is read, worked out and made again, all else stays as it is.

The result is, byte for byte, what a build from nothing makes. See `passport.publish.cache.build_state` for what is remembered and
when it still holds, and `passport.publish.folder.staging` for how the new site takes the old one's place.
"""

import os
import time
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, ExitStack
from dataclasses import replace
from functools import partial
from itertools import groupby
from typing import Protocol

from passport.publish.cache import build_state, player_state, toolchain, up_to_date
from passport.publish.cache.build_state import SHOP, Output, Unit, World
from passport.publish.cache.cache_database import Damaged, Store
from passport.publish.cache.invalidation import affected
from passport.publish.cache.player_state import Gathered, Item
from passport.publish.cache.up_to_date import Order, Report, Seen
from passport.publish.folder.digest import digest
from passport.publish.folder.listing import Mark, unsure
from passport.publish.folder.staging import Staging
from passport.publish.outputs.tasks import HERE, Kind, Made, SiteContext, Task, shop_tasks
from passport.publish.workers import worker_tasks
from passport.publish.workers.pool import Crew, Lost, Makers
from passport.records import checks
from passport.records.faults import has_errors
from passport.records.load import Content, load
from passport.render import look_checks
from passport.render.theme import assets
from passport.workshop.facts.facts import PageFacts
from passport.workshop.gathering.gather import Gatherer, public
from passport.workshop.strings.string_priors import StringPriors

Progress = Callable[[str, float, float], None]
"""Told what is being made, how much of the work is done, and of how much."""


class Workers(Protocol):
    """Finds those who do the work."""

    def expect(self, players: int) -> None:
        """Told, before any record is read, for how many players there may be something to make."""

    def readers(self, seconds: float) -> AbstractContextManager[Crew]:
        """Those who read records on this computer for about so many seconds."""

    def makers(self, seconds: float) -> AbstractContextManager[Makers]:
        """Those who make files for about so many seconds, here or elsewhere."""


_LEAST_CHUNK, _MOST_CHUNK = 16, 64
"""Players that are read or gathered at a time: few enough for everybody to have some, many enough for what all of them
share to be read seldom."""
_READ, _GATHER = 0.008, 0.012
_SECONDS: dict[Kind, float] = {"card": 0.1, "frame": 0.02, "player": 0.02, "photo": 0.1, "photo-jpeg": 0.01}
_LEAST = 0.001
"""About how long things take, s: reading and gathering a player, making a file."""


class FaultyRecords(Exception):
    """The records have errors, which whoever reads all of them can name."""


class Unsteady(Exception):
    """The records changed while they were read."""


class Failed(Exception):
    """Some things could not be made; each with what it is and what went wrong."""

    def __init__(self, errors: Sequence[tuple[str, str]]) -> None:
        """Keep each error once, in the order of the site."""
        super().__init__("; ".join(f"{said}: {what}" for said, what in errors))
        self.errors = tuple(dict.fromkeys(errors))


class Update:
    """One build of a site."""

    def __init__(
        self, order: Order, seen: Seen, bench: Staging, store: Store, hiring: Workers, progress: Progress
    ) -> None:
        """Do nothing yet. What was seen is from before any record was read; bench and memory are this build's alone."""
        self.order, self.bench, self.store = order, bench, store
        self._seen, self.marks, self.site, self._unsure = seen, seen.content, seen.site, unsure(seen.content)
        self._hiring, self._progress = hiring, progress
        self.looks_again = False
        """Whether the next build shall look closely even where nothing changed."""
        self._name = f"{os.getpid()} {time.monotonic_ns()}"
        self._done = self._total = 0.0
        self.units: dict[str, Unit] = {}
        self.changed: set[str] = set()
        self.staged: set[str] = set()

    def run(self, closing: Callable[[Content], Collection[str]]) -> Report:
        """Bring the site up to date.

        ``closing`` is shown all records, as far as `units.light` goes, and names the keys that are closed for good.
        Raises FaultyRecords, Unsteady, Failed, Unmanned, OSError; then the site is as it was.
        """
        self._recall()
        self._look()
        with ExitStack() as stack:
            dirty, gone = self._dirty(), self._gone()
            told = {name: list(self.units[name].told) for name in {*dirty, *gone} if name in self.units}
            seconds = len(dirty) * (_READ + _GATHER)
            self._total = seconds + len(dirty) * 3 * sum(_SECONDS.values())
            self._hiring.expect(len(dirty))
            crew = stack.enter_context(self._hiring.readers(seconds))
            self._survey(crew, dirty)
            for name in gone:
                del self.units[name]
            everybody = player_state.light(self.common, self._surveys())
            self._check(everybody)
            self._open_shop(closing(everybody))
            tasks = {name: build_state.stale(unit, self.world, self.site) for name, unit in self.units.items()}
            wanting = {*dirty, *affected(told, self.units), *self._forgotten(tasks)}
            self._gather(crew, sorted(wanting))
            tasks |= {name: build_state.stale(self.units[name], self.world, self.site) for name in wanting}
            seconds = sum(_SECONDS.get(output.kind, _LEAST) for outputs in tasks.values() for output in outputs)
            self._total = self._done + seconds
            stale = {name: outputs for name, outputs in tasks.items() if outputs}
            if stale:
                self._make(stack.enter_context(self._hiring.makers(seconds)), stale)
        return self._finish(gone)

    # --- what there is -----------------------------------------------------------------------------------------

    def _recall(self) -> None:
        """Take up what the last build left; nothing where it is damaged."""
        try:
            self.units = {name: Unit.of(data) for name, data in self.store.all(build_state.UNIT)}
            self._worlds = build_state.worlds(self.store)
        except Damaged:
            self.store.discard()
            self.units, self._worlds = {}, {}

    def _look(self) -> None:
        """Look at what all players share, and whose files are whose."""
        root = self.order.content
        assets.use(root)
        self.common, faults = load(root, ())
        if self.common.workshop is None:
            raise FaultyRecords
        self.common_faults = [*faults, *checks.run(self.common, self.order.today), *look_checks.run(self.common)]
        self.base = digest(toolchain.program(), toolchain.libraries(), repr(self.common.workshop.record))
        self.catalogue = player_state.catalogue(self.common)
        self.players: dict[str, dict[str, Mark]] = {}
        for path, mark in self.marks.items():
            top, _, rest = path.partition("/")
            name, slash, file = rest.partition("/")
            if top == player_state.PLAYERS and slash:
                own = self.players.setdefault(name, {})
                if file and not file.endswith("/"):
                    own[path] = mark

    def _gone(self) -> list[str]:
        return [name for name in self.units if name != SHOP and name not in self.players]

    def _dirty(self) -> list[str]:
        """The players whose records, or what they are read with, are not as they were."""
        return [name for name in sorted(self.players) if not self._clean(name)]

    def _clean(self, name: str) -> bool:
        unit, own = self.units.get(name), self.players[name]
        if unit is None or unit.base != self.base or not unit.survey:
            return False
        if any(self.catalogue.get(used, "") != print_ for used, print_ in unit.uses.items()):
            return False
        latest = unit.survey["latest"]
        if latest and latest > self.order.today.isoformat():
            return False
        beside = {path for path in unit.files if path not in own}
        if own.keys() | beside != unit.files.keys() or any(path.startswith(player_state.PLAYERS) for path in beside):
            return False
        return all(self._same_file(unit, path) for path in unit.files)

    def _same_file(self, unit: Unit, path: str) -> bool:
        """Whether a file is as it was: by its marks, else by its content."""
        mark, known = self.marks.get(path), unit.marks.get(path)
        if mark and known and tuple(known) == mark:
            return True
        if player_state.fingerprint(self.order.content / path) != unit.files[path]:
            return False
        self._remember_mark(unit, path)
        return True

    def _remember_mark(self, unit: Unit, path: str) -> None:
        unit.marks[path] = None if path in self._unsure else self.marks.get(path)
        self.changed.add(unit.name)

    # --- records -----------------------------------------------------------------------------------------------

    def _survey(self, crew: Crew, names: Sequence[str]) -> None:
        """Read and check the records of some players."""
        read = partial(worker_tasks.survey, self.order.content, self.order.today, self._name)
        for chunk, found in crew.each_of(read, _chunks(names, crew), tuple):
            if isinstance(found, Lost):
                raise Failed([(f"the records of {', '.join(chunk)}", found.reason)])
            for one in found:
                unit = self.units.setdefault(one.name, Unit(one.name))
                marks = {path: None if path in self._unsure else self.marks.get(path) for path in one.files}
                unit.surveyed(one, self.base, self.catalogue, marks)
                self.changed.add(one.name)
            self._step(f"reading the records of {chunk[-1]}", _READ * len(chunk))

    def _surveys(self) -> Iterator[dict[str, object]]:
        return (unit.survey for name, unit in sorted(self.units.items()) if name != SHOP)

    def _check(self, everybody: Content) -> None:
        """Stop at errors: those of each player, those of what all share, and those that lie between players."""
        faults = [*self.common_faults, *(fault for unit in self.units.values() for fault in unit.faults)]
        if has_errors(faults) or any(next(iter(check(everybody, self.order.today)), None) for check in checks.ACROSS):
            raise FaultyRecords

    def _open_shop(self, closed: Collection[str]) -> None:
        """Work out what belongs to no player, and the world that everything is made in now."""
        order = self.order
        pages = tuple(PageFacts(page.slug, page.text) for page in self.common.pages.values())
        shop = SiteContext(Gatherer(public(self.common)).shop, pages, order.index, order.cards)
        templates = toolchain.templates()
        fixed: dict[Kind | str, str] = {"": digest(toolchain.program(), toolchain.libraries())}
        if order.cards:
            fixed["card"] = digest(toolchain.print_libraries(), toolchain.stamp())
        self.world = World(shop, fixed, templates)
        self.world.learn(self._worlds)
        tasks = shop_tasks(shop, tuple(closed), sorted(templates))
        items = tuple(Item(task.kind, task.key, task.said, task.facts) for task in tasks)
        self.units.setdefault(SHOP, Unit(SHOP)).gathered(Gathered(SHOP, {}, items, ()))
        self.changed.add(SHOP)

    def _forgotten(self, tasks: Mapping[str, Sequence[Output]]) -> Iterator[str]:
        """The players of whom something has to be made whose facts were not kept."""
        for name, unit in self.units.items():
            if name != SHOP and tasks[name]:
                try:
                    known = build_state.kept_facts(self.store, name)
                except Damaged:
                    known = {}
                if any(output.facts not in known for output in unit.outputs):
                    yield name

    def _gather(self, crew: Crew, names: Sequence[str]) -> None:
        """Work out what is to be made of some players."""
        if not names:
            return
        knowledge = StringPriors(told for unit in self.units.values() for told in unit.told)
        crew.tell(worker_tasks.know, knowledge)
        work = partial(worker_tasks.gather, self.order.content, self.order.today, self._name, self.order.cards)
        for chunk, found in crew.each_of(work, _chunks(names, crew), tuple):
            if isinstance(found, Lost):
                raise Failed([(f"the records of {', '.join(chunk)}", found.reason)])
            for one in found:
                unit = self.units[one.name]
                if any(unit.files.get(path) != print_ for path, print_ in one.files.items()):
                    raise Unsteady(one.name)
                unit.gathered(one)
                build_state.keep_facts(self.store, one)
                self.changed.add(one.name)
                if has_errors(unit.faults):
                    raise FaultyRecords
            self._step(f"working out what to make for {chunk[-1]}", _GATHER * len(chunk))

    # --- files -------------------------------------------------------------------------------------------------

    def _make(self, crew: Makers, stale: dict[str, list[Output]]) -> None:
        """Make what has to be made, and put it into the staging folder."""
        outputs = {output.name: (unit, output) for unit, found in stale.items() for output in found}
        errors: dict[str, tuple[str, str]] = {}
        few = len(outputs) <= 2 * crew.size + 2
        for batch, found in _here_or_there(crew, self._batches(stale, apart=few)):
            results = [Made(t.name, None, error=found.reason) for t in batch] if isinstance(found, Lost) else found
            for task, made in zip(batch, results, strict=True):
                unit, output = outputs[made.name]
                if made.file is None:
                    errors[made.name] = (task.said, made.error)
                else:
                    self._stage(self.units[unit], output, made)
                self._step(task.said, _SECONDS.get(task.kind, _LEAST))
        if errors:
            raise Failed([errors[name] for name in outputs if name in errors])

    def _batches(self, stale: dict[str, list[Output]], *, apart: bool) -> Iterator[list[Task]]:
        """The tasks, those of one frame together unless ``apart``, so that its facts are taken up once."""
        for name, found in stale.items():
            facts = build_state.kept_facts(self.store, name) if name != SHOP else {}
            tasks = build_state.tasks_of(found, facts, self.world)
            for _, group in groupby(
                sorted(tasks, key=lambda t: (t.kind in HERE, t.key)), key=lambda t: (t.kind in HERE, t.key)
            ):
                batch = sorted(group, key=lambda task: -_SECONDS.get(task.kind, _LEAST))
                yield from ([task] for task in batch) if apart else (batch,)

    def _stage(self, unit: Unit, output: Output, made: Made) -> None:
        assert made.file, "what failed is not staged"
        found = self.bench.stage(made.file.path, made.file.data)
        output.path, output.size, output.time = made.file.path, found.st_size, found.st_mtime_ns
        output.world = self.world.of(output.kind, made.used)
        unit.worlds[output.world] = self.world.now(output.world)
        self.staged.add(output.path)
        self.changed.add(unit.name)

    def _finish(self, gone: Sequence[str]) -> Report:
        """Put the new site in place where it differs from the old one, and remember what it was made from."""
        outputs = [output for unit in self.units.values() for output in unit.outputs]
        wanted = {output.path for output in outputs}
        self._step("putting the site in place", 0.0)
        if self.staged or wanted != self.site.keys():
            self.bench.publish(self.site, wanted - self.staged, self.staged)
        for name in self.changed:
            unit = self.units[name]
            unit.worlds = {
                world: now for world, now in unit.worlds.items() if any(o.world == world for o in unit.outputs)
            }
            self.store.put(f"{build_state.UNIT} {name}", unit.data, squeeze=False)
        self.store.drop(f"{kind} {name}" for name in gone for kind in (build_state.UNIT, build_state.FACTS))
        build_state.keep_worlds(self.store, self.world)
        report = self._report(outputs)
        self._remember_all(report, {output.path: (output.size, output.time) for output in outputs})
        self.store.commit()
        self._progress("", self._total, self._total)
        return report

    def _remember_all(self, report: Report, site: dict[str, tuple[int, int]]) -> None:
        """Let the next build see at a glance that nothing changed; not where a mark proves nothing."""
        if self._unsure or self.looks_again:
            up_to_date.forget(self.store)
        else:
            up_to_date.remember(self.store, up_to_date.made_from(self.order, self._seen), site, report)

    def _report(self, outputs: Sequence[Output]) -> Report:
        kinds = [output.kind for output in outputs]
        root = self.order.content
        faults = [fault for unit in self.units.values() for fault in unit.faults]
        placed = [replace(f, place=replace(f.place, file=str(root / f.place.file))) for f in faults]
        return Report(
            frames=kinds.count("frame"),
            players=kinds.count("player"),
            cards=kinds.count("card"),
            files=len(outputs),
            size=sum(output.size for output in outputs),
            made=len(self.staged),
            faults=tuple(sorted({*self.common_faults, *placed})),
        )

    def _step(self, said: str, seconds: float) -> None:
        self._done += seconds
        self._progress(said, self._done, max(self._done, self._total))


def _here_or_there(crew: Makers, batches: Iterable[list[Task]]) -> Iterator[tuple[list[Task], list[Made] | Lost]]:
    """The results of all batches: what is only copied is done here, as it comes by, the rest by the crew."""
    done: list[tuple[list[Task], list[Made]]] = []

    def others() -> Iterator[list[Task]]:
        for batch in batches:
            if batch[0].kind in HERE:
                done.append((batch, worker_tasks.perform_all(batch)))
            else:
                yield batch

    for result in crew.each(worker_tasks.perform_all, others()):
        yield result
        yield from done
        done.clear()
    yield from done


def _chunks(names: Sequence[str], crew: Crew) -> Iterator[list[str]]:
    size = min(max(len(names) // (4 * crew.size), _LEAST_CHUNK), _MOST_CHUNK)
    return (list(names[at : at + size]) for at in range(0, len(names), size))
