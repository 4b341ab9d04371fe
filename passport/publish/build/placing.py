"""The new site put in place, and what it was made from remembered."""

from collections.abc import Callable, Iterable, Sequence

from passport.publish.build.changes import Shared
from passport.publish.build.run import Run
from passport.publish.cache import build_state, up_to_date
from passport.publish.cache.build_state import Inputs, Output
from passport.publish.cache.up_to_date import Report
from passport.publish.folder.digest import digest
from passport.publish.folder.manifest import FILE, FileMark
from passport.records.disk import opening

Inventory = Callable[[Iterable[FileMark]], bytes | None]
"""Makes the manifest of a site's files; None where there is none to be."""


def finish(
    run: Run, shared: Shared, inputs: Inputs, gone: Sequence[str], inventory: "Inventory", *, looks_again: bool
) -> Report:
    """Put the new site in place where it differs from the old one, and remember what it was made from.

    ``inventory`` makes the site's manifest. The next build sees at a glance that nothing changed, but not where a mark proves nothing, or with ``looks_again``.
    """
    outputs = [output for state in run.states.values() for output in state.outputs]
    wanted = {output.path for output in outputs}
    run.step("putting the site in place", 0.0)
    whole = {output.path: (output.size, output.time) for output in outputs}
    report = _report(run, shared, outputs)
    if listed := _listed(run, outputs, inventory):
        whole[FILE] = listed
        wanted.add(FILE)
    # An exchange links every file anew; where nothing differs the site is left alone.
    if run.staged or wanted != run.site.keys():
        run.staging.publish(run.site, wanted - run.staged, run.staged)
    run.theirs = run.seen.site.keys() - run.site.keys() - wanted
    for player in run.changed:
        state = run.states[player]
        state.inputs = {name: now for name, now in state.inputs.items() if any(o.inputs == name for o in state.outputs)}
        run.database.put(f"{build_state.STATE} {player}", state.data, squeeze=False)
    run.database.drop(f"{kind} {name}" for name in gone for kind in (build_state.STATE, build_state.FACTS))
    build_state.keep_inputs(run.database, inputs)
    # Files written in the last two seconds may change again without a new mark: the next build must look at them.
    if shared.unsure or looks_again:
        up_to_date.forget(run.database)
    else:
        up_to_date.remember(run.database, up_to_date.made_from(run.order, run.seen), whole, run.theirs, report)
    up_to_date.remember_records(run.database, run.order.content, run.seen)
    run.database.commit()
    run.progress("", run.total, run.total)
    return report


def _listed(run: Run, outputs: Sequence[Output], inventory: "Inventory") -> tuple[int, int] | None:
    """Bring the site's manifest to what the site holds. Returns its mark, or None for a site without a manifest."""
    data = inventory(FileMark(output.path, output.sum, output.size) for output in outputs)
    if data is None:
        return None
    run.database.put(FILE, digest(data).encode())
    old = run.site.get(FILE)
    if old and old[0] == len(data) and opening.read(run.order.out / FILE) == data:
        return old[:2]
    found = run.staging.stage(FILE, data)
    run.staged.add(FILE)
    return found.st_size, found.st_mtime_ns


def _report(run: Run, shared: Shared, outputs: Sequence[Output]) -> Report:
    kinds = [output.kind for output in outputs]
    faults = build_state.faults_in(run.order.content, run.states.values())
    return Report(
        frames=kinds.count("frame"),
        players=kinds.count("player"),
        cards=kinds.count("card"),
        files=len(outputs),
        size=sum(output.size for output in outputs),
        made=len(run.staged),
        faults=tuple(sorted({*shared.faults, *faults})),
    )
