"""Changes the program at one place at a time and looks whether the tests nearest to that place notice it.

    python tests/support/mutants.py [MODULE …] [--sample 40] [--seed 1]

MODULE is a group of `GROUPS` or a part of a path such as ``ledger/repair``. cosmic-ray makes the changes (its operators:
another sign, comparison, number or condition, a loop or a decorator less); the driver around it is ours for two reasons:
its own takes a new process with all imports for each change, and takes all changes or none. Here the tests run in forks
of one process that has the libraries loaded, on a copy of the checkout, the quickest first, and places are drawn with a
fixed seed: each place of the code at most once, whatever number of changes its operators know there.

A change is killed if a test fails or if the tests take longer than the time limit. Prints the counts of each group and
the table of the survivors, each with the reason of `NAMED` where it is known why nothing can notice it.
"""

import argparse
import ast
import json
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
_SEAL = "passport/render/pages/seal.py"
_SERVER = ["passport/browser/previewing.py", *(f"passport/publish/build/{name}.py" for name in ("preview", "watching"))]
_REFERENCE = [
    f"tests/reference/test_ref_{name}.py"
    for name in ("ageing", "beds", "body", "moments", "normal", "pendulum", "readings", "stringbed", "stringpath", "uncertainty", "units")
]  # fmt: skip
GROUPS: dict[str, tuple[list[str], list[str]]] = {
    "physics": (
        ["passport/physics"],
        ["tests/physics", *_REFERENCE, "tests/workshop/strings/test_string_priors.py", "tests/workshop/strings/test_beds.py"],
    ),
    "checks": (
        ["passport/records/checks"],
        ["tests/records/checks", "tests/whole/test_fault_catalogue.py", "tests/whole/test_instruments_checked.py"],
    ),
    "ledger": (
        ["passport/records/ledger"],
        ["tests/records/ledger", "tests/records/transaction/test_transaction.py", "tests/cli/commands/workshop/test_addresses.py",
         "tests/publish/folder/test_manifest.py", "tests/acts/safekeeping/test_backup.py", "tests/whole/test_threat_clocks.py"],
    ),
    "folder": (
        ["passport/publish/folder"],
        ["tests/publish/folder", "tests/cli/commands/workshop/test_build.py", "tests/whole/test_threat_rights.py",
         "tests/cli/commands/workshop/test_addresses.py"],
    ),
    "seal": ([_SEAL], ["tests/render/pages/test_seal.py", "tests/publish/folder/test_manifest.py"]),
    "server": (
        _SERVER,
        ["tests/browser/test_previewing.py", "tests/publish/build/test_preview.py", "tests/publish/build/test_watching.py",
         "tests/cli/commands/workshop/test_preview.py"],
    ),
}  # fmt: skip
"""What is changed, and the tests that are near to it."""
_P = "passport/physics"
NAMED: dict[str, str] = {
    f"{_P}/bedfit.py: log_density = 0.0 → log_density = 1.0": "the same is added to all that is compared",
    f"{_P}/pooling.py: if len(told) > 1: → if len(told) != 1:": "of no bed every scatter is as probable as it was",
    f'{_P}/stringpath.py: spots: list[tuple[Side, Spot]] = [("mains", mains[0].outer(1 - head)), ("crosses", '
    'last.outer(0))] → spots: list[tuple[Side, Spot]] = [("mains", mains[0].outer(1 ^ head)), ("crosses", '
    "last.outer(0))]": "1 − n and 1 ^ n are one for 0 and 1",
    "passport/records/ledger/lines.py: @dataclass(frozen=True, slots=True) → @dataclass(frozen=True, slots=False)": "only "
    "more memory",
    "passport/records/ledger/repair.py: same = sum(a == b for a, b in zip(one, other, strict=True)) → same = sum(a >= b for "
    "a, b in zip(one, other, strict=True))": "a quick look that spares a slow one, which decides",
    "passport/publish/folder/staging.py: if not number or self.files.get(path) != number: → if not number or "
    "self.files.get(path) is not number:": "what is there already is linked once more",
    "passport/publish/build/preview.py: yield from (t for t in tasks if t.key == folder and t.kind in SEALABLE and "
    "made(t).path == path) → yield from (t for t in tasks if t.key <= folder and t.kind in SEALABLE and made(t).path == "
    "path)": "the path of what is made decides",
    'passport/publish/folder/swap.py: if sys.platform == "darwin": → if sys.platform < "darwin":': "the tests run on Linux",
}
"""Why nothing can notice a change, by ``module: before → after`` with the lines without their spaces around."""

