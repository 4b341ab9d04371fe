"""The screens by their addresses; each is made in a thread, one at a time, and what goes wrong is said in the screen."""

import asyncio
import re
import sys
import traceback
from collections.abc import Awaitable, Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from functools import cache, partial

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from passport.acts.refused import Faulty, Refused
from passport.browser import job, machine, past, prints, rack
from passport.browser.bench import Bench, NoSuchFrame
from passport.browser.counter import intake, walkin
from passport.browser.devices import page, veil
from passport.browser.online.desk import Desk
from passport.browser.photos import taking
from passport.browser.rebuilding import choosing, finish, matching, plans, work
from passport.browser.records import editing
from passport.browser.who import WHO
from passport.records.faults import Fault
from passport.records.load import Content, load
from passport.render.theme import assets

View = Callable[[Bench, Request], Response]
_FRAME = "/frame/{player}/{frame}"
_REBUILD = f"{_FRAME}/rebuild"
_ON = f"{_REBUILD}/on/{{blank}}"
_LOOKS = {
    "bench.css": (
        "text/css",
        ("style/fonts-web.css", "style/tokens.css", "screens/screens.css", "screens/counter.css"),
    ),
    "bench.js": ("text/javascript", ("screens/screens.js", "screens/print.js")),
    "records.css": ("text/css", ("screens/records.css",)),
    "rebuild.css": ("text/css", ("style/drawing.css", "screens/rebuild.css")),
    "icon.svg": ("image/svg+xml", ("assets/icon.svg",)),
}
_KEPT = {"cache-control": "private, max-age=600"}


def screens(bench: Bench) -> Starlette:
    """All of the bench, as it stands behind a gate."""
    desk = Desk()
    routes = [
        Route("/", _screen(bench, rack.show)),
        Route("/day", _screen(bench, rack.day)),
        Route("/find", _screen(bench, rack.find)),
        Route(_FRAME, _screen(bench, machine.show)),
        Route(f"{_FRAME}/knot", _screen(bench, machine.knot), methods=["POST"]),
        Route(f"{_FRAME}/job", _screen(bench, job.show)),
        Route(f"{_FRAME}/job", _screen(bench, job.save), methods=["POST"]),
        Route(f"{_FRAME}/job/keep", _screen(bench, job.keep), methods=["POST"]),
        Route("/saved/{once}", _screen(bench, job.saved)),
        Route("/card/{player}/{frame}", _screen(bench, prints.card)),
        Route("/card/{player}/{frame}/{kind}", _screen(bench, prints.piece)),
        Route("/label/{player}/{frame}", _screen(bench, prints.label)),
        Route(f"{_FRAME}/print", _screen(bench, prints.show)),
        Route("/walk-in", _screen(bench, walkin.show)),
        Route("/walk-in", _screen(bench, walkin.save), methods=["POST"]),
        Route("/walk-in/keep", _screen(bench, walkin.keep), methods=["POST"]),
        Route(f"{_FRAME}/order", _screen(bench, intake.show)),
        Route(f"{_FRAME}/order", _screen(bench, intake.save), methods=["POST"]),
        Route(f"{_FRAME}/order/keep", _screen(bench, intake.keep), methods=["POST"]),
        Route("/online", _screen(bench, desk.show)),
        Route("/online", _screen(bench, desk.act), methods=["POST"]),
        Route("/history", _screen(bench, past.show)),
        Route("/history", _screen(bench, past.act), methods=["POST"]),
        *_rebuilding(bench),
        Route(f"{_FRAME}/photo", _screen(bench, taking.show)),
        Route(f"{_FRAME}/photo", _screen(bench, taking.save, taking.ready), methods=["POST"]),
        Route(_FRAME + "/photo/{of}", _screen(bench, taking.picture)),
        Route("/devices", _screen(bench, page.show)),
        Route("/devices", _screen(bench, page.act), methods=["POST"]),
        Route("/assets/{name}", _look),
        Route("/fonts/{name}", _font),
    ]
    return Starlette(routes=routes, exception_handlers={HTTPException: partial(_unknown, bench)})


