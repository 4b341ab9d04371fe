"""What in a site's folder this program did not make: a host's or version control's files, which stay where they are.

A lost ``CNAME`` takes every printed code off the air, and a lost ``.git`` the way to put the site there. So a build owns
what it remembers to have made, or what the site's manifest lists; of a site whose manifest does not open it owns what
has the shape of its own files. What stands at a passport's or a player's address is always its own: nothing may stay
there that somebody was promised is gone.
"""

import os
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from passport.records.disk import walking
from passport.records.schema import numbers

MARK = ".racquet-passport"
"""The file by which a folder made by this program is known."""

MANIFEST = "manifest.bin"
"""The file that lists what a site holds (`passport.publish.folder.manifest`)."""

KEPT_BY_HOSTS = frozenset(
    [
        ".git",
        ".github",
        ".gitignore",
        ".gitattributes",
        ".gitkeep",
        ".nojekyll",
        ".well-known",
        ".htaccess",
        ".DS_Store",
        "CNAME",
    ]
)
"""What may stand in a folder that is to become a site, since hosts, version control or the system put it there."""

_FOLDERS = frozenset({"assets", "fonts", "care", "legal"})
_FILES = frozenset({"index.html", "404.html", "robots.txt"})


class InTheWay(Exception):
    """Files that this program did not make stand where the site's own are to be; ``paths`` names them."""

    def __init__(self, paths: Collection[str]) -> None:
        """Keep the paths, sorted."""
        self.paths = tuple(sorted(paths))
        super().__init__(", ".join(self.paths))


def foreign(paths: Iterable[str], made: Collection[str] | None) -> set[str]:
    """Which files of a site's folder this program did not make; ``made`` are those that it did, None where nothing tells."""
    return {path for path in paths if not _ours(path, made)}


def _ours(path: str, made: Collection[str] | None) -> bool:
    top, _, below = path.partition("/")
    if path in (MARK, MANIFEST) or (below and numbers.is_key(top)):
        return True
    if made is not None:
        return path in made
    return path in _FILES or (bool(below) and top in _FOLDERS)


def in_the_way(wanted: Iterable[str], theirs: Collection[str]) -> set[str]:
    """The foreign files that stand where a wanted file or a folder above it is to be, or below a wanted file."""
    wanted = set(wanted)
    above = {str(folder) for path in wanted for folder in PurePosixPath(path).parents[:-1]}
    return {
        path
        for path in theirs
        if path in wanted or path in above or any(str(folder) in wanted for folder in PurePosixPath(path).parents[:-1])
    }


def at_the_top(site: Path, theirs: Iterable[str]) -> tuple[str, ...]:
    """Foreign files as a person knows them: what stands at the top of the folder, a folder with a slash at its end.

    To ``theirs`` comes what version control keeps in the ``site``, which no build looks through.
    """
    shown = {top + slash for top, slash, _ in (path.partition("/") for path in theirs)}
    return tuple(sorted(shown | ({".git/"} if (site / ".git").is_dir() else set())))


@dataclass(frozen=True, slots=True)
class Theirs:
    """What others put into a site's folder: ``files``, links among them, by path with their numbers; ``empty`` folders,
    which version control, for one, cannot do without."""

    files: Mapping[str, int]
    empty: tuple[str, ...]


def found_in(root: Path, ours: Mapping[str, object]) -> Theirs:
    """All of a folder but ``ours`` and what stands at passports' addresses, hidden files too.

    Raises OSError where a folder in it cannot be read: what is not seen would be lost.
    """
    files, folders, filled = dict[str, int](), set[str](), set[str]()
    shut = list[str]()
    for path, entry in walking.entries(root, hidden=True, shut=shut):
        filled.add(path.rstrip("/").rpartition("/")[0])
        if numbers.is_key(path.partition("/")[0]):
            continue
        if path[-1] == "/":
            folders.add(path[:-1])
        elif path not in ours and path != MARK:
            files[path] = entry.inode()
    if shut:
        raise PermissionError(f"'{shut[0]}' in it cannot be read, so it could not be kept")
    return Theirs(files, tuple(sorted(folders - filled)))


def same_rights(old: Path, fresh: Path, paths: Iterable[str]) -> None:
    """Give the folders above foreign files the rights that they had. Raises OSError."""
    folders = {folder for path in paths for folder in PurePosixPath(path).parents[:-1]}
    for folder in sorted(folders, key=lambda folder: len(folder.parts), reverse=True):
        os.chmod(fresh / folder, (old / folder).stat().st_mode & 0o7777)  # noqa: PTH101
