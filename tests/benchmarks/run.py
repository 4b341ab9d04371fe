"""The benchmarks: how fast a site is made, beside what a user would pick instead. ``bash .dev/bench --help``.

Every figure of a table comes from one run on one machine, so the ratios between its rows mean something even where the
machine is slow or busy.
"""

import argparse
import compileall
import os
import platform
import random
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from passport.render.theme.assets import templates
from tests.benchmarks import clusters
from tests.benchmarks.commands import CommandCost, measured, rows
from tests.benchmarks.peers import Peers
from tests.benchmarks.timing import Cost, module, passport
from tests.benchmarks.workshops import workshop

ROOT = Path(__file__).parents[2]
TARGET = ROOT / "tests/benchmarks/RESULTS.md"
BEGIN, END = "<!-- benchmarks: made by .dev/bench -->", "<!-- end of benchmarks -->"
COMMANDS = "<!-- commands: made by .dev/bench -->", "<!-- end of commands -->"
CLUSTERS = "<!-- clusters: made by .dev/bench -->", "<!-- end of clusters -->"
PAGES_A_FRAME = 1.4
"""At least; how many frames have so many pages."""


@dataclass(frozen=True, slots=True)
class Row:
    """One measurement: what was done with how many frames, and how many pages and cards came of it."""

    what: str
    frames: int
    cost: Cost
    pages: int = 0
    cards: int = 0

    def cells(self) -> list[str]:
        """The row of a table."""
        s = self.cost.seconds
        rates = (f"{count / s:,.0f}" if count else "" for count in (self.pages, self.cards))
        times = (f"{s:.2f}", f"{self.cost.cpu:.1f}", f"{self.cost.slow:.1f}")
        return [self.what, f"{self.frames:,}", *times, *rates, f"{self.cost.memory:.0f}"]


class Bench:
    """One run of the benchmarks in a folder of its own."""

    def __init__(self, folder: Path, peers: Peers | None, plain: int) -> None:
        """``plain`` is up to how many frames the plain loop is run, which takes its time."""
        self.folder, self.peers, self.plain = folder, peers, plain
        self.rows: list[Row] = []

    def add(self, what: str, frames: int, cost: Cost, pages: int = 0, cards: int = 0) -> None:
        """Keep a measurement, and say so."""
        row = Row(what, frames, cost, pages, cards)
        self.rows.append(row)
        took = f"{cost.seconds:8.2f} s (× {cost.slow:.1f})"
        print(f"{what:44} {frames:6,} frames  {took}  {cost.memory:6.0f} MB", flush=True)

    def of(self, what: str, frames: int) -> Row | None:
        """A measurement."""
        return next((row for row in self.rows if (row.what, row.frames) == (what, frames)), None)

    def measure(self, frames: int) -> None:
        """All measurements of a workshop with so many frames."""
        home = self.folder / str(frames)
        content = workshop(home / "content", frames)
        time.sleep(
            3
        )  # what was written a moment ago is looked at again by the next build, which is not what is measured
        site, cache = home / "site", home / "cache"
        build = ("build", content, "--out", site, "--cache", cache)
        self._build("full build", frames, *build)
        self._build("nothing changed", frames, *build, made=False)
        touched(content)
        self._build("one frame changed, with its card", frames, *build, made=False)
        number, said = some_frame(content)
        for what in ("find, the first time", "find"):
            self.add(what, frames, passport("find", content, said))
        self.add("show", frames, passport("show", content, number))
        self._pages(content, home, frames)
        if frames <= self.plain:
            out = home / "plain-loop"
            cost = module("tests.benchmarks.plain", content, out, "charts")
            self.add("plain loop", frames, cost, *counted(out))
            alone = ("build", content, "--out", home / "one", "--cache", home / "c3", "--jobs", "1")
            self._build("full build, one process", frames, *alone)
        shutil.rmtree(home)

    def many(self, pages: int) -> None:
        """So many pages at least, without cards: what the coordinator holds."""
        frames, home = round(pages / PAGES_A_FRAME), self.folder / "many"
        content = workshop(home / "content", frames)
        self._build(MANY, frames, "build", content, "--out", home / "site", "--cache", home / "cache", "--no-cards")
        shutil.rmtree(home)

    def _pages(self, content: Path, home: Path, frames: int) -> None:
        """The pages alone, with charts and without, and the same text by others."""
        build = ("build", content, "--out", home / "pages", "--cache", home / "c1", "--no-cards")
        self._build("pages only", frames, *build)
        bare = shutil.copytree(content, home / "bare")
        override(content, "frame", lambda text: text + "<!-- ours -->\n")
        self._build("one template changed, pages only", frames, *build, made=False)
        for name in WITH_CHARTS:
            override(bare, name, without_charts)
        plain = home / "plain"
        given = ("build", bare, "--out", plain, "--cache", home / "c2", "--no-cards")
        self._build("pages only, charts left out", frames, *given)
        if self.peers:
            for name, pages, cost in self.peers.each(plain, home / "peers"):
                self.add(name, frames, cost, pages)

    def _build(self, what: str, frames: int, *arguments: str | Path, made: bool = True) -> None:
        cost = passport(*arguments)
        out = Path(arguments[arguments.index("--out") + 1])
        self.add(what, frames, cost, *(counted(out) if made else ()))


