"""Calamities for builds: killed, refused a write, out of disk, two at once. What stands afterwards must be a whole site.

``bash .dev/faults`` runs the long form and prints the counts; the tests run a short one. Each build is forked
from this process, where everything is imported already, so that the moments of a build are those of its work. Two
workshops take turns, so that each build has something to replace.
"""

import argparse
import contextlib
import gc
import io
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path

import smallshop
from testground import Ground, Outcome, Steps, ended, group_is_gone, leftovers, run_command

# --- the calamities --------------------------------------------------------------------------------------------


def kills(ground: Ground, count: int, seed: int = 1) -> Outcome:
    """Builds killed at random moments of their whole length; what they leave is gone after the next whole build."""
    chance, outcome = random.Random(seed), Outcome("killed at a random moment")
    site = ground.folder / "killed/site"
    ground.seed(site, 0)
    usual = max(ground.seconds)
    for n in range(count):
        old = ground.settled(site)
        delay = chance.uniform(0, 1.1 * usual)
        process = ground.begin(1 - old, site)
        time.sleep(delay)
        os.kill(process, signal.SIGKILL)
        ended(process)
        if not group_is_gone(process):
            outcome.broken.append(f"{delay:.3f} s: processes of the build went on")
        ground.judge(outcome, site, old, f"killed after {delay:.3f} s")
        if n % 20 == 19 or n == count - 1:
            _clean_after(ground, site, outcome)
    return outcome


def _clean_after(ground: Ground, site: Path, outcome: Outcome) -> None:
    """The next whole build succeeds and leaves nothing but the site."""
    which = 1 - ground.settled(site)
    if ground.built(which, site) != 0 or ground.settled(site) != which:
        outcome.broken.append(f"the next build did not succeed: {ground.said()[-300:]}")
    if left := leftovers(site.parent, site):
        outcome.broken.append(f"left behind: {left}")


def steps_of(ground: Ground, folder: Path, site: Path) -> int:
    """How many writing steps a build has."""
    old = ground.settled(site)
    told = ground.folder / "steps"

    def counting() -> None:
        hook = Steps(folder, 0, lambda _: None)
        sys.addaudithook(hook)
        end = os._exit

        def tell(code: int) -> None:
            told.write_text(str(hook.count))
            end(code)

        os._exit = tell  # type: ignore[assignment]

    assert ground.built(1 - old, site, counting) == 0, ground.said()
    return int(told.read_text())


def killed_at_steps(ground: Ground, count: int | None = None) -> Outcome:
    """Builds killed right before each writing step in turn; ``count`` takes so many of them, evenly."""
    outcome = Outcome("killed before a writing step")
    site = ground.folder / "stepped/site"
    ground.seed(site, 0)
    for n in _spread(steps_of(ground, site.parent, site), count):
        old = ground.settled(site)
        hook = Steps(site.parent, n, lambda _: os.kill(os.getpid(), signal.SIGKILL))
        process = ground.begin(1 - old, site, lambda hook=hook: sys.addaudithook(hook))
        ended(process)
        if not group_is_gone(process):
            outcome.broken.append(f"step {n}: processes of the build went on")
        ground.judge(outcome, site, old, f"killed at step {n}")
    _clean_after(ground, site, outcome)
    return outcome


def failed_steps(ground: Ground, count: int | None = None, *, on: bool = False) -> Outcome:
    """Builds in which each writing step in turn finds the disk full; ``on``: every later one as well."""
    from errno import ENOSPC

    outcome = Outcome("every write from one on failed" if on else "one write failed")
    site = ground.folder / "failing/site"
    ground.seed(site, 0)

    def fail(what: str) -> None:
        raise OSError(ENOSPC, os.strerror(ENOSPC), what)

    for n in _spread(steps_of(ground, site.parent, site), count):
        old = ground.settled(site)
        hook = Steps(site.parent, n, fail, on=on)
        code = ground.built(1 - old, site, lambda hook=hook: sys.addaudithook(hook))
        _judge_end(ground, outcome, site, old, code, f"step {n}")
    _clean_after(ground, site, outcome)
    return outcome


