"""A photo of a frame, taken with the camera of whatever shows the screen, straight into the record."""

import hashlib

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.amending.undo import changes
from passport.acts.change import Base, Change, base_of, carry_out
from passport.acts.photos.taking import KINDS, Of, named, photographed, readied, shown
from passport.acts.refused import Refused
from passport.browser.asking import AtTheScreen, marked
from passport.browser.bench import Bench, Saved
from passport.records.language.worded import worded
from passport.render.pictures.camera import TakenPhoto


def show(bench: Bench, request: Request) -> Response:
    """The photos that the record names, and a form for each kind."""
    return _page(bench, bench.name(request))


def ready(request: Request) -> None:
    """Unpack the picture that was sent, before anybody has to wait for it. Raises Refused."""
    data: bytes = request.scope["picture"]
    request.scope["photo"] = readied(data) if data else None


def save(bench: Bench, request: Request) -> Response:
    """Put a photo into the record; once only, whatever is sent again."""
    name, said, photo = bench.name(request), request.scope["form"], request.scope["photo"]
    once = marked(name, said.get("of", ""), said.get("alt", ""), said.get("once", ""), _sum(photo))
    if once not in bench.saved:
        try:
            asking = _saved(bench, name, said, photo, once)
        except Refused as refused:
            return _page(bench, name, said, str(refused))
        if once not in bench.saved:
            return _page(bench, name, said, asks=asking)
    return RedirectResponse(f"/saved/{once}", 303)


def picture(bench: Bench, request: Request) -> Response:
    """A photo that the record names, small and without anything beside its pixels."""
    name, of = bench.name(request), request.path_params["of"]
    records = base_of(bench.root, {name.partition("/")[0]}).records
    data = shown(records, bench.frame(name, records).record, of) if of in KINDS else None
    if data is None:
        raise HTTPException(404)
    return Response(data, media_type="image/webp")


def _saved(bench: Bench, name: str, said: dict[str, str], photo: TakenPhoto | None, once: str) -> AtTheScreen:
    """Write a photo and note it under the form's mark, unless something is asked first. Raises Refused."""
    if photo is None:
        raise Refused(worded("No photo came with the form. Take one first. Nothing was saved."))
    base = base_of(bench.root, {name.partition("/")[0]})
    bench.frame(name, base.records)
    of: Of = next((one for one in KINDS if one == said.get("of")), "condition")

    def made(base: Base) -> Change:
        return photographed(base, name=name, of=of, photo=photo, alt=said.get("alt", ""))

    asking = AtTheScreen(said.get("agreed", ""))
    after = carry_out(bench.root, "passport take" if of == "condition" else "passport correct", made, asking, base)
    if after is not None:
        entry = next(iter(changes(bench.root)), None)
        number = after.frames[name].record.number
        bench.remember(once, Saved(name, number, asking.shown, tuple(asking.said), int(entry.name) if entry else 0))
    return asking


def _sum(photo: TakenPhoto | None) -> str:
    return hashlib.sha256(photo.jpeg).hexdigest() if photo else ""


def _page(
    bench: Bench, name: str, said: dict[str, str] | None = None, told: str = "", asks: AtTheScreen | None = None
) -> Response:
    records = base_of(bench.root, {name.partition("/")[0]}).records
    frame = bench.frame(name, records).record
    player = records.players[name.partition("/")[0]].record
    body = bench.render(
        "photos",
        records,
        name=name,
        frame=frame,
        owner=player.full_name or player.name,
        hidden=not player.shows.photos,
        there={of: named(frame, of) for of in KINDS},
        said=said or {},
        told=told,
        asks=asks,
        once=bench.fresh(),
    )
    return Response(body, 409 if told or asks else 200, media_type="text/html")
