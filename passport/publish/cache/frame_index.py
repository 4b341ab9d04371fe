"""The outlines of all frames, kept beside the content so that finding one need not read ten thousand files."""

import json
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import Any

from passport.publish.folder.digest import digest
from passport.publish.folder.listing import UNSEEN, Mark, listing, mark_of
from passport.records.disk import opening, walking
from passport.records.disk.walking import refusal
from passport.records.outline import catalogue_names, frame_outline, player_names
from passport.records.transaction import atomic
from passport.records.yaml.yamltext import LARGEST_FILE
from passport.workshop.entry.search import Findable, is_number, search

FILE = Path(".passport-cache") / "outlines.json"
FORMAT = 3
Progress = Callable[[int, int], None]


def frames(root: Path, progress: Progress | None = None) -> list[Findable]:
    """All frames of a content folder as they are found; only files that changed since the last time are read.

    A kept file that is damaged, or of another format, is not trusted: everything is read anew. Where nothing can be
    kept (a read-only folder) everything is read each time.
    """
    return list(_joined(root, _rows(root, progress)))


def known(root: Path, name: str) -> bool:
    """Whether a frame, ``player/frame``, is among all frames of a content folder, by looking for it alone."""
    player, _, frame = name.partition("/")
    folder, file = root / "players" / player, f"{frame}.yaml"
    # Found by what stands in the folders, so that no path is made of a name that somebody made up.
    if not any(
        path.name == player and not path.is_symlink() for path in walking.listed(root / "players", ends=(player,))
    ):
        return False
    if error := refusal(folder):
        raise error
    there = file[0] != "." and any(path.name == file for path in walking.listed(folder, ends=(file,)))
    return there and isinstance(_outline(folder / file, f"{player}/{file}"), dict)


def players(root: Path) -> dict[str, tuple[str, str, int]]:
    """The public name, the full name and the number of frames of each player of a content folder, by the player's folder."""
    rows = _rows(root, None)
    counts = Counter(path.partition("/")[0] for path, row in rows.items() if isinstance(row, dict))
    named = ((path.partition("/")[0], row) for path, row in rows.items() if isinstance(row, list))
    return {folder: (str(row[0]), str(row[1]), counts[folder]) for folder, row in named}


def matching(root: Path, text: str, most: int = 20, progress: Progress | None = None) -> list[Findable]:
    """The frames that a text fits, as `passport.workshop.entry.search.search` has them; a number is looked for first."""
    rows = _rows(root, progress)
    numbered = {path: row for path, row in rows.items() if isinstance(row, dict) and is_number(text, row["number"])}
    if not numbered:
        return search(text, list(_joined(root, rows)), most)
    players = {path: row for path, row in rows.items() if isinstance(row, list)}
    return list(_joined(root, {**players, **numbered}))


def holder(root: Path, number: str) -> str | None:
    """The folder of the player who has the passport of a number, written in full; None where that is not sure at once.

    Only the file that had it when all files were last looked at is looked at, so that one of ten thousand is found
    without the others. A record that has taken the same number since is not noticed: `passport check` tells of it.
    """
    body, wanted = _body(root), f'"number":{json.dumps(number, ensure_ascii=False)}'
    at = body.find(wanted) if number else -1
    # Found by text, without parsing ten thousand lines; a number that stands there twice needs the real search.
    if at < 0 or body.find(wanted, at + 1) >= 0:
        return None
    path, mark, row = json.loads(body[body.rfind("\n", 0, at) + 1 :].partition("\n")[0])
    found = row["number"] == number and mark_of(root / "players" / path) == tuple(mark)
    return str(path).partition("/")[0] if found else None


def _rows(root: Path, progress: Progress | None) -> dict[str, Any]:
    """What stands in each file: the outline of a frame, or a player's names, or None where it cannot be read."""
    marks = listing(root / "players")
    _all_open(root / "players", marks)
    kept = _kept(root)
    rows: dict[str, tuple[Mark, Any]] = {}
    stale = [path for path in sorted(marks) if path.endswith(".yaml") and path.count("/") == 1]
    changed = [path for path in stale if path not in kept or tuple(kept[path][0]) != marks[path]]
    fresh = set(changed)
    for done, path in enumerate(stale):
        if path not in fresh:
            rows[path] = (marks[path], kept[path][1])
            continue
        if progress:
            progress(done, len(stale))
        rows[path] = (marks[path], _outline(root / "players" / path, path))
    if changed or set(kept) != set(rows):
        _keep(root, rows)
    return {path: value for path, (_, value) in rows.items()}


def _all_open(players: Path, marks: dict[str, Mark]) -> None:
    """Raises OSError for a player's folder that cannot be read, whose frames would seem not to exist."""
    for path, mark in marks.items():
        if mark == UNSEEN and path.count("/") <= 1 and (error := refusal(players / path.partition("/")[0])):
            raise error


def _outline(path: Path, name: str) -> Any:
    try:
        text = opening.read_text(path, most=LARGEST_FILE, inside=path.parents[2])
    except (OSError, UnicodeDecodeError):
        return None
    if path.name == "player.yaml":
        return list(player_names(text))
    return asdict(frame_outline(text, name.removesuffix(".yaml")))


def _joined(root: Path, rows: dict[str, Any]) -> Iterator[Findable]:
    strings = _catalogue(root, "strings")
    models = _catalogue(root, "frames")
    called = {name: f"{said} {name}".strip() for name, said in strings.items()}
    for path, value in rows.items():
        if not isinstance(value, dict):
            continue
        folder = path.partition("/")[0]
        player = " ".join(rows.get(f"{folder}/player.yaml") or [folder]).strip()
        named = tuple(called.get(string, string) for string in value["strings"])
        model = f"{models.get(value['model'], '')} {value['model']}".strip()
        yield Findable(
            value["name"], value["number"], player, value["label"], model, value["serial"], value["status"], named
        )


def _catalogue(root: Path, name: str) -> dict[str, str]:
    try:
        return catalogue_names(opening.read_text(root / "catalogue" / f"{name}.yaml", most=LARGEST_FILE, inside=root))
    except (OSError, UnicodeDecodeError):
        return {}


def _kept(root: Path) -> dict[str, tuple[list[int], Any]]:
    rows = json.loads(f"[{_body(root).replace(chr(10), ',')}]")
    return {path: (mark, row) for path, mark, row in rows}


def _body(root: Path) -> str:
    """What is kept, a file a line; nothing where it is damaged or of another format."""
    try:
        mark, _, body = opening.read_text(root / FILE, inside=root).partition("\n")
    except (OSError, ValueError):
        return ""
    return body if mark == _mark(body) else ""


def _keep(root: Path, rows: dict[str, tuple[Mark, Any]]) -> None:
    body = "\n".join(
        json.dumps([path, mark, row], ensure_ascii=False, separators=(",", ":")) for path, (mark, row) in rows.items()
    )
    if (root / FILE).is_symlink() or (root / FILE).parent.is_symlink():
        return  # it might lead anywhere
    try:
        (root / FILE).parent.mkdir(exist_ok=True)
        atomic.write(root / FILE, f"{_mark(body)}\n{body}".encode())
    except OSError:
        return  # a folder that cannot be written to is searched all the same


def _mark(body: str) -> str:
    return f"outlines {FORMAT} {digest(body)}"
