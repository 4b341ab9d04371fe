"""Is it likely? Each new value against the frame's own history, its model, its sport, and the unit that was probably meant.

A value that is asked about is not wrong: a person who is sure of it says so, and the job keeps that as its remark
``sure``. Each value is asked about once, by the first of these that finds it strange.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Final

from passport.physics import units as u
from passport.records.checks.likely_frame import blank_weighed_doubts, model_doubts, setup_doubts, weighed_doubts
from passport.records.checks.likely_readings import Place, Question, blank_doubts, reading_doubts
from passport.records.faults import Fault
from passport.records.language.worded import worded
from passport.records.load import Content, Entry, records_of
from passport.records.schema.catalogue import FrameModel, Part, StringType
from passport.records.schema.frame import Blank, Frame, HandleBuild, Stringing, Strung
from passport.records.schema.quantities import Quantity, bare_unit
from passport.records.schema.usual_values import (
    BELOW_MAKERS,
    CROSSES_OF_MAINS,
    HANDLES,
    USUAL_VALUES,
    UsualValues,
)
from passport.records.strung.zonedpulls import zone_spans
from passport.records.timeline import Step, steps

RULE: Final = "unlikely"
ORDERED: Final[Place] = ("order", "strings")
"""Where the recipe that is wanted stands."""
PULL_STEP: Final = 0.14
"""How far a pull may be from the frame's last without a question, as a share of it (common practice, no source)."""

ZONE_STEP: Final = 0.25
"""How far the pull of a zone may be from that of the rest of its side without a question, as a share of it (common practice,
no source)."""


def doubtful(content: Content, today: date) -> Iterator[Fault]:
    """No job, reading or blank holds a value that is far from all that is usual, unless somebody is sure of it."""
    parts = records_of(content.parts)
    strings = records_of(content.strings)
    for kind in content.models.values():
        if not kind.record.sure:
            yield from _faults(kind, model_doubts(kind.record))
    for entry in content.frames.values():
        model = content.models.get(entry.record.model)
        if model:
            yield from _faults(entry, frame_doubts(entry.record, model.record, parts, strings))
            yield from () if entry.record.sure else _faults(entry, setup_doubts(entry.record.setup, model.record))
    for blank in content.blanks.values():
        model = content.models.get(blank.record.model)
        if model and not blank.record.sure:
            doubts = tuple(blank_doubts(blank.record, model.record))
            asked = {doubt.path for doubt in doubts}
            printed = blank_weighed_doubts(blank.record, model.record, parts, strings)
            yield from _faults(blank, [*doubts, *(doubt for doubt in printed if doubt.path not in asked)])


def _faults(entry: Entry[Frame] | Entry[Blank] | Entry[FrameModel], doubts: Iterable[Question]) -> Iterator[Fault]:
    for doubt in doubts:
        do = f"{doubt.meant} " if doubt.meant else ""
        where = {"jobs": worded("the job"), "order": worded("the order")}.get(str(doubt.path[0]), "the record")
        sure = worded("If it is right, say so with '--sure', or write 'sure: yes' into {where}.", where=where)
        yield Fault(entry.at(*doubt.path), RULE, doubt.what, f"{do}{sure}", "warning")


def frame_doubts(
    frame: Frame, model: FrameModel, parts: Mapping[str, Part], strings: Mapping[str, StringType]
) -> Iterator[Question]:
    """All that is asked about in the jobs and the order of a frame, but for those that somebody was sure of."""
    usual, done = USUAL_VALUES[model.sport], steps(frame, parts)
    yield from () if frame.sure else _round_the_handle((), frame.handle, model)
    days: dict[date, list[Step]] = {}
    for step in done:
        same_day = days.setdefault(step.job.date, [])
        earlier = tuple(same_day)
        if step.job.strings or step.job.readings or step.job.fitted:  # a note alone is no job that could stand twice
            same_day.append(step)
        if step.job.sure:
            continue
        before = done[: step.index]
        yield from _twice(step, earlier)
        if step.job.strings:
            at = ("jobs", step.index, "strings")
            yield from _pulls(at, step.job.strings, before, model, usual)
            yield from _thickness(at, step.job.strings, model, usual, strings)
        yield from _round_the_handle(("jobs", step.index), step.job.handle, model)
        asked = set()
        for doubt in reading_doubts(step, before, model, usual, parts, strings):
            asked.add(doubt.path)
            yield doubt
        yield from (d for d in weighed_doubts(step, frame, model, parts, strings) if d.path not in asked)
    if frame.order and frame.order.strings and not frame.order.sure:
        yield from _pulls(ORDERED, frame.order.strings, done, model, usual)
        yield from _thickness(ORDERED, frame.order.strings, model, usual, strings)


def _round_the_handle(path: Place, handle: HandleBuild, model: FrameModel) -> Iterator[Question]:
    """A handle is as thick as the sport's are."""
    found = handle.circumference
    if found and not HANDLES[model.sport].holds(found.value):
        what = worded(
            "{found} is not the way round the handle of a {sport} frame.", found=found.text, sport=model.sport
        )
        yield Question(
            (*path, "handle", "circumference"), what, worded("Look for a slipped digit or unit, or the width instead.")
        )


