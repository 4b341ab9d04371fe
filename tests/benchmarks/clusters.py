"""What a cluster makes of a build: measured with a few workers on this computer, worked out for more.

A build with a cluster costs this computer the reading of the records (in as many processes as it has cores), then the
handing out and taking in of what is made (one process), and the workers the making. The second build of each pair reads
nothing, since only a style changed: what it costs is the handing out, and the rest of the first one is the reading.

The workers share this computer's cores, so the clock tells how many of them it can bear, and CPU time how many there
could be elsewhere.
"""

import os
import shutil
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.timing import passport
from tests.benchmarks.workshops import workshop
from tests.support.clustering import cluster

FRAMES = (80, 320)
"""Two sizes, whose difference leaves out what the start of the programs costs."""
WORKERS = (1, 2, 4)
MODELLED = (8, 16, 32, 64)


@dataclass(frozen=True, slots=True)
class Share:
    """What a frame with its card cost, CPU s: reading, handing out, and the workers' making, with so many workers here;
    ``seconds`` by the clock where nothing is read, ``same`` whether the files are those of a build without."""

    workers: int
    reading: float
    handing: float
    making: float
    seconds: float
    same: bool

    def seconds_with(self, workers: int, cores: int) -> float:
        """A frame's time by the clock in a long build with workers elsewhere, s: the records are read before anything
        is handed out, and then the slower of both sides sets the pace."""
        return self.reading / cores + max(self.handing, self.making / workers)

    def times(self, workers: int, cores: int) -> float:
        """How many times as fast as all of it by one core."""
        return (self.reading + self.handing + self.making) / self.seconds_with(workers, cores)


@dataclass(frozen=True, slots=True)
class _Builds:
    """CPU time of a whole build, of one that reads nothing, and of the workers for one of them, s."""

    whole: float
    handed: float
    made: float
    seconds: float
    same: bool


def shares(folder: Path, frames: tuple[int, int] = FRAMES, workers: Sequence[int] = WORKERS) -> Iterator[Share]:
    """The shares with so many workers each, by the difference of two sizes."""
    contents = [workshop(folder / f"content-{size}", size) for size in frames]
    more = frames[1] - frames[0]
    for count in workers:
        few, many = (_builds(content, folder / f"{count}-{content.name}", count) for content in contents)
        handing = (many.handed - few.handed) / more
        reading = (many.whole - few.whole) / more - handing
        yield Share(
            count,
            max(0.0, reading),
            handing,
            (many.made - few.made) / more,
            (many.seconds - few.seconds) / more,
            few.same and many.same,
        )


def _builds(content: Path, home: Path, count: int) -> _Builds:
    """Builds with so many workers, of which the second one reads nothing, and one without a cluster beside them."""
    style = content / "style/extra.css"
    style.parent.mkdir(exist_ok=True)
    style.write_text("/* one */\n", encoding="utf-8")
    with cluster(home / "cluster", count) as running:
        call = ("--out", home / "site", "--cache", home / "cache", "--scheduler", running.address)
        passport("build", content, *call)  # every worker has loaded what it needs
        begun = sum(_cpu(worker.pid) for worker in running.workers)
        whole = passport("build", content, *call, "--anew")
        style.write_text("/* another */\n", encoding="utf-8")
        handed = passport("build", content, *call)
        made = sum(_cpu(worker.pid) for worker in running.workers) - begun
    passport("build", content, "--out", home / "alone", "--cache", home / "alone-cache")
    same = _bytes(home / "site") == _bytes(home / "alone")
    shutil.rmtree(home)
    slow = (whole.slow + handed.slow) / 2  # the workers' time is told at the usual speed too
    return _Builds(whole.cpu, handed.cpu, made / 2 / slow, handed.seconds, same)


def _cpu(pid: int) -> float:
    """The CPU time of a process so far, s (proc(5), fields 14 and 15 of ``stat``)."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _bytes(site: Path) -> dict[str, bytes]:
    """What a site is made of; not the list of it, whose wrapping is new each time."""
    names = (path for path in sorted(site.rglob("*")) if path.is_file())
    return {path.relative_to(site).as_posix(): path.read_bytes() for path in names if "manifest" not in path.name}


HEAD = [
    "workers here",
    "reading, CPU ms a frame",
    "handing out",
    "making",
    "ms by the clock, nothing read",
    "same files",
]


def rows(found: Sequence[Share]) -> Iterator[list[str]]:
    """What was measured."""
    for one in found:
        costs = (f"{1000 * share:.1f}" for share in (one.reading, one.handing, one.making))
        yield [str(one.workers), *costs, f"{1000 * one.seconds:.1f}", "yes" if one.same else "no"]


MODEL_HEAD = ["workers elsewhere", "this computer has 2 cores", "8 cores", "16 cores"]


def model(found: Sequence[Share]) -> Iterator[list[str]]:
    """How many times as fast as one core, by the mean of what was measured."""
    parts = ([one.reading for one in found], [one.handing for one in found], [one.making for one in found])
    mean = Share(0, *(sum(part) / len(found) for part in parts), seconds=0.0, same=True)
    for workers in MODELLED:
        yield [str(workers), *(f"{mean.times(workers, cores):.1f} times" for cores in (2, 8, 16))]
