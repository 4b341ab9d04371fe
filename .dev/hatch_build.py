"""Takes into wheel and source archive just what version control tracks, so that a used checkout ships nothing of its own."""

import subprocess
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

SHIPPED = "passport/shipped/"
HERE = ".dev/hatch_build.py"
WHEEL = {"passport": "", "templates": SHIPPED, "content_demo": SHIPPED}
"""The folders of a wheel, and what they stand below in it."""
SOURCES = dict.fromkeys(("passport", "templates", "content_demo", "tests", "README.md", "DEVELOPERS.md"), "") | {
    HERE: ""
}


class Tracked(BuildHookInterface[Any]):
    """The hook that the build backend calls before it builds."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Name every file that is to be built from; an editable install links to the checkout and needs none."""
        if version == "editable":
            return
        root, places = Path(self.root), WHEEL if self.target_name == "wheel" else SOURCES
        files = {
            path: places.get(path, places.get(path.partition("/")[0], "")) + path
            for path in tracked(root, list(places))
        }
        build_data["force_include"] |= {str(root / path): target for path, target in files.items()}


def tracked(root: Path, names: list[str]) -> list[str]:
    """The files below some names that version control tracks, as they are in the folder now.

    Where the folder is no checkout (an unpacked source archive) these are all files but hidden ones and Python's own.
    Raises RuntimeError where it is one and git cannot say what it tracks.
    """
    if not (root / ".git").exists():
        found = (path.relative_to(root) for name in names for path in (root / name).rglob("*"))
        files = [path for path in found if not any(p.startswith(".") or p == "__pycache__" for p in path.parts)]
        whole = [path.as_posix() for path in files if (root / path).is_file()]
        return sorted([*whole, *(name for name in names if (root / name).is_file())])
    # a person who builds runs this checkout's code in any case, so it may belong to another user
    call = ["git", "-c", f"safe.directory={root}", "-C", str(root), "ls-files", "-z", "--", *names]
    try:
        done = subprocess.run(call, check=True, capture_output=True, text=True)
    except (OSError, subprocess.CalledProcessError) as error:
        said = getattr(error, "stderr", "") or error
        raise RuntimeError(f"git has to say what belongs into the archive, and could not: {said}") from None
    return sorted(filter(None, done.stdout.split("\0")))
