"""Plans to choose from: a frame on blanks, frames of a set made equal, and what may limit either."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from passport.acts.clock import today
from passport.acts.reading import SoundPart
from passport.acts.refused import Misused, Refused
from passport.publish.cache import frame_index
from passport.records.language.worded import worded
from passport.records.load import Content, Entry, load
from passport.records.schema.catalogue import Part
from passport.records.schema.frame import BenchWork, Blank, Frame
from passport.records.schema.quantities import LENGTH, MASS, parse
from passport.records.yaml.validation_messages import closest

if TYPE_CHECKING:  # numpy and the solver, which other acts need not wait for
    from passport.workshop.rebuild.lacking.wishes import Wishes
    from passport.workshop.rebuild.planset import Choice, Match
    from passport.workshop.rebuild.subject import Workbench


@dataclass(frozen=True, slots=True)
class BlankChoice:
    """A blank that a frame may be built on: whether it is of the frame's ``own`` model, and the work that is under way on
    it, for this frame (``ours``) or another."""

    name: str
    record: Blank
    own: bool
    work: BenchWork | None
    ours: bool


def blanks_for(records: Content, frame: str) -> list[BlankChoice]:
    """The blanks of the sport of a frame, ``player/frame``, those of its own model first."""
    record = records.frames[frame].record
    sport = records.models[record.model].record.sport
    found = [
        BlankChoice(
            name,
            entry.record,
            entry.record.model == record.model,
            work := entry.record.rebuild,
            work is not None and work.frame in (frame, record.number),
        )
        for name, entry in records.blanks.items()
        if entry.record.model in records.models and records.models[entry.record.model].record.sport == sport
    ]
    return sorted(found, key=lambda one: (not one.ours, not one.own))


def without_successor(root: Path) -> list[Entry[Frame]]:
    """The frames that are broken or lost and that no other took over from, by their names."""
    gone = [one.name for one in frame_index.frames(root) if one.status in ("broken", "lost")]
    records = load(root, {name.partition("/")[0] for name in gone})[0]
    entries = [records.frames[name] for name in gone if name in records.frames]
    return [entry for entry in entries if not entry.record.replaced_by]


def workbench(part: SoundPart, subjects: Iterable[Frame | Blank], **options: Any) -> "Workbench":
    """What plans for some frames or blanks are made from: with what is at hand of the records also those frames that say
    what strings weigh on such frames. ``options`` are those of `Workbench`."""
    from passport.workshop.rebuild.subject import Workbench  # numpy, which other acts need not wait for

    known, models = part.known, {one.model for one in subjects}
    if known is None:
        return Workbench(part.records, today(), **options)
    records = known.read(part.records.players.keys() | known.paired(models & known.all.models.keys()))
    everybody = partial(known.read, None)
    return Workbench(records, today(), **options, priors=part.priors, book=part.book, whole=everybody)


def planned(bench: "Workbench", frames: Sequence[str], blanks: Sequence[str]) -> "Choice":
    """The best blank for each frame, with its plans. Raises Refused where a figure lacks."""
    from passport.workshop.measuring.states import Missing
    from passport.workshop.rebuild.assign import choose

    try:
        return choose(bench, frames, blanks)
    except Missing as missing:
        raise Refused(f"{missing.what}\n  {missing.do}") from None


def made_equal(bench: "Workbench", frames: Sequence[str], to: str = "") -> "Match":
    """Plans that make frames equal, or equal ``to`` one that is left as it is. Raises Refused and Misused."""
    from passport.workshop.measuring.states import Missing
    from passport.workshop.rebuild.match import match

    records = bench.content
    wanted = [name for name in dict.fromkeys(frames) if name != to]
    if len(wanted) + bool(to) < 2:
        raise Misused(worded("Name at least two different frames: one frame is equal to itself."))
    named = [*wanted, *filter(None, [to])]
    sports = {records.models[records.frames[name].record.model].record.sport for name in named}
    if len(sports) > 1:
        raise Misused(
            worded(
                "Frames of one sport can be made equal; these are for {sports}.", sports=" and ".join(sorted(sports))
            )
        )
    try:
        return match(bench, wanted, to)
    except Missing as missing:
        raise Refused(f"{missing.what}\n  {missing.do}") from None


def wishes_of(records: Content, said: Mapping[str, Any]) -> "Wishes":
    """What limits a plan, by what was said: ``only`` these materials, as ``tungsten-tape=1.5 m``; ``on_hand``, ``shortest``,
    ``strip``, ``symmetrical``, ``bare_hoop`` and ``places``. Raises Refused where a material is not known."""
    from passport.workshop.rebuild.lacking.wishes import Wishes

    return Wishes(
        only=dict(_material(records, text) for text in said.get("only", ())),
        on_hand=bool(said.get("on_hand")),
        shortest=said.get("shortest") or 0.0,
        strip=said.get("strip") or 0.0,
        symmetrical=bool(said.get("symmetrical")),
        bare_hoop=bool(said.get("bare_hoop")),
        places=said.get("places") or None,
    )


def _material(records: Content, text: str) -> tuple[str, float | None]:
    name, _, amount = (each.strip() for each in text.partition("="))
    tuning = [key for key, e in records.parts.items() if e.record.kind in ("tape", "silicone")]
    if name not in tuning:
        hint = closest(name, tuning) or worded("There are: {value}.", value=", ".join(tuning) or "none")
        raise Refused(
            worded("There is no tape and no silicone '{name}' in the catalogue. {hint}", name=name, hint=hint)
        )
    return name, _grams(records.parts[name].record, amount) if amount else None


def _grams(part: Part, amount: str) -> float:
    try:
        return parse(amount, MASS).value
    except ValueError:
        if part.per_length is None:
            raise Refused(worded("'{amount}' is no mass. Write '--only PART=12 g'.", amount=amount)) from None
    try:
        return parse(amount, LENGTH).value / 1000 * part.per_length.value
    except ValueError:
        raise Refused(
            worded("'{amount}' is no length and no mass. Write '--only PART=1.5 m'.", amount=amount)
        ) from None
