"""What every request has to pass before anything is made for it, and what every answer carries.

The Host must be this computer's own name (else a page from elsewhere could read the bench under *its* name, DNS rebinding);
a write must come from a page of ours, by its Origin and by the form's token (cross-site forms and fetches); a form is
bounded; and nobody without the cookie sees more than a page that says so.
"""

import re
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from dataclasses import dataclass
from http.cookies import CookieError, SimpleCookie
from typing import Any, Protocol
from urllib.parse import parse_qsl

from starlette.formparsers import MultiPartException
from starlette.requests import Request

from passport.browser.doorkeeper import LONGEST_FORM, LONGEST_PICTURE
from passport.browser.keys import Keys
from passport.browser.who import NOBODY, VEIL, WHO, Who

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

METHODS = ("GET", "HEAD", "POST")
OPEN = ("/assets/", "/fonts/")
"""What is no secret: the looks of the page that says that one may not come in."""
_FIELDS = 200
_FORM, _PARTS = "application/x-www-form-urlencoded", "multipart/form-data"
_PICTURES = re.compile(r"/frame/[^/]+/[^/]+/photo")
"""The addresses that take a form with a picture in it."""
POLICY = (
    "default-src 'none'; style-src 'self'; font-src 'self'; img-src 'self'; script-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "referrer-policy": "same-origin",  # with none at all a form of our own would have no Origin
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
    "connection": "close",  # one request a connection: see the doorkeeper
}


@dataclass(frozen=True, slots=True)
class Reply:
    """An answer that is made before any screen is: a page, or where to go with a cookie."""

    status: int
    body: bytes
    headers: tuple[tuple[str, str], ...] = ()


class Door(Protocol):
    """Where somebody comes in: the names that the bench has there, who is known, and what the others get."""

    scheme: str
    hosts: frozenset[str]
    takes: str
    """The address whose form somebody may send who is not known; none where it is empty."""

    def who(self, headers: Mapping[str, str]) -> Who | None:
        """Who asks; None where nobody knows them."""

    def stranger(self, method: str, path: str, said: Mapping[str, str], headers: Mapping[str, str]) -> Reply:
        """What somebody gets who is not known, for what they said in address or form."""


class OwnDoor:
    """The door for browsers of this computer: the key of the first address opens it, once."""

    scheme, takes = "http", ""

    def __init__(self, keys: Keys, shut: Callable[[], bytes]) -> None:
        """``shut`` makes the page for whoever may not come in."""
        self._keys, self._shut = keys, shut
        self.hosts = frozenset(f"{name}:{keys.port}" for name in ("127.0.0.1", "localhost"))

    def who(self, headers: Mapping[str, str]) -> Who | None:
        """This computer, where the cookie of the first address is brought."""
        known = self._keys.known(cookie_of(headers, self._keys.cookie))
        return Who(self._keys.form, contacts=True, here=True) if known else None

    def stranger(self, method: str, path: str, said: Mapping[str, str], headers: Mapping[str, str]) -> Reply:
        """Let a browser in that brings the door's key; show any other the page that says so."""
        session = self._keys.opened(said.get("key", "")) if method == "GET" and path == "/" else None
        if session is None:
            return Reply(403, self._shut())
        cookie = f"{self._keys.cookie}={session}; Path=/; HttpOnly; SameSite=Strict"
        return Reply(303, b"", (("location", "/"), ("set-cookie", cookie)))


