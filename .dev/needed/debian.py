"""Debian's packages: which one a file belongs to, and which ones come along with others."""

import os
import re
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path

GIVEN = ("apt", "python3", "sudo")
"""What README takes for granted beyond what every Debian system has: Python's base packages, and sudo for who is not root."""
_PLACES = ("/usr/bin", "/bin", "/usr/sbin", "/sbin")
_INSTALLED = re.compile(r"^Inst (\S+)", re.MULTILINE)
_OWNED = re.compile(r"^(?!diversion )([^/]+): (/\S+)$", re.MULTILINE)


class Unknown(Exception):
    """Debian's package tools cannot answer; the text says why, and what to do."""


def base() -> list[str]:
    """The packages of the smallest Debian system: those of priority "required" (Debian Policy 2.5, 3.8), and `GIVEN`."""
    call = ["dpkg-query", "-W", "-f=${Package} ${Priority} ${Essential}\n"]
    lines = _said(call).splitlines()
    return sorted({line.split()[0] for line in lines if " required" in line or line.endswith(" yes")} | set(GIVEN))


def brought(packages: Iterable[str]) -> set[str]:
    """What apt would install on an empty system for some packages, themselves included. Raises Unknown."""
    empty = ["-o", f"Dir::State::status={os.devnull}", "-o", "Dir::Cache::pkgcache="]
    call = ["apt-get", "-s", *empty, "install", "--no-install-recommends", *packages]
    return {name.partition(":")[0] for name in _INSTALLED.findall(_said(call))}


def _said(call: list[str]) -> str:
    done = subprocess.run(call, check=False, capture_output=True, text=True, env={**os.environ, "LC_ALL": "C"})
    if done.returncode:
        raise Unknown(
            f"{done.stderr.strip()}\nRun 'apt-get update' first, and see that .dev/packages names no other packages."
        )
    return done.stdout


def path_of(program: str) -> str | None:
    """Where the system's own program of a name stands; None where it is not installed. What stands in /usr/local is none."""
    return shutil.which(program, path=os.pathsep.join(_PLACES))


def owners(paths: Iterable[str]) -> dict[str, set[str]]:
    """The packages that each of some files belongs to, by path; none for a file of no package."""
    tried = {path: _spellings(path) for path in paths}
    call = ["dpkg-query", "-S", *sorted(set().union(*tried.values()))]
    said = subprocess.run(call, check=False, capture_output=True, text=True, env={**os.environ, "LC_ALL": "C"}).stdout
    found: dict[str, set[str]] = {}
    for packages, path in _OWNED.findall(said):
        found.setdefault(path, set()).update(name.strip().partition(":")[0] for name in packages.split(","))
    return {path: set().union(*(found.get(one, set()) for one in spellings)) for path, spellings in tried.items()}


def _spellings(path: str) -> set[str]:
    """A file's path and what it leads to, each with and without ``/usr``: packages name files as before the merge of both."""
    both = {path, str(Path(path).resolve())}
    return (
        both
        | {one.removeprefix("/usr") for one in both}
        | {f"/usr{one}" for one in both if not one.startswith("/usr/")}
    )
