"""What a render hands to the publisher: a path below the site and its bytes."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class File:
    """One file of the site; ``path`` is relative, with forward slashes."""

    path: str
    data: bytes
