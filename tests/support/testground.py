"""Where calamities befall builds: two workshops whose sites are known, builds that can be killed, steps that can fail."""

import hashlib
import os
import shutil
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import smallshop

from passport.records.schema import numbers
from passport.records.transaction import ledger_file

_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_EVENTS = {
    "os.mkdir",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.chmod",
    "os.link",
    "os.symlink",
    "os.truncate",
    "os.utime",
}
SECOND = {
    "workshop.yaml": smallshop.FILES["workshop.yaml"].replace("Strung by hand.", "Measured by hand."),
    "players/ada/main.yaml": smallshop.FILES["players/ada/main.yaml"].replace("label: Main", "label: First"),
    "players/bo/only.yaml": smallshop.FILES["players/bo/only.yaml"].replace("50 lb", "48 lb"),
    "pages/care.md": "# Care of strings\n\nKeep them cool.\n",
    "pages/travel.md": "# On the road\n\nNot in the hold.\n",
}
"""What differs in the second workshop."""


def manifest(site: Path) -> dict[str, str]:
    """Every file of a site with its fingerprint; nothing where there is no site."""
    found = (p for p in site.rglob("*") if p.is_file() and not p.is_symlink())
    return {p.relative_to(site).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest() for p in found}


THEIRS = {"CNAME": "cards.example\n", ".git/HEAD": "ref: refs/heads/pages\n", ".well-known/proof.txt": "4711\n"}
"""What hosts and version control put into a site's folder: every site has to have it, whatever happens."""


def put_theirs(site: Path) -> None:
    """Put the files of others into a site's folder."""
    for path, text in THEIRS.items():
        (site / path).parent.mkdir(parents=True, exist_ok=True)
        (site / path).write_text(text, encoding="utf-8")


@dataclass
class Outcome:
    """What came of a series of calamities: how many left the old site, how many the new one, and every one that did not."""

    name: str
    tried: int = 0
    old: int = 0
    new: int = 0
    broken: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        """The counts in a line, and what was broken below it."""
        said = f"{self.name}: {self.tried} tried, the old site stood {self.old} times, the new one {self.new} times"
        return f"{said}, {len(self.broken)} broken" + "".join(f"\n  {what}" for what in self.broken[:10])


class Ground:
    """A folder with two workshops and what their sites are when they are built from nothing, undisturbed."""

    def __init__(self, folder: Path, *, cards: bool) -> None:
        self.folder, self.cards = folder, cards
        self.contents = (folder / "one", folder / "two")
        smallshop.write(self.contents[0])
        smallshop.write(self.contents[1], SECOND)
        for content in self.contents:  # two states of one workshop, whose manifest each of them can open
            ledger_file.write_key(content, "7" * numbers.SECRET_LENGTH)
        self.whole: list[dict[str, str]] = []
        self.seconds: list[float] = []
        for i in (0, 1):
            reference = folder / f"reference-{i}"
            begun = time.monotonic()
            assert self.built(i, reference) == 0, (folder / "said").read_text()
            self.seconds.append(time.monotonic() - begun)
            put_theirs(reference)
            self.whole.append(manifest(reference))
            shutil.rmtree(reference)
        assert self.whole[0] != self.whole[1]

    def begin(self, which: int, site: Path, before: Callable[[], None] = lambda: None) -> int:
        """Fork a build of one of the workshops; the process, which leads a group of its own."""
        process = os.fork()
        if process:
            return process
        code = 70
        try:
            os.setsid()
            said = os.open(self.folder / "said", os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666)
            os.dup2(said, 1)
            os.dup2(said, 2)
            os.chdir(self.folder)
            before()
            code = run_command(
                ["build", str(self.contents[which]), "--out", str(site), *([] if self.cards else ["--no-cards"])]
            )
        finally:
            os._exit(code)

    def built(self, which: int, site: Path, before: Callable[[], None] = lambda: None) -> int:
        """Build a workshop to its end; the exit code."""
        return ended(self.begin(which, site, before))

    def settled(self, site: Path) -> int:
        """Which of the two sites stands at a place, whole; -1 where it is neither."""
        found = manifest(site)
        return next((i for i in (0, 1) if found == self.whole[i]), -1)

    def seed(self, site: Path, which: int) -> None:
        """Have a workshop's site stand at a place, whatever stood there."""
        if self.settled(site) != which:
            assert self.built(which, site) == 0, self.said()
            put_theirs(site)
            assert self.settled(site) == which

    def said(self) -> str:
        """What the last build said."""
        return (self.folder / "said").read_text(errors="replace")

    def judge(self, outcome: Outcome, site: Path, old: int, what: str) -> None:
        """Note what stands after a calamity."""
        outcome.tried += 1
        stands = self.settled(site)
        outcome.old += stands == old
        outcome.new += stands == 1 - old
        if stands < 0:
            outcome.broken.append(f"{what}: neither the old site nor the new one")
            shutil.rmtree(site, ignore_errors=True)
            self.seed(site, old)


def run_command(arguments: list[str]) -> int:
    """The command inside this process; its exit code, 70 for a crash."""
    from passport.cli.main import main

    try:
        main(arguments, prog_name="passport")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0 if end.code is None else 1
    except BaseException:
        import traceback

        traceback.print_exc()
        return 70
    return 0


def ended(process: int) -> int:
    """Wait for a process; its exit code, negative for a signal."""
    return os.waitstatus_to_exitcode(os.waitpid(process, 0)[1])


def group_is_gone(process: int, seconds: float = 20.0) -> bool:
    """Whether everything that a killed build had started ends by itself; says what does not, and ends it."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            os.killpg(process, 0)
        except (ProcessLookupError, PermissionError):
            return True
        time.sleep(0.02)
    print(f"still there after {seconds:.0f} s: {_members(process)}", flush=True)
    os.killpg(process, signal.SIGKILL)
    return False


def _members(group: int) -> list[str]:
    """The processes of a group: state, seconds of processor time and command, as far as the system tells (proc(5))."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            stat = (folder / "stat").read_text().rpartition(")")[2].split()
            command = (folder / "cmdline").read_bytes().replace(b"\0", b" ").decode(errors="replace")
        except OSError:
            continue
        if int(stat[2]) == group:
            ticks = os.sysconf("SC_CLK_TCK")
            found.append(f"{stat[0]} {(int(stat[11]) + int(stat[12])) / ticks:.1f} s {command[:120]}")
    return found


def leftovers(folder: Path, site: Path) -> list[str]:
    """What builds left beside a site."""
    return sorted(p.name for p in folder.iterdir() if p.name.startswith(f".{site.name}-"))


class Steps:
    """An audit hook that acts at the n-th writing step of this process below a folder; counts them without one."""

    def __init__(self, folder: Path, at: int, act: Callable[[str], None], *, on: bool = False) -> None:
        """``on``: at every step from the n-th on."""
        self.folder, self.at, self.act, self.on, self.count = str(folder), at, act, on, 0

    def __call__(self, event: str, args: tuple[object, ...]) -> None:
        """Called by the interpreter before each event."""
        if event == "open":
            path, _, flags = args
            writes = isinstance(flags, int) and bool(flags & _WRITING)
        elif event in _EVENTS:
            path, writes = args[0], True
        else:
            return
        if not writes or not isinstance(path, str | bytes | os.PathLike):
            return
        if not os.fsdecode(path).startswith(self.folder):
            return
        self.count += 1
        if self.count == self.at or (self.on and self.count >= self.at):
            self.act(f"{event} {os.fsdecode(path)}")
