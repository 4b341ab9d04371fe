"""The one way in which a file is opened to be read: an ordinary file, inside its folder, no larger than is sensible.

A content folder may come from anybody. A pipe in a record's place would be waited for without an end, a device may act
when it is opened, a link may lead to what is private elsewhere, and a file may be larger than the memory. All of these
are refused here, before a byte is read; `passport.records.disk.walking` is the same for folders. A test holds that no other
module opens or walks by itself.
"""

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from passport.records.language.worded import worded

MOST = 64_000_000
"""Bytes of a file, unless a smaller bound is given."""
_FLAGS = (
    os.O_RDONLY
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NONBLOCK", 0)  # a pipe that took the file's place a moment ago is not waited for
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)
_NO_LINK = getattr(os, "O_NOFOLLOW", 0)


class NotRead(OSError):
    """A file or folder that is not read, whatever is in it; ``strerror`` says why, as the rest of a sentence."""


class NotOrdinary(NotRead):
    """A pipe, a device, a socket or a folder where a file is to be."""


class TooLarge(NotRead):
    """A file that is larger than it may be."""


class Outside(NotRead):
    """A link that leads out of the folder that its file belongs to, or in a circle."""


def read(path: Path | str, *, most: int = MOST, inside: Path | None = None) -> bytes:
    """The bytes of a file; see `opened`. Raises OSError, `NotRead` among it."""
    with opened(path, most=most, inside=inside) as file:
        data = file.read(most + 1)  # it may have grown since it was looked at
    if len(data) > most:
        raise _too_large(path, len(data), most)
    return data


def read_text(
    path: Path | str,
    *,
    most: int = MOST,
    inside: Path | None = None,
    encoding: str = "utf-8-sig",
    errors: str = "strict",
) -> str:
    """The text of a file, with line ends as ``\\n``; see `opened`. Raises OSError and UnicodeDecodeError."""
    text = read(path, most=most, inside=inside).decode(encoding, errors)
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


@contextmanager
def opened(path: Path | str, *, most: int = MOST, inside: Path | None = None) -> Iterator[BinaryIO]:
    """A file, open for reading bytes; ``most`` is how many it may have, ``inside`` the folder that no link may leave.

    Raises FileNotFoundError and other OSErrors as the system does, and `NotRead`.
    """
    place, flags = os.fspath(path), _FLAGS
    if inside is not None:
        place, flags = within(place, inside), _FLAGS | _NO_LINK
    _judge(os.stat(place), path, most)  # noqa: PTH116  # before it is opened, since that alone may act on a device
    handle = os.open(place, flags)
    try:
        _judge(os.fstat(handle), path, most)  # again, since another thing may have taken its place
        file = os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise
    with file:
        yield file


def within(path: Path | str, folder: Path) -> str:
    """Where a path really leads. Raises `Outside` where that is not in the folder, or a circle."""
    try:
        place, root = os.path.realpath(path), os.path.realpath(folder)
        os.lstat(place)
    except FileNotFoundError:
        pass
    except OSError as error:
        if error.errno == errno.ELOOP:
            raise Outside(errno.ELOOP, worded("this link leads in a circle"), os.fspath(path)) from None
        raise
    if os.path.islink(place):  # noqa: PTH114  # what is left of a circle when it was followed
        raise Outside(errno.ELOOP, worded("this link leads in a circle"), os.fspath(path))
    # With the separator: '/shop-old' begins with '/shop', too, and lies outside of it.
    if place != root and not place.startswith(root.rstrip(os.sep) + os.sep):
        raise Outside(
            errno.EXDEV, worded("this link leads outside '{fspath}'", fspath=os.fspath(folder)), os.fspath(path)
        )
    return place


def _judge(found: os.stat_result, path: Path | str, most: int) -> None:
    if not stat.S_ISREG(found.st_mode):
        raise NotOrdinary(errno.EINVAL, worded("this is not an ordinary file"), os.fspath(path))
    if found.st_size > most:
        raise _too_large(path, found.st_size, most)


def _too_large(path: Path | str, size: int, most: int) -> TooLarge:
    said = worded("this file has {size:.1f} MB, and at most {most:.1f} MB are read", size=size / 1e6, most=most / 1e6)
    return TooLarge(errno.EFBIG, said, os.fspath(path))