TOGETHER = 30.0
"""Seconds that the near tests of a group may take without a change; the slowest ones beyond that are left out."""
LIMIT = 3.0
"""A change may make the tests take so many times their own time, in seconds of the processor and of the clock."""
WAIT = 240.0
"""Seconds of the clock after which tests that wait for something have failed."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change: of which module, from which text to which."""

    module: str
    line: int
    operator: str
    before: str
    after: str
    text: str = field(repr=False)

    @property
    def name(self) -> str:
        """What is changed, as `NAMED` has it."""
        return f"{self.module}: {self.before} → {self.after}"


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a module that an operator can change in one way: its ``occurrence``-th."""

    module: str
    begin: tuple[int, int]
    end: tuple[int, int]
    operator: str
    occurrence: int


# --- what can be changed -----------------------------------------------------------------------------------------


def places(module: str, text: str) -> Iterator[Place]:
    """Every change that cosmic-ray knows of a module, but those of annotations, which do nothing when they run."""
    from cosmic_ray import plugins
    from cosmic_ray.ast import ast_nodes, get_ast

    tree, idle = get_ast(text), list(_annotations(text))
    for name in plugins.operator_names():
        made = plugins.get_operator(name)
        if made.arguments():
            continue
        operator = made()
        spans = (span for node in ast_nodes(tree) for span in operator.mutation_positions(node))
        for occurrence, (begin, end) in enumerate(spans):
            if not any(first <= begin and end <= last for first, last in idle):
                yield Place(module, begin, end, name, occurrence)


def _annotations(text: str) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    for node in ast.walk(ast.parse(text)):
        found = [getattr(node, "returns", None)] if isinstance(node, ast.FunctionDef) else []
        found += [node.annotation] if isinstance(node, ast.arg | ast.AnnAssign) else []
        for part in found:
            if part is not None:
                # ast counts columns in bytes; no line with an annotation here has a letter of more than one before it
                yield (part.lineno, part.col_offset), (part.end_lineno or 0, part.end_col_offset or 0)


def drawn(copy: Path, modules: Iterable[str], most: int, seed: int) -> tuple[list[Change], int]:
    """A sample of the changes of modules, each place once, and how many places there are."""
    chance = random.Random(seed)
    ways: dict[tuple[str, tuple[int, int], tuple[int, int]], list[Place]] = {}
    for module in modules:
        for place in places(module, (copy / module).read_text(encoding="utf-8")):
            ways.setdefault((place.module, place.begin, place.end), []).append(place)
    spots = sorted(ways)
    chance.shuffle(spots)
    found: list[Change] = []
    for spot in spots:
        change = _made(copy, chance.choice(ways[spot]))
        if change:
            found.append(change)
        if len(found) == most:
            break
    return sorted(found, key=lambda c: (c.module, c.line)), len(spots)


def _made(copy: Path, place: Place) -> Change | None:
    from cosmic_ray import plugins
    from cosmic_ray.mutating import mutate_code

    text = (copy / place.module).read_text(encoding="utf-8")
    changed = mutate_code(text, plugins.get_operator(place.operator)(), place.occurrence)
    try:
        if changed is None or ast.dump(ast.parse(changed)) == ast.dump(ast.parse(text)):
            return None
    except SyntaxError:
        return None
    old, new = text.splitlines(), changed.splitlines()
    line = next((n for n, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), 0)
    after = new[line].strip() if len(old) == len(new) else "(taken out)"
    name = place.operator.partition("/")[2].removeprefix("Replace")
    return Change(place.module, line + 1, name, old[line].strip(), " ".join(after.split()), changed)


# --- the tests, in a fork of this process --------------------------------------------------------------------------


class Chosen:
    """A pytest plugin that runs the tests with known times, quickest files and tests first, and notes their times."""

    def __init__(self, times: dict[str, float] | None = None) -> None:
        self.known, self.times, self.failed = times, dict[str, float](), ""

    def pytest_collection_modifyitems(self, items: list) -> None:
        """Put the quickest first, and leave out what is too slow."""
        if self.known is None:
            return
        known, files = self.known, dict[str, float]()
        for name, seconds in known.items():
            files[name.partition("::")[0]] = files.get(name.partition("::")[0], 0.0) + seconds
        kept = [item for item in items if item.nodeid in known]
        items[:] = sorted(
            kept, key=lambda i: (files[i.nodeid.partition("::")[0]], i.nodeid.partition("::")[0], known[i.nodeid])
        )

    def pytest_runtest_logreport(self, report) -> None:
        """Add up the time of a test with what it needs."""
        self.times[report.nodeid] = self.times.get(report.nodeid, 0.0) + report.duration
        if report.failed and not self.failed:
            self.failed = report.nodeid


def in_a_fork(work: Callable[[], object], seconds: float, wait: float) -> object:
    """What some work gives, done in a fork with so many seconds of the processor and of the clock; None if it takes longer."""
    with tempfile.NamedTemporaryFile() as told:
        child = os.fork()
        if not child:
            os.setsid()
            resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
            nothing = os.open(os.devnull, os.O_RDWR)
            for stream in range(3):
                os.dup2(nothing, stream)
            try:
                result = work()
                Path(told.name).write_text(json.dumps(result), encoding="utf-8")
            finally:
                os._exit(0)
        try:
            until = time.monotonic() + wait
            while time.monotonic() < until and os.waitpid(child, os.WNOHANG) == (0, 0):
                time.sleep(0.02)
        finally:
            with suppress(ProcessLookupError):
                os.killpg(child, signal.SIGKILL)  # what takes too long, and what the tests started and left
            with suppress(ChildProcessError):
                os.waitpid(child, 0)
        text = Path(told.name).read_text(encoding="utf-8")
    return json.loads(text) if text else None


def tested(copy: Path, tests: Sequence[str], times: dict[str, float] | None) -> tuple[int, str, dict[str, float]]:
    """Run tests of a copy of the checkout in this process: how pytest ended, the first that failed, the times."""
    import pytest

    os.chdir(copy)
    os.environ["PYTHONPATH"] = str(copy)
    sys.path.insert(0, str(copy))
    plugin = Chosen(times)
    stop = ["-x"] if times is not None else []
    early = "ignore::pytest.PytestAssertRewriteWarning"  # of hypothesis, which is loaded already
    code = pytest.main(["-q", "-p", "no:cacheprovider", "-W", early, *stop, *tests], plugins=[plugin])
    return int(code), plugin.failed, plugin.times


def copied(folder: Path) -> Path:
    """A copy of what belongs to the checkout, with modules compiled so that a changed one is noticed by its text."""
    told = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    names = subprocess.run(told, cwd=ROOT, check=True, capture_output=True, text=True).stdout.split("\0")
    for name in filter(None, names):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    made = [sys.executable, "-m", "compileall", "-q", "--invalidation-mode", "checked-hash", str(folder / "passport")]
    subprocess.run(made, check=True)
    return folder


def _loaded() -> None:
    """Load what does not belong to the project, once for all forks."""
    for name in (
        "babel.dates", "click.testing", "cryptography.hazmat.primitives.ciphers.aead", "hypothesis.strategies", "jinja2",
        "matplotlib.figure", "numpy", "PIL.Image", "pydantic", "pytest", "rich.console", "scipy.optimize", "scipy.special",
        "scipy.stats", "yaml",
    ):  # fmt: skip
        import_module(name)


# --- the table -----------------------------------------------------------------------------------------------------


@dataclass
class Group:
    """How the changes of a group ended."""

    name: str
    places: int
    killed: int = 0
    slow: int = 0
    survived: list[Change] = field(default_factory=list)

    @property
    def line(self) -> str:
        """The line of the table."""
        tried = self.killed + self.slow + len(self.survived)
        named = sum(change.name in NAMED for change in self.survived)
        share = f"{100 * (self.killed + self.slow) / tried:.0f} %" if tried else "–"
        return f"| {self.name} | {self.places:,} | {tried} | {self.killed} | {self.slow} | {len(self.survived)} | {named} | {share} |"


def tried(name: str, modules: Sequence[str], copy: Path, most: int, seed: int, told: Callable[[str], None]) -> Group:
    """Change the modules of a group at a sample of places, one at a time, and run the near tests."""
    tests = [test for test in GROUPS[name][1] if (copy / test).exists()]
    whole = in_a_fork(lambda: tested(copy, tests, None), 600, 900)
    if not isinstance(whole, list) or whole[0]:
        raise SystemExit(f"{name}: without any change the tests do not pass: {whole and whole[1]}")
    times, together = dict[str, float](), 0.0
    for test, seconds in sorted(whole[2].items(), key=lambda item: item[1]):
        together += seconds
        if together <= TOGETHER:
            times[test] = seconds
    used = sum(times.values())
    told(f"{name}: {len(times)} of {len(whole[2])} near tests in {used:.0f} s")
    changes, found = drawn(copy, modules, most, seed)
    group = Group(name, found)
    for change in changes:
        path, start = copy / change.module, time.monotonic()
        text = path.read_text(encoding="utf-8")
        path.write_text(change.text, encoding="utf-8")
        try:
            ended = in_a_fork(lambda: tested(copy, tests, times), 10 + LIMIT * used, WAIT)
        finally:
            path.write_text(text, encoding="utf-8")
        if ended is None:
            group.slow += 1
        elif isinstance(ended, list) and ended[0]:
            group.killed += 1
        else:
            group.survived.append(change)
        how = (
            "too slow"
            if ended is None
            else f"killed by {ended[1] or 'an error at the start'}"
            if ended[0]
            else "SURVIVED"
        )  # type: ignore[index]
        told(
            f"  {time.monotonic() - start:.0f} s {change.module}:{change.line} {change.before} → {change.after}: {how}"
        )
    return group


def chosen(asked: Sequence[str]) -> dict[str, list[str]]:
    """The modules of each group that were asked for; all where none was."""
    found: dict[str, list[str]] = {}
    for name, (parts, _) in GROUPS.items():
        files = [
            path
            for part in parts
            for path in (sorted((ROOT / part).glob("*.py")) if not part.endswith(".py") else [ROOT / part])
        ]
        names = [path.relative_to(ROOT).as_posix() for path in files]
        kept = [n for n in names if not asked or name in asked or any(a not in GROUPS and a in n for a in asked)]
        if kept:
            found[name] = kept
    return found


def main() -> int:
    """Change, test, print the tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("module", nargs="*", help=f"one of {', '.join(GROUPS)}, or a part of a module's path")
    parser.add_argument("--sample", type=int, default=40, help="changes of each group")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    groups = chosen(given.module)
    if not groups:
        parser.error(f"nothing is called so; there is {', '.join(GROUPS)}")
    _loaded()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # so that the copy and the tests at work go too

    def told(line: str) -> None:
        print(line, file=sys.stderr, flush=True)

    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        copy = copied(Path(folder))
        ends = [tried(name, modules, copy, given.sample, given.seed, told) for name, modules in groups.items()]
    print("| Group | Places | Tried | Killed | Too slow | Survived | Of these named | Killed of all |")
    print("|---|---|---|---|---|---|---|---|")
    print("\n".join(group.line for group in ends))
    survivors = [change for group in ends for change in group.survived]
    if survivors:
        print("\n| Survivor | Before | After | Why nothing can notice it |\n|---|---|---|---|")
        for c in survivors:
            before, after = (f"`{text}`".replace("|", "\\|") for text in (c.before, c.after))
            print(f"| {c.module}:{c.line} | {before} | {after} | {NAMED.get(c.name, 'not known yet')} |")
    return int(any(change.name not in NAMED for change in survivors))


if __name__ == "__main__":
    sys.exit(main())
