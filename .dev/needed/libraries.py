"""Which of the system's shared libraries the virtual environment's binaries want, as ``ldd`` and a card being made tell."""

import os
import re
import subprocess
import sys
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

_LINE = re.compile(r"\s+(\S+) => (not found|/\S+)")
_AT_ONCE = 40
_SYSTEM = ("/lib", "/usr/lib")
_CARD = """
import pathlib, weasyprint
weasyprint.HTML(string="<p style='font-family: serif'>A card</p>").write_pdf()
for line in pathlib.Path("/proc/self/maps").read_text().splitlines():
    print(line.split(maxsplit=5)[5] if line.count("/") else "")
"""


def binaries(folder: Path) -> list[Path]:
    """Every program and shared library below a folder that the system's loader would load (ELF)."""
    return sorted(path for path in _files(folder) if _is_binary(path))


def _files(folder: Path) -> Iterator[Path]:
    for place, _, names in os.walk(folder):
        yield from (Path(place, name) for name in names if not Path(place, name).is_symlink())


def _is_binary(path: Path) -> bool:
    if ".so" not in path.name and not path.stat().st_mode & 0o111:
        return False
    with path.open("rb") as file:
        return file.read(4) == b"\x7fELF"


def wanted(files: list[Path], folder: Path) -> dict[str, set[str]]:
    """The libraries outside ``folder`` that its binaries want, each with the names of those binaries.

    A library is named by its path, and by its name alone where this machine lacks it. One that stands elsewhere in the
    folder is loaded by the package that brings it.
    """
    beside = {path.name for path in _files(folder)}
    chunks = [files[i : i + _AT_ONCE] for i in range(0, len(files), _AT_ONCE)]
    found: dict[str, set[str]] = {}
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for binary, name, path in (one for chunk in pool.map(_told, chunks) for one in chunk):
            if path == "not found" and name not in beside:
                found.setdefault(name, set()).add(Path(binary).name)
            elif path.startswith(_SYSTEM):
                found.setdefault(path, set()).add(Path(binary).name)
    return found


def _told(files: Iterable[Path]) -> list[tuple[str, str, str]]:
    """Binary, name of a library and its path, for everything that some binaries want."""
    given = [*map(str, files), "/bin/sh"]  # one more, since ldd names the file only where there are several
    said = subprocess.run(["ldd", *given], check=False, capture_output=True, text=True).stdout
    found, binary = list[tuple[str, str, str]](), ""
    for line in said.splitlines():
        if not line.startswith(("\t", " ")):
            binary = line.rstrip(":")
        elif (match := _LINE.match(line)) and binary != "/bin/sh":
            found.append((binary, match[1], match[2]))
    return found


def of_a_card() -> dict[str, set[str]]:
    """The libraries that making a card loads by their names, which no binary tells beforehand (proc(5), maps)."""
    done = subprocess.run([sys.executable, "-c", _CARD], check=True, capture_output=True, text=True)
    paths = {line for line in done.stdout.splitlines() if line.startswith(_SYSTEM) and ".so" in line}
    return {path: {"a card"} for path in paths}
