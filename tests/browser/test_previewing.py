"""The preview's server: attacks by other devices, pages from elsewhere and broken programs (N1 to N4 of THREATS.md)."""

import ast
import socket
import threading
import time
from contextlib import contextmanager

import pytest
from places import ROOT
from previewasked import PHONE, Told, answered

from passport.browser import doorkeeper
from passport.browser.previewing import PreviewServing, at_the_bench
from passport.publish.build.preview import Answer


def said(client: str, host: str | None, target: str = "/x") -> tuple[int, bytes]:
    """Status and body of the answer to a device that asks for a host."""
    head = f"GET {target} HTTP/1.1\r\n" + (f"Host: {host}\r\n" if host is not None else "") + "\r\n"
    answer, _ = answered(head.encode("latin-1"), client)
    return int(answer.split(b" ", 2)[1]) if answer else 0, answer.partition(b"\r\n\r\n")[2]


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1", "[::1]", "localhost:8020", "127.0.0.1:8020", "LOCALHOST"])
@pytest.mark.parametrize(
    "client", [PHONE, "10.0.0.2", "::ffff:192.0.2.7", "fe80::1%eth0", "", "localhost", "127.0.0.1.evil"]
)
def test_another_device_is_not_this_computer_whatever_host_it_says(client, host):
    """N2: only where a connection comes from says that this computer asks, never what the request says of itself."""
    assert not at_the_bench(client, host)
    assert b"False" in said(client, host)[1]


@pytest.mark.parametrize("name", ["Forwarded: for=127.0.0.1", "X-Forwarded-For: 127.0.0.1", "X-Real-IP: 127.0.0.1"])
def test_what_a_request_says_of_where_it_comes_from_counts_for_nothing(name):
    """N2: there is no proxy before this server whose word it would have to take."""
    head = f"GET /x HTTP/1.1\r\nHost: localhost\r\n{name}\r\n\r\n".encode()
    assert answered(head, PHONE)[1] == [False]


@pytest.mark.parametrize(
    "host", ["192.0.2.1", "workshop.local", "evil.example", "localhost.evil.example", "", "127.0.0.1@evil.example"]
)
def test_this_computer_under_another_name_is_not_at_the_bench(host):
    """N2: a page from elsewhere that has this computer's browser ask under its own name is not shown what is private."""
    assert not at_the_bench("127.0.0.1", host)


@pytest.mark.parametrize("client", ["127.0.0.1", "::1", "127.0.0.9"])
@pytest.mark.parametrize("host", ["localhost", "127.0.0.1:8020", "[::1]:8020"])
def test_this_computer_by_its_own_name_is_at_the_bench(client, host):
    """N2: who sits here and asks for this computer is shown everything."""
    assert at_the_bench(client, host)
    assert said(client, host) == (200, b"/x True")


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "rebind.example:8020", "xn--bcher-kva.example"]
)
def test_a_name_from_elsewhere_gets_no_page(host):
    """N2: a name that leads here from elsewhere gets no page at all, from no device (DNS rebinding)."""
    for client in ("127.0.0.1", PHONE):
        assert said(client, host)[0] == 421


@pytest.mark.parametrize(
    "host",
    [None, "", "[", "[::1", "a b", "localhost:x", "a@b", "\x00", "127.0.0.1/..", "\xff", "a" * 9000, "%", "::1]"],
)
def test_a_malformed_host_is_answered(host):
    """N4: a host that is none is answered with an error of the client's."""
    for client in ("127.0.0.1", PHONE):
        status, body = said(client, host)
        assert 400 <= status < 500
        assert b"True" not in body


@pytest.mark.parametrize(
    "raw",
    [
        b"\r\n\r\n", b"GET\r\n\r\n", b"GET / HTTP/9.9\r\n\r\n", b"\x00\x01\x02\r\n\r\n", b"POST / HTTP/1.1\r\nHost: localhost\r\n\r\n",
        b"GET " + b"a" * 9000 + b" HTTP/1.1\r\n\r\n", b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 500 + b"\r\n", b"GET / HTTP/1.1\r\nHost\r\n\r\n",
        b"GET //[ HTTP/1.1\r\nHost: localhost\r\n\r\n", b"GET /%ff HTTP/1.1\r\nHost: localhost\r\n\r\n", b"GET http://[x/ HTTP/1.1\r\nHost: localhost\r\n\r\n",
        b"CONNECT evil:1 HTTP/1.1\r\nHost: localhost\r\n\r\n", b"GET / HTTP/1.1\r\nHost: localhost\r\nHost: evil\r\n\r\n", b"GET /\r\n\r\n",
        b"GET /" + b"a" * 20_000, b"GET / HTTP/1.1\r\nHost: localhost\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n\r\n",
    ],
)  # fmt: skip
def test_whatever_is_sent_gets_an_answer_or_an_end(raw):
    """N4: a malformed request is answered or ended, and raises nothing."""
    answer, own = answered(raw, PHONE)
    assert b"Traceback" not in answer
    assert b"passport/" not in answer.lower()
    assert not any(own)


