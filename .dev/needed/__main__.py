"""Holds what ``.dev/prepare`` installs against what the tests call: ``.venv/bin/python .dev/needed``.

Looked at are every program that the tests and the shell scripts start, by their source, and every shared library of the
system that the binaries in .venv want. Each is traced to its Debian package, and that package has to come along with those
that .dev/packages names, on a system that has nothing but Python's base packages. So it shows on a machine that has more.
Exit code 1 where something is missing. ``--without PACKAGE`` leaves one out of the list, to see what it is for.
"""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from needed import debian, libraries, scripts
from needed.starts import OURS, Source, Start

ROOT = Path(__file__).parent.parent.parent
LIST = ROOT / ".dev/packages"
FIRST = (".dev/prepare", ".dev/demo", ".dev/test", ".ci/run")
"""What runs before anything is installed, so that it has only what is there in any case."""
BY_HAND = ("tests/support/hosting.py", "tests/benchmarks/")
"""What no test starts; it says itself what it needs."""


def packages() -> list[str]:
    """The packages that .dev/packages names."""
    lines = (line.split() for line in LIST.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    return [words[1] for words in lines if words]


def started() -> list[Start]:
    """Every program that tests and shell scripts start, ours apart."""
    source = Source(ROOT)
    for path in sorted((ROOT / "tests").rglob("*.py")):
        if not path.relative_to(ROOT).as_posix().startswith(BY_HAND):
            source.add(path)
    shell = [path for folder in (".ci", ".dev") for path in sorted((ROOT / folder).iterdir()) if path.is_file()]
    found = [*source.starts(), *scripts.starts(ROOT, [path for path in shell if scripts.is_shell_script(path)])]
    return [start for start in found if start.program != OURS]


def wanted() -> dict[str, set[str]]:
    """The system's libraries that something in .venv wants, with what wants them."""
    folder = ROOT / ".venv"
    found = libraries.wanted(libraries.binaries(folder), folder)
    for path, by in libraries.of_a_card().items():
        found.setdefault(path, set()).update(by)
    return found


def missing(starts: list[Start], wants: dict[str, set[str]], named: list[str]) -> Iterator[str]:
    """What would be missing on a bare system where some packages are installed, a sentence each. Raises debian.Unknown."""
    base = debian.base()
    first, later = set(base), debian.brought([*base, *named])
    paths = {start.program: debian.path_of(start.program) for start in starts if start.program}
    owners = debian.owners([*filter(None, paths.values()), *(want for want in wants if want.startswith("/"))])
    for start in starts:
        where = f"{start.file}:{start.line}"
        if start.program is None:
            yield f"{where}: cannot tell which program is started. Name it there, or in a list that the line uses."
        elif start.program not in debian.GIVEN:
            path = paths[start.program]
            there = first if start.file in FIRST else later
            yield from _lacking(f"'{start.program}', which {where} starts,", owners.get(path or "", set()), there)
    for want, by in sorted(wants.items()):
        yield from _lacking(f"'{want}', which {', '.join(sorted(by)[:3])} loads,", owners.get(want, set()), later)


def _lacking(what: str, packages: set[str], there: set[str]) -> Iterator[str]:
    if not packages:
        yield f"{what} belongs to no package of this machine. Install the one that has it, and name it in .dev/packages."
    elif not packages & there:
        yield f"{what} comes with '{', '.join(sorted(packages))}', which .dev/packages does not bring. Name it there."


def main(arguments: list[str] | None = None) -> int:
    """The check as a command; its exit code."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--without", metavar="PACKAGE", action="append", default=[], help="leave one out of the list")
    without = parser.parse_args(arguments).without
    named = [name for name in packages() if name not in without]
    starts, wants = started(), wanted()
    try:
        found = sorted(set(missing(starts, wants, named)))
    except debian.Unknown as error:
        found = [str(error)]
    print("\n".join(found) if found else f"All is there: {_counts(starts, wants, named)}.")
    return 1 if found else 0


def _counts(starts: list[Start], wants: dict[str, set[str]], named: list[str]) -> str:
    programs = {start.program for start in starts}
    return f"{len(programs)} programs, {len(wants)} libraries of the system, {len(named)} packages named"


if __name__ == "__main__":
    sys.exit(main())
