"""Erasing a player: the records, the photos, and everything that was made from them in the site and the bench folder.

Every step can be done again after the program was stopped in the middle: the player's folder is first set aside under a
hidden name, in which what is still to be removed is found, and it goes last.
"""

import re
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from passport.acts import drafts
from passport.acts.change import Base, commit, held
from passport.acts.clock import today
from passport.acts.memory import CACHE
from passport.acts.refused import writing
from passport.acts.stock import without_jobs_of
from passport.publish.folder.site_pages import close_page
from passport.publish.folder.swap import clear_up
from passport.records.disk import opening, walking
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.ledger.ledger import CLOSED, LedgerLine
from passport.records.load import STOCK, Content
from passport.records.schema import numbers
from passport.records.transaction import history
from passport.records.transaction.journal import Wanted
from passport.records.yaml import yamltext
from passport.records.yaml.edit import without
from passport.render.pages.closed import closed_page

ASIDE = ".erasing-"
_TEXT = {".yaml", ".yml", ".md", ".txt", ".html", ".json", ".svg", ".ics", ".csv", ".js", ".css"}
_LARGEST = 4_000_000


@dataclass(frozen=True, slots=True)
class Traces:
    """What is known of a player: the folder as it was named, its files, keys and numbers, photos, telling words."""

    root: Path
    player: str
    files: tuple[Path, ...]
    keys: tuple[tuple[str, str, str], ...]
    """Each key with the kind of what it is of, ``frame`` or ``player``, and the passport number."""
    photos: tuple[Path, ...]
    words: tuple[str, ...]
    """Names, contact, serials, numbers and keys by which the player would be known elsewhere."""
    secrets: tuple[str, ...] = ()
    """The secrets that open the player's sealed pages."""

    @property
    def numbers(self) -> tuple[str, ...]:
        """The passport numbers of the player's frames."""
        return tuple(number for _, _, number in self.keys if number)


def traces(root: Path, player: str) -> Traces | None:
    """What is known of a player in the content, also where an erasing was stopped before; None without a folder.

    Records that cannot be read give what can be found in their text.
    """
    folder = next((f for f in (root / f"{ASIDE}{player}", root / "players" / player) if f.is_dir()), None)
    if folder is None or folder.is_symlink():
        return None
    files = tuple(path for path in walking.files(folder, hidden=True) if path.is_file())
    records = [(path, _values(path)) for path in files if path.suffix in (".yaml", ".yml")]
    keys = [
        (key, "player" if path.name == "player.yaml" else "frame", values.get("number", ""))
        for path, values in records
        if numbers.is_key(key := values.get("key", ""))
    ]
    named = {name for path in files for name in _photos_named(path)}
    photos = (root / "photos" / name for name in sorted(named) if Path(name).name == name)
    others = _others(root, player)
    own = (path for path in photos if path.is_file() and not any(path.name in text for text in others))
    secrets = tuple(values["secret"] for _, values in records if values.get("secret"))
    return Traces(root, player, files, tuple(keys), tuple(own), tuple(sorted(_words(records))), secrets)


def erase(base: Base, found: Traces, site: Path | None, bench: Path, say: Callable[[str], None]) -> list[Path]:
    """Erase a player from records, ledger, site and the bench folder. Returns the sheets that went. Raises Refused."""
    root = base.records.root
    with held(root, "passport erase", say), writing(f"'{root}'"):
        lines = [LedgerLine(CLOSED, key, kind, number) for key, kind, number in found.keys]
        _close(base, lines, worded("A player was erased"), say, aside_of(found), _elsewhere(base.records, found))
        return remove(found, site, bench, closed_page(base.records))


def open_without_record(base: Base, who: str) -> LedgerLine | None:
    """The address, named by its passport number or key, whose record is gone and which is not closed yet."""
    dropped = base.ledger().dropped(base.records)
    number = numbers.normalise(who)
    return next((line for line in dropped if who == line.key or number == line.number), None)


