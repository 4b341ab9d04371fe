"""The site brought up to date: what changed is read, worked out and made again, all else stays as it is.

The result is, byte for byte, what a build from nothing makes. See `passport.publish.cache.build_state` for what is
remembered and when it still holds, `passport.publish.folder.staging` for how the new site takes the old one's place.
The stages stand beside this module: `changes`, `reading`, `making`, `placing`.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

from passport.publish.build.changes import Shared
from passport.publish.build.making import Making, seconds_of, seconds_of_player
from passport.publish.build.placing import Inventory, finish
from passport.publish.build.reading import GATHER, READ, Records, namesakes
from passport.publish.build.run import Run
from passport.publish.cache import build_state, toolchain
from passport.publish.cache.build_state import SHOP, Inputs, Output, PlayerState
from passport.publish.cache.cache_database import Damaged
from passport.publish.cache.player_state import Gathered, Item
from passport.publish.cache.up_to_date import BuildOrder, Report
from passport.publish.folder import manifest
from passport.publish.folder.digest import digest
from passport.publish.folder.foreign import foreign
from passport.publish.outputs.tasks import Kind, SiteContext, own_public, shop_tasks
from passport.publish.workers.pool import Workers
from passport.records.ledger import key
from passport.records.load import Content
from passport.workshop.facts.facts import PageFacts
from passport.workshop.gathering.gather import Gatherer, public


class Update:
    """One build of a site."""

    def __init__(self, run: Run, workers: Workers) -> None:
        """Do nothing yet."""
        self.run, self._workers = run, workers
        self.looks_again = False
        """Whether the next build shall look closely even where nothing changed."""
        self.inventory: Inventory = lambda files: None
        """Makes the site's manifest of its files; None where there is none to be."""

    def bring(self, closing: Callable[[Content], Collection[str]]) -> Report:
        """Bring the site up to date.

        ``closing`` is shown all records, as far as `player_state.light` goes, and names the keys that are closed for good.
        Raises FaultyRecords, Unsteady, Failed, Unmanned, OSError; then the site is as it was.
        """
        run = self.run
        self._recall()
        shared = Shared(run)
        dirty, gone = shared.dirty(), shared.gone()
        records = self._records(shared, dirty)
        slim, touched = records.bring(dirty, gone)
        shared.faults += namesakes(slim, run.order.today)
        inputs = self._open_shop(shared, closing(slim), (entry.record.language for entry in slim.players.values()))
        tasks = {name: build_state.stale(state, inputs, run.site) for name, state in run.states.items()}
        wanting = touched.union(self._forgotten(tasks))
        records.gather(sorted(wanting), run.database)
        # Again for those that were gathered: their facts, and so their outputs, are others now.
        tasks |= {name: build_state.stale(run.states[name], inputs, run.site) for name in wanting}
        seconds = sum(seconds_of(output.kind) for outputs in tasks.values() for output in outputs)
        run.total = run.done + seconds
        if stale := {name: outputs for name, outputs in tasks.items() if outputs}:
            Making(run, inputs).make(self._workers.makers(seconds), stale)
        return finish(run, shared, inputs, gone, self.inventory, looks_again=self.looks_again)

    def _records(self, shared: Shared, dirty: Sequence[str]) -> Records:
        """The readers for the records of so many players."""
        reading = len(dirty) * (READ + GATHER)
        making = len(dirty) * seconds_of_player(cards=self.run.order.cards)
        self.run.total = reading + making
        if dirty:
            self._workers.makers(making)  # a cluster that does not answer is told before anything is read
        return Records(self.run, shared, self._workers.readers(reading, making))

    def _recall(self) -> None:
        """Take up what the last build left; nothing where it is damaged."""
        try:
            self.run.states = {name: PlayerState.of(data) for name, data in self.run.database.all(build_state.STATE)}
            self.run.inputs = build_state.known_inputs(self.run.database)
        except Damaged:
            self.run.database.discard()
            self.run.states, self.run.inputs = {}, {}
        self._leave_foreign()

    def _leave_foreign(self) -> None:
        """Take for the old site only what this program made, by what it remembers or else by the site's manifest."""
        run = self.run
        made = {output.path for state in run.states.values() for output in state.outputs}
        theirs = foreign(run.seen.site, made)
        if theirs:  # an earlier build with another cache may have made some of them
            listed = _listed(run.order)
            theirs = foreign(theirs, made | (listed or set()) if made or listed is not None else None)
        run.site = {path: mark for path, mark in run.seen.site.items() if path not in theirs}

    def _open_shop(self, shared: Shared, closed: Collection[str], spoken: Iterable[str]) -> Inputs:
        """Work out what belongs to no player; the inputs that everything is made with now. ``spoken`` are the players'
        languages."""
        order = self.run.order
        pages = tuple(PageFacts(page.slug, page.text) for page in shared.common.pages.values())
        shop = SiteContext(
            Gatherer(public(shared.common)).shop, pages, order.index, order.cards, own_public(order.content)
        )
        templates = toolchain.templates()
        fixed: dict[Kind | str, str] = {"": digest(toolchain.program(), toolchain.libraries())}
        if order.cards:
            fixed["card"] = digest(toolchain.print_libraries(), toolchain.stamp())
        inputs = Inputs(shop, fixed, templates)
        inputs.learn(self.run.inputs)
        tasks = shop_tasks(shop, tuple(closed), sorted(templates), (shop.facts.language, *spoken))
        items = tuple(Item(task.kind, task.key, task.label, task.facts) for task in tasks)
        gathered = Gathered(SHOP, {}, items, ())
        self.run.states.setdefault(SHOP, PlayerState(SHOP)).gathered(gathered)
        if any(item.facts for item in items):
            build_state.keep_facts(self.run.database, gathered)
        self.run.changed.add(SHOP)
        return inputs

    def _forgotten(self, tasks: Mapping[str, Sequence[Output]]) -> Iterator[str]:
        """The players of whom something has to be made whose facts were not kept."""
        for name, state in self.run.states.items():
            if name != SHOP and tasks[name]:
                try:
                    known = build_state.kept_facts(self.run.database, name)
                except Damaged:
                    known = {}
                if any(output.facts not in known for output in state.outputs):
                    yield name


def _listed(order: BuildOrder) -> set[str] | None:
    """What the site's manifest says that this program made; None where there is none that opens."""
    try:
        said = manifest.read(order.out, key.read(order.content))
    except (manifest.Sealed, manifest.TooNew, OSError, ValueError):
        return None
    return {file.path for file in said.files} if said else None
