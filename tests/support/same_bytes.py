"""Holds what the commands make and say to what an earlier commit made and said, byte for byte.

    python tests/support/same_bytes.py COMMIT [--frames N] [--made N] [--keep FOLDER]

The demo and three generated workshops are built, printed and asked about by the commit named (in a work tree of its own,
with the same libraries) and by the checkout as it stands; every file of site, prints and sheets and every line of output
is compared. Exit code 1 where one differs. For a change of rooms and names, which must change nothing that anybody sees.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SEEDS = (1, 2, 3)
EPOCH = "1795910400"
"""A day on which nothing in the demo is in the future: 2026-11-29."""


def commands(name: str, frames: list[str]) -> Iterator[tuple[str, ...]]:
    """What is run in a workshop: everything that makes or shows something and asks nobody."""
    yield "check", name, "--json"
    yield "build", name, "--out", "site", "--from-disk"
    yield "build", name, "--out", "site", "--from-disk"
    yield "due", name
    yield "day", name, "--out", "day.pdf"
    for number in frames[:4]:
        yield "show", name, number
        for kind in ("card", "tag", "sticker"):
            yield "cards", name, number, "--kind", kind, "--out", f"{kind}-{number}.pdf"
    yield "find", name, "peral"
    if name == "content_demo":
        yield "rebuild", name, "0871-6", "--with", "fallowgate-a", "fallowgate-b"
        yield "match", name, "askwell/i", "askwell/ii", "askwell/iii"
        yield "what-if", name, "askwell/i", "--tension", "50/48 lb"
        yield "cards", name, "1042-9", "--kind", "set", "--out", "set.pdf"
    yield "log", name, frames[0], "--again", "--yes", "--no-build"
    yield "check", name


def numbers(content: Path) -> list[str]:
    """The passport numbers of a workshop, in the order of its files."""
    found = []
    for path in sorted(content.glob("players/*/*.yaml")):
        first = path.read_text(encoding="utf-8").partition("number: ")[2].split()
        found += first[:1] if path.name != "player.yaml" else []
    return found


def run(checkout: Path, folder: Path, name: str, frames: list[str]) -> list[tuple[str, str]]:
    """Run all commands of one checkout in a folder: what was called, and how it ended with what it said."""
    told = []
    env = {key: value for key, value in os.environ.items() if not key.startswith("PASSPORT")}
    env |= {
        "PYTHONPATH": str(checkout),
        "SOURCE_DATE_EPOCH": EPOCH,
        "PASSPORT_JOBS": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    for words in commands(name, frames):
        done = subprocess.run(
            [sys.executable, "-m", "passport.cli.main", *words],
            cwd=folder, env=env, capture_output=True, text=True, check=False,
        )  # fmt: skip
        said = "\n".join(
            line for line in (done.stdout + done.stderr).splitlines() if " in " not in line or " s" not in line
        )
        told.append((" ".join(words), f"exit {done.returncode}\n{said}"))
    return told


def files(folder: Path) -> dict[str, bytes]:
    """Every file below a folder but what is only remembered between commands."""
    found = (path for path in folder.rglob("*") if path.is_file() and ".passport-cache" not in path.parts)
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(found)}


def compare(old: Path, where: Path, frames: int, made: int) -> int:
    """Compare an old checkout with this one; returns how many differences were printed."""
    sys.path[:0] = [str(ROOT)]
    from passport.records.ledger import key
    from passport.records.schema.numbers import new_secret
    from tests.benchmarks.workshops import workshop

    wrong = compared = 0
    for name in ("content_demo", *(f"made-{seed}" for seed in SEEDS[:made])):
        base = where / "base" / name
        if name == "content_demo":
            shutil.copytree(old / name, base)
        else:
            base.parent.mkdir(exist_ok=True)
            workshop(base, frames, int(name.rpartition("-")[2]))
        # One key for both: made by each build it would be random, and the manifests could not be compared.
        (base / key.FILE).write_text(key.text_of(new_secret()), encoding="utf-8")
        told = []
        for side, checkout in (("before", old), ("after", ROOT)):
            folder = where / side / name
            shutil.copytree(base, folder / name)
            told.append(run(checkout, folder, name, numbers(base)))
        for (words, before), (_, after) in zip(*told, strict=True):
            compared += 1
            if before != after:
                wrong += 1
                print(f"{name}: passport {words} says something else\n--- before\n{before}\n--- after\n{after}")
        before, after = files(where / "before" / name), files(where / "after" / name)
        for path in sorted(before.keys() | after.keys()):
            compared += 1
            if before.get(path) != after.get(path):
                wrong += 1
                print(f"{name}: {path} differs")
    print(f"{compared} files and answers compared, {wrong} differ")
    return wrong


def main() -> int:
    """Read the command line and compare."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("commit")
    parser.add_argument("--frames", type=int, default=12, help="frames in each generated workshop")
    parser.add_argument(
        "--made", type=int, default=len(SEEDS), help="generated workshops beside the demo; 0 is quickest"
    )
    parser.add_argument("--keep", type=Path, help="work here, and leave what was made")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as passing:
        where = (given.keep or Path(passing)).resolve()
        where.mkdir(parents=True, exist_ok=True)
        old = where / "checkout"
        subprocess.run(["git", "worktree", "add", "--detach", "--force", old, given.commit], cwd=ROOT, check=True)
        try:
            return 1 if compare(old, where, given.frames, given.made) else 0
        finally:
            subprocess.run(["git", "worktree", "remove", "--force", old], cwd=ROOT, check=True)


if __name__ == "__main__":
    sys.exit(main())
