"""Prints and checks that this environment holds the oldest allowed version of every dependency (see ``.dev/bounds``)."""

import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

from packaging.requirements import Requirement
from packaging.version import Version


def main() -> int:
    """One line for each dependency; 1 where a newer one than the oldest is installed and an older one is there."""
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [Requirement(text) for text in (*project["dependencies"], *project["optional-dependencies"]["dev"])]
    newer = []
    for one in sorted((r for r in wanted if r.marker is None or r.marker.evaluate()), key=lambda r: r.name.lower()):
        (low,) = (s.version for s in one.specifier if s.operator == ">=")
        held = version(one.name)
        print(f"  {one.name:<24} {held}")
        same = Version(held).release[: len(Version(low).release)] == Version(low).release
        newer += [] if same else [f"{one.name} {held}, though {low} is allowed"]
    print("\n".join(newer) or "All of them are the oldest that are allowed.")
    return 1 if newer else 0


if __name__ == "__main__":
    sys.exit(main())
