"""A site that moved to another address: what the old host needs, so that cards given out before still lead to it."""

import re
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from passport.acts.publishing.shop import shop_of
from passport.acts.refused import Refused, writing
from passport.records.disk import walking
from passport.records.language.worded import worded
from passport.records.ledger import ledger
from passport.records.ledger.ledger import LedgerLine
from passport.records.transaction import atomic
from passport.render.pages.moved import moved_page, moved_script
from passport.render.theme import assets

SERVERS = {"nginx": "hosting/moved.nginx.conf", "caddy": "hosting/moved.Caddyfile"}
"""What there is a set-up for; any other host takes a folder of pages."""


@dataclass(frozen=True, slots=True)
class Away:
    """The passports whose cards lead to an earlier address of the site, and the site's address of today."""

    base: str
    address: str
    lines: tuple[LedgerLine, ...]


def away(content: Path) -> tuple[Away, ...]:
    """Every earlier address that cards lead to, the one with the most cards first. Raises Refused and Faulty."""
    address = shop_of(content).address
    try:
        book = ledger.read(content) or ledger.Ledger()
    except OSError as error:
        raise Refused(
            worded("The ledger of '{content}' could not be read: {error}", content=content, error=error)
        ) from None
    found: dict[str, list[LedgerLine]] = {}
    for line in book.moved(address):
        found.setdefault(book.addresses[line.key], []).append(line)
    return tuple(
        sorted((Away(b, address, tuple(x)) for b, x in found.items()), key=lambda one: (-len(one.lines), one.base))
    )


def set_up(one: Away, server: str) -> str:
    """The set-up of the old host's server, which sends each card's address on to the new one."""
    old = urlsplit(one.base)
    filled = {"OLDHOST": old.netloc, "OLDAT": old.path.rstrip("/"), "NEW": one.address.rstrip("/")}
    text = assets.text(assets.find(SERVERS[server]))
    return re.sub(r"%(OLDHOST|OLDAT|NEW)%", lambda found: filled[found[1]], text)


def pages(one: Away, language: str) -> dict[str, bytes]:
    """The files for an old host that cannot be set up: a page at each card's address, and one for all others.

    ``_redirects`` does the same on static hosts that read it, without a page in between.
    """
    new = one.address.rstrip("/")
    at = urlsplit(one.base).path.rstrip("/")
    made = {f"{line.key}/index.html": moved_page(f"{new}/{line.key}/", language, "../") for line in one.lines}
    made |= {"index.html": moved_page(f"{new}/", language, ""), "moved.js": moved_script()}
    made |= {"_redirects": f"{at}/* {new}/:splat 301\n".encode(), ".nojekyll": b""}
    return made


def write_pages(one: Away, out: Path, language: str) -> int:
    """Write those files to a folder; how many. Raises Refused where it holds something else, or cannot be written."""
    if out.exists() and any(walking.listed(out)):
        raise Refused(
            worded("'{out}' is not empty. Name a new folder: what is in it goes on the old host as it is.", out=out)
        )
    made = pages(one, language)
    with writing(f"'{out}'"):
        for path, data in made.items():
            (out / path).parent.mkdir(parents=True, exist_ok=True)
            atomic.write(out / path, data)
    return len(made)
