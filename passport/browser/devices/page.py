"""The devices that are paired with the bench: one more by a code on this computer's screen, any of them forgotten."""

from datetime import timedelta

from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from passport.acts.clock import now
from passport.acts.devices.paired import PairedDevices
from passport.acts.refused import Refused
from passport.browser.bench import Bench, formats
from passport.browser.devices.door import PAIR
from passport.browser.who import WHO, Room
from passport.records.language.worded import worded
from passport.records.load import load
from passport.render.drawing.qr import qr_svg


def show(bench: Bench, request: Request) -> Response:
    """The list, and the code that stands, if one does. Raises Refused for another device."""
    _refuse_others()
    room, code = bench.room, bench.room.code if bench.room else None
    body = bench.render(
        "devices",
        load(bench.root, ())[0],
        room=room,
        code=code,
        spelled=f"{code.text[:5]} {code.text[5:]}" if code else "",
        ends=now() + timedelta(seconds=code.until - room.clock()) if code and room else None,
        drawn=_drawn(bench, room, code.text) if room and code else "",
        devices=PairedDevices(bench.root).listed(),
    )
    return Response(body, media_type="text/html")


def act(bench: Bench, request: Request) -> Response:
    """A new code, none any more, a device forgotten, or what it is shown. Raises Refused."""
    _refuse_others()
    form, devices = request.scope["form"], PairedDevices(bench.root)
    mark, contacts = form.get("device", ""), form.get("contacts") == "yes"
    match form.get("act"):
        case "code" if bench.room:
            bench.room.offer(contacts=contacts)
        case "withdraw" if bench.room:
            bench.room.withdraw()
        case "forget":
            devices.forget(mark)
        case "show":
            devices.show(mark, contacts=contacts)
    return RedirectResponse("/devices", 303)


def _refuse_others() -> None:
    if not WHO.get().here:
        raise Refused(
            worded("Devices are paired and forgotten at the computer on which the bench runs, and nowhere else.")
        )


def _drawn(bench: Bench, room: Room, code: str) -> Markup:
    words = formats(load(bench.root, ())[0]).words
    return Markup(
        qr_svg(
            f"{room.address}{PAIR}?code={code}", words.gettext("Code that opens the page to pair a device"), key="pair"
        )
    )
