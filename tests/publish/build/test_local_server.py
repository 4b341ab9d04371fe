"""The local server: attacks by other devices, pages from elsewhere and broken programs (N1 to N5 of THREATS.md)."""

import socket
import threading
import time
from contextlib import contextmanager

import pytest

from passport.publish.build import local_server
from passport.publish.build.local_server import SECONDS, THREADS, Answer, Asked, LocalServer, at_the_bench, respond

PHONE = "192.0.2.7"


def told(asked: Asked) -> Answer:
    """Says to whom it answers; breaks where it is asked to."""
    if asked.path == "/broken":
        raise RuntimeError("/home/someone/secret.yaml")
    return Answer(200, "text/plain", f"{asked.path} {asked.at_the_bench}".encode())


def said(client: str, host: str | None, target: str = "/x") -> tuple[int, bytes]:
    """Status and body of the answer to a device that asks for a host."""
    head = f"GET {target} HTTP/1.1\r\n" + (f"Host: {host}\r\n" if host is not None else "") + "\r\n"
    answer = respond(head.encode("latin-1"), client, told)
    return int(answer.split(b" ", 2)[1]), answer.partition(b"\r\n\r\n")[2]


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1", "[::1]", "localhost:8020", "127.0.0.1:8020", "LOCALHOST"])
@pytest.mark.parametrize(
    "client", [PHONE, "10.0.0.2", "::ffff:192.0.2.7", "fe80::1%eth0", "", "localhost", "127.0.0.1.evil"]
)
def test_another_device_is_not_this_computer_whatever_host_it_says(client, host):
    """N2: only where a connection comes from says that this computer asks, never what the request says of itself."""
    assert not at_the_bench(client, host)
    assert b"False" in said(client, host)[1]


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
    ],
)  # fmt: skip
def test_whatever_is_sent_gets_an_answer_or_an_end(raw):
    """N4: a malformed request is answered or ended, and raises nothing."""
    answer = respond(raw, PHONE, told)
    assert b"Traceback" not in answer
    assert b"passport/" not in answer.lower()


def test_an_error_tells_nothing_of_itself():
    """N4: what breaks while a page is made ends that answer; its text, with paths of this computer, is not sent."""
    status, body = said(PHONE, "192.0.2.1", "/broken")
    assert status == 500
    assert b"secret" not in body


@contextmanager
def running(answering=told):
    """A server on a free port."""
    with LocalServer(answering) as server:
        thread = threading.Thread(target=server.serve, daemon=True)
        thread.start()
        yield server
        server.stop()
        thread.join(timeout=5)


def asked(port: int, timeout: float = 3 * SECONDS) -> bytes:
    """What a browser gets that asks as it should."""
    with socket.create_connection(("127.0.0.1", port), timeout=timeout) as sock:
        sock.sendall(b"GET /x HTTP/1.1\r\nHost: localhost\r\n\r\n")
        return b"".join(iter(lambda: sock.recv(4096), b""))


def test_it_answers_this_computer_alone_unless_told_otherwise():
    """N1: the port is this computer's, with a flag every address's."""
    with LocalServer(told) as server:
        assert server._door.getsockname()[0] == "127.0.0.1"
    with LocalServer(told, lan=True) as server:
        assert server._door.getsockname()[0] == "0.0.0.0"


def test_half_open_requests_take_no_threads(counted):
    """N3: of 600 requests that never end none takes a thread, and one that is whole is answered at once."""
    before = threading.active_count()
    with running() as server:
        half = []
        for _ in range(600):
            sock = socket.create_connection(("127.0.0.1", server.port), timeout=5)
            sock.sendall(b"GET / HTTP/1.1\r\nHost: local")
            half.append(sock)
        start = time.monotonic()
        assert b"/x True" in asked(server.port)
        took = time.monotonic() - start
        assert took < SECONDS
        assert threading.active_count() - before <= THREADS + 1
        assert len(server._waiting) <= local_server.WAITING
        for sock in half:
            sock.close()
    counted(f"local server: 600 half-open requests, a whole one answered in {took:.1f} s by {THREADS} threads at most")


