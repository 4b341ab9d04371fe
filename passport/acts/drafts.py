"""What a person has answered of an act that is not finished: kept in the content's hidden folder, for later.

A draft is private: it may hold how to reach a player. It leaves with the act that it becomes, or with the player who is
erased.
"""

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from passport.acts.refused import Refused
from passport.records.disk import opening, walking
from passport.records.language.worded import worded
from passport.records.transaction import atomic
from passport.records.transaction.private import folder_of, made

Answered = tuple[str, str]
"""A question and its answer."""
_FOLDER, _LARGEST = "drafts", 200_000


@dataclass(frozen=True, slots=True)
class Draft:
    """Where the answers of one act are kept: ``name`` says which act, and of what."""

    root: Path
    name: str

    def kept(self) -> list[Answered]:
        """What was answered; nothing where nothing is kept, or what is kept cannot be read."""
        try:
            data = json.loads(opening.read_text(self._path, most=_LARGEST, inside=self.root))
            return [(str(question), str(answer)) for question, answer in data]
        except (OSError, ValueError, TypeError):
            return []

    def keep(self, answers: Sequence[Answered]) -> None:
        """Keep these answers in place of what was kept. Raises Refused where they cannot be written."""
        try:
            made(self.root, _FOLDER)
            atomic.write(self._path, json.dumps(list(answers), ensure_ascii=False).encode(), mode=0o600)
        except OSError as error:
            raise Refused(worded("What you typed could not be kept: {error}.", error=error)) from None

    def drop(self) -> None:
        """Forget them."""
        self._path.unlink(missing_ok=True)

    @property
    def _path(self) -> Path:
        return folder_of(self.root) / _FOLDER / f"{self.name.replace('/', '-')}.json"


def forget(root: Path, tells: Callable[[bytes], bool]) -> int:
    """Drop every draft that tells of somebody, by its name or by what was typed; how many those were.

    One that cannot be read goes too: nobody knows what it tells.
    """
    folder, dropped = folder_of(root) / _FOLDER, 0
    for path in walking.listed(folder) if folder.is_dir() else ():
        try:
            said = b"\n".join((path.stem.encode(), opening.read(path, most=_LARGEST, inside=root)))
        except OSError:
            said = b""
        if not said or tells(said):
            path.unlink(missing_ok=True)
            dropped += 1
    return dropped