MANY = "pages only, many"


def counted(site: Path) -> tuple[int, int]:
    """Pages and cards of a site."""
    return sum(1 for _ in site.rglob("*.html")), sum(1 for _ in site.rglob("*.pdf"))


def touched(content: Path) -> None:
    """Change one frame's record so that its page and its card change."""
    path = min((content / "players").glob("*/*.yaml"), key=lambda p: (p.name == "player.yaml", p))
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"(?m)^label: (.*)$", "label: Changed", text, count=1), encoding="utf-8")


def some_frame(content: Path) -> tuple[str, str]:
    """The number of a frame in the middle, and what one might remember of it."""
    paths = sorted(p for p in (content / "players").glob("*/*.yaml") if p.name != "player.yaml")
    path = random.Random(1).choice(paths)
    number = re.search(r"(?m)^number: (\S+)", path.read_text(encoding="utf-8"))
    assert number
    return number[1], path.parent.name


def override(content: Path, name: str, change) -> None:
    """Lay a changed copy of a page's template over the shipped one."""
    own = content / f"templates/pages/{name}.html.j2"
    own.parent.mkdir(parents=True, exist_ok=True)
    own.write_text(change((templates() / f"pages/{name}.html.j2").read_text(encoding="utf-8")), encoding="utf-8")


WITH_CHARTS = ("frame", "player", "life", "bench", "fresh", "base")
"""Page templates that ask for a drawing."""


def without_charts(text: str) -> str:
    """A template that asks for no drawing."""
    text = re.sub(r"\{\{ (charts(\.\w+|\[[^]]*\])|group\.chart|ornament|bar) \}\}", "", text)
    return text.replace("{% if charts.beds %}", "{% if frame.hold %}")


# --- the table -------------------------------------------------------------------------------------------------