def test_a_request_that_trickles_is_ended(monkeypatch):
    """N3: sending a letter now and then keeps no place for longer than a whole request has."""
    monkeypatch.setattr(local_server, "SECONDS", 0.5)
    with running() as server, socket.create_connection(("127.0.0.1", server.port), timeout=5) as sock:
        start = time.monotonic()
        with pytest.raises(OSError):
            while time.monotonic() - start < 5:
                sock.sendall(b"a")
                time.sleep(0.1)
        assert time.monotonic() - start < 3


def test_a_reader_that_takes_nothing_is_left(monkeypatch):
    """N3: those who ask and do not read hold answering threads for a bounded time; others are answered after it."""
    monkeypatch.setattr(local_server, "SECONDS", 0.5)
    with running(lambda _: Answer(200, "text/plain", b"x" * 20_000_000)) as server:
        stuck = [socket.create_connection(("127.0.0.1", server.port)) for _ in range(THREADS)]
        for sock in stuck:
            sock.sendall(b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n")
        assert asked(server.port, timeout=30).startswith(b"HTTP/1.0 200")
        for sock in stuck:
            sock.close()


def test_a_device_with_many_connections_gives_up_its_own_oldest(monkeypatch):
    """N3: the places of one device are bounded, and this computer's are not what it takes."""
    monkeypatch.setattr(local_server, "WAITING", 8)
    with LocalServer(told) as server:
        pairs = [socket.socketpair() for _ in range(12)]
        for number, (mine, _) in enumerate(pairs):
            client = PHONE if number < 8 else "127.0.0.1"
            server._make_room(client)
            server._waiting[mine] = local_server._Caller(mine, client, time.monotonic() + 60)
        clients = [caller.client for caller in server._waiting.values()]
        assert clients.count(PHONE) == 2
        assert clients.count("127.0.0.1") == 4
        for pair in pairs:
            for sock in pair:
                sock.close()


def test_where_all_places_are_taken_another_device_gives_up_its_own(monkeypatch):
    """N3: the oldest of the other devices goes, never this computer's for another's; without any such there is no room."""
    monkeypatch.setattr(local_server, "WAITING", 8)
    with LocalServer(told) as server:
        pairs = [socket.socketpair() for _ in range(12)]

        def come(number, client):
            room = server._make_room(client)
            if room:
                server._waiting[pairs[number][0]] = local_server._Caller(
                    pairs[number][0], client, time.monotonic() + 60
                )
            return room, [caller.client for caller in server._waiting.values()]

        clients = ["127.0.0.1", *(f"192.0.2.{n}" for n in range(1, 6)), "127.0.0.1", "::1"]
        assert all(come(number, client)[0] for number, client in enumerate(clients))
        assert come(8, "192.0.2.9") == (True, [*(c for c in clients if c != "192.0.2.1"), "192.0.2.9"])
        assert come(9, "127.0.0.1")[1].count("192.0.2.2") == 0
        server._waiting.clear()
        for number in range(8):
            come(number, "127.0.0.1")
        assert come(10, PHONE) == (False, ["127.0.0.1"] * 8)
        assert come(11, "127.0.0.1") == (True, ["127.0.0.1"] * 8)
        assert pairs[0][0] not in server._waiting
        for pair in pairs:
            for sock in pair:
                sock.close()


def test_a_false_alarm_ends_nobody():
    """N4: where the system says that there is something to read and there is nothing yet, the caller keeps the place."""
    with LocalServer(told) as server:
        mine, theirs = socket.socketpair()
        mine.setblocking(False)
        caller = local_server._Caller(mine, PHONE, time.monotonic() + 60)
        server._waiting[mine] = caller
        server._hear(caller)
        assert mine in server._waiting
        theirs.close()
        server._hear(caller)
        assert mine not in server._waiting
