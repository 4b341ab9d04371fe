"""The first screen: what waits in the order of its promises, what is done, who is due; and the search."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.clock import today
from passport.acts.frames.due import due_in
from passport.acts.orders.day import WITHIN, DaySheet
from passport.acts.picking import matching, scanned
from passport.acts.printing import PrintedPiece, need_pango
from passport.acts.reading import SoundPart, readable
from passport.browser.bench import Bench, formats
from passport.browser.prints import shown
from passport.publish.cache import frame_index
from passport.records.load import Content, load
from passport.records.schema.frame import Stringing
from passport.workshop.entry.search import Findable
from passport.workshop.orders.rack import Waiting, rack, to_collect
from passport.workshop.orders.wanted import findings, work_wanted
from passport.workshop.strings.due import DueEntry

_DUE, _FOUND = 8, 30


@dataclass(frozen=True, slots=True)
class RackLine:
    """A frame that waits, as the first screen shows it.

    ``pulls`` are the tensions of mains and crosses that are wanted, as shown; ``string`` what it is strung with, ``work``
    what else is wanted, ``stop`` that a crack was found, ``known`` what to know of it.
    """

    name: str
    number: str
    label: str
    owner: str
    promised: date | None
    late: int
    pulls: tuple[str, str] | None
    string: str
    work: tuple[str, ...]
    asked: str
    known: str
    stop: bool


def show(bench: Bench, request: Request) -> Response:
    """The rack."""
    found = readable(bench.root)
    records = found.records
    now = today()
    errors = [fault for fault in found.faults if fault.severity == "error"]
    body = bench.render(
        "rack",
        records,
        rack=[_line(records, one) for one in rack(records, now)],
        collect=[(one, _owner(records, one.entry.name)) for one in to_collect(records)],
        due=_due(bench, found),
        ahead=WITHIN,
        soon=now + timedelta(days=1),
        errors=errors,
    )
    return Response(body, media_type="text/html")


def day(bench: Bench, request: Request) -> Response:
    """The day on one page, as PDF: it names players, and how to reach them."""
    need_pango()
    sheet = DaySheet(readable(bench.root), today())
    return shown(PrintedPiece(f"day-{sheet.today.isoformat()}.pdf", sheet.pdf()))


def find(bench: Bench, request: Request) -> Response:
    """What somebody types, or a hand scanner: one frame is opened at once, several are listed."""
    said = " ".join(request.query_params.get("q", "").split())[:400]
    if not said:
        return RedirectResponse("/", 303)
    found = frame_index.matching(bench.root, said, _FOUND)
    if scanned(said):
        named = {entry.name for entry in matching(load(bench.root)[0], said)}
        found = [one for one in frame_index.frames(bench.root) if one.name in named] or found
    if len(found) == 1:
        return RedirectResponse(quote(f"/frame/{found[0].name}"), 303)
    owners = {folder: full or public for folder, (public, full, _) in frame_index.players(bench.root).items()}
    records = load(bench.root, ())[0]
    body = bench.render("found", records, found=found, strings=_strings, model=model_of, owners=owners, search=said)
    return Response(body, media_type="text/html", status_code=200 if found else 404)


def _strings(found: Findable) -> str:
    return found.strings[0].rpartition(" ")[0] or found.strings[0] if found.strings else ""


def model_of(found: Findable) -> str:
    """What a frame's model is called, without the name that it has in the catalogue."""
    return found.model.rpartition(" ")[0] or found.model


def _line(records: Content, one: Waiting) -> RackLine:
    frame, order, names = one.entry.record, one.order, records.catalogue
    player = records.players[one.entry.name.partition("/")[0]].record
    last = next((job.strings for job in reversed(frame.jobs) if job.strings), None)
    strings = order.strings or (last if one.restrung else None)
    rest = order.model_copy(update={"strings": None})
    known = (", ".join(findings(order.condition)), order.note, player.private_note, frame.private_note)
    return RackLine(
        one.entry.name,
        frame.number,
        frame.label,
        player.full_name or player.name,
        order.promised,
        one.late,
        _pulls(records, strings) if strings else None,
        " / ".join(dict.fromkeys(_called(records, side.string) for side in strings.both)) if strings else "",
        tuple(work_wanted(rest, names)),
        order.asked,
        " · ".join(filter(None, known)),
        order.condition.crack == "found",
    )


def _pulls(records: Content, strings: Stringing) -> tuple[str, str]:
    """The tensions of mains and crosses in the shop's unit, or as they were written."""
    f, shop = formats(records), records.workshop
    unit = (shop.record.units.tension if shop else "") or ""
    said = [f.tension(side.tension.value, unit or side.tension.text)[0] for side in strings.both]
    return said[0], said[1]


def _called(records: Content, name: str) -> str:
    known = records.strings.get(name)
    return known.record.name if known else name


def _owner(records: Content, name: str) -> str:
    player = records.players[name.partition("/")[0]].record
    return player.full_name or player.name


def _due(bench: Bench, found: SoundPart) -> list[DueEntry]:
    """Who is due, the first first; those whose frames wait already are not."""
    now = today()
    listed = due_in(bench.root, now, lambda row: bool(row.due and (row.due.day - now).days <= WITHIN), part=found)
    return list(_not_here(found.records, listed.entries))[:_DUE]


def _not_here(records: Content, entries: tuple[DueEntry, ...]) -> Iterator[DueEntry]:
    for entry in entries:
        here = records.frames.get(entry.frame)
        if entry.due and not (here and here.record.waiting):
            yield entry
