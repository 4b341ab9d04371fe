"""One commit a change, where the shop keeps its content in git and wishes it: ``commit_changes: yes`` in workshop.yaml.

What was written is written: whatever git refuses is told, and nothing is taken back for it.
"""

import subprocess
from collections.abc import Callable, Iterable
from pathlib import Path

from passport.records.disk import opening
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.transaction.entries import Transaction
from passport.records.yaml import yamltext

_SECONDS = 60.0
"""The longest that git is waited for: a hook of the shop's own may do much, a question would wait for ever."""
_YES = frozenset({"yes", "true", "on", "1", "y", "t"})


class _GitRefused(Exception):
    """What git said when it refused."""


def keep(root: Path, entry: Transaction, say: Callable[[str], None]) -> None:
    """Commit the files of a change, and no others, where the shop wishes it; ``say`` is told where git does not.

    The message names the command and the change's number in the history, and nobody: when a player is erased, files can
    be taken out of git's past, but not words out of its messages.
    """
    if not _wished(root):
        return
    paths = [*entry.files, *(path for move in entry.moves for path in move[:1])]
    paths += [ledger.FILE] if entry.book else []
    try:
        _commit(root, list(dict.fromkeys(paths)), f"{entry.work}, change {int(entry.name)}")
    except (_GitRefused, OSError, subprocess.SubprocessError) as error:
        say(worded("The change is written, but git has no commit of it: {error}", error=error))


def _wished(root: Path) -> bool:
    try:
        text = opening.read_text(root / "workshop.yaml", errors="replace")
    except OSError:
        return False
    data, _, _ = yamltext.read(text, "workshop.yaml")
    return isinstance(data, dict) and str(data.get("commit_changes")).lower() in _YES


def _commit(root: Path, paths: Iterable[str], message: str) -> None:
    """Commit some files as they are now; one that is gone is taken out. Raises `_GitRefused`."""
    there = [path for path in paths if (root / path).exists()]
    if there:
        _git(root, "add", "--", *there)
    known = [path for path in _git(root, "ls-files", "-z", "--", *paths).split("\0") if path]
    if known and _git(root, "status", "--porcelain", "--untracked-files=no", "--", *known):
        _git(root, "commit", "--quiet", "--only", "--message", message, "--", *known)


def _git(root: Path, *arguments: str) -> str:
    done = subprocess.run(
        ["git", "--literal-pathspecs", *arguments],
        cwd=root,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        errors="replace",
        timeout=_SECONDS,
        check=False,
    )
    if done.returncode:
        raise _GitRefused(" ".join((done.stderr or done.stdout).split())[:400] or f"code {done.returncode}")
    return done.stdout
