"""The files of the site that have to be made: made here or elsewhere, and put into the staging folder."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from passport.publish.build.run import Failed, Run
from passport.publish.cache import build_state
from passport.publish.cache.build_state import Inputs, Output, PlayerState
from passport.publish.folder.manifest import sum_of
from passport.publish.outputs.tasks import HERE, Kind, Made, Task
from passport.publish.workers import worker_tasks
from passport.publish.workers.pool import Lost, Makers

_SECONDS: dict[Kind, float] = {
    "card": 0.1,
    "frame": 0.02,
    "player": 0.02,
    "frame-too": 0.02,
    "player-too": 0.02,
    "photo": 0.1,
    "photo-jpeg": 0.01,
}
_LEAST = 0.001
_FRAMES = 3
"""About how many frames a player has, as long as the records are not read."""


def seconds_of(kind: Kind) -> float:
    """About how long it takes to make a file of some kind, s."""
    return _SECONDS.get(kind, _LEAST)


def seconds_of_player(*, cards: bool) -> float:
    """About how long it takes to make what there is of a player, s."""
    return seconds_of("player") + _FRAMES * (seconds_of("frame") + (seconds_of("card") if cards else 0.0))


class Making:
    """What has to be made, by the player it belongs to."""

    def __init__(self, run: Run, inputs: Inputs) -> None:
        """Make nothing yet."""
        self.run, self._inputs = run, inputs

    def make(self, makers: Makers, stale: dict[str, list[Output]]) -> None:
        """Make what has to be made, and put it into the staging folder."""
        outputs = {output.name: (player, output) for player, found in stale.items() for output in found}
        errors: dict[str, tuple[str, str]] = {}
        frames = len({output.key for found in stale.values() for output in found if output.kind not in HERE})
        # Several times as many parcels as there are workers, so that none is left alone with the last.
        together = max(1, min(makers.together, frames // (4 * makers.size)))
        for batch, found in _here_or_there(makers, self._batches(stale), together):
            results = [Made(t.name, None, error=found.reason) for t in batch] if isinstance(found, Lost) else found
            for task, made in zip(batch, results, strict=True):
                player, output = outputs[made.name]
                if made.file is None:
                    errors[made.name] = (task.label, made.error)
                else:
                    self._stage(self.run.states[player], output, made)
                self.run.step(task.label, seconds_of(task.kind))
        if errors:
            raise Failed([errors[name] for name in outputs if name in errors])

    def _batches(self, stale: dict[str, list[Output]]) -> Iterator[list[Task]]:
        """The tasks, those of one frame together, so that its facts are taken up once."""
        for name, found in stale.items():
            facts = build_state.kept_facts(self.run.database, name)
            tasks = build_state.tasks_of(found, facts, self._inputs)
            for _, group in groupby(
                sorted(tasks, key=lambda t: (t.kind in HERE, t.key)), key=lambda t: (t.kind in HERE, t.key)
            ):
                yield sorted(group, key=lambda task: -seconds_of(task.kind))

    def _stage(self, state: PlayerState, output: Output, made: Made) -> None:
        assert made.file, "what failed is not staged"
        found = self.run.staging.stage(made.file.path, made.file.data)
        output.path, output.size, output.time = made.file.path, found.st_size, found.st_mtime_ns
        output.sum = sum_of(made.file.data)
        output.inputs = self._inputs.of(output.kind, made.used)
        state.inputs[output.inputs] = self._inputs.now(output.inputs)
        self.run.staged.add(output.path)
        self.run.changed.add(state.name)


def _here_or_there(
    makers: Makers, batches: Iterable[list[Task]], together: int
) -> Iterator[tuple[list[Task], list[Made] | Lost]]:
    """The results of all batches: what is only copied is done here, as it comes by, the rest by the makers, so many
    batches together. Those of a parcel that is lost are tried each by itself: one of them may be to blame."""
    done: list[tuple[list[Task], list[Made]]] = []
    again: list[list[Task]] = []

    def others() -> Iterator[list[list[Task]]]:
        parcel: list[list[Task]] = []
        for batch in batches:
            if batch[0].kind in HERE:
                done.append((batch, worker_tasks.perform_all(batch)))
            elif len(parcel := [*parcel, batch]) == together:
                yield parcel
                parcel = []
        yield from [parcel] if parcel else []

    for parcel, found in makers.each(worker_tasks.perform_parcel, others()):
        if isinstance(found, Lost) and len(parcel) > 1:
            again += parcel
        else:
            yield from zip(parcel, [found] if isinstance(found, Lost) else found, strict=True)
        yield from done
        done.clear()
    yield from makers.each(worker_tasks.perform_all, again)
    yield from done
