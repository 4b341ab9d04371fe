"""What every place to publish to can do, whatever its protocol, and how it says that it could not."""

import errno
import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Protocol

from passport.records.language.worded import unsaid, worded

PART = ".passport-upload"
"""What a file is called while it goes up, at the top of the far folder; it takes its own name when it is whole."""


class Trouble(Exception):
    """The far side did not do what was asked: ``what`` happened, and what to ``do`` about it."""

    def __init__(self, what: str, do: str = "") -> None:
        self.what, self.do = what, do
        super().__init__("\n  ".join(filter(None, (what, do))))


class Far(Protocol):
    """A folder on the far side, behind one connection."""

    @property
    def name(self) -> str:
        """The place as a person knows it."""

    @property
    def hands(self) -> int:
        """How many connections carry a large site faster than one."""

    def read(self, path: str) -> bytes | None:
        """The bytes of a file; None where there is none. Raises `Trouble`."""

    def write(self, path: str, data: bytes) -> None:
        """Put a file there: whoever asks for it gets the old one or the new one, whole. Raises `Trouble`."""

    def create(self, path: str, data: bytes) -> bool:
        """Make a file in a folder of its own, unless it is there: of several at once, one succeeds. Raises `Trouble`."""

    def remove(self, path: str) -> None:
        """Take a file away, if it is there, and the folders that are left empty. Raises `Trouble`."""

    def another(self, number: int) -> "Far":
        """One more connection to the same place. Raises `Trouble`."""

    def close(self) -> None:
        """End the connection."""


_OUT_OF_DATE = (9, 10)
"""X509_V_ERR_CERT_NOT_YET_VALID, X509_V_ERR_CERT_HAS_EXPIRED (OpenSSL, x509_vfy.h)."""
_AGAIN = unsaid("Nothing half is there. Run it again: it goes on where it stopped.")


@contextmanager
def troubled(name: str, doing: str) -> Iterator[None]:
    """What the system or the network raises inside, told as `Trouble`."""
    try:
        yield
    except OSError as error:
        raise trouble_of(error, name, doing) from None


def trouble_of(error: OSError, name: str, doing: str) -> Trouble:
    """An error of the system or the network in words for a person."""
    said = error.strerror or str(error) or type(error).__name__
    match error:
        case ssl.SSLCertVerificationError():
            what = worded(
                "'{name}' cannot prove that it is that host: {value}.", name=name, value=error.verify_message or said
            )
            do = by_the_clock(error) or worded(
                "Look at the host's name. If that is right, somebody may be in between: ask the host."
            )
        case ssl.SSLError():
            what = worded(
                "{doing}: '{name}' does not answer with encryption as it should ({value}).",
                doing=doing,
                name=name,
                value=error.reason or said,
            )
            do = worded("Look at host and port: something else may answer there, or something in between cuts it.")
        case socket.gaierror():
            what = worded("There is no host for '{name}', or this computer has no network.", name=name)
            do = worded("Look at the name and the network.")
        case ConnectionRefusedError():
            what, do = (
                worded("Nobody answers at '{name}'.", name=name),
                worded("Look at host and port, and whether its server runs."),
            )
        case OSError(errno=errno.ENETUNREACH | errno.EHOSTUNREACH):
            what, do = (
                worded("'{name}' cannot be reached from here.", name=name),
                worded("Look at the network of this computer."),
            )
        case OSError(errno=errno.ENOSPC | errno.EDQUOT | errno.EFBIG):
            what, do = (
                worded("{doing}: the disk of '{name}' is full.", doing=doing, name=name),
                worded("Make room there. {again}", again=worded(_AGAIN)),
            )
        case OSError(errno=errno.EACCES | errno.EPERM | errno.EROFS):
            what, do = (
                worded("{doing}: '{name}' does not allow it ({said}).", doing=doing, name=name, said=said),
                worded("Give this user the right to do that there."),
            )
        case TimeoutError() | ConnectionError():
            what, do = (
                worded("{doing}: the connection to '{name}' was cut ({said}).", doing=doing, name=name, said=said),
                worded(_AGAIN),
            )
        case _:
            what, do = worded("{doing}: '{name}' answers: {said}.", doing=doing, name=name, said=said), worded(_AGAIN)
    return Trouble(what, do)


def by_the_clock(error: ssl.SSLCertVerificationError) -> str:
    """What to do about a certificate that is not valid yet, or any more, by this computer's clock; else empty."""
    if error.verify_code not in _OUT_OF_DATE:
        return ""
    clock = datetime.now().astimezone().strftime("%Y-%m-%d %H:%M")
    return worded(
        "This computer's clock says {clock}: set it right. If it is, the host's certificate needs renewing.",
        clock=clock,
    )


def cut(name: str, doing: str) -> Trouble:
    """That a connection ended in the middle."""
    return Trouble(worded("{doing}: the connection to '{name}' was cut.", doing=doing, name=name), worded(_AGAIN))