def _rebuilding(bench: Bench) -> list[Route]:
    """Rebuilding, matching, and records as forms; what takes long is done beside the other screens."""
    searches = ThreadPoolExecutor(1, "search")
    long = partial(_search, bench, searches)
    return [
        Route("/rebuild", _screen(bench, choosing.start)),
        Route(_REBUILD, long(choosing.show)),
        Route(f"{_REBUILD}/blank", long(choosing.measure), methods=["POST"]),
        Route(f"{_REBUILD}/blank/keep", _screen(bench, choosing.keep), methods=["POST"]),
        Route(f"{_REBUILD}/plans", long(plans.show)),
        Route(f"{_REBUILD}/sheet", long(plans.sheet)),
        Route(_ON, long(work.show)),
        Route(_ON, long(work.save), methods=["POST"]),
        Route(f"{_ON}/keep", _screen(bench, work.keep), methods=["POST"]),
        Route(f"{_ON}/sheet", long(work.sheet)),
        Route(f"{_ON}/finish", long(finish.show)),
        Route(f"{_ON}/finish", long(finish.save), methods=["POST"]),
        Route(f"{_ON}/finish/keep", _screen(bench, finish.keep), methods=["POST"]),
        Route(f"{_FRAME}/twin", _screen(bench, finish.twin)),
        Route("/player/{player}/match", _screen(bench, matching.choose)),
        Route("/match", long(matching.show)),
        Route("/match/sheet", long(matching.sheet)),
        Route("/records", _screen(bench, editing.index)),
        Route("/record", long(editing.show)),
        Route("/record", long(editing.save), methods=["POST"]),
        Route("/record/keep", _screen(bench, editing.keep), methods=["POST"]),
    ]


def _search(bench: Bench, searches: ThreadPoolExecutor, view: View) -> Callable[[Request], Awaitable[Response]]:
    """A screen that takes seconds: one of them at a time, while all others are answered; it holds the bench for no longer
    than it reads or shows."""

    async def answering(request: Request) -> Response:
        return await asyncio.get_running_loop().run_in_executor(
            searches, copy_context().run, _shown, bench, partial(_guarded, bench, view, request), request
        )

    return answering


def _screen(
    bench: Bench, view: View, first: Callable[[Request], None] | None = None
) -> Callable[[Request], Awaitable[Response]]:
    """A view behind its address; ``first`` is what takes long and needs nothing of the bench: others are answered meanwhile."""

    async def answering(request: Request) -> Response:
        return await run_in_threadpool(_shown, bench, partial(_answered, bench, view, request, first), request)

    return answering


def _shown(bench: Bench, made: Callable[[], Response], request: Request) -> Response:
    """What a screen answers, as whoever asks may see it."""
    answer = made()
    if not WHO.get().contacts:
        said = request.scope.get("form", {})
        answer = veil.without_contacts(bench.root, answer, request.url.path, said) or _said(bench, 403, "stays")
    return answer


def _answered(bench: Bench, view: View, request: Request, first: Callable[[Request], None] | None) -> Response:
    def held(bench: Bench, request: Request) -> Response:
        if first:
            first(request)
        with bench.lock:
            return view(bench, request)

    return _guarded(bench, held, request)


def _guarded(bench: Bench, view: View, request: Request) -> Response:
    """The answer of a view, or a page that says what went wrong."""
    try:
        return view(bench, request)
    except HTTPException:
        raise
    except NoSuchFrame:
        return _said(bench, 404, "no frame")
    except Faulty as faulty:
        return _said(bench, 409, "faulty", str(faulty), faulty.faults)
    except Refused as refused:
        return _said(bench, 409, "refused", str(refused))
    except Exception:  # its text may hold what is private: it is for the terminal of this computer alone
        traceback.print_exc(file=sys.stderr)
        return _said(bench, 500, "broken")


def _said(bench: Bench, status: int, what: str, text: str = "", faults: Sequence[Fault] = ()) -> Response:
    with bench.lock:
        try:
            records: Content | None = load(bench.root, ())[0]
        except OSError:
            records = None
        body = bench.render("said", records, what=what, text=text.strip(), faults=faults)
    return Response(body, status, media_type="text/html")


async def _unknown(bench: Bench, request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return await run_in_threadpool(_said, bench, error.status_code, "no page")


async def _look(request: Request) -> Response:
    found = _LOOKS.get(request.path_params["name"])
    if found is None:
        raise HTTPException(404)
    kind, files = found
    return Response(_joined(files), media_type=kind, headers=_KEPT)


@cache
def _joined(files: tuple[str, ...]) -> bytes:
    return b"\n".join(assets.data(assets.templates() / file) for file in files)


async def _font(request: Request) -> Response:
    """One of the typefaces that are shipped, by its name among them: no path is made of what is asked."""
    found = _fonts().get(request.path_params["name"])
    if found is None:
        raise HTTPException(404)
    return Response(found, media_type="font/woff2", headers=_KEPT)


@cache
def _fonts() -> dict[str, bytes]:
    named = re.findall(r"fonts/([\w-]+\.woff2)", assets.text(assets.templates() / "style" / "fonts-web.css"))
    return {name: assets.data(assets.fonts() / name) for name in named}
