"""What every request has to pass before anything is made for it, and what every answer carries.

The Host must be this computer's own name (else a page from elsewhere could read the bench under *its* name, DNS rebinding);
a write must come from a page of ours, by its Origin and by the form's token (cross-site forms and fetches); a form is
bounded; and nobody without the cookie sees more than a page that says so.
"""

from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qsl

from passport.browser.doorkeeper import LONGEST_FORM
from passport.browser.keys import Keys

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

METHODS = ("GET", "HEAD", "POST")
OPEN = ("/assets/", "/fonts/")
"""What is no secret: the looks of the page that says that one may not come in."""
_FIELDS = 200
_FORM = "application/x-www-form-urlencoded"
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


class Gate:
    """Stands before the screens."""

    def __init__(self, app: App, keys: Keys, shut: Callable[[], bytes]) -> None:
        """``shut`` makes the page for whoever may not come in."""
        self._app, self._keys, self._shut = app, keys, shut
        self._hosts = {f"{name}:{keys.port}" for name in ("127.0.0.1", "localhost")}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or say why not."""
        if scope["type"] != "http":
            return
        headers = _headers(scope)
        refused = self._refused(scope, headers)
        if refused:
            await _say(send, *refused)
            return
        if not scope["path"].startswith(OPEN) and not self._keys.known(self._cookie(headers)):
            await self._at_the_door(scope, send)
            return
        if scope["method"] == "POST":
            data = await _form(headers, receive)
            if data is None:
                await _say(send, 413, "This form is too large.")
                return
            form = _pairs(data.decode("utf-8", "replace"))
            if not self._keys.own_form(form.pop("token", "")):
                await _say(send, 403, "This form is not of this bench, or of an earlier run of it. Nothing was saved.")
                return
            scope["form"] = form
        await self._app(scope, receive, _with_headers(send))

    def _refused(self, scope: Scope, headers: dict[str, str]) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if host not in self._hosts:
            return 421, "This computer has another name."
        if scope["method"] not in METHODS:
            return 405, "This bench knows no such request."
        return _no_form(host, headers) if scope["method"] == "POST" else None

    def _cookie(self, headers: dict[str, str]) -> str:
        try:
            found = SimpleCookie(headers.get("cookie", "")).get(self._keys.cookie)
        except CookieError:
            return ""
        return found.value if found else ""

    async def _at_the_door(self, scope: Scope, send: Send) -> None:
        """Let a browser in that brings the door's key; show any other the page that says so."""
        asked = _pairs(scope["query_string"].decode("latin-1"))
        session = self._keys.opened(asked.get("key", "")) if scope["method"] == "GET" and scope["path"] == "/" else None
        if session is None:
            await _respond(send, 403, self._shut(), "text/html; charset=utf-8")
            return
        cookie = f"{self._keys.cookie}={session}; Path=/; HttpOnly; SameSite=Strict"
        await _respond(send, 303, b"", "text/plain", (("location", "/"), ("set-cookie", cookie)))


def _no_form(host: str, headers: dict[str, str]) -> tuple[int, str] | None:
    """Why what is sent is not taken for a form of ours; None where it may be one."""
    length = headers.get("content-length", "")
    if headers.get("origin") != f"http://{host}" or headers.get("sec-fetch-site", "same-origin") != "same-origin":
        return 403, "This comes from another site. Nothing was saved."
    if headers.get("content-type", "").partition(";")[0].strip().lower() != _FORM:
        return 415, "This is no form."
    if not (length.isascii() and length.isdigit()):
        return 411, "This form does not say how long it is."
    return (413, "This form is too large.") if int(length[:12]) > LONGEST_FORM else None


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


async def _form(headers: dict[str, str], receive: Receive) -> bytes | None:
    """The bytes of a form; None where there are too many, or nobody is there any more."""
    data = bytearray()
    while True:
        message = await receive()
        data += message.get("body", b"")
        if message["type"] != "http.request" or len(data) > LONGEST_FORM:
            return None
        if not message.get("more_body"):
            return bytes(data)


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
