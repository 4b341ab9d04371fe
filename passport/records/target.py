"""Where a site is put so that the web sees it: one line of text, as ``sftp://shop@web.example/srv/passports``.

What stands before ``://`` says how: ``sftp``, ``ftps``, ``davs`` (WebDAV over https), ``s3`` (a bucket), ``git+ssh``,
``git+https``, ``git+file`` (a branch of a repository). A path alone is a folder or a mounted disk. No password stands in it.
"""

import ipaddress
import re
from dataclasses import dataclass
from typing import Literal
from urllib.parse import unquote, urlsplit

from passport.records.language.worded import unsaid, worded

Way = Literal["folder", "sftp", "ftps", "davs", "s3", "git"]
EXAMPLE = "sftp://shop@web.example/srv/passports"
_SCHEMES: dict[str, Way] = {
    "file": "folder",
    "sftp": "sftp",
    "ftps": "ftps",
    "davs": "davs",
    "dav": "davs",
    "s3": "s3",
    "git+ssh": "git",
    "git+https": "git",
    "git+file": "git",
}
_SAME_COMPUTER = ("localhost", "127.0.0.1", "::1")
_SCP = re.compile(r"(?P<user>[A-Za-z0-9._-]+)@(?P<host>[A-Za-z0-9.-]+):(?P<path>[^/\\\s][^\s]*)")
_BUCKET = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9])?")
_LABEL = re.compile(r"[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?")
HOSTS = unsaid(
    "A host's name is letters, figures and hyphens in parts of at most 63, with a dot between; or its address in figures."
)


class BadTarget(ValueError):
    """A text that names no place to publish to: ``what`` is wrong, and what to ``do``."""

    def __init__(self, what: str, do: str) -> None:
        self.what, self.do = what, do
        super().__init__(what)


@dataclass(frozen=True, slots=True)
class PublishTarget:
    """A place to publish to: ``host`` is a bucket's name for ``s3``, and empty for folders; ``text`` is what was written."""

    text: str
    way: Way
    host: str = ""
    port: int | None = None
    user: str = ""
    path: str = ""
    plain: bool = False
    """Whether nothing is encrypted on the way, as is allowed to this computer alone."""


def target_of(text: str) -> PublishTarget:
    """Read the text of a place. Raises `BadTarget`."""
    if found := _SCP.fullmatch(text):
        _refuse_no_host(found["host"])
        return PublishTarget(text, "git", found["host"], None, found["user"], found["path"])
    scheme, mark, _ = text.partition("://")
    if not mark:
        return PublishTarget(text, "folder", path=text)
    if scheme not in _SCHEMES:
        known = ", ".join(f"'{name}://'" for name in _SCHEMES if name not in ("file", "dav"))
        raise BadTarget(f"'{scheme[:20]}' is no way to publish.", f"Begin with one of {known}, or name a folder.")
    return _from_url(text, scheme)


def _from_url(text: str, scheme: str) -> PublishTarget:
    way = _SCHEMES[scheme]
    try:
        parts = urlsplit(text)
        host, port, user = parts.hostname or "", parts.port, unquote(parts.username or "")
    except ValueError as error:
        raise BadTarget(f"'{text[:80]}' is no address: {error}.", f"Write it as in '{EXAMPLE}'.") from None
    if parts.password is not None:
        do = "Take it out, and change it, since it stood in a file: 'passport publish' says where passwords belong."
        raise BadTarget("A password stands in this address.", do)
    if parts.query or parts.fragment or ".." in parts.path.split("/"):
        raise BadTarget(f"'{text[:80]}' holds '?', '#' or '..'.", f"Write it as in '{EXAMPLE}'.")
    local = scheme in ("file", "git+file")
    if (local and host) or not (local or host) or (way == "s3" and not _BUCKET.fullmatch(host)) or user.startswith("-"):
        raise BadTarget(f"'{text[:80]}' names no host.", f"Write it as in '{EXAMPLE}'.")
    if not local and way != "s3":
        _refuse_no_host(host)
    plain = scheme == "dav"
    if plain and host not in _SAME_COMPUTER:
        do = "Write 'davs://': what goes unencrypted can be read and changed on the way."
        raise BadTarget("'dav://' is for this computer alone.", do)
    path = unquote(parts.path)
    return PublishTarget(text, way, host, port, user, path if way in ("folder", "git") else path.rstrip("/"), plain)


def is_host(text: str) -> bool:
    """Whether a text can be the name of a host (RFC 1123, 2.1; at most 253 characters), or is an address in figures.

    A name whose last part is figures alone is an address or nothing (the WHATWG's URL standard, "ends in a number").
    """
    labels = text.split(".")
    if ":" in text or labels[-1].isdigit():
        try:
            ipaddress.ip_address(text)
        except ValueError:
            return False
        return True
    return len(text) <= 253 and all(map(_LABEL.fullmatch, labels))


def _refuse_no_host(host: str) -> None:
    if not is_host(host):
        raise BadTarget(f"'{host[:80]}' names no host.", worded(HOSTS))
