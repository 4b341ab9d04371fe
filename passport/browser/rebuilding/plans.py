"""The plans for a frame on some blanks: on the drawing of the racquet, others beside it, and as a sheet to print."""

from functools import partial
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import Response

from passport.acts.rebuilding.planned import planned
from passport.acts.refused import Refused
from passport.browser.bench import Bench, formats
from passport.browser.rebuilding.common import figure_text, frame_meant, query, workbench
from passport.records.language.worded import worded
from passport.records.load import Content
from passport.render.sheets.on_screen import PlanPicture, plan_picture
from passport.render.sheets.sheet import rebuild_pdf
from passport.render.theme.formats import Formats
from passport.workshop.rebuild.plan import Rebuild, percent


def show(bench: Bench, request: Request) -> Response:
    """The best plan, the others, and how each blank would do."""
    meant = frame_meant(bench, request, request.query_params)
    records, limits = meant.records, meant.limits
    blanks = _blanks(request, records)
    found = planned(workbench(limits)(records), [meant.name], blanks)
    f = formats(records)
    rebuild = found.rebuilds[0] if found.rebuilds else None
    body = bench.render(
        "rebuild_plans",
        records,
        **meant.shown,
        found=found,
        rebuild=rebuild,
        ranking=found.candidates if len(found.candidates) > 1 else (),
        pictures=pictures(rebuild, f, meant.frame.number or meant.name) if rebuild else (),
        work=records.blanks[rebuild.blank.name].record.rebuild if rebuild else None,
        percent=percent,
        figure=partial(figure_text, f=f),
        again=query(limits),
        sheet=query(limits, blank=rebuild.blank.name) if rebuild else "",
        back=f"?{urlencode([*limits.items(), *(('chosen', one) for one in blanks)])}",
    )
    return Response(body, media_type="text/html")


def sheet(bench: Bench, request: Request) -> Response:
    """The bench sheet of the best plan, as PDF."""
    meant = frame_meant(bench, request, request.query_params)
    maker = workbench(meant.limits)(meant.records)
    found = planned(maker, [meant.name], _blanks(request, meant.records))
    told = {"content-disposition": f'inline; filename="rebuild-{meant.name.replace("/", "-")}.pdf"'}
    body = rebuild_pdf(found.rebuilds, maker.gatherer.shop)
    return Response(body, media_type="application/pdf", headers=told)


def pictures(rebuild: Rebuild, f: Formats, key: str) -> tuple[PlanPicture, ...]:
    """Each plan of a rebuild on the drawing of the racquet."""
    _ = f.words.gettext
    title = _("Plan %(n)s on the racquet")
    return tuple(
        plan_picture(rebuild, plan, f, key=f"{key}-{rebuild.blank.name}-{n}", title=title % {"n": n})
        for n, plan in enumerate(rebuild.plans, 1)
    )


def _blanks(request: Request, records: Content) -> list[str]:
    named = list(dict.fromkeys(request.query_params.getlist("blank")))
    unknown = [one for one in named if one not in records.blanks]
    if unknown or not named:
        raise Refused(
            worded("There is no blank '{blank}' in stock.", blank=unknown[0])
            if unknown
            else worded("Choose a blank to build on.")
        )
    return named