def ratios(bench: Bench, sizes: list[int]) -> Iterator[list[str]]:
    """What was to be reached, and what was."""
    of, large, small = bench.of, max(sizes), min(sizes)
    plain = next((n for n in sorted(sizes, reverse=True) if of("plain loop", n)), 0)
    if plain and (full := of("full build", plain)) and (loop := of("plain loop", plain)):
        ratio = loop.cost.seconds / full.cost.seconds
        yield [f"full build against the plain loop, {plain:,} frames", "at least 6 times as fast", f"{ratio:.1f} times"]
        if one := of("full build, one process", plain):
            ratio = loop.cost.cpu / one.cost.cpu
            what = f"the same by CPU, one process, {plain:,} frames"
            yield [what, "at least 2.5 times as little", f"{ratio:.1f} times"]
    if full := of("full build", 1000):
        yield ["1,000 frames with cards", "under 60 s", f"{full.cost.seconds:.1f} s"]
    middle = 1000 if 1000 in sizes else large
    bare = of("pages only, charts left out", middle)
    for row in bench.rows:
        if bare and row.frames == middle and row.what.split()[0] in ("Pelican", "MkDocs", "Hugo", "Eleventy"):
            if row.what.startswith("Eleventy"):
                ratio = (bare.cost.cpu / bare.pages) / (row.cost.cpu / row.pages)
                yield [
                    f"a page by CPU, charts left out, against {row.what}, {middle:,} frames",
                    "at most 4 times",
                    f"{ratio:.1f} times",
                ]
                continue
            ratio = (row.cost.seconds / row.pages) / (bare.cost.seconds / bare.pages)
            ours = f"{ratio:.1f} times as fast" if ratio >= 1 else f"{1 / ratio:.1f} times as long"
            goal = "at most 10 times as long" if row.what.startswith("Hugo") else "faster"
            yield [f"a page, charts left out, against {row.what}, {middle:,} frames", goal, ours]
    for name, reason in bench.peers.lacking.items() if bench.peers else ():
        if reason:
            yield [f"a page by CPU, charts left out, against {name}", "", f"not measured: {reason}"]
    if (charts := of("pages only", middle)) and bare:
        ratio = charts.cost.seconds / bare.cost.seconds
        yield [f"pages with charts against pages without, {middle:,} frames", "", f"{ratio:.1f} times as long"]
    for what, goal in (
        ("nothing changed", 1.5),
        ("one frame changed, with its card", 2.5),
        ("find", 0.4),
        ("show", 0.4),
    ):
        if row := of(what, large):
            yield [f"{what}, {large:,} frames", f"under {goal} s", f"{row.cost.seconds:.2f} s"]
    before, after = of("full build", middle), of("full build", large)
    if before and after and large > middle > 0:
        grown, more = after.cost.seconds / before.cost.seconds, large / middle
        yield [f"time from {middle:,} to {large:,} frames", f"at most {more:.0f} times", f"{grown:.1f} times"]
        held = after.cost.memory / before.cost.memory
        yield [f"memory from {middle:,} to {large:,} frames", f"at most {more:.0f} times", f"{held:.1f} times"]
        yield [f"memory of the coordinator, {large:,} frames", "under 600 MB", f"{after.cost.memory:.0f} MB"]
    assert small


def held(bench: Bench) -> Iterator[list[str]]:
    """What was to be held of very many pages, and what was."""
    for row in bench.rows:
        if row.what == MANY:
            yield [f"memory of the coordinator, {row.pages:,} pages", "under 800 MB", f"{row.cost.memory:.0f} MB"]


def table(head: list[str], rows: list[list[str]]) -> str:
    """A Markdown table; all columns but the first are numbers."""
    lines = [f"| {' | '.join(head)} |", f"|---|{'---:|' * (len(head) - 1)}"]
    return "\n".join([*lines, *(f"| {' | '.join(row)} |" for row in rows)])


def machine() -> str:
    """What it ran on."""
    cpu = Path("/proc/cpuinfo")
    found = re.search(r"model name\s*: (.*)", cpu.read_text(encoding="utf-8")) if cpu.exists() else None
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    load = ", ".join(f"{value:.1f}" for value in os.getloadavg())
    return (
        f"{date.today().isoformat()}, {cores} cores ({found[1] if found else platform.machine()}), {memory:.0f} GiB, "
        f"{platform.system()}, Python {platform.python_version()}; load {load} at the end of the run."
    )


def report(bench: Bench, sizes: list[int]) -> str:
    """All of it as Markdown."""
    head = ["", "frames", "s", "CPU s", "pace", "pages/s", "cards/s", "MB"]
    parts = [machine(), table(["", "wanted", "measured"], [*ratios(bench, sizes), *held(bench)])]
    return "\n\n".join([*parts, table(head, [row.cells() for row in bench.rows])])