class Gate:
    """Stands before the screens."""

    def __init__(self, app: App, door: Door) -> None:
        self._app, self._door = app, door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or say why not."""
        if scope["type"] != "http":
            return
        headers = _headers(scope)
        refused = self._refused(scope, headers)
        who = None if refused else self._door.who(headers)
        known = who is not None or (scope["path"].startswith(OPEN) and scope["method"] != "POST")
        if not (refused or known):
            refused = await self._at_the_door(scope, headers, receive, send)
        elif not refused and scope["method"] == "POST":
            form = await (_parts(scope, receive) if _PICTURES.fullmatch(scope["path"]) else _form(headers, receive))
            refused = _not_taken(form, who or NOBODY)
            scope["form"] = form
        if refused:
            await _say(send, *refused)
        elif known:
            told = WHO.set(who or NOBODY)
            try:
                await self._app(scope, receive, _with_headers(send))
            finally:
                WHO.reset(told)

    def _refused(self, scope: Scope, headers: Mapping[str, str]) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if host not in self._door.hosts:
            return 421, "This computer has another name."
        if scope["method"] not in METHODS:
            return 405, "This bench knows no such request."
        if scope["method"] != "POST":
            return None
        return _no_form(f"{self._door.scheme}://{host}", headers, picture=bool(_PICTURES.fullmatch(scope["path"])))

    async def _at_the_door(
        self, scope: Scope, headers: Mapping[str, str], receive: Receive, send: Send
    ) -> tuple[int, str] | None:
        """Answer somebody who is not known, or say why their form is not taken."""
        said: dict[str, str] | None = _pairs(scope["query_string"].decode("latin-1"))
        if scope["method"] == "POST" and scope["path"] == self._door.takes:
            said = await _form(headers, receive)
        if said is None:
            return 413, "This form is too large."
        reply = self._door.stranger(scope["method"], scope["path"], said, headers)
        await _respond(send, reply.status, reply.body, "text/html; charset=utf-8", reply.headers)
        return None


def _not_taken(form: dict[str, str] | None, who: Who) -> tuple[int, str] | None:
    """Why a form is not taken that somebody sends; None where it is. Its token is taken out of it."""
    if form is None:
        return 413, "This form is too large."
    if not who.own_form(form.pop("token", "")):
        return 403, "This form is not of this bench, or of an earlier run of it. Nothing was saved."
    if any(VEIL in value for value in form.values()):
        return (
            409,
            f"A field holds {VEIL}, which stands for contact data that stay on the bench's own computer. Nothing was saved.",
        )
    return None


def cookie_of(headers: Mapping[str, str], name: str) -> str:
    """What a cookie holds; nothing where it is not there."""
    try:
        found = SimpleCookie(headers.get("cookie", "")).get(name)
    except CookieError:
        return ""
    return found.value if found else ""


def _no_form(origin: str, headers: Mapping[str, str], *, picture: bool) -> tuple[int, str] | None:
    """Why what is sent is not taken for a form of ours; None where it may be one."""
    length = headers.get("content-length", "")
    if headers.get("origin") != origin or headers.get("sec-fetch-site", "same-origin") != "same-origin":
        return 403, "This comes from another site. Nothing was saved."
    if headers.get("content-type", "").partition(";")[0].strip().lower() != (_PARTS if picture else _FORM):
        return 415, "This is no form."
    if not (length.isascii() and length.isdigit()):
        return 411, "This form does not say how long it is."
    most = LONGEST_PICTURE if picture else LONGEST_FORM
    return (413, "This form is too large.") if int(length[:12]) > most or len(length) > 12 else None


def _pairs(text: str) -> dict[str, str]:
    """What an address or a form says by name; nothing where it says too much."""
    try:
        return dict(parse_qsl(text, keep_blank_values=True, max_num_fields=_FIELDS))
    except ValueError:
        return {}


def _headers(scope: Scope) -> dict[str, str]:
    """The headers by name; of one that is said twice both, which is then like none."""
    found: dict[str, str] = {}
    for name, value in scope["headers"]:
        key, text = name.decode("latin-1"), value.decode("latin-1")
        found[key] = f"{found[key]}, {text}" if key in found else text
    return found


async def _form(headers: Mapping[str, str], receive: Receive) -> dict[str, str] | None:
    """What a form says by name; None where it is too large, or nobody is there any more."""
    data = bytearray()
    while True:
        message = await receive()
        data += message.get("body", b"")
        if message["type"] != "http.request" or len(data) > LONGEST_FORM:
            return None
        if not message.get("more_body"):
            return _pairs(data.decode("utf-8", "replace"))


class _Overfull(Exception):
    """More comes than a form may have."""


async def _parts(scope: Scope, receive: Receive) -> dict[str, str] | None:
    """What a form with a picture says by name, and the picture's bytes in ``scope``; None as for any form."""
    took = 0

    async def bounded() -> MutableMapping[str, Any]:
        nonlocal took
        message = await receive()
        took += len(message.get("body", b""))
        if message["type"] != "http.request" or took > LONGEST_PICTURE:
            raise _Overfull
        return message

    try:
        async with Request(scope, bounded).form(max_files=1, max_fields=20, max_part_size=LONGEST_FORM) as form:
            sent = [value for _, value in form.multi_items() if not isinstance(value, str)]
            scope["picture"] = await sent[0].read() if sent else b""
            return {name: value for name, value in form.items() if isinstance(value, str)}
    except (_Overfull, MultiPartException):
        return None


async def _say(send: Send, status: int, text: str) -> None:
    more = (("allow", ", ".join(METHODS)),) if status == 405 else ()
    await _respond(send, status, text.encode(), "text/plain; charset=utf-8", more)


async def _respond(send: Send, status: int, body: bytes, kind: str, more: tuple[tuple[str, str], ...] = ()) -> None:
    headers = [("content-type", kind), ("content-length", str(len(body))), *more]
    raw = [(name.encode(), value.encode("latin-1")) for name, value in headers]
    send = _with_headers(send)
    await send({"type": "http.response.start", "status": status, "headers": raw})
    await send({"type": "http.response.body", "body": body})


def _with_headers(send: Send) -> Send:
    """The same with what every answer carries."""

    async def sending(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            own = {name for name, _ in message["headers"]}
            always = {"cache-control": "no-store", **HEADERS}
            added = [(n.encode(), v.encode()) for n, v in always.items() if n.encode() not in own]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return sending
