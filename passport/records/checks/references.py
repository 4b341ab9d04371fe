"""Names that must lead somewhere: strings, models, parts, photos."""

from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path

from passport.records.explain import closest
from passport.records.faults import Fault, Place
from passport.records.frame import Fitted, Removed
from passport.records.load import Content


def strings(content: Content, today: date) -> Iterator[Fault]:
    """Each string named in a job is in the catalogue."""
    for entry in content.frames.values():
        for i, job in enumerate(entry.record.jobs):
            for part in ("mains", "crosses") if job.strings else ():
                strung = getattr(job.strings, part)
                if strung is not None:
                    place = entry.at("jobs", i, "strings", part, "string")
                    yield from _unknown(content, "string", strung.string, content.strings, place)


def models(content: Content, today: date) -> Iterator[Fault]:
    """Each frame's and blank's model is in the catalogue."""
    named = [(e.record.model, e.at("model")) for e in content.frames.values()]
    named += [(e.record.model, e.at("model")) for e in content.blanks.values()]
    for name, place in named:
        yield from _unknown(content, "model", name, content.models, place)


def parts(content: Content, today: date) -> Iterator[Fault]:
    """Each part fitted, removed or used in a repair is in the catalogue."""
    for entry in content.frames.values():
        frame = entry.record
        lists: list[tuple[tuple[str | int, ...], tuple[Fitted | Removed, ...]]] = [(("build",), frame.build)]
        for i, job in enumerate(frame.jobs):
            lists += [(("jobs", i, "fitted"), job.fitted), (("jobs", i, "removed"), job.removed)]
            for k, repair in enumerate(job.repairs):
                if repair.part:
                    place = entry.at("jobs", i, "repairs", k, "part")
                    yield from _unknown(content, "part", repair.part, content.parts, place)
        for path, items in lists:
            for k, item in enumerate(items):
                yield from _unknown(content, "part", item.part, content.parts, entry.at(*path, k, "part"))
    for blank in content.blanks.values():
        for k, item in enumerate(blank.record.build):
            yield from _unknown(content, "part", item.part, content.parts, blank.at("build", k, "part"))


def photos(content: Content, today: date) -> Iterator[Fault]:
    """Each photo exists inside the photos folder and has a text for those who cannot see it."""
    for entry in content.frames.values():
        name = entry.record.photo
        if not name:
            continue
        if Path(name).name != name or not (content.root / "photos" / name).is_file():
            what = f"There is no photo '{name[:60]}' in the photos folder."
            yield Fault(entry.at("photo"), "missing-photo", what, "Put the file there, or remove this line.")
        if not entry.record.photo_alt:
            do = "Add 'photo_alt: …' that says in a few words what it shows."
            yield Fault(entry.at("photo"), "photo-text", "This photo has no text for those who cannot see it.", do)


_FILES = {"string": "strings", "model": "frames", "part": "parts"}


def _unknown(content: Content, kind: str, name: str, known: Iterable[str], place: Place) -> Iterator[Fault]:
    names = list(known)
    if name in names or name in content.unread or _FILES[kind] in content.unread:
        return
    do = closest(name, names) or f"Add it to catalogue/{_FILES[kind]}.yaml."
    yield Fault(place, f"unknown-{kind}", f"The {kind} '{name[:60]}' is not in the catalogue.", do)