def close(base: Base, line: LedgerLine, site: Path | None, say: Callable[[str], None]) -> None:
    """Close an address whose record is gone, in the ledger and on the site. Raises Refused."""
    root = base.records.root
    with held(root, "passport erase", say), writing(f"'{root}'"):
        _close(base, [LedgerLine(CLOSED, line.key, line.kind, line.number)], f"{line.number or line.key} closed", say)
        if site:
            close_page(site, line.key, closed_page(base.records))


def _close(
    base: Base,
    lines: Sequence[LedgerLine],
    summary: str,
    say: Callable[[str], None],
    moves: tuple[tuple[str, str], ...] = (),
    files: Mapping[str, bytes | None] | None = None,
) -> None:
    """Close addresses, and with that set folders aside and write ``files``, in one transaction of which nothing else is
    remembered."""
    known = ledger.read(base.records.root) or ledger.Ledger()
    fresh = (*known.unlisted(base.records), *(line for line in lines if line.key not in known.closed))
    if fresh or moves:
        commit(base.records.root, Wanted("passport erase", summary, dict(files or {}), fresh, moves, keep=False), say)


def _elsewhere(records: Content, found: Traces) -> dict[str, bytes | None]:
    """The files outside the player's folder that change: the book of the stock, and blanks that a frame was built on."""
    if not aside_of(found):
        return {}
    files = _stock_kept(records, found)
    for name, entry in records.blanks.items():
        work = entry.record.rebuild
        if work and (work.frame in found.numbers or work.frame.partition("/")[0] == found.player):
            file = f"blanks/{name}.yaml"
            files[file] = without(opening.read_text(found.root / file, inside=found.root), "rebuild").encode()
    return files


def _stock_kept(records: Content, found: Traces) -> dict[str, bytes | None]:
    """The book of the stock in which what a player's jobs took stays taken; nothing where none is kept, or it does not change."""
    if not records.lots:
        return {}
    text = opening.read_text(found.root / STOCK)
    after = without_jobs_of(records, found.player, text, today())
    return {STOCK: after.encode()} if after != text else {}


def aside_of(found: Traces) -> tuple[tuple[str, str], ...]:
    """How the player's folder is set aside: its names before and after; nothing where that was done before."""
    names = f"players/{found.player}", f"{ASIDE}{found.player}"
    return () if (found.root / names[1]).exists() else (names,)


def unfinished(root: Path) -> tuple[str, ...]:
    """The players whose erasing was stopped before its end."""
    return tuple(
        sorted(
            path.name.removeprefix(ASIDE)
            for path in walking.listed(root)
            if path.name.startswith(ASIDE) and path.is_dir()
        )
    )


def tells(found: Traces, data: bytes) -> bool:
    """Whether bytes tell of the player: by folder, name, contact, serial, key, number or secret."""
    signs = "|".join(map(re.escape, sorted({*found.words, *found.secrets, found.player}, key=len, reverse=True)))
    return bool(re.search(rf"(?<!\w)(?:{signs})(?!\w)", data.decode("utf-8", errors="replace")))


def remove(found: Traces, site: Path | None, bench: Path | None, closed_page: Callable[[], bytes]) -> list[Path]:
    """Remove photos, pages, cards, sheets, what killed builds left beside the site, what builds and searches remember,
    the changes and half-filled forms that tell of the player, and last the folder that was set aside. Returns the
    sheets that went. Raises OSError.
    """
    for photo in found.photos:
        photo.unlink(missing_ok=True)
    for key, _, _ in found.keys if site else ():
        close_page(site or Path(), key, closed_page)
    gone = sheets(bench, found) if bench else []
    for path in gone:
        path.unlink(missing_ok=True)
    if site:
        clear_up(site)
    history.purge(found.root, partial(tells, found))
    drafts.forget(found.root, partial(tells, found))
    for path in (found.root / CACHE, found.root / f"{ASIDE}{found.player}"):
        with suppress(FileNotFoundError):
            shutil.rmtree(path)
    return gone


