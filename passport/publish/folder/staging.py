"""The folder of a site made new from the old one: what changed is moved in, the rest is the same file by another link.

A large site has a spare beside it: a second tree of links to the same files. A site of ten thousand passports with one
new page is then put together in the time that one page takes. Nothing is believed of a spare: a file in it counts only
where it is, by its number, the very file of the site. Nothing of an older site stays in it either.
"""

import os
import shutil
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import replace
from pathlib import Path, PurePosixPath

from passport.publish.folder import foreign
from passport.publish.folder.foreign import MARK, InTheWay, Theirs
from passport.publish.folder.listing import Mark
from passport.publish.folder.swap import clear_up, is_held, mark, put_in_place, refuse_foreign
from passport.records.disk import opening, rights, walking
from passport.records.language.worded import worded
from passport.records.transaction import atomic, lock

LARGE = 2000
"""Files from which on a site is worth a spare."""
_TRIES = 50


class Staging:
    """A hidden folder beside the site where the next one is put together; its lock keeps out a second build."""

    def __init__(self, target: Path, folder: Path) -> None:
        """Use `working`."""
        self.target, self.folder = target, folder
        self.staging, self.spare = folder / "new", folder / "spare"
        self._staged = set[str]()

    def stage(self, path: str, data: bytes) -> os.stat_result:
        """Put a new file beside the others that wait for `publish`; its marks. Raises OSError."""
        place = f"{self.staging}/{path}"
        folder = place.rpartition("/")[0]
        if folder not in self._staged:
            os.makedirs(folder, exist_ok=True)  # noqa: PTH103  # tens of thousands of paths, which pathlib takes apart
            self._staged.add(folder)
        Path(place).write_bytes(data)
        return os.stat(place)  # noqa: PTH116

    def publish(self, site: Mapping[str, Mark], kept: Iterable[str], staged: Iterable[str]) -> None:
        """Put a site of the ``kept`` files of the old one and the ``staged`` new ones in the old one's place.

        ``site`` is the listing of the old one's own files; all others in its folder stay. Raises
        `passport.publish.folder.swap.NotOurs`, `passport.publish.folder.foreign.InTheWay`, OSError; then the old site is
        as it was.
        """
        refuse_foreign(self.target)
        old, new, spare = set(kept), set(staged), self.spare.exists()
        theirs = foreign.found_in(self.target, site)
        if clash := {path for path in foreign.in_the_way(old | new, theirs.files) if not self._same(path, new)}:
            raise InTheWay(clash)
        # What is the same as a new one is ours from now on: the old link would come back over the file that is remembered.
        theirs = replace(theirs, files={path: at for path, at in theirs.files.items() if path not in new})
        if is_held(self.target):
            self._piece_by_piece(site, old, new)
            return
        try:
            linked = self._fill(site, old, new, theirs)
            # The spare is whole now; this exchange is the only moment at which a reader could see a difference.
            put_in_place(self.spare, self.target)
        except BaseException:
            # A spare that was there before is still a good start for the next build; one made now is half-filled.
            if not spare:
                shutil.rmtree(self.spare, ignore_errors=True)
            raise
        if linked and len(old) + len(new) >= LARGE:
            with suppress(OSError):
                self._follow(new, site.keys() - old - new)
                return
        shutil.rmtree(self.spare, ignore_errors=True)

    def _same(self, path: str, new: Collection[str]) -> bool:
        """Whether a file of others is, byte for byte, the new one that is to stand in its place."""
        place, fresh = self.target / path, self.staging / path
        if path not in new or place.is_symlink() or place.stat().st_size != fresh.stat().st_size:
            return False
        return opening.read(place, inside=self.target) == opening.read(fresh)

    def _piece_by_piece(self, site: Mapping[str, Mark], old: set[str], new: set[str]) -> None:
        """Bring a folder that cannot be exchanged to what the site is now, file by file.

        Each file is the old one or the new one, whole. What pages show comes before the pages and the pages before the
        home page, so that no page leads to what is not there yet; what is not wanted any more goes last.
        """
        for path in sorted(new, key=lambda path: (path.endswith(".html"), path == "index.html", path)):
            place = self.target / path
            place.parent.mkdir(parents=True, exist_ok=True)
            atomic.write(place, opening.read(self.staging / path))
            place.chmod(rights.of_new_file())
        mark(self.target)
        _Tree(self.target, known={}).remove(site.keys() - old - new)

    def _fill(self, site: Mapping[str, Mark], old: set[str], new: set[str], theirs: Theirs) -> bool:
        """Let the spare hold the new site, and others' files; whether what stays as it is could be linked."""
        if not old and not self.spare.exists():
            self.staging.replace(self.spare)
            _Tree(self.spare).keep(self.target, theirs)
            return True
        fresh = _Tree(self.spare)
        linked = fresh.link(self.target, {path: site[path][3] for path in old})
        for path in new:
            os.replace(f"{self.staging}/{path}", fresh.room_for(path))  # noqa: PTH105
        fresh.remove(fresh.files.keys() - old - new - theirs.files.keys())
        fresh.keep(self.target, theirs)
        return linked

    def _follow(self, changed: set[str], gone: set[str]) -> None:
        """Bring the folder that was replaced to what the site is now; where there was none, make one."""
        first = not self.spare.exists()
        spare = _Tree(self.spare, known={})
        spare.remove(gone)
        if not spare.link(self.target, dict.fromkeys(_files(self.target) if first else changed, 0)):
            raise OSError(f"{self.target} cannot have links")
        self.spare.chmod(0o700)


