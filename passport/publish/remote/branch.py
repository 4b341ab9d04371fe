"""A branch of a git repository, as pages hosts serve it: the whole site changes in one push, or not at all.

Git itself does it (fsspec's git cannot write). The branch always holds one commit without a past: an erased player's
pages are in no history of it. What a host keeps of earlier commits until it clears up, and when it serves the new one, is
the host's own. Two at once: the push names the commit that it replaces, and the second one is refused.
"""

import os
import re
import subprocess
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from passport.publish.folder import manifest
from passport.publish.folder.manifest import FILE, FileMark
from passport.publish.remote.destination import Foreign, Unopened
from passport.publish.remote.expected import expected, file_of
from passport.publish.remote.far import Trouble
from passport.publish.remote.lease import NotAlone
from passport.publish.remote.plan import There, UploadPlan
from passport.publish.remote.send import NotAsBuilt, Told
from passport.records.language.worded import unsaid, worded

_NEW, _SEEN = "refs/passport/new", "refs/passport/seen"
_AGAIN = unsaid("The branch is as it was. Publish again.")
_SAID = (
    (r"Host key verification failed", "does not show the key that this computer knows of it",
     "Compare its key with what the host says of it, then: ssh-keyscan -H HOST >> ~/.ssh/known_hosts"),
    (r"Permission denied|Authentication failed|could not read (Username|Password)|403|HTTP Basic: Access denied",
     "does not let you in, or not write", "SSH needs its agent or 'key:'; https the variable PASSPORT_PUBLISH_SECRET."),
    (r"Could not resolve host", "is not found", "Look at the host's name and at the network of this computer."),
    (r"certificate problem|certificate verif|unable to get local issuer", "cannot prove that it is that host",
     "Look at the host's name. If that is right, somebody may be in between: ask the host."),
    (r"not found|does not exist|does not appear to be a git repository", "has no such repository",
     "Look at its path; make it at the host first."),
    (r"Connection (refused|timed out|reset)|Failed to connect|No route to host|unreachable", "does not answer",
     "Look at host and port, and at the network of this computer."),
    (r"No space left", "has a full disk", f"Make room there. {_AGAIN}"),
    (r"protected branch|pre-receive hook declined", "does not let this branch be replaced",
     "Name another one with 'branch:', or take the protection off."),
)  # fmt: skip