_SHARED = re.compile(r"(?:day-[\d-]{10}|.*-(?:all|since-[\d-]{10}|and-\d+-more)(?:-\d+)?)\.pdf")


def sheets(bench: Path, found: Traces) -> list[Path]:
    """The files of the bench folder that belong to a player: their name has a number or a frame of the player, and the
    sheets of days and of several frames, whose names do not tell who is on them; all can be made anew.
    """
    if not bench.is_dir():
        return []
    files = (path for path in walking.files(bench, hidden=True) if path.is_file())
    return sorted(path for path in files if _SHARED.fullmatch(path.name) or names(path, found))


def names(sheet: Path, found: Traces) -> bool:
    """Whether the name of a file has a number or a frame of the player's."""
    frames = {f"{found.player}-{path.stem}" for path in found.files if path.suffix == ".yaml"}
    signs = [re.compile(rf"(?<!\d){re.escape(number)}(?![\dX])") for number in found.numbers]
    frames.add(f"series-{found.player}")
    signs += [re.compile(rf"(?<!\w){re.escape(frame)}(?!\w)") for frame in sorted(frames)]
    return any(sign.search(sheet.name) for sign in signs)


def mentions(folder: Path, words: Iterable[str], skip: Iterable[Path] = ()) -> Iterator[tuple[Path, int, str]]:
    """Where a text file below a folder still holds one of some words: file, line and word; each line once."""
    wanted = sorted(set(words), key=len, reverse=True)
    if not wanted:
        return
    sign = re.compile("|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in wanted))
    left_out = {path.resolve() for path in skip}
    for path in walking.files(folder, hidden=True):
        readable = path.suffix in _TEXT and path.is_file() and path.stat().st_size <= _LARGEST
        if readable and path.resolve() not in left_out and ".git" not in path.parts:
            for n, line in enumerate(opening.read_text(path, errors="replace").splitlines(), start=1):
                found = sign.search(line)
                if found:
                    yield path, n, found[0]


def _values(path: Path) -> dict[str, Any]:
    """The single values of a record by key, those of blocks inside it too."""
    text = opening.read_text(path, errors="replace")
    data, _, _ = yamltext.read(text, str(path))
    if isinstance(data, dict):
        inner = {k: v for block in data.values() if isinstance(block, dict) for k, v in block.items()}
        return {k: v for k, v in {**inner, **data}.items() if isinstance(v, str)}
    return {k: v.strip(" '\"") for k, v in re.findall(r"^ *(\w+): *([^#\n]+)", text, re.MULTILINE)}


def _photos_named(path: Path) -> Iterable[str]:
    """The photos that a record names, at any depth: of the frame, and of its condition when it came in."""
    if path.suffix not in (".yaml", ".yml"):
        return ()
    found = re.findall(r"(?<!\w)photo: *(\"[^\"\n]+\"|'[^'\n]+'|[^,}#\n]+)", opening.read_text(path, errors="replace"))
    return (name.strip(" '\"") for name in found)


def _others(root: Path, player: str) -> list[str]:
    paths = (p for p in walking.files(root / "players") if p.suffix == ".yaml" and p.parent.name != player)
    return [opening.read_text(p, errors="replace") for p in paths if p.is_file()]


_TELLING = ("name", "full_name", "reading", "email", "phone", "address", "serial", "number", "key")


def _words(records: Iterable[tuple[Path, dict[str, Any]]]) -> set[str]:
    words: set[str] = set()
    for path, values in records:
        told = [str(values[key]) for key in _TELLING if values.get(key)]
        words |= {text for text in told if len(text) > 3}
        if path.name == "player.yaml":
            names = (str(values.get(key, "")) for key in ("name", "full_name", "reading"))
            words |= {part for name in names for part in re.findall(r"\w{4,}", name)}
    return words
