"""Runs each target for some seconds under the fuzzer and prints a table: ``bash .dev/fuzz [seconds] [target …]``.

The corpus begins with the records of the demo and of the fault catalogue, and grows in ``.fuzz/`` from run to run.
"""

import argparse
import json
import re
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))
sys.path.insert(0, str(Path(__file__).parents[1]))

from fuzzing import mutated
from fuzzing.targets import FILES, KINDS, TARGETS

ROOT = Path(__file__).parents[2]
LONGEST = 8192
"""Bytes of an input at most."""
VALUES = (
    "27 lb",
    "12.2 kg",
    "352 mm",
    "13 7/8 in",
    "4 pt HH",
    "164 kgcm2",
    "330 g ± 1 g",
    "318 ± 1.5 kgcm2",
    "even",
    "15 min",
    "10 and 2",
    "20 mm to 60 mm",
    "under the bumper",
    "577 Hz",
    "10 %",
    "3:30 and 8:30",
    "6 pts HL ± 1/2 in",
)
_KIND = {"player": 1, "workshop": 2, "strings": 3, "frames": 4, "parts": 5}


@dataclass(frozen=True, slots=True)
class Row:
    """What a target's run came to: seconds, cases, causes of crashes with their inputs, and what was covered."""

    target: str
    seconds: float
    cases: int
    crashes: tuple[str, ...]
    covered: int

    def __str__(self) -> str:
        """A line of the table."""
        return f"{self.target:<10} {self.seconds:>8.0f} {self.cases:>10,} {len(self.crashes):>8} {self.covered:>9,}"


HEAD = f"{'target':<10} {'seconds':>8} {'cases':>10} {'crashes':>8} {'coverage':>9}"


def corpus(target: str, folder: Path) -> Path:
    """The folder of a target's inputs, with the first ones in it."""
    folder.mkdir(parents=True, exist_ok=True)
    if target in ("quantity", "balance", "place", "broken"):
        first = [value.encode() for value in VALUES]
    elif target == "generated":
        first = [bytes(range(256)) * 4, b"\0" * 200]
    else:
        first = [begun(target, name) + text.encode() for name, text in mutated.seeds().items()]
    for i, data in enumerate(first):
        (folder / f"seed-{i}").write_bytes(data)
    return folder


def begun(target: str, name: str) -> bytes:
    """The first byte, which says what the text of a file stands for."""
    if target == "yaml":
        return b""
    if target == "record":
        return bytes([6 if "/blanks/" in name else _KIND.get(Path(name).stem, 0)])
    return bytes([next((i for i, file in enumerate(FILES) if file.endswith(f"/{Path(name).name}")), 0)])


def fuzzed(target: str, folder: Path, *, seconds: int = 0, cases: int = 0) -> Row:
    """One target for some seconds, or for some cases from a fixed seed. Raises RuntimeError where the fuzzer fails."""
    report = folder / f"{target}.jsonl"
    report.parent.mkdir(parents=True, exist_ok=True)
    report.unlink(missing_ok=True)
    limit = [f"-runs={cases}", "-seed=1"] if cases else [f"-max_total_time={seconds}"]
    fixed = (f"-max_len={LONGEST}", "-timeout=60", "-rss_limit_mb=3000", "-print_final_stats=1", "-len_control=0")
    command = [sys.executable, Path(__file__).with_name("drive.py"), target, report, *limit, *fixed]
    start = time.monotonic()
    done = subprocess.run(
        [str(c) for c in (*command, f"-artifact_prefix={folder}/{target}-", corpus(target, folder / target))],
        capture_output=True, text=True, check=False, errors="replace",
    )  # fmt: skip
    counted = re.search(r"stat::number_of_executed_units:\s*(\d+)", done.stderr)
    if not counted:
        raise RuntimeError(f"the fuzzer did not run: {done.stderr[-2000:]}")
    notes = report.read_text().splitlines() if report.exists() else []
    crashes = [f"{told['cause']}: {told['what']} ({told['input']})" for told in map(json.loads, notes)]
    if done.returncode:
        crashes.append(f"ended with {done.returncode}: {done.stderr[-1500:]}")
    covered = re.findall(r"\bcov: (\d+)", done.stderr)
    return Row(target, time.monotonic() - start, int(counted[1]), tuple(crashes), int(covered[-1]) if covered else 0)


def main(arguments: Sequence[str] | None = None) -> int:
    """Every target, or those that are named; 1 where something broke."""
    parser = argparse.ArgumentParser(description="Fuzz the reading of records and values; prints a table.")
    parser.add_argument("seconds", nargs="?", type=int, default=60, help="for each target; 60 unless said")
    parser.add_argument("targets", nargs="*", choices=[*TARGETS, []], help="which of them; all unless said")
    given = parser.parse_args(arguments)
    print(HEAD, flush=True)
    rows = []
    for target in given.targets or TARGETS:
        rows.append(fuzzed(target, ROOT / ".fuzz", seconds=given.seconds))
        print(rows[-1], *rows[-1].crashes, sep="\n  ", flush=True)
    total = Row("all", sum(r.seconds for r in rows), sum(r.cases for r in rows), sum((r.crashes for r in rows), ()), 0)
    print(f"{total.target:<10} {total.seconds:>8.0f} {total.cases:>10,} {len(total.crashes):>8}")
    return 1 if total.crashes else 0


if __name__ == "__main__":
    assert len(KINDS) == 7, "the first bytes of inputs are chosen by these"
    sys.exit(main())
