"""A folder behind FTP with TLS (RFC 4217). A file goes up under another name and gets its own when it is whole.

A server that does not rename over a file (some do not) has a moment at which a changed file is not there; never a half
one. The lock is a folder, which of several at once one can make. Python's own FTP is used: fsspec's way in takes any
certificate.
"""

import ftplib
import socket
import ssl
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from io import BytesIO
from pathlib import PurePosixPath

from passport.publish.remote.far import PART, Trouble, cut, trouble_of
from passport.records.language.worded import worded
from passport.records.target import PublishTarget

_PATIENCE = 30.0
"""Seconds that a server may take for an answer."""


class _Encrypted(ftplib.FTP_TLS):
    """Each connection for data goes on with the session of the commands' one, as many servers demand."""

    def ntransfercmd(self, cmd: str, rest: int | str | None = None) -> tuple[socket.socket, int | None]:
        """Open a connection for data."""
        plain, size = ftplib.FTP.ntransfercmd(self, cmd, rest)
        session = self.sock.session if isinstance(self.sock, ssl.SSLSocket) else None
        return self.context.wrap_socket(plain, server_hostname=self.host, session=session), size


class FtpsFar:
    """A folder of an FTP server."""

    hands = 2

    def __init__(self, target: PublishTarget, user: str, password: str, number: int = 0) -> None:
        """Connect. Raises `Trouble`."""
        self.name = f"{target.host}:{target.path or '/'}"
        self._target, self._user, self._password = target, user, password
        self._part, self._made = f"{PART}-{number}", set[str]()
        self._ftp = _Encrypted(context=ssl.create_default_context(), timeout=_PATIENCE, encoding="utf-8")
        with self._troubled("Connecting"):
            self._ftp.connect(target.host, target.port or 21)
            self._ftp.login(user, password)
            self._ftp.prot_p()
            try:
                self._ftp.cwd(target.path or "/")
            except ftplib.error_perm:
                do = worded("Make it there, or look at the path; ask the host what its web folder is called.")
                raise Trouble(
                    worded("There is no folder '{path}' at '{host}'.", path=target.path, host=target.host), do
                ) from None
            self._root = self._ftp.pwd().rstrip("/")

    def read(self, path: str) -> bytes | None:
        """The bytes of a file."""
        with self._troubled(f"Reading '{path}'"):
            into = BytesIO()
            try:
                self._ftp.retrbinary(f"RETR {self._at(path)}", into.write)
            except ftplib.error_perm as error:
                if _code(error) == 550:
                    return None
                raise
            return into.getvalue()

    def write(self, path: str, data: bytes) -> None:
        """Put a file there under another name, and rename it when its size is right."""
        with self._troubled(f"Writing '{path}'"):
            part = self._at(self._part)
            self._ftp.storbinary(f"STOR {part}", BytesIO(data))
            if self._size(part) not in (None, len(data)):
                raise cut(self.name, f"Writing '{path}'")
            for folder in reversed(PurePosixPath(path).parents[:-1]):
                if str(folder) not in self._made:
                    with suppress(ftplib.error_perm):  # there already; else the renaming fails
                        self._ftp.mkd(self._at(str(folder)))
                    self._made.add(str(folder))
            try:
                self._ftp.rename(part, self._at(path))
            except ftplib.error_perm:
                if self._size(self._at(path)) is None:
                    raise
                self._ftp.delete(self._at(path))
                self._ftp.rename(part, self._at(path))

    def create(self, path: str, data: bytes) -> bool:
        """Make a file in a folder of its own."""
        with self._troubled(f"Locking '{path}'"):
            folder = self._at(path.rpartition("/")[0])
            try:
                self._ftp.mkd(folder)
            except ftplib.error_perm:
                with suppress(ftplib.error_perm):
                    self._ftp.cwd(folder)
                    self._ftp.cwd(self._root or "/")
                    return False
                raise
        self.write(path, data)
        return True

    def remove(self, path: str) -> None:
        """Take a file away."""
        with self._troubled(f"Deleting '{path}'"):
            try:
                self._ftp.delete(self._at(path))
            except ftplib.error_perm:
                if self._size(self._at(path)) is not None:  # it is there still, so it was not allowed
                    raise
            with suppress(ftplib.error_perm):  # not empty
                for folder in PurePosixPath(path).parents[:-1]:
                    self._ftp.rmd(self._at(str(folder)))
                    self._made.discard(str(folder))

    def another(self, number: int) -> "FtpsFar":
        """One more connection."""
        return FtpsFar(self._target, self._user, self._password, number)

    def close(self) -> None:
        """End the connection."""
        with suppress(OSError, EOFError, ftplib.Error):
            self._ftp.quit()
        self._ftp.close()

    def _at(self, path: str) -> str:
        return f"{self._root}/{path}"

    def _size(self, place: str) -> int | None:
        """The size of a file; None where there is none, or the server does not tell."""
        try:
            self._ftp.voidcmd("TYPE I")
            return self._ftp.size(place)
        except ftplib.error_perm:
            return None

    @contextmanager
    def _troubled(self, doing: str) -> Iterator[None]:
        try:
            yield
        except (ftplib.error_perm, ftplib.error_temp) as error:
            raise self._answered(error, doing) from None
        except (ftplib.Error, EOFError):
            raise cut(self.name, doing) from None
        except OSError as error:
            raise trouble_of(error, self.name, doing) from None

    def _answered(self, error: ftplib.Error, doing: str) -> Trouble:
        code = _code(error)
        if code == 530:
            do = worded("Name the user in the address; the password goes into PASSPORT_PUBLISH_SECRET or the keyring.")
            return Trouble(
                worded("'{name}' does not let '{user}' in ({error}).", name=self.name, user=self._user, error=error), do
            )
        if code in (452, 552):
            return Trouble(
                worded("{doing}: the disk of '{name}' is full ({error}).", doing=doing, name=self.name, error=error),
                worded("Make room there, then run it again."),
            )
        if code in (421, 425, 426):
            return cut(self.name, doing)
        if doing == "Connecting" and code in (500, 502, 504, 534):
            do = worded("Ask the host for FTP with TLS, or for SFTP: a password is not sent unencrypted.")
            return Trouble(worded("'{name}' offers no encryption ({error}).", name=self.name, error=error), do)
        return Trouble(
            worded("{doing}: '{name}' does not do it ({error}).", doing=doing, name=self.name, error=error),
            worded("Give this user the right to write there."),
        )


def _code(error: ftplib.Error) -> int:
    text = str(error)[:3]
    return int(text) if text.isdigit() else 0
