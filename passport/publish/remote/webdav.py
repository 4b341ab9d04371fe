"""A folder behind WebDAV over https (RFC 4918). A file goes up under another name and is moved to its own when whole.

Some servers delete the old file before they move the new one there: for a moment it is not there; it is never half. The
lock is a folder, which of several at once one can make (RFC 4918, section 9.3.1: MKCOL on what exists fails).
"""

import ssl
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from http import HTTPStatus
from io import BytesIO
from pathlib import PurePosixPath

from passport.publish.remote.far import PART, Trouble, cut, trouble_of
from passport.records.language.worded import worded
from passport.records.target import PublishTarget

_PATIENCE = 60.0
"""Seconds that a server may take for an answer."""


class WebdavFar:
    """A folder of a WebDAV server."""

    hands = 4

    def __init__(self, target: PublishTarget, user: str, password: str, number: int = 0) -> None:
        """Nothing is asked yet but whether the folder is there. Raises `Trouble`, ImportError without the extra ``publish``."""
        from webdav4.client import Client  # late, like all of it: an extra

        scheme = "http" if target.plain else "https"
        host = f"[{target.host}]" if ":" in target.host else target.host
        port = f":{target.port}" if target.port else ""
        self.name = f"{scheme}://{host}{port}{target.path}"
        self._target, self._user, self._password = target, user, password
        self._part, self._made = f"{PART}-{number}", set[str]()
        self._client = Client(
            self.name,
            auth=(user, password) if user else None,
            retry=False,
            timeout=_PATIENCE,
            verify=ssl.create_default_context(),
        )
        with self._troubled("Connecting"):
            if not self._client.exists(""):
                raise Trouble(
                    worded("There is no folder at '{name}'.", name=self.name),
                    worded("Make it there, or look at the path."),
                )

    def read(self, path: str) -> bytes | None:
        """The bytes of a file."""
        from webdav4.client import ResourceNotFound

        with self._troubled(f"Reading '{path}'"):
            into = BytesIO()
            try:
                self._client.download_fileobj(path, into)
            except ResourceNotFound:
                return None
            return into.getvalue()

    def write(self, path: str, data: bytes) -> None:
        """Put a file there under another name, and move it."""
        from webdav4.client import ResourceAlreadyExists

        with self._troubled(f"Writing '{path}'"):
            self._client.upload_fileobj(BytesIO(data), self._part, overwrite=True, size=len(data))
            for folder in reversed(PurePosixPath(path).parents[:-1]):
                if str(folder) not in self._made:
                    with suppress(ResourceAlreadyExists):
                        self._client.mkdir(str(folder))
                    self._made.add(str(folder))
            self._client.move(self._part, path, overwrite=True)

    def create(self, path: str, data: bytes) -> bool:
        """Make a file in a folder of its own."""
        from webdav4.client import ResourceAlreadyExists

        with self._troubled(f"Locking '{path}'"):
            try:
                self._client.mkdir(path.rpartition("/")[0])
            except ResourceAlreadyExists:
                return False
        self.write(path, data)
        return True

    def remove(self, path: str) -> None:
        """Take a file away, and a folder above it only when it was seen to be empty: deleting one deletes all in it."""
        from webdav4.client import ResourceNotFound

        with self._troubled(f"Deleting '{path}'"):
            with suppress(ResourceNotFound):
                self._client.remove(path)
            for folder in PurePosixPath(path).parents[:-1]:
                try:
                    if self._client.ls(str(folder), detail=False):
                        return
                    self._client.remove(str(folder))
                except ResourceNotFound:
                    continue
                self._made.discard(str(folder))

    def another(self, number: int) -> "WebdavFar":
        """One more connection."""
        return WebdavFar(self._target, self._user, self._password, number)

    def close(self) -> None:
        """End the connection."""
        self._client.http.close()

    @contextmanager
    def _troubled(self, doing: str) -> Iterator[None]:
        import httpx
        from webdav4.client import ClientError

        try:
            yield
        except ClientError as error:  # some of its kinds hide the answer behind words of their own
            cause = error if hasattr(error, "status_code") else error.__cause__
            raise self._answered(getattr(cause, "status_code", 0), doing, str(error)) from None
        except httpx.HTTPStatusError as error:
            raise self._answered(error.response.status_code, doing, str(error)) from None
        except httpx.ConnectError as error:
            inner: BaseException | None = error
            while inner is not None and not isinstance(inner, OSError):
                inner = inner.__cause__ or inner.__context__
            raise trouble_of(inner if isinstance(inner, OSError) else OSError(str(error)), self.name, doing) from None
        except httpx.TransportError:
            raise cut(self.name, doing) from None
        except OSError as error:
            raise trouble_of(error, self.name, doing) from None

    def _answered(self, status: int, doing: str, said: str) -> Trouble:
        if status == HTTPStatus.UNAUTHORIZED:
            do = worded("Name the user in the address; the password goes into PASSPORT_PUBLISH_SECRET or the keyring.")
            return Trouble(worded("'{name}' does not let '{user}' in.", name=self.name, user=self._user), do)
        if status == HTTPStatus.INSUFFICIENT_STORAGE:
            return Trouble(
                worded("{doing}: the disk of '{name}' is full.", doing=doing, name=self.name),
                worded("Make room there, then run it again."),
            )
        if status in (HTTPStatus.FORBIDDEN, HTTPStatus.METHOD_NOT_ALLOWED, HTTPStatus.LOCKED):
            return Trouble(
                worded("{doing}: '{name}' does not allow it ({status}).", doing=doing, name=self.name, status=status),
                worded("Give this user the right to write there."),
            )
        do = worded("Nothing half is there. Run it again: it goes on.")
        if status >= HTTPStatus.INTERNAL_SERVER_ERROR:
            do = worded("Often that is a full disk there. {do}", do=do)
        return Trouble(
            worded("{doing}: '{name}' answers {value}.", doing=doing, name=self.name, value=status or said), do
        )