# --- strings ---------------------------------------------------------------------------------------------------


def _twice(step: Step, same_day: tuple[Step, ...]) -> Iterator[Question]:
    """The same job was not recorded on that day already."""
    job = step.job
    if not (job.strings or job.readings or job.fitted):
        return
    for other in same_day:
        if job.strings and other.job.strings:
            alike = worded("with the same strings and tensions ") if other.job.strings == job.strings else ""
            yield Question(
                ("jobs", step.index, "date"),
                worded("It was strung {alike}on {date} already.", alike=alike, date=job.date),
                worded("Is it the same job?"),
            )
            return
        if job == other.job and (job.readings or job.fitted):
            yield Question(
                ("jobs", step.index, "date"), worded("The same job stands there for {date} already.", date=job.date)
            )
            return


def _pulls(
    at: Place, strings: Stringing, before: tuple[Step, ...], model: FrameModel, usual: UsualValues
) -> Iterator[Question]:
    """Both pulls are near the frame's last, in the maker's range and the sport's, and near each other."""
    asked = False
    for side in ("mains", "crosses"):
        strung: Strung | None = getattr(strings, side)
        if strung is None:
            continue
        path: Place = (*at, side, "tension")
        last = _last_pull(before, side)
        found = _pull(strung.tension, last, model, usual)
        if found:
            asked = True
            yield Question(path, found, _meant_pull(strung.tension, last, model))
    tension = {"mains": strings.both[0].tension, "crosses": strings.both[1].tension}
    for zone, *pulls in zone_spans(strings):
        off = max(abs(pull / tension[zone.of].value - 1) for pull in pulls)
        if off > ZONE_STEP:
            what = worded(
                "A zone of the {of} is {off:.0f} % away from their {text}.",
                of=zone.of,
                off=100 * off,
                text=tension[zone.of].text,
            )
            yield Question((*at, "zones"), what, worded("Look for a slipped digit or unit."))
            break
    mains, crosses = (strung.tension.value for strung in strings.both)
    if not asked and not CROSSES_OF_MAINS.holds(crosses / mains):
        what = worded(
            "{tension} on the mains and {tension2} on the crosses are far apart.",
            tension=strings.both[0].tension.text,
            tension2=strings.both[1].tension.text,
        )
        yield Question((*at, "crosses", "tension"), what)


def _pull(pull: Quantity, last: Quantity | None, model: FrameModel, usual: UsualValues) -> str:
    """What is strange about a pull, or nothing."""
    if not usual.pull.holds(pull.value):
        return worded("{pull} is not what {sport} frames are strung with.", pull=pull.text, sport=model.sport)
    if last and abs(pull.value / last.value - 1) <= 0.02:
        return (
            ""  # whatever the maker says: this is how it always was, and above the limit there is a warning of its own
        )
    if last and abs(pull.value / last.value - 1) > PULL_STEP:
        return worded(
            "{pull} is far from the {last} that it was strung with the last time.", pull=pull.text, last=last.text
        )
    low = model.tension.low if model.tension else None
    if low and pull.value < BELOW_MAKERS * low.value:
        return worded("{pull} is far below the maker's range, which begins at {low}.", pull=pull.text, low=low.text)
    return ""


def _last_pull(before: tuple[Step, ...], side: str) -> Quantity | None:
    for step in reversed(before):
        if step.job.strings:
            strung = getattr(step.job.strings, side) or step.job.strings.mains
            pull: Quantity = strung.tension
            return pull
    return None


def _meant_pull(pull: Quantity, last: Quantity | None, model: FrameModel) -> str:
    """The other unit, where the figure fits in that."""
    other, factor = ("lb", u.N_PER_LBF) if bare_unit(pull.unit).startswith("kg") else ("kg", u.N_PER_KGF)
    value = pull.amount * factor
    if last and abs(value / last.value - 1) < PULL_STEP:
        return worded(
            "Did you mean {amount:g} {other}? Its last was {last}.", amount=pull.amount, other=other, last=last.text
        )
    tension = model.tension
    if tension and tension.low and BELOW_MAKERS * tension.low.value <= value <= tension.high.value:
        return worded("Did you mean {amount:g} {other}?", amount=pull.amount, other=other)
    return worded("Did you mean {last} again?", last=last.text) if last else ""


def _thickness(
    at: Place, bed: Stringing, model: FrameModel, usual: UsualValues, strings: Mapping[str, StringType]
) -> Iterator[Question]:
    """The strings are as thick as the sport's are."""
    for side in ("mains", "crosses"):
        strung: Strung | None = getattr(bed, side)
        string = strings.get(strung.string) if strung else None
        gauge = (strung.gauge or string.gauge) if strung and string else None
        if string and gauge and not usual.gauge.holds(gauge.value):
            what = worded(
                "{string} is {gauge:.2f} mm thick, which is no string for {sport}.",
                string=string.name,
                gauge=gauge.value,
                sport=model.sport,
            )
            yield Question((*at, side, "string"), what)
