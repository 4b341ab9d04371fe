"""What stands at each address of a site that this program made: for closing addresses, and for repairing the ledger."""

import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

from passport.publish.folder.foreign import MARK
from passport.records.disk import opening, walking
from passport.records.ledger.repair import Page
from passport.records.schema import numbers
from passport.records.transaction import atomic

_NUMBER_IN_NAME = re.compile(r"^(?:setup|card|restring)-(.+)\.\w+$")


def site_keys(site: Path) -> frozenset[str]:
    """The keys that a site made by this program has pages for; none where it is not such a site."""
    if not (site / MARK).is_file():
        return frozenset()
    return frozenset(path.name for path in walking.listed(site) if numbers.is_key(path.name))


def site_numbers(site: Path) -> Iterator[str]:
    """The passport numbers that the files of a site made by this program tell."""
    for key in site_keys(site):
        yield from (match[1] for path in walking.listed(site / key) if (match := _NUMBER_IN_NAME.match(path.name)))


def site_pages(site: Path, closed_page: bytes) -> tuple[Page, ...]:
    """What a site has at each key. ``closed_page`` is a page that says no more than that it is closed."""
    return tuple(_page(site / key, _heading(closed_page)) for key in sorted(site_keys(site)))


def _heading(page: bytes) -> bytes:
    found = re.search(rb"<h1[^>]*>(.*?)</h1>", page, re.DOTALL)
    return found[1].strip() if found else b""


def _page(folder: Path, closed: bytes) -> Page:
    names = [match[1] for path in walking.listed(folder) if (match := _NUMBER_IN_NAME.match(path.name))]
    number = next((name for name in sorted(names) if not numbers.problem(name)), "")
    try:
        data = opening.read(folder / "index.html", inside=folder.parent)
    except OSError:
        data = b""
    return Page(folder.name, number, b'<body class="player' in data, bool(data) and _heading(data) == closed)


def close_page(site: Path, key: str, closed_page: Callable[[], bytes]) -> None:
    """Leave nothing at an address of a site that this program made but a page that says that it is closed."""
    folder = site / key
    if not numbers.is_key(key) or not folder.is_dir() or folder.is_symlink() or not (site / MARK).is_file():
        return
    atomic.write(folder / "index.html", closed_page())
    for path in walking.listed(folder):
        if path.name != "index.html":
            shutil.rmtree(path) if path.is_dir() and not path.is_symlink() else path.unlink()
