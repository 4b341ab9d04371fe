"""A folder behind SSH (SFTP). It promises all of it where the server renames over a file in one step, as OpenSSH does.

A server without that (``posix-rename@openssh.com``) has a moment at which a changed file is not there; never a half one.
paramiko itself is used: fsspec's way in would take any host for the right one.
"""

import base64
import errno
import hashlib
import logging
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import Any

import paramiko

from passport.publish.remote.far import PART, Trouble, cut, trouble_of
from passport.records.language.worded import worded
from passport.records.target import PublishTarget

_PATIENCE = 30.0
"""Seconds that a server may take for an answer."""


@dataclass(frozen=True, slots=True)
class Way:
    """How to get in: the file of a key, a password, and the fingerprint by which the host is known; each may be empty."""

    key: str = ""
    password: str = ""
    fingerprint: str = ""


class SftpFar:
    """A folder on a server with SSH."""

    hands = 4

    def __init__(self, target: PublishTarget, way: Way, number: int = 0) -> None:
        """Connect. Raises `Trouble`."""
        self.name = f"{target.host}:{target.path or '/'}"
        self._target, self._way, self._part = target, way, f"{PART}-{number}"
        self._root = target.path or "/"
        # What went wrong is told by us; the library would tell it in tracebacks besides.
        logging.getLogger("paramiko").setLevel(logging.CRITICAL + 1)
        self._client, self._made = paramiko.SSHClient(), set[str]()
        self._client.set_missing_host_key_policy(_VouchedHost(way.fingerprint))
        if not way.fingerprint:
            self._client.load_system_host_keys()
        with self._troubled("Connecting"):
            self._connect()
        with self._troubled("Connecting"):
            self._sftp = self._client.open_sftp()
            self._sftp.get_channel().settimeout(_PATIENCE)  # type: ignore[union-attr]
            try:
                self._sftp.stat(self._root)
            except FileNotFoundError:
                do = worded("Make it there, or look at the path; ask the host what its web folder is called.")
                raise Trouble(
                    worded("There is no folder '{root}' at '{host}'.", root=self._root, host=target.host), do
                ) from None

    def _connect(self) -> None:
        said = _from_config(self._target.host)
        key: Any = str(Path(self._way.key).expanduser()) if self._way.key else said.get("identityfile")
        if self._way.key and not Path(key).is_file():
            raise Trouble(
                worded("There is no SSH key '{key}'.", key=key),
                worded("Look at 'key' under 'publish' in workshop.yaml."),
            )
        self._client.connect(
            said.get("hostname", self._target.host),
            self._target.port or int(said.get("port", 22)),
            self._target.user or said.get("user"),
            self._way.password or None,
            key_filename=key,
            timeout=_PATIENCE,
            banner_timeout=_PATIENCE,
            auth_timeout=_PATIENCE,
            # a key that is named is the one that is meant; else the agent's and those in ~/.ssh
            look_for_keys=not self._way.key,
            allow_agent=not self._way.key,
        )

    def read(self, path: str) -> bytes | None:
        """The bytes of a file."""
        with self._troubled(f"Reading '{path}'"):
            try:
                with self._sftp.open(self._at(path), "rb") as file:
                    file.prefetch()
                    return file.read()
            except FileNotFoundError:
                return None

    def write(self, path: str, data: bytes) -> None:
        """Put a file there under another name, and give it its own when it is whole."""
        with self._troubled(f"Writing '{path}'"):
            part = self._at(self._part)
            self._sftp.putfo(BytesIO(data), part, len(data), confirm=True)
            self._folders(path)
            try:
                self._sftp.posix_rename(part, self._at(path))
            except OSError as error:
                if error.errno == errno.ENOENT or "not supported" not in str(error).lower():
                    raise
                with suppress(FileNotFoundError):
                    self._sftp.remove(self._at(path))
                self._sftp.rename(part, self._at(path))

    def create(self, path: str, data: bytes) -> bool:
        """Make a file in a folder of its own; making the folder is what one of several can do."""
        with self._troubled(f"Locking '{path}'"):
            folder = self._at(path.rpartition("/")[0])
            try:
                self._sftp.mkdir(folder)
            except OSError:
                with suppress(OSError):
                    self._sftp.stat(folder)
                    return False
                raise
        self.write(path, data)
        return True

    def remove(self, path: str) -> None:
        """Take a file away."""
        with self._troubled(f"Deleting '{path}'"):
            with suppress(FileNotFoundError):
                self._sftp.remove(self._at(path))
            for folder in PurePosixPath(path).parents[:-1]:
                try:
                    self._sftp.rmdir(self._at(str(folder)))
                except OSError:  # not empty, or a link in the way
                    break
                self._made.discard(str(folder))

    def another(self, number: int) -> "SftpFar":
        """One more connection."""
        return SftpFar(self._target, self._way, number)

    def close(self) -> None:
        """End the connection."""
        self._client.close()

    def _at(self, path: str) -> str:
        return f"{self._root.rstrip('/')}/{path}"

    def _folders(self, path: str) -> None:
        for folder in reversed(PurePosixPath(path).parents[:-1]):
            if str(folder) in self._made:
                continue
            try:
                self._sftp.mkdir(self._at(str(folder)))
            except OSError:
                self._sftp.stat(self._at(str(folder)))  # there already, or cannot be made: then this raises
            self._made.add(str(folder))

    @contextmanager
    def _troubled(self, doing: str) -> Iterator[None]:
        host = self._target.host
        try:
            yield
        except paramiko.BadHostKeyException:
            do = worded(
                "Somebody may be in between. Ask the host whether its key changed; if so, take the old one "
                "out with 'ssh-keygen -R {host}' and the new one in with 'ssh {host}'.",
                host=host,
            )
            raise Trouble(
                worded("'{host}' shows another key than the one that this computer knows of it.", host=host), do
            ) from None
        except _Stranger as error:
            if self._way.fingerprint:
                do = worded(
                    "Somebody may be in between. Ask the host whether its key changed before you write the new "
                    "one there."
                )
                raise Trouble(
                    worded(
                        "'{host}' shows the key {error}, and 'fingerprint' names another one.", host=host, error=error
                    ),
                    do,
                ) from None
            do = worded(
                "Compare it with what the host says. If it is the same, write 'fingerprint: {error}' under "
                "'publish' in workshop.yaml, or log in once with 'ssh {host}'.",
                error=error,
                host=host,
            )
            raise Trouble(
                worded("'{host}' is not known to this computer; its key is {error}.", host=host, error=error), do
            ) from None
        except (paramiko.AuthenticationException, paramiko.PasswordRequiredException) as error:
            user = self._target.user or "you"
            do = worded(
                "Give the host your public key (ssh-copy-id), name its file with 'key:', load it into the "
                "agent (ssh-add), or use a password: see 'passport publish --help'."
            )
            raise Trouble(
                worded("'{host}' does not let {user} in: {error}", host=host, user=user, error=error), do
            ) from None
        except (paramiko.ssh_exception.NoValidConnectionsError, paramiko.SSHException, EOFError) as error:
            if isinstance(error, OSError):
                raise trouble_of(ConnectionRefusedError(), host, doing) from None
            if "banner" in str(error):
                do = worded(
                    "Look at host and port: at this one something else answers, or something in between cuts it."
                )
                raise Trouble(worded("'{host}' does not answer as a server with SSH does.", host=host), do) from None
            raise cut(host, doing) from None
        except OSError as error:
            if error.errno is None and re.search("^Failure|size mismatch", str(error)):
                do = worded(
                    "Often that is a full disk: make room there. Nothing half is served; run it again, and it goes on."
                )
                raise Trouble(
                    worded("{doing}: '{host}' could not do it, and says no more than that.", doing=doing, host=host), do
                ) from None
            if error.errno is None and "closed" in str(error).lower():
                raise cut(host, doing) from None
            raise trouble_of(error, host, doing) from None


class _Stranger(paramiko.SSHException):
    """A host whose key nobody vouched for."""


class _VouchedHost(paramiko.MissingHostKeyPolicy):
    """Takes a host whose key has the fingerprint that is written down, and no other one that is not known."""

    def __init__(self, fingerprint: str) -> None:
        self._fingerprint = fingerprint.removeprefix("SHA256:").rstrip("=")

    def missing_host_key(self, client: paramiko.SSHClient, hostname: str, key: Any) -> None:
        """Raise `_Stranger` unless it is the one."""
        found = base64.b64encode(hashlib.sha256(key.asbytes()).digest()).decode().rstrip("=")
        if found != self._fingerprint:
            raise _Stranger(f"SHA256:{found}")


def _from_config(host: str) -> dict[str, Any]:
    """What ``~/.ssh/config`` says of a host."""
    try:
        return dict(paramiko.SSHConfig.from_path(str(Path("~/.ssh/config").expanduser())).lookup(host))
    except (OSError, paramiko.SSHException):
        return {}