class Branch:
    """A branch of a repository."""

    def __init__(self, repository: str, branch: str, cache: Path, environment: Mapping[str, str]) -> None:
        """``cache`` is a folder for a clone without files; ``environment`` how git reaches the far side."""
        self.name = f"{repository}, branch {branch}"
        self._far, self._ref, self._cache = repository, f"refs/heads/{branch}", cache
        self._environment = {**os.environ, **environment, "GIT_DIR": str(cache), "LC_ALL": "C"}
        self._was = ""

    @contextmanager
    def alone(self, say: Callable[[str], None]) -> Iterator[None]:
        """No lock: the push itself fails where another one came first."""
        yield

    def look(self, key: str, *, anew: bool = False) -> There:
        """Fetch the branch, and read its manifest."""
        if not (self._cache / "HEAD").is_file():
            self._git("init", "--quiet", "--bare")
        listed = self._git("ls-remote", "--", self._far, self._ref).split()
        self._was = listed[0].decode() if listed else ""
        if not self._was:
            return There()
        if self._seen() != self._was:
            self._git("fetch", "--quiet", "--depth=1", "--no-tags", "--force", "--", self._far, f"{self._ref}:{_SEEN}")
            self._was = self._seen()
        there = There() if anew else self._said(key)
        if there.said is None and not anew:
            names = self._git("ls-tree", "--name-only", "-z", self._was).split(b"\0")
            raise Foreign(self.name, f"'{names[0].decode(errors='replace')}'")
        return there

    def _seen(self) -> str:
        return self._git("for-each-ref", "--format=%(objectname)", _SEEN).decode().strip()

    def _said(self, key: str) -> There:
        if not self._git("ls-tree", "--name-only", self._was, "--", FILE):
            return There()
        try:
            return There(expected(self._git("cat-file", "blob", f"{self._was}:{FILE}"), key))
        except (manifest.Sealed, manifest.TooNew):
            raise Unopened(self.name) from None

    def send(self, plan: UploadPlan, site: Path, key: str, told: Told) -> None:
        """Make the commit here, then push it. Raises `Trouble`, `NotAlone`, `NotAsBuilt`."""
        self._git("fast-import", "--quiet", "--force", into=self._commit(plan, site, told))
        try:
            lease = f"--force-with-lease={self._ref}:{self._was}"
            self._git("push", "--quiet", "--porcelain", lease, "--", self._far, f"{_NEW}:{self._ref}")
        except Trouble as error:
            said = str(error.__context__ or error)
            if re.search(r"stale info|fetch first|cannot lock ref|non-fast-forward", said) and "denied" not in said:
                raise NotAlone from None
            raise
        self._git("update-ref", _SEEN, _NEW)

    def _commit(self, plan: UploadPlan, site: Path, told: Told) -> Iterator[bytes]:
        """What git is told to make: the tree of the branch as it is, with what changes in it."""
        passports = len(plan.wanted.passports)
        message = f"The site, {passports} {'passport' if passports == 1 else 'passports'}\n".encode()
        yield b"commit %s\ncommitter Racquet passport <passport@localhost> %d +0000\n" % (
            _NEW.encode(),
            int(time.time()),
        )
        yield b"data %d\n%s" % (len(message), message)
        if self._was:
            yield b'M 040000 %s ""\n' % self._git("rev-parse", f"{self._was}^{{tree}}").strip()
        yield from (b"D %s\n" % _quoted(path) for path in plan.gone)
        sent = 0
        for count, mark in enumerate((*plan.contents, *plan.pages), 1):
            data = _read(site, mark)
            yield b"M 100644 inline %s\ndata %d\n%s\n" % (_quoted(mark.path), len(data), data)
            sent += len(data)
            told(count, sent)
        data = plan.wanted.data
        yield b"M 100644 inline %s\ndata %d\n%s\n" % (_quoted(FILE), len(data), data)

    def close(self) -> None:
        """Nothing is open."""

    def _git(self, *arguments: str, into: Iterable[bytes] | None = None) -> bytes:
        try:
            with subprocess.Popen(
                ["git", *arguments],
                env=self._environment,
                stdin=subprocess.PIPE if into is not None else subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
            ) as running:
                if into is not None:
                    _fed(running, into)
                out, err = running.communicate()
        except FileNotFoundError:
            raise Trouble(
                worded("Git is not installed here."), worded("Install it (Debian: apt install git).")
            ) from None
        if running.returncode:
            raise self._trouble(f"{err.decode(errors='replace')}\n{out.decode(errors='replace')}")
        return out

    def _trouble(self, said: str) -> Trouble:
        for pattern, what, do in _SAID:
            if re.search(pattern, said, re.IGNORECASE):
                return Trouble(f"'{self.name}' {what}: {_short(said)}", do)
        return Trouble(worded("Git says: {short}", short=_short(said)), worded(_AGAIN))


def _fed(running: "subprocess.Popen[bytes]", parts: Iterable[bytes]) -> None:
    """Write what git reads; whatever goes wrong with it ends git, which then makes nothing."""
    assert running.stdin
    try:
        for part in parts:
            running.stdin.write(part)
        running.stdin.flush()
    except BrokenPipeError:
        return
    except BaseException:
        running.kill()
        raise


def _read(site: Path, mark: FileMark) -> bytes:
    data = file_of(site, mark)
    if data is None:
        raise NotAsBuilt(mark.path)
    return data


def _quoted(path: str) -> bytes:
    """A path as git reads it from a stream, in quotes."""
    escaped = path.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'.encode()


def _short(said: str) -> str:
    """What git said, without the lines that only announce it."""
    lines = [
        line.strip() for line in said.splitlines() if line.strip() and not line.startswith(("To ", "Done", "hint:"))
    ]
    return " / ".join(lines[:3])[:300]
