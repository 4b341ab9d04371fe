"""A folder, or a disk that is mounted there. It promises all of it: whole files, one publisher at a time."""

from contextlib import suppress
from pathlib import Path, PurePosixPath

from passport.publish.remote.far import Trouble, troubled
from passport.records.disk import opening, rights
from passport.records.language.worded import worded
from passport.records.transaction import atomic


class FolderFar:
    """A folder of this computer as a place to publish to."""

    hands = 1

    def __init__(self, root: Path) -> None:
        """Raises `Trouble` where there is no such folder: one that is not mounted must not be made."""
        if not root.is_dir():
            do = worded("Mount the disk, or make the folder.")
            raise Trouble(worded("There is no folder '{root}'.", root=root), do)
        self.root, self.name = root, str(root)

    def read(self, path: str) -> bytes | None:
        """The bytes of a file."""
        with troubled(self.name, f"Reading '{path}'"):
            try:
                return opening.read(self.root / path, inside=self.root)
            except (FileNotFoundError, NotADirectoryError):
                return None

    def write(self, path: str, data: bytes) -> None:
        """Put a file there in one step."""
        with troubled(self.name, f"Writing '{path}'"):
            place = self.root / path
            place.parent.mkdir(parents=True, exist_ok=True)
            atomic.write(place, data)
            place.chmod(rights.of_new_file())

    def create(self, path: str, data: bytes) -> bool:
        """Make a file in a folder of its own; making the folder is what one of several can do."""
        with troubled(self.name, f"Locking '{path}'"):
            place = self.root / path
            try:
                place.parent.mkdir()
            except FileExistsError:
                return False
            atomic.write(place, data)
            return True

    def remove(self, path: str) -> None:
        """Take a file away."""
        with troubled(self.name, f"Deleting '{path}'"):
            with suppress(FileNotFoundError, NotADirectoryError):
                (self.root / path).unlink()
            with suppress(OSError):  # not empty
                for folder in PurePosixPath(path).parents[:-1]:
                    (self.root / folder).rmdir()

    def another(self, number: int) -> "FolderFar":
        """The same folder."""
        return self

    def close(self) -> None:
        """Nothing is open."""
