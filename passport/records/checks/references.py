"""Names that must lead somewhere: strings, models, parts, photos."""

from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path

from passport.records.disk import walking
from passport.records.faults import Fault, Place
from passport.records.language.worded import worded
from passport.records.load import Content, Entry
from passport.records.photofile import photo_file
from passport.records.schema.frame import Blank, Fitted, Job, Order, Removed
from passport.records.yaml.validation_messages import closest


def strings(content: Content, today: date) -> Iterator[Fault]:
    """Each string named in a job or an order is in the catalogue."""
    for entry in content.frames.values():
        named = [*entry.record.stringings()]
        for i, job in enumerate(entry.record.jobs):
            named += [(("jobs", i, "order", "strings"), job.order.strings)] if job.order and job.order.strings else []
        for path, strings in named:
            for part in ("mains", "crosses"):
                strung = getattr(strings, part)
                if strung is not None:
                    place = entry.at(*path, part, "string")
                    yield from _unknown(content, "string", strung.string, content.strings, place)


def models(content: Content, today: date) -> Iterator[Fault]:
    """Each frame's and blank's model is in the catalogue."""
    named = [(e.record.model, e.at("model")) for e in content.frames.values()]
    named += [(e.record.model, e.at("model")) for e in content.blanks.values()]
    for name, place in named:
        yield from _unknown(content, "model", name, content.models, place)


def parts(content: Content, today: date) -> Iterator[Fault]:
    """Each part fitted, removed or used in a repair, done or wanted, is in the catalogue."""
    for entry in content.frames.values():
        frame = entry.record
        lists: list[tuple[tuple[str | int, ...], tuple[Fitted | Removed, ...]]] = [(("build",), frame.build)]
        work: list[tuple[tuple[str | int, ...], Job | Order]] = [(("jobs", i), job) for i, job in enumerate(frame.jobs)]
        work += [(("jobs", i, "order"), job.order) for i, job in enumerate(frame.jobs) if job.order]
        work += [(("order",), frame.order)] if frame.order else []
        for at, done in work:
            lists += [((*at, "fitted"), done.fitted), ((*at, "removed"), done.removed)]
            for k, repair in enumerate(done.repairs):
                if repair.part:
                    place = entry.at(*at, "repairs", k, "part")
                    yield from _unknown(content, "part", repair.part, content.parts, place)
        for path, items in lists:
            for k, item in enumerate(items):
                yield from _unknown(content, "part", item.part, content.parts, entry.at(*path, k, "part"))
    for blank in content.blanks.values():
        for k, item in enumerate(blank.record.build):
            yield from _unknown(content, "part", item.part, content.parts, blank.at("build", k, "part"))
        yield from _parts_of_work(content, blank)


def _parts_of_work(content: Content, blank: Entry[Blank]) -> Iterator[Fault]:
    """Each part of a rebuild under way."""
    work = blank.record.rebuild
    if work is None:
        return
    lists: list[tuple[tuple[str | int, ...], tuple[Fitted | Removed, ...]]] = [(("weighed",), work.weighed)]
    for i, step in enumerate(work.steps):
        lists += [(("steps", i, "fitted"), step.fitted), (("steps", i, "removed"), step.removed)]
    for path, items in lists:
        for k, item in enumerate(items):
            place = blank.at("rebuild", *path, k, "part")
            yield from _unknown(content, "part", item.part, content.parts, place)


def photos(content: Content, today: date) -> Iterator[Fault]:
    """Each photo exists inside the photos folder, and that of a page has a text for people who cannot see it."""
    for entry in content.frames.values():
        order = entry.record.order
        if order and order.condition.photo:
            yield from _no_photo(content, order.condition.photo, entry.at("order", "condition", "photo"))
        name = entry.record.photo
        if not name:
            continue
        yield from _no_photo(content, name, entry.at("photo"))
        if not entry.record.photo_alt:
            do = worded("Add 'photo_alt: …' that says in a few words what it shows.")
            what = worded("This photo has no text for people who cannot see it.")
            yield Fault(entry.at("photo"), "photo-text", what, do)


def _no_photo(content: Content, name: str, place: Place) -> Iterator[Fault]:
    folder = content.root / "photos"
    path = folder / name
    if Path(name).name != name or "\\" in name:
        what = worded("'{name}' is a path, but photos lie side by side in the photos folder.", name=name[:60])
        yield Fault(place, "missing-photo", what, worded("Put the photo there and write its file name alone."))
    elif name in content.photos:  # it was looked at when the records were read, or comes with the change that names it
        return
    elif not path.is_file():
        near = closest(name, [p.name for p in walking.listed(folder)])
        do = near or worded("Put the file there, or remove this line.")
        yield Fault(
            place, "missing-photo", worded("There is no photo '{name}' in the photos folder.", name=name[:60]), do
        )
    elif not path.resolve().is_relative_to(folder.resolve()):
        what = worded("The photo '{name}' is a link that leads outside the photos folder.", name=name[:60])
        yield Fault(place, "outside-link", what, worded("Copy what it leads to into the photos folder instead."))
    elif photo_file(folder, name) is None:  # one that a change has just named
        what = worded(
            "'{name}' is no JPEG, PNG or WebP picture of at most 60 megapixels (WebP: 24) and 40 MB.", name=name[:60]
        )
        yield Fault(
            place, "bad-photo", what, worded("Open it in a picture program and save it as JPEG, or take another one.")
        )


_FILES = {"string": "strings", "model": "frames", "part": "parts"}


def _unknown(content: Content, kind: str, name: str, known: Mapping[str, object], place: Place) -> Iterator[Fault]:
    if name in known or f"{kind} {name}" in content.unread or _FILES[kind] in content.unread:
        return
    near, add = closest(name, known), worded("Add it to catalogue/{files}.yaml.", files=_FILES[kind])
    do = worded("{near} If not, {add}", near=near, add=add[:1].lower() + add[1:]) if near else add
    yield Fault(
        place, f"unknown-{kind}", worded("The {kind} '{name}' is not in the catalogue.", kind=kind, name=name[:60]), do
    )
