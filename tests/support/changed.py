"""Prints the tests that are nearest to what changed: those of the rooms whose modules differ from a commit.

    python tests/support/changed.py [COMMIT]

COMMIT is HEAD unless said; files that git does not know yet count as changed. ``bash .dev/test --changed`` runs what
this prints. It is the quick look while working; what stands elsewhere for the same module is found by the whole run.
"""

import subprocess
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
NEAREST = {
    "templates/messages": "tests/whole/test_messages.py",
    "templates/bench": "tests/render/sheets",
    "templates/card": "tests/render/print",
    "templates/pages": "tests/render/pages",
    "templates": "tests/render/theme",
    "content_demo": "tests/cli/commands/workshop/test_check.py",
    ".dev": "tests/whole/test_supply.py",
    "pyproject.toml": "tests/whole/test_supply.py",
    "README.md": "tests/cli/test_main.py",
    "passport": "tests/whole/test_layers.py",
}
"""The tests of what is no room of the package, by the beginning of a path; the first that fits is taken."""


def changed(commit: str) -> list[str]:
    """The files that differ from a commit or are not known to git yet, by their path in the checkout."""
    calls = (["git", "diff", "--name-only", commit], ["git", "ls-files", "--others", "--exclude-standard"])
    told = (subprocess.run(call, cwd=ROOT, check=True, capture_output=True, text=True).stdout for call in calls)
    return sorted({line for text in told for line in text.splitlines()})


def nearest(paths: Iterable[str]) -> Iterator[str]:
    """The test files and rooms of tests that are nearest to each file; a file without any gives none."""
    for path in paths:
        parts = Path(path).parts
        room = ROOT / "tests" / Path(*parts[1:-1]) if parts[0] == "passport" else None
        if parts[0] == "tests":
            known = ROOT / path
            if known.name.startswith("test_") and known.is_file():
                yield path
        elif room and room != ROOT / "tests" and room.is_dir():
            yield room.relative_to(ROOT).as_posix()
        else:
            yield from (test for begin, test in NEAREST.items() if path.startswith(begin))


def fewest(tests: Iterable[str]) -> list[str]:
    """Each test once: what lies in a room that is run as a whole is not named again."""
    wanted = sorted(set(tests))
    return [test for test in wanted if not any(test != room and test.startswith(f"{room}/") for room in wanted)]


if __name__ == "__main__":
    print("\n".join(fewest(nearest(changed(sys.argv[1] if len(sys.argv) > 1 else "HEAD")))))
