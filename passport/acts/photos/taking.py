"""A picture of a frame becomes a file in the photos folder and a line in the frame's record, in one change."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Final, Literal

from passport.acts.amending import targets
from passport.acts.amending.correct import Corrections, corrected
from passport.acts.change import Base, Change
from passport.acts.clock import today
from passport.acts.orders.take import taken
from passport.acts.refused import Refused
from passport.records.disk import opening, walking
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.records.photofile import MOST_BYTES
from passport.records.schema.frame import Frame
from passport.render.pages.photos import NotAPhoto, prepared
from passport.render.pictures.camera import TakenPhoto, taken_photo

Of = Literal["condition", "page"]
"""What a photo is of: the condition of a frame that waits, for the bench alone; or for the frame's page."""
KINDS: Final[tuple[Of, ...]] = ("condition", "page")


def readied(data: bytes) -> TakenPhoto:
    """A picture as the records keep it. Raises Refused."""
    try:
        return taken_photo(data)
    except NotAPhoto as error:
        raise Refused(
            worded(
                "This file is no picture that can be kept: {error}. Take another one. Nothing was saved.", error=error
            )
        ) from None


def photographed(base: Base, *, name: str, of: Of, photo: TakenPhoto, alt: str = "") -> Change:
    """The change of a frame's record by a photo, in the place of any that stood there. Raises Refused and CannotEdit.

    That of the condition goes into the order, as ``passport take --photo`` writes it; that of the page with a text for
    people who cannot see it, as ``passport correct`` does.
    """
    frame = base.records.frames[name].record
    file, before = _free_name(base.records, name), named(frame, of)
    if of == "condition":
        if frame.waiting is None:
            raise Refused(
                worded("This frame does not wait: its condition is noted when it is taken in. Nothing was saved.")
            )
        change = taken(base, name=name, words={"look_photo": file}, day=today())
    else:
        said = " ".join(alt.split())
        if not said:
            raise Refused(
                worded("Say in a few words what the photo shows, for people who cannot see it. Nothing was saved.")
            )
        target = targets.frame(base, base.records.frames[name])
        change = corrected(base, target=target, wanted=Corrections({"photo": file, "photo_alt": said}))
    gone = {f"photos/{before}": None} if before and not _needed(base.records, name, of, before) else {}
    which = "condition" if of == "condition" else "page"
    summary = f"A photo for the {which} of {frame.number or name} {frame.label}"
    return replace(change, files={**change.files, **gone}, photos={file: photo}, summary=summary)


def named(frame: Frame, of: Of) -> str:
    """The photo that a frame's record names; empty where it names none."""
    order = frame.waiting
    return frame.photo if of == "page" else order.condition.photo if order else ""


def shown(records: Content, frame: Frame, of: Of) -> bytes | None:
    """A photo as a screen shows it, small and without anything beside its pixels; None where there is none that can be."""
    name, folder = named(frame, of), records.root / "photos"
    if not name or Path(name).name != name:
        return None
    with suppress(OSError, NotAPhoto):
        return prepared(opening.read(folder / name, most=MOST_BYTES, inside=folder)).webp
    return None


def _free_name(records: Content, name: str) -> str:
    """A name that no file in the photos folder has and no record says: the frame's, the day, a number from the second on."""
    known = {path.name.lower() for path in walking.listed(records.root / "photos")}
    known |= {photo.lower() for entry in records.frames.values() for photo in entry.record.photos()}
    return next(one for one in _names(f"{name.replace('/', '-')}-{today().isoformat()}") if one.lower() not in known)


def _names(begin: str) -> Iterator[str]:
    yield f"{begin}.jpg"
    number = 2
    while True:
        yield f"{begin}-{number}.jpg"
        number += 1


def _needed(records: Content, name: str, of: Of, photo: str) -> bool:
    """Whether a photo that gives place is named elsewhere, or may be: in records that were not read."""
    if records.unread:
        return True
    places = [one for entry in records.frames.values() for one in entry.record.photos() if one == photo]
    return len(places) > 1 or photo not in places or named(records.frames[name].record, of) != photo