def _judge_end(ground: Ground, outcome: Outcome, site: Path, old: int, code: int, what: str) -> None:
    """A build that was refused something says so and ends with 1, or it succeeded all the same."""
    ground.judge(outcome, site, old, what)
    stands, said = ground.settled(site), ground.said()
    if code not in (0, 1) or "Traceback" in said:
        outcome.broken.append(f"{what}: ended with {code}: {said[-300:]}")
    if code == 0 and stands == old:
        outcome.broken.append(f"{what}: ended with 0, but the old site stands")
    if code == 1 and stands == old and not any(word in said for word in ("could not be written", "No space", "large")):
        outcome.broken.append(f"{what}: does not say what was wrong: {said[-300:]}")


def _spread(total: int, count: int | None) -> list[int]:
    """The steps 1 to ``total``, or ``count`` of them from the first to the last."""
    assert total > 10
    if count is None or count >= total:
        return list(range(1, total + 1))
    return sorted({1 + round(i * (total - 1) / (count - 1)) for i in range(count)})


def small_files(ground: Ground, sizes: int = 8) -> Outcome:
    """Builds whose files may not grow beyond some size: the system itself refuses a write in the middle of a file."""
    outcome = Outcome("a write refused by the system in the middle of a file")
    site = ground.folder / "limited/site"
    ground.seed(site, 0)
    largest = max(p.stat().st_size for p in site.rglob("*") if p.is_file())
    for i in range(sizes):
        size = 1 + largest * i // sizes
        old = ground.settled(site)

        def limit(size: int, pipe: int) -> None:
            for output in (1, 2):  # what is said goes to a pipe: a file would be limited as well
                os.dup2(pipe, output)
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

        read, pipe = os.pipe()
        process = ground.begin(1 - old, site, partial(limit, size, pipe))
        os.close(pipe)
        with os.fdopen(read, errors="replace") as end:
            said = end.read()
        code = ended(process)
        (ground.folder / "said").write_text(said)
        _judge_end(ground, outcome, site, old, code, f"files of at most {size} bytes")
    _clean_after(ground, site, outcome)
    return outcome


@contextlib.contextmanager
def small_disk(folder: Path) -> Iterator[Path]:
    """A disk of its own that can be made small. Raises PermissionError where that is not allowed."""
    folder.mkdir(parents=True)
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64m", "tmpfs", folder], check=False, capture_output=True, text=True
    )
    if done.returncode:
        raise PermissionError(done.stderr.strip())
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", folder], check=True)


def full_disk(ground: Ground, sizes: int) -> Outcome:
    """Builds on a real disk with too little room, from hardly any to just enough. Raises PermissionError."""
    outcome = Outcome("a disk without room")
    with small_disk(ground.folder / "disk") as disk:
        site = disk / "site"
        ground.seed(site, 0)
        needed = _used(disk)
        for i in range(sizes):
            old = ground.settled(site)
            size = _used(disk) + 4 + round(1.2 * needed * i / max(1, sizes - 1))
            subprocess.run(["mount", "-o", f"remount,size={size}k", disk], check=True)
            code = ground.built(1 - old, site)
            _judge_end(ground, outcome, site, old, code, f"a disk of {size} kB")
        subprocess.run(["mount", "-o", "remount,size=64m", disk], check=True)
        _clean_after(ground, site, outcome)
    return outcome


def _used(disk: Path) -> int:
    """What is used of a disk, kB."""
    found = os.statvfs(disk)
    return (found.f_blocks - found.f_bfree) * found.f_frsize // 1024


def read_only(ground: Ground) -> Outcome:
    """Builds into folders that may not be written to: the site itself, and the folder above it."""
    outcome = Outcome("a folder that may not be written to")
    ground.folder.chmod(0o755)
    (ground.folder / "said").chmod(0o666)
    for what in ("above", "both"):
        site = ground.folder / f"closed-{what}/site"
        ground.seed(site, 0)
        closed = [site.parent, *([site] if what == "both" else [])]
        for folder in closed:
            folder.chmod(0o555)
        try:
            code = ground.built(1, site, _as_nobody)
            _judge_end(ground, outcome, site, 0, code, f"closed: {what}")
            if code != 1 or "Permission denied" not in ground.said():
                outcome.broken.append(f"closed {what}: ended with {code}: {ground.said()[-300:]}")
        finally:
            for folder in closed:
                folder.chmod(0o755)
    return outcome