def write(text: str, between: tuple[str, str] = (BEGIN, END)) -> None:
    """Put a report into RESULTS.md, between two marks."""
    begin, end = between
    whole = TARGET.read_text(encoding="utf-8")
    before, _, rest = whole.partition(begin)
    TARGET.write_text(f"{before}{begin}\n\n{text}\n\n{end}{rest.partition(end)[2]}", encoding="utf-8")


def _commands(folder: Path, sizes: list[int], *, keep: bool) -> str:
    """Measure every command, and what it wrote into RESULTS.md."""
    found: list[CommandCost] = []
    for one in measured(folder / "commands", sizes):
        found.append(one)
        print(f"{one.what:44} {one.frames:6,} frames  {one.cpu:8.2f} s CPU (× {one.slow:.1f})", flush=True)
    shutil.rmtree(folder / "commands")
    head = ["", *(f"{size:,} frames, CPU s (× pace)" for size in sizes), "last : first", "wanted", "growth"]
    text = f"{machine()}\n\n{table(head, list(rows(found, sizes)))}"
    if keep:
        write(text, COMMANDS)
    return text


def _clusters(folder: Path, workers: list[int], *, keep: bool) -> str:
    """Measure what a cluster's sides cost, and work out how many workers there could be."""
    found: list[clusters.Share] = []
    for one in clusters.shares(folder / "clusters", workers=workers):
        found.append(one)
        print(f"a cluster of {one.workers:31} {1000 * one.making:8.1f} ms CPU a frame", flush=True)
    shutil.rmtree(folder / "clusters")
    tables = table(clusters.HEAD, list(clusters.rows(found))), table(clusters.MODEL_HEAD, list(clusters.model(found)))
    text = "\n\n".join([machine(), *tables])
    if keep:
        write(text, CLUSTERS)
    return text


def _sizes(text: str) -> list[int]:
    """Sizes as they are given; none of "0"."""
    return sorted({int(size) for size in text.split(",")} - {0})


def main() -> None:
    """Measure, and print the tables."""
    parser = argparse.ArgumentParser(prog="bash .dev/bench", description=__doc__)
    add = parser.add_argument
    add("--frames", default="100,1000", help="builds of workshops of these sizes, as in 100,1000,10000; 0: none")
    add("--plain", type=int, default=100, help="up to how many frames the plain loop is run")
    add("--no-peers", action="store_true", help="without Pelican, MkDocs, Hugo and Eleventy")
    add("--many", type=int, default=0, help="the memory of a build of so many pages, as in 50000")
    add("--commands", default="18,250,1000", help="every command at these sizes, as in 250,1000,4000; 0: none")
    add("--cluster", default="1,2,4", help="a Dask cluster with so many workers here; 0: none")
    add("--write", action="store_true", help="put the tables into RESULTS.md as they are done")
    add("--keep", type=Path, default=Path(".venv/peers"), help="where the others are installed")
    given = parser.parse_args()
    sizes, commands, workers = _sizes(given.frames), _sizes(given.commands), _sizes(given.cluster)
    compileall.compile_dir(ROOT / "passport", quiet=1)  # as an installation has it, and as the others have theirs
    tables: list[str] = []
    with tempfile.TemporaryDirectory(prefix="passport-bench-") as name:
        folder = Path(name)
        if commands:
            tables.append(_commands(folder, commands, keep=given.write))
        if workers:
            tables.append(_clusters(folder, workers, keep=given.write))
        if sizes:
            tables.append(_builds(folder, sizes, given))
    print("\n" + "\n\n".join(tables))


def _builds(folder: Path, sizes: list[int], given: argparse.Namespace) -> str:
    """Measure builds of all sizes, beside the others'."""
    bench, text = Bench(folder, None if given.no_peers else Peers(given.keep.resolve()), given.plain), ""
    for done, size in enumerate(sizes, 1):
        bench.measure(size)
        if given.many and done == len(sizes):
            bench.many(given.many)
        text = report(bench, sizes[:done])
        if given.write:  # after each size: the largest may take long, and somebody may not wait for it
            write(text)
    return text


if __name__ == "__main__":
    sys.exit(main())