def test_a_page_is_read_alone():
    """What is sent to it is not taken, a head is answered without a body, and no answer leaves an address to others."""
    for method in ("POST", "PUT", "DELETE", "OPTIONS", "TRACE"):
        answer, own = answered(f"{method} /x HTTP/1.1\r\nHost: localhost\r\n\r\n".encode(), "127.0.0.1")
        assert (answer.split(b" ", 2)[1], own) == (b"405", [])
    head, body = answered(b"HEAD /x HTTP/1.1\r\nHost: localhost\r\n\r\n", "127.0.0.1")[0].split(b"\r\n\r\n")
    assert (body, b"content-length: 7" in head) == (b"", True)
    for line in (
        b"cache-control: no-store",
        b"referrer-policy: no-referrer",
        b"x-frame-options: DENY",
        b"connection: close",
    ):
        assert line in head
    assert b"server:" not in head.lower()


def test_an_error_tells_nothing_of_itself():
    """N4: what breaks while a page is made ends that answer; its text, with paths of this computer, is not sent."""
    status, body = said(PHONE, "192.0.2.1", "/broken")
    assert status == 500
    assert b"secret" not in body


@contextmanager
def running(preview=None, room=""):
    """A server on a free port."""
    serving = PreviewServing(preview or Told(), room=room)
    thread = threading.Thread(target=serving.run, daemon=True)
    thread.start()
    try:
        yield serving
    finally:
        serving.stop()
        thread.join(timeout=10)
        serving.close()
        assert not thread.is_alive()


def asked(port: int, address: str = "127.0.0.1", timeout: float = 30) -> bytes:
    """What a browser gets that asks as it should."""
    with socket.create_connection((address, port), timeout=timeout) as sock:
        sock.sendall(b"GET /x HTTP/1.1\r\nHost: localhost\r\n\r\n")
        return b"".join(iter(lambda: sock.recv(4096), b""))


def test_it_answers_this_computer_alone_unless_told_otherwise():
    """N1: the port is this computer's; with an address in the room that one's too, by a server of its own."""
    with running() as serving:
        assert [one.getsockname()[0] for one in serving.sockets] == ["127.0.0.1"]
        assert b"/x True" in asked(serving.port)
    room = "127.0.0.2"  # in place of one of a network, which this computer may not have
    with running(room=room) as serving:
        assert [one.getsockname() for one in serving.sockets] == [("127.0.0.1", serving.port), (room, serving.port)]
        assert b"/x True" in asked(serving.port)
        assert asked(serving.port, room).startswith(b"HTTP/1.1 200")


def test_half_open_requests_keep_nobody_out(counted):
    """N3: of 600 requests that never end none takes a thread, and one that is whole is answered at once."""
    with running() as serving:
        asked(serving.port)
        before, half = threading.active_count(), []
        for _ in range(600):
            sock = socket.create_connection(("127.0.0.1", serving.port), timeout=5)
            sock.sendall(b"GET / HTTP/1.1\r\nHost: local")
            half.append(sock)
        start = time.monotonic()
        assert b"/x True" in asked(serving.port)
        took = time.monotonic() - start
        assert took < doorkeeper.SECONDS
        assert threading.active_count() <= before + 1
        for sock in half:
            sock.close()
    counted(f"preview's server: 600 half-open requests, a whole one answered in {took:.1f} s")


def test_a_request_that_trickles_is_ended(monkeypatch):
    """N3: sending a letter now and then keeps no place for longer than a whole request has."""
    monkeypatch.setattr(doorkeeper, "SECONDS", 0.5)
    with running() as serving, socket.create_connection(("127.0.0.1", serving.port), timeout=5) as sock:
        start = time.monotonic()
        with pytest.raises(OSError):
            while time.monotonic() - start < 20:
                sock.sendall(b"a")
                time.sleep(0.1)
        assert time.monotonic() - start < 10


def test_a_reader_that_takes_nothing_is_left(monkeypatch):
    """N3: those who ask and do not read keep nobody waiting, and are hung up on after a while."""
    monkeypatch.setattr(doorkeeper, "ANSWERED", 5.0)

    class Large(Told):
        def answer(self, path: str, *, at_the_bench: bool = False) -> Answer:
            """More than the system takes over at once, but for one path."""
            return Answer(200, "text/plain", b"x" if path == "/x" else b"x" * 20_000_000)

    with running(Large()) as serving:
        stuck = [socket.create_connection(("127.0.0.1", serving.port), timeout=20) for _ in range(4)]
        for sock in stuck:
            sock.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
        assert asked(serving.port).startswith(b"HTTP/1.1 200")
        time.sleep(6)
        for sock in stuck:
            got = 0
            try:
                while part := sock.recv(1_000_000):
                    got += len(part)
            except ConnectionError:
                pass
            assert got < 20_000_000
            sock.close()


def test_the_standard_librarys_servers_are_gone_from_the_program():
    """One web server stands behind one doorkeeper: no module brings in http.server or its kin."""
    kin = {"http.server", "socketserver", "wsgiref", "wsgiref.simple_server", "xmlrpc.server"}
    for path in (ROOT / "passport").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module:
                names = [node.module, *(f"{node.module}.{one.name}" for one in node.names)]
            assert kin.isdisjoint(names), path
