"""What of a frame can be printed from the bench: card, tag, sticker, wrap and set card, and the label while it waits."""

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from passport.acts.printing import KINDS, PrintedPiece, card_of, label_of, piece_of
from passport.acts.reading import readable
from passport.browser.bench import Bench

_SHOWN_BY_US = {
    "content-security-policy": "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; frame-ancestors 'self'",
    "x-frame-options": "SAMEORIGIN",
}
"""What lets a page of the bench show a print, from which the print dialogue opens; nobody else's page may."""


def show(bench: Bench, request: Request) -> Response:
    """What there is to print, and what for."""
    name = bench.name(request)
    found = readable(bench.root, {name.partition("/")[0]})
    frame, player = bench.frame(name, found.records).record, found.records.players[name.partition("/")[0]].record
    in_use = frame.status not in ("lost", "retired") and not frame.replaced_by
    together = [e for e in found.records.frames_of(name.partition("/")[0]) if frame.set and e.record.set == frame.set]
    body = bench.render(
        "prints",
        found.records,
        name=name,
        frame=frame,
        owner=player.full_name or player.name,
        pieces=bool(frame.number and frame.key and in_use),
        matched=len(together) > 1,
    )
    return Response(body, media_type="text/html")


def card(bench: Bench, request: Request) -> Response:
    """The card of a frame, as PDF."""
    return shown(card_of(bench.root, bench.name(request)))


def piece(bench: Bench, request: Request) -> Response:
    """Another piece of a frame, as PDF."""
    kind = str(request.path_params["kind"])
    if kind not in KINDS:
        raise HTTPException(404)
    return shown(piece_of(bench.root, bench.name(request), kind))


def label(bench: Bench, request: Request) -> Response:
    """The label that hangs on a frame while it waits, as PDF: it names the player, and may hold what was asked for."""
    return shown(label_of(bench.root, bench.name(request)))


def shown(made: PrintedPiece) -> Response:
    """Something printed, as the PDF that a screen shows."""
    told = {"content-disposition": f'inline; filename="{made.file}"'}
    return Response(made.data, media_type="application/pdf", headers={**told, **_SHOWN_BY_US})
