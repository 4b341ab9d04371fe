"""A small site with its manifest, written without a build, and its workshop: for tests that publish it."""

import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import smallshop

from passport.publish.folder import manifest
from passport.publish.folder.manifest import FILE, FileMark, Manifest
from passport.records.ledger.ledger import LedgerLine
from passport.records.ledger.lines import CLOSED, ISSUED
from passport.records.schema.numbers import ALPHABET, with_check
from passport.records.transaction import ledger_file

OURS = {"manifest.bin", "publishing.bin"}


def key_of(number: int) -> str:
    """The key of a passport of this site."""
    return f"{'K' * 23}{ALPHABET[number // 1024 % 32]}{ALPHABET[number // 32 % 32]}{ALPHABET[number % 32]}"


def files_of(passports: int, edition: int = 1, other: int = 0) -> dict[str, bytes]:
    """A site: home page, style and picture, and a page and a card for each passport, which tell their edition.

    Of edition ``other`` only every third passport is another one. A page names the edition of its card.
    """
    found = {
        "index.html": b"<h1>home %d</h1>" % edition,
        "404.html": b"<h1>none</h1>",
        "assets/style.css": b"p { order: %d }" % edition,
        "assets/photo of bench.jpg": b"\xff\xd8picture" * 300,
        ".nojekyll": b"",
    }
    for number in range(passports):
        version = other if other and number % 3 == 0 else edition
        found[f"{key_of(number)}/index.html"] = b"<h1>passport %d edition %d</h1>" % (number, version) * 20
        found[f"{key_of(number)}/card-{number}.pdf"] = b"%%PDF card %d edition %d" % (number, version) * 200
    return found


@dataclass(frozen=True)
class Online:
    """A workshop in ``content`` and its site, which says that it is published ``to``."""

    content: Path
    site: Path
    key: str

    def write(self, files: Mapping[str, bytes], closed: frozenset[str] = frozenset()) -> None:
        """Let the site hold these files, with their manifest."""
        shutil.rmtree(self.site, ignore_errors=True)
        self.site.mkdir()
        for path, data in files.items():
            place = self.site / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
        marks = [FileMark(path, manifest.sum_of(data), len(data)) for path, data in files.items()]
        keys = sorted({path.partition("/")[0] for path in files if path.startswith("KKK")} | closed)
        lines = [LedgerLine(ISSUED, key, "frame", with_check(2000 + at)) for at, key in enumerate(keys)]
        lines += [LedgerLine(CLOSED, key, "frame", "") for key in sorted(closed)]
        head = manifest.head_of(Manifest(keys=tuple(lines)))
        (self.site / FILE).write_bytes(manifest.encrypted(head, marks, self.key))

    def to(self, text: str, **more: str) -> None:
        """Say in workshop.yaml where to publish to."""
        lines = "".join(f"  {name}: {value}\n" for name, value in {"to": text, **more}.items())
        shop = smallshop.FILES["workshop.yaml"]
        (self.content / "workshop.yaml").write_text(f"{shop}publish:\n{lines}", encoding="utf-8")


def online(root: Path, to: str = "", files: Mapping[str, bytes] | None = None, **more: str) -> Online:
    """Such a workshop below ``root``, with a site of twelve passports unless said otherwise."""
    content = root / "content"
    if not content.exists():
        smallshop.write(content)
    made = Online(content, root / "site", ledger_file.made_key(content))
    made.write(files_of(12) if files is None else files)
    if to:
        made.to(to, **more)
    return made


def served(folder: Path) -> dict[str, bytes]:
    """What a web server would serve from a folder: all but hidden parts of uploads, the lock and the list of the run."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
        and not path.name.startswith((".passport-upload", ".ballast"))
        and "publishing-lock" not in path.parts
    }


def wrong(before: Mapping[str, bytes], after: Mapping[str, bytes], seen: Mapping[str, bytes]) -> list[str]:
    """What of a far side in the middle of a run is neither the old file nor the new one, or comes too early.

    A page may be new only where everything that pages show is, and nothing may be gone before all pages are new.
    """
    said = []
    for path in {*before, *after, *seen} - OURS:
        got = seen.get(path)
        if got is not None and got not in (before.get(path), after.get(path)):
            said.append(f"{path} is neither old nor new ({len(got)} bytes)")
        if got is None and path in before and path in after:
            said.append(f"{path} is missing")
    new = {path for path in after if before.get(path) != after[path]}
    there = {path for path in new if seen.get(path) == after[path]}
    contents = {path for path in new if not path.endswith(".html")}
    if any(path.endswith(".html") for path in there) and contents - there:
        said.append(f"a page is new before {sorted(contents - there)[0]}")
    gone = before.keys() - after.keys() - OURS
    if gone - seen.keys() and new - there:
        said.append(f"{sorted(gone - seen.keys())[0]} is gone before {sorted(new - there)[0]} is new")
    return said
