"""Files that stand beside the content folder, where a restored copy of the folder leaves them as they are.

Apart from `witness`, which brings the records' types along: a build that finds nothing changed does without them.
"""

from pathlib import Path

CLOSED = ".closed.txt"
"""The end of the name of the file that says which addresses are closed for good."""


def path_beside(folder: Path, end: str = CLOSED) -> Path | None:
    """Where such a file of a content folder is; None where there is no room beside it, or a link stands there."""
    whole = folder.resolve()
    path = whole.parent / f"{whole.name}{end}"
    return None if not whole.name or path.is_symlink() else path
