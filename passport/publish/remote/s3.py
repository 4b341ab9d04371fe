"""A bucket of S3-compatible storage, which serves it as a web site. Each file is put there whole by the protocol itself.

The lock asks that a file be made only where there is none (``If-None-Match: *``); a storage that does not know that keeps
nobody out. What stands between storage and readers (a cache in many places) may show an older file for a while.
"""

import logging
import mimetypes
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime

from passport.publish.remote.far import Trouble, cut, trouble_of
from passport.records.language.worded import worded
from passport.records.target import PublishTarget

_PATIENCE = 30
"""Seconds that the storage may take for an answer."""
_TYPES = {".ics": "text/calendar", ".webp": "image/webp", ".woff2": "font/woff2", ".js": "text/javascript"}


@dataclass(frozen=True, slots=True)
class Storage:
    """Where the bucket is and who asks; what is empty is found as other programs for S3 find it."""

    endpoint: str = ""
    region: str = ""
    user: str = ""
    secret: str = ""


class S3Far:
    """A bucket, or what is below a path in it."""

    hands = 8

    def __init__(self, target: PublishTarget, storage: Storage) -> None:
        """Nothing is asked yet. Raises ImportError without the extra ``publish``."""
        import s3fs  # late: an extra, so without it the module is there but no bucket

        self.name = target.text
        self._root = f"{target.host}{target.path}"
        # What a cut connection leaves of requests is told by us; the loop behind the library would tell it in tracebacks.
        logging.getLogger("asyncio").setLevel(logging.CRITICAL)
        self._fs = s3fs.S3FileSystem(
            key=storage.user if storage.secret else None,
            secret=storage.secret or None,
            endpoint_url=storage.endpoint or None,
            client_kwargs={"region_name": storage.region} if storage.region else {},
            config_kwargs={"connect_timeout": _PATIENCE, "read_timeout": _PATIENCE, "retries": {"max_attempts": 2}},
            use_listings_cache=False,
            skip_instance_cache=True,
        )
        self._fs.retries = 2

    def read(self, path: str) -> bytes | None:
        """The bytes of a file."""
        with self._troubled(f"Reading '{path}'"):
            try:
                return bytes(self._fs.cat_file(f"{self._root}/{path}"))
            except FileNotFoundError:
                return None

    def write(self, path: str, data: bytes) -> None:
        """Put a file there, with its kind, which browsers are told."""
        with self._troubled(f"Writing '{path}'"):
            self._fs.pipe_file(f"{self._root}/{path}", data, **_told(path))

    def create(self, path: str, data: bytes) -> bool:
        """Make a file unless it is there."""
        with self._troubled(f"Locking '{path}'"):
            try:
                self._fs.pipe_file(f"{self._root}/{path}", data, mode="create")
            except FileExistsError:
                return False
            except NotImplementedError:  # older storage: nobody can be kept out there
                self._fs.pipe_file(f"{self._root}/{path}", data)
            return True

    def remove(self, path: str) -> None:
        """Take a file away; there are no folders."""
        with self._troubled(f"Deleting '{path}'"):
            try:
                self._fs.rm_file(f"{self._root}/{path}")
            except FileNotFoundError:
                return

    def another(self, number: int) -> "S3Far":
        """The same one, which sends several at once."""
        return self

    def close(self) -> None:
        """Connections end by themselves."""

    @contextmanager
    def _troubled(self, doing: str) -> Iterator[None]:
        from botocore.exceptions import BotoCoreError, NoCredentialsError

        try:
            yield
        except FileNotFoundError:
            raise Trouble(
                worded("There is no bucket for '{name}'.", name=self.name),
                worded("Make it there, or look at its name."),
            ) from None
        except PermissionError as error:
            if getattr(error.__cause__, "response", {}).get("Error", {}).get("Code") == "RequestTimeTooSkewed":
                now = datetime.now().astimezone().strftime("%Y-%m-%d %H:%M")
                do = worded("This computer's clock says {now}: set it right, and run it again.", now=now)
                raise Trouble(
                    worded("The clocks here and at '{name}' are too far apart.", name=self.name), do
                ) from None
            do = worded(
                "'user' under 'publish' in workshop.yaml names the access key, and PASSPORT_PUBLISH_SECRET "
                "holds its secret; the key needs the right to read, write and delete there."
            )
            raise Trouble(
                worded("{doing}: '{name}' does not allow it ({error}).", doing=doing, name=self.name, error=error), do
            ) from None
        except NoCredentialsError:
            do = worded(
                "Name the access key with 'user' under 'publish', and put its secret into PASSPORT_PUBLISH_SECRET."
            )
            raise Trouble(worded("Nothing says who publishes to '{name}'.", name=self.name), do) from None
        except BotoCoreError as error:
            do = worded("Look at 'endpoint' and at the network. Nothing half is there; run it again, and it goes on.")
            raise Trouble(
                worded("{doing}: '{name}' cannot be reached ({error}).", doing=doing, name=self.name, error=error), do
            ) from None
        except TimeoutError:
            raise cut(self.name, doing) from None
        except OSError as error:
            raise trouble_of(error, self.name, doing) from None


def _told(path: str) -> dict[str, str]:
    """What the storage tells browsers of a file; each is asked for anew, so that a lost racquet's page changes at once."""
    ending = f".{path.rpartition('.')[2]}"
    kind = _TYPES.get(ending) or mimetypes.guess_type(path)[0] or "application/octet-stream"
    charset = "; charset=utf-8" if kind in ("text/html", "text/css", "text/javascript", "text/plain") else ""
    return {"ContentType": kind + charset, "CacheControl": "private, no-cache"}