@contextmanager
def working(target: Path, work: str, say: lock.Say | None = None, wait: float = 600.0) -> Iterator[Staging]:
    """The staging of a site, for one build at a time; ``work`` tells a second one what it waits for.

    Raises `passport.records.transaction.lock.Busy`, `passport.publish.folder.swap.NotOurs` and OSError.
    """
    refuse_foreign(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    clear_up(target)
    folder = target.with_name(f".{target.name}-bench")
    try:
        with _locked(folder, work, say, wait):
            staged = Staging(target, folder)
            shutil.rmtree(staged.staging, ignore_errors=True)
            try:
                yield staged
            finally:
                shutil.rmtree(staged.staging, ignore_errors=True)
    finally:
        with suppress(OSError):
            folder.rmdir()


@contextmanager
def _locked(folder: Path, work: str, say: lock.Say | None, wait: float) -> Iterator[None]:
    """The lock of a staging folder, made where there is none; a build that is done may take it away at any moment."""
    with ExitStack() as stack:
        for _ in range(_TRIES):
            folder.mkdir(exist_ok=True, mode=0o700)
            try:
                stack.enter_context(lock.locked(folder, work, wait=wait, say=say))
                break
            except FileNotFoundError:
                continue
        else:
            raise lock.Busy(worded("Other builds keep clearing up '{folder}'. Try again.", folder=folder))
        yield


def forget(target: Path) -> None:
    """Take away what a site's staging folder holds, the spare above all. Raises OSError."""
    folder = target.with_name(f".{target.name}-bench")
    if folder.is_dir() and not folder.is_symlink():
        shutil.rmtree(folder)


class _Tree:
    """A folder that is filled with files, and what stood in it at first: its files by path, with their numbers."""

    def __init__(self, root: Path, known: Mapping[str, int] | None = None) -> None:
        self._new = not root.exists()
        root.mkdir(exist_ok=True, mode=0o700)
        self.root = root
        self.files = _files(root) if known is None else known
        self._made = {str(root)}

    def link(self, site: Path, wanted: Mapping[str, int]) -> bool:
        """Hold files of a site under the same paths, unless their numbers are here already; whether all could be links."""
        linked = True
        for path, number in wanted.items():
            if not number or self.files.get(path) != number:
                linked = _link(f"{site}/{path}", self.room_for(path)) and linked
        return linked

    def keep(self, site: Path, theirs: Theirs) -> None:
        """Hold what others put into a site's folder."""
        self.link(site, theirs.files)
        for folder in theirs.empty:
            (self.root / folder).mkdir(parents=True, exist_ok=True)
        foreign.same_rights(site, self.root, theirs.files)

    def room_for(self, path: str) -> str:
        """A place where nothing stands, with the folders above it."""
        place = f"{self.root}/{path}"
        folder = place.rpartition("/")[0]
        if folder not in self._made:
            if not self._new:
                self._clear_way(path)
            os.makedirs(folder, exist_ok=True)  # noqa: PTH103  # tens of thousands of paths, which pathlib takes apart
            self._made.add(folder)
        if not self._new:
            self._clear(Path(place))
        return place

    def _clear_way(self, path: str) -> None:
        """Take away what stands where the folders above a place are to be."""
        for above in reversed(PurePosixPath(path).parents[:-1]):
            folder = self.root / above
            if folder.is_symlink() or folder.is_file():
                folder.unlink()

    def _clear(self, place: Path) -> None:
        if place.is_dir() and not place.is_symlink():
            shutil.rmtree(place)
        else:
            place.unlink(missing_ok=True)

    def remove(self, paths: Iterable[str]) -> None:
        """Take files away, and the folders that are left empty; not what has become a folder, or lay in what is a file now."""
        for path in paths:
            place = self.root / path
            if place.is_symlink() or not place.is_dir():
                with suppress(FileNotFoundError, NotADirectoryError):
                    place.unlink()
            for folder in place.parents:
                if folder == self.root or not folder.is_dir() or walking.listed(folder):
                    break
                folder.rmdir()


def _link(source: str, place: str) -> bool:
    """Another link to a file, or a copy where the disk knows no links; whether it is a link."""
    try:
        os.link(source, place, follow_symlinks=False)
    except FileNotFoundError:
        raise
    except (OSError, NotImplementedError):
        shutil.copy2(source, place, follow_symlinks=False)
        return False
    return True


def _files(root: Path) -> dict[str, int]:
    """Every file below a folder with its number, but for the mark of the folder itself."""
    found: dict[str, int] = {}
    waiting = [(os.fspath(root), "")]
    while waiting:
        folder, prefix = waiting.pop()
        for entry in os.scandir(folder):
            if entry.is_dir(follow_symlinks=False):
                waiting.append((entry.path, f"{prefix}{entry.name}/"))
            else:
                found[prefix + entry.name] = entry.inode()
    return {path: number for path, number in found.items() if path != MARK}