def _as_nobody() -> None:
    """The administrator may write anywhere, so the build runs as somebody else."""
    if os.getuid() == 0:
        os.setgid(65534)
        os.setuid(65534)


def two_at_once(ground: Ground, count: int, seed: int = 2) -> Outcome:
    """Two builds of different workshops into one folder at the same time; now and then one of the two is killed."""
    chance, outcome = random.Random(seed), Outcome("two builds at once")
    site = ground.folder / "both/site"
    ground.seed(site, 0)
    for n in range(count):
        first = ground.begin(0, site)
        time.sleep(chance.uniform(0, 0.3) * min(ground.seconds))
        second = ground.begin(1, site)
        killed = n % 3 == 2
        if killed:
            time.sleep(chance.uniform(0, 1) * min(ground.seconds))
            os.kill(second, signal.SIGKILL)
        codes = ended(first), ended(second)
        if codes[0] or (codes[1] and not killed):
            outcome.broken.append(f"run {n}: ended with {codes}: {ground.said()[-300:]}")
        ground.judge(outcome, site, 0, f"run {n}")
    _clean_after(ground, site, outcome)
    return outcome


# --- all of it -------------------------------------------------------------------------------------------------


def prepare(*, cards: bool) -> None:
    """Build once in this process, so that forked builds have all imported and parsed already."""
    with tempfile.TemporaryDirectory(prefix="calamities-") as name, contextlib.redirect_stdout(io.StringIO()):
        content = smallshop.write(Path(name) / "content")
        assert run_command(["build", str(content), "--out", f"{name}/site", *([] if cards else ["--no-cards"])]) == 0
    gc.collect()


SERIES: Mapping[str, tuple[Callable[[Ground, int | None], Outcome], int, int | None]] = {
    "kills": (lambda ground, n: kills(ground, n or 200), 20, 200),
    "steps": (killed_at_steps, 16, None),
    "writes": (failed_steps, 16, None),
    "every-write": (lambda ground, n: failed_steps(ground, n, on=True), 5, 20),
    "files": (lambda ground, n: small_files(ground, n or 8), 3, 8),
    "disk": (lambda ground, n: full_disk(ground, n or 20), 5, 20),
    "read-only": (lambda ground, _: read_only(ground), 2, None),
    "two": (lambda ground, n: two_at_once(ground, n or 20), 4, 20),
}
"""Each series with how many calamities its short and its long form have; None: all there are."""
NOT_ALLOWED = 3
"""Exit code where the system does not allow a series."""


def run(names: list[str], *, short: bool, cards: bool) -> int:
    """Some series, counts printed; 0 when all sites were whole, 1 when not, `NOT_ALLOWED` when one could not be tried."""
    prepare(cards=cards)
    with tempfile.TemporaryDirectory(prefix="calamities-") as name:
        ground = Ground(Path(name), cards=cards)
        print(f"A build takes {max(ground.seconds):.2f} s {'with' if cards else 'without'} cards.", flush=True)
        code = 0
        for series in names:
            work, few, many = SERIES[series]
            begun = time.monotonic()
            try:
                outcome = work(ground, few if short else many)
            except PermissionError as error:
                print(f"{series}: not tried: {error}", flush=True)
                code = code or NOT_ALLOWED
                continue
            print(f"{outcome} ({time.monotonic() - begun:.0f} s)", flush=True)
            code = 1 if outcome.broken else code
    return code


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Calamities for builds; what stands afterwards must be a whole site.")
    parser.add_argument("series", nargs="*", choices=[*SERIES, []], help="which of them; all unless said")
    parser.add_argument("--short", action="store_true", help="a few of each")
    parser.add_argument("--cards", action="store_true", help="with cards")
    given = parser.parse_args()
    sys.exit(run(given.series or list(SERIES), short=given.short, cards=given.cards))
