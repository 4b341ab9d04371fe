"""A frame at the machine: its recipe to be read from a step away, what to tick, and a clock from the last knot."""

from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.clock import today
from passport.acts.frames.knots import forget, knots, tie
from passport.acts.reading import readable
from passport.browser.bench import Bench, formats
from passport.records.load import Content
from passport.records.schema.frame import Frame
from passport.render.theme.bed_words import by_maker, starts_said, work, zones
from passport.render.theme.formats import Formats
from passport.workshop.facts.facts import FrameFacts, StringingFacts, StrungFacts
from passport.workshop.facts.standing import standing
from passport.workshop.gathering.gather import Gatherer
from passport.workshop.orders.rack import as_wanted
from passport.workshop.orders.wanted import findings, work_wanted
from passport.workshop.strings.string_course import StringCourse, string_course

USUAL_AGE = 15
"""Minutes after the last knot at which a bed is read here, where nobody says otherwise."""


_TO_A_TENTH = 0.05
"""N within which a pull is at a limit and not over it, whatever their units."""


@dataclass(frozen=True, slots=True)
class SidePull:
    """The mains or the crosses as they are pulled: both units, the string and its details.

    ``was`` and ``was_string`` say the last time where that was another; empty where it is the same, or unknown.
    """

    side: str
    first: str
    other: str
    string: str
    details: tuple[str, ...]
    was: str = ""
    was_string: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """Something to do at the machine; ``new`` where the last time it was otherwise, ``english`` where only that is known."""

    text: str
    new: bool = False
    english: bool = False


def show(bench: Bench, request: Request) -> Response:
    """The recipe that is wanted, or the last one."""
    name = bench.name(request)
    found = readable(bench.root, {name.partition("/")[0]})
    entry = bench.frame(name, found.records)
    frame, player = entry.record, found.records.players[name.partition("/")[0]].record
    f = formats(found.records)
    wanted = Gatherer(as_wanted(found.records, today()), found.priors).recipe(name)
    last = Gatherer(found.records, found.priors).recipe(name)
    order = frame.waiting
    known = (order.note if order else "", player.private_note, frame.private_note)
    state = standing(last, today())
    crack = bool(order and order.condition.crack == "found")
    body = bench.render(
        "machine",
        found.records,
        name=name,
        frame=frame,
        owner=player.full_name or player.name,
        facts=wanted,
        order=order,
        pulls=_pulls(wanted.stringing, last.stringing if order and order.strings else None, f),
        ticks=_ticks(found.records, frame, wanted.stringing, last.stringing, f),
        cut=_cut(string_course(wanted), f),
        known=" · ".join(filter(None, known)),
        seen=findings(order.condition) if order else [],
        stop="crack" if crack else "" if state.in_play else state.state,
        limit=f.tension(wanted.tension_high, _unit(wanted.stringing)) if wanted.tension_high else (),
        over=_over(wanted, f),
        tied=knots(bench.root).get(name),
        age=USUAL_AGE,
    )
    return Response(body, media_type="text/html")


def knot(bench: Bench, request: Request) -> Response:
    """The last knot was tied now, or is not to be counted from."""
    name = bench.name(request)
    bench.frame(name, readable(bench.root, {name.partition("/")[0]}).records)
    (tie if request.scope["form"].get("act") == "tie" else forget)(bench.root, name)
    return RedirectResponse(quote(f"/frame/{name}"), 303)


def _over(wanted: FrameFacts, f: Formats) -> str:
    """How far the highest pull is over the maker's limit, in words of the bench's units; empty where it is not."""
    if wanted.stringing is None or not wanted.tension_high:
        return ""
    most = max(wanted.stringing.mains.tension, wanted.stringing.crosses.tension)
    return f.tension_gap(most - wanted.tension_high) if most > wanted.tension_high + _TO_A_TENTH else ""


def _unit(bed: StringingFacts | None) -> str:
    return bed.mains.written if bed else ""


def _pulls(bed: StringingFacts | None, last: StringingFacts | None, f: Formats) -> tuple[SidePull, ...]:
    if bed is None:
        return ()
    sides = (
        ("mains", bed.mains, last.mains if last else None),
        ("crosses", bed.crosses, last.crosses if last else None),
    )
    return tuple(_pull(side, strung, before, f) for side, strung, before in sides)


def _pull(side: str, strung: StrungFacts, before: StrungFacts | None, f: Formats) -> SidePull:
    first, other = f.tension(strung.tension, strung.written)
    was = f.tension(before.tension, strung.written)[0] if before else ""
    details = [f.gauge(strung.gauge, strung.gauge_number)] if strung.is_fact("gauge") else []
    if strung.prestretch:
        said = f.words.gettext("pre-stretch %(amount)s %%") % {"amount": f.short(strung.prestretch)}
        details.append(said)
    details += [strung.batch] if strung.batch else []
    was_string = before.name if before and before.string != strung.string else ""
    return SidePull(side, first, other, strung.name, tuple(details), was if was != first else "", was_string)


def _ticks(
    records: Content, frame: Frame, bed: StringingFacts | None, last: StringingFacts | None, f: Formats
) -> tuple[Tick, ...]:
    before = set(_phrases(last, f)) if last and frame.waiting and frame.waiting.strings else None
    strung = [Tick(text, before is not None and text not in before) for text in (_phrases(bed, f) if bed else ())]
    order = frame.waiting
    rest = work_wanted(order.model_copy(update={"strings": None}), records.catalogue) if order else []
    return (*strung, *(Tick(text, english=True) for text in rest))


def _phrases(bed: StringingFacts, f: Formats) -> Iterator[str]:
    """What there is to keep to of a stringing, each in a phrase, in the order in which it comes up."""
    _ = f.words.gettext
    yield from filter(None, (", ".join(work(bed, f)), starts_said(bed, f)))
    if bed.skips:
        yield _("skips: %(holes)s") % {"holes": by_maker(bed, "skips", f)}
    yield from zones(bed, f)
    if bed.tie_offs:
        yield _("tie-offs: %(holes)s") % {"holes": by_maker(bed, "tie_offs", f)}
    if bed.stencil:
        yield _("stencil: %(shape)s") % {"shape": ", ".join(filter(None, (bed.stencil, bed.ink)))}


def _cut(course: StringCourse | None, f: Formats) -> str:
    """What to cut of each piece, m, ± two standard uncertainties; empty where its path is not known."""
    cuts = [piece.cut for piece in course.pieces] if course else []
    return " + ".join(f"{f.number(cut.value / 1000, 2)} ± {f.number(2 * cut.u / 1000, 2)} m" for cut in cuts)
