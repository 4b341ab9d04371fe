"""Frames of a player made equal: which, to which, what each gets on the drawing of the racquet, and the sheet."""

from functools import partial
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from passport.acts.rebuilding.planned import made_equal
from passport.acts.refused import Refused
from passport.browser.bench import Bench, formats
from passport.browser.rebuilding.common import everything, figure_text, limits_in, workbench
from passport.browser.rebuilding.plans import pictures
from passport.browser.rebuilding.work import fitted_text
from passport.records.language.worded import worded
from passport.records.load import Content, load
from passport.render.sheets.sheet import match_pdf
from passport.workshop.rebuild.plan import percent


def choose(bench: Bench, request: Request) -> Response:
    """The frames of a player in play."""
    folder = str(request.path_params["player"])
    records = load(bench.root, {folder})[0]
    if folder not in records.players:
        raise Refused(worded("There is no such player, or the record has errors."))
    player = records.players[folder].record
    frames = [entry for entry in records.frames_of(folder) if entry.record.status == "active"]
    body = bench.render("match_choose", records, folder=folder, owner=player.full_name or player.name, frames=frames)
    return Response(body, media_type="text/html")


def show(bench: Bench, request: Request) -> Response:
    """The plans that make the chosen frames equal."""
    records = everything(bench)
    frames, to = _named(request, records)
    found = made_equal(workbench(limits_in(request.query_params))(records), frames, to)
    f = formats(records)
    body = bench.render(
        "match_plans",
        records,
        found=found,
        pictures=[pictures(member, f, member.frame.number or member.frame.name)[0] for member in found.members],
        jobs=[urlencode({"fit": fitted_text(member.plans[0])}) for member in found.members],
        percent=percent,
        figure=partial(figure_text, f=f),
        asked=urlencode([*(("frame", name) for name in frames), *([("to", to)] if to else [])]),
        owner=found.members[0].frame.player if found.members else "",
        folder=frames[0].partition("/")[0],
        to=records.frames[to].record if to else None,
    )
    return Response(body, media_type="text/html")


def sheet(bench: Bench, request: Request) -> Response:
    """The bench sheet of the set, as PDF."""
    records = everything(bench)
    frames, to = _named(request, records)
    maker = workbench(limits_in(request.query_params))(records)
    body = match_pdf(made_equal(maker, frames, to), maker.gatherer.shop)
    told = {"content-disposition": 'inline; filename="match.pdf"'}
    return Response(body, media_type="application/pdf", headers=told)


def _named(request: Request, records: Content) -> tuple[list[str], str]:
    """The frames that an address names, and the one that the others are made equal to."""
    frames = list(dict.fromkeys(request.query_params.getlist("frame")))
    to = request.query_params.get("to", "")
    unknown = [name for name in [*frames, *filter(None, [to])] if name not in records.frames]
    if unknown:
        raise Refused(worded("There is no frame '{frame}', or its record has errors.", frame=unknown[0]))
    if not frames:
        raise Refused(worded("Choose at least two frames."))
    return frames, to
