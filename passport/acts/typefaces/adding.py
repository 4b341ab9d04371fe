"""What is missing for the names at hand, and taking it from this computer's typefaces or from a given file."""

import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from passport.acts.refused import Misused, Refused, writing
from passport.records.disk import opening, walking
from passport.records.language.worded import worded
from passport.records.load import Content, load
from passport.records.transaction import atomic
from passport.render.faces import known, signs
from passport.render.faces.known import FOLDER, MOST, KnownFace
from passport.render.faces.shelf import shelf
from passport.render.theme import assets
from passport.render.theme.words import signs_of


@dataclass(frozen=True, slots=True)
class Need:
    """A script that texts of the records, or words of their languages, are written in and no typeface at hand has;
    ``example`` is one of those texts."""

    script: str
    signs: str
    example: str
    files: tuple[KnownFace, ...]


@dataclass(frozen=True, slots=True)
class Needs:
    """What is missing: scripts that typefaces are known for, and ``foreign`` signs that none is known for."""

    scripts: tuple[Need, ...]
    foreign: str
    added: tuple[str, ...]


def needs(content: Path) -> Needs:
    """What is missing for the names at hand. Raises Misused without a workshop."""
    records = _records(content)
    assets.use(content)  # whose words its languages have
    at_hand = shelf(assets.fonts(), content)
    found: dict[str, list[signs.Lacking]] = {}
    for one in signs.lacking(records, at_hand, signs_of):
        for script in {known.script_of(sign) for sign in one.signs}:
            found.setdefault(script, []).append(one)
    scripts = tuple(
        Need(script, _of(script, found[script]), found[script][0].place.excerpt.strip(), tuple(_files(script)))
        for script in known.SCRIPTS
        if script in found
    )
    return Needs(scripts, _of("", found.get("", ())), tuple(sorted(at_hand.added)))


def take(content: Path, wanted: Iterable[KnownFace], places: Sequence[Path] | None = None) -> list[KnownFace]:
    """Copy wanted files into the content, from ``places`` (files or folders) or else this computer's own folders of
    typefaces; returns what was taken. Only bytes that are known are taken, whatever their file is called.

    Raises Misused where a place is not there, Refused where a file that was given is not known or cannot be written.
    """
    there = set(shelf(assets.fonts(), content).added)
    missing = {one.sha256: one for one in wanted if one.name not in there}
    taken: list[KnownFace] = []
    for path in _candidates(places, frozenset(one.name for one in missing.values())):
        if not missing:
            break
        try:
            data = opening.read(path, most=MOST)
        except OSError as error:
            if places:
                raise Refused(
                    worded("'{path}' was not read: {value}.", path=path, value=error.strerror or error)
                ) from None
            continue
        found = known.by_bytes(data)
        if found is None and places and path in places:
            raise Refused(
                worded(
                    "'{path}' is no file that this program knows by its bytes, so other bytes would be printed "
                    "with it than elsewhere. Take the files of {packages}.",
                    path=path,
                    packages=" and ".join(packages(missing.values() or known.KNOWN)),
                )
            )
        if found and (found.sha256 in missing or (places and path in places and found.name not in there)):
            with writing(f"'{content / FOLDER / found.name}'"):
                (content / FOLDER).mkdir(exist_ok=True)
                atomic.write(content / FOLDER / found.name, data)
            missing.pop(found.sha256, None)
            there.add(found.name)
            taken.append(found)
    return taken


def packages(files: Iterable[KnownFace]) -> list[str]:
    """The packages of Debian and Ubuntu that hold some files."""
    return sorted({one.package for one in files})


def _records(content: Path) -> Content:
    if not (content / "workshop.yaml").is_file():
        raise Misused(
            worded("There is no workshop.yaml in '{content}'. Name the folder that holds it.", content=content)
        )
    return load(content)[0]


def _of(script: str, found: Iterable[signs.Lacking]) -> str:
    """The signs of one script, each once."""
    return "".join(dict.fromkeys(sign for one in found for sign in one.signs if known.script_of(sign) == script))


def _files(script: str) -> Iterator[KnownFace]:
    return (one for one in known.KNOWN if one.script == script)


def _candidates(places: Sequence[Path] | None, names: frozenset[str]) -> Iterator[Path]:
    """Files that may be wanted ones: those that were given, and of folders those with a wanted name."""
    for place in _own_folders() if places is None else places:
        if place.is_file():
            yield place
        elif place.is_dir():
            with suppress(walking.TooMany):
                yield from (path for path in walking.files(place) if path.name in names)
        elif places is not None:
            raise Misused(
                worded("There is no '{place}'. Name a file of a typeface, or a folder that holds it.", place=place)
            )


def _own_folders() -> Iterator[Path]:
    """Where operating systems keep their typefaces."""
    home = Path.home()
    if sys.platform == "win32":
        yield Path(os.environ.get("WINDIR", "C:/Windows")) / "Fonts"
        yield home / "AppData/Local/Microsoft/Windows/Fonts"
    elif sys.platform == "darwin":
        yield from (home / "Library/Fonts", Path("/Library/Fonts"))
    else:
        yield from (
            home / ".local/share/fonts",
            home / ".fonts",
            Path("/usr/local/share/fonts"),
            Path("/usr/share/fonts"),
        )
