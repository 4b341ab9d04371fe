"""What stands before the bench: attacks by pages from elsewhere, by other programs of this computer, and by what hangs."""

import time
from contextlib import suppress

import pytest
import smallshop
from benchserver import Asker, half_open, serving

from passport.browser import doorkeeper
from passport.browser.doorkeeper import LONGEST_FORM, MOST
from passport.browser.gate import HEADERS, METHODS

FRAME = "/frame/ada/main"
PLACES = ("/", "/find?q=ada", FRAME, f"{FRAME}/job", "/history", "/walk-in", f"{FRAME}/order", "/online", "/nothing")
FORMS = (
    f"{FRAME}/knot", f"{FRAME}/job", f"{FRAME}/job/keep", "/history",
    "/walk-in", "/walk-in/keep", f"{FRAME}/order", f"{FRAME}/order/keep", "/online",
)  # fmt: skip
FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A small shop's bench."""
    with serving(smallshop.write(tmp_path_factory.mktemp("shop") / "content")) as asker:
        yield asker


@pytest.fixture
def stranger(bench):
    """A browser that was never let in."""
    return Asker(bench.serving)


@pytest.mark.parametrize("path", PLACES)
def test_a_stranger_sees_a_page_that_says_so_and_nothing_else(bench, stranger, path):
    """W2: Without the cookie, with another, or with the cookie of another bench no page tells anything of the workshop."""
    pages = {
        stranger.ask(path, headers={"Cookie": cookie}).text for cookie in (None, "bench=1", bench.cookie[:-1], "é=;;")
    }
    assert len(pages) == 1
    page = pages.pop()
    assert "closed to this browser" in page
    assert not [word for word in ("Bench Nine", "Ada", "SECRET", smallshop.KEYS["main"]) if word in page]
    assert stranger.ask(path).status == 403


def test_the_first_address_opens_one_browser_once(stranger):
    """W2: The key in the address is good for once; the next browser needs the next one, and the cookie is no script's to read."""
    address = stranger.serving.address
    path = address.partition(stranger.host)[2]
    first = stranger.ask(path)
    assert (first.status, first.headers["location"]) == (303, "/")
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(first.headers["set-cookie"].split("; "))
    again = stranger.ask(path)
    assert (again.status, "set-cookie" in again.headers) == (403, False)
    assert stranger.serving.address != address
    assert stranger.ask(stranger.serving.address.partition(stranger.host)[2], "HEAD").status == 403


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:{port}", "127.0.0.1", "localhost.evil.example:{port}", "127.0.0.1:{port}@evil.example",
     "[::1]:{port}", "127.0.0.1:1", "", None, "a b", "127.0.0.1:{port}, evil.example"],
)  # fmt: skip
def test_another_name_gets_no_page(bench, host):
    """W1: A page from elsewhere that asks under its own name (DNS rebinding) is refused, cookie or no cookie."""
    got = bench.ask("/", headers={"Host": host and host.format(port=bench.serving.port)})
    assert got.status in (400, 421)
    assert "Ada" not in got.text


def test_the_port_is_this_computer_s_own(bench):
    """W1: no other address of this computer answers."""
    assert bench.serving.host == "127.0.0.1"


def test_two_hosts_are_none(bench):
    """W1: A request that names two hosts is refused."""
    raw = f"GET / HTTP/1.1\r\nHost: {bench.host}\r\nHost: evil.example\r\nCookie: {bench.cookie}\r\n\r\n"
    assert bench.raw_answer(raw.encode())[:12] in (b"HTTP/1.1 400", b"HTTP/1.1 421")


@pytest.mark.parametrize("path", FORMS)
@pytest.mark.parametrize(
    ("headers", "form"),
    [
        ({"Origin": "http://evil.example"}, {}),
        ({"Origin": "null"}, {}),
        ({"Origin": None}, {}),
        ({"Origin": "https://{host}"}, {}),
        ({"Origin": "http://{host}.evil.example"}, {}),
        ({"Sec-Fetch-Site": "cross-site"}, {}),
        ({"Sec-Fetch-Site": "same-site"}, {}),
        ({}, {"token": ""}),
        ({}, {"token": "0" * 64}),
        ({}, {"token": "ü"}),
        ({"Cookie": None}, {}),
        ({"Content-Type": "text/plain"}, {}),
        ({"Content-Type": "multipart/form-data; boundary=x"}, {}),
        ({"Content-Type": "application/json"}, {}),
    ],
)
def test_no_page_from_elsewhere_writes(bench, path, headers, form):
    """W3: A form or a fetch from another site, or without the token of our forms, changes nothing."""
    given = {name: value and value.format(host=bench.host) for name, value in headers.items()}
    got = bench.send(path, {"act": "tie", **form}, given)
    assert got.status in (403, 415)
    assert "last knot at" not in bench.ask(FRAME).text


def test_our_own_form_writes(bench):
    """W3: The same form from our own page is taken: the clock runs, and stops."""
    assert "last knot at" in bench.follow(bench.send(FORMS[0], {"act": "tie"})).text
    assert "last knot at" not in bench.follow(bench.send(FORMS[0], {"act": "forget"})).text


@pytest.mark.parametrize("path", [*PLACES, "/assets/bench.css", "/assets/none"])
def test_every_answer_has_a_strict_policy(bench, stranger, path):
    """W3: Nothing is loaded from elsewhere, nothing framed (clickjacking), nothing kept, by whoever is answered."""
    for got in (bench.ask(path), stranger.ask(path), bench.ask(path, headers={"Host": "evil.example"})):
        assert {name: got.headers[name] for name in HEADERS} == HEADERS
        assert "frame-ancestors 'none'" in got.headers["content-security-policy"]
        kept = got.headers["cache-control"]
        assert kept == "no-store" or (path == "/assets/bench.css" and kept.startswith("private"))
        assert "server" not in got.headers
        assert "access-control-allow-origin" not in got.headers


@pytest.mark.parametrize("method", ["OPTIONS", "PUT", "DELETE", "PATCH", "TRACE", "CONNECT", "PROPFIND", "GETT", "get"])
def test_other_methods_are_refused(bench, method):
    """Methods that no page of ours uses are refused; OPTIONS allows no other site anything."""
    got = bench.ask("/", method, headers={"Origin": "http://evil.example"})
    assert got.status in (400, 405)
    assert "Ada" not in got.text
    assert got.status == 400 or got.headers["allow"] == ", ".join(METHODS)


@pytest.mark.parametrize("path", [*PLACES, "/assets/bench.css"])
def test_head_is_get_without_the_page(bench, path):
    """HEAD says how the answer would begin."""
    one, other = bench.ask(path), bench.ask(path, "HEAD")
    assert (other.status, other.text) == (one.status, "")


@pytest.mark.parametrize("path", ["/", FRAME, "/assets/bench.css"])
def test_a_page_that_takes_no_form_refuses_one(bench, path):
    """A form sent to what only shows is refused."""
    assert bench.send(path, {}).status == 405


@pytest.mark.parametrize(
    "path",
    ["/../workshop.yaml", "/assets/../workshop.yaml", "/assets/%2e%2e/%2e%2e/workshop.yaml", "/assets//etc/passwd",
     "/fonts/..%2fstyle%2ftokens.css", "/fonts/OFL-Barlow.txt", "/fonts/", "/assets/", "/assets", "/workshop.yaml",
     "/frame/../workshop", "/frame/%2e%2e/workshop", "/frame/..%2f../x", "/frame/ada/player", "/frame/ada/main.yaml",
     "/frame/%00/x", "/frame/ada%2fmain/x", "//evil.example/", "/\\evil", "/players/ada/player.yaml", "/.passport/history"],
)  # fmt: skip
def test_no_path_leads_out(bench, path):
    """W5: No address leads to a file that is not a screen, and no folder is listed."""
    got = bench.ask(path)
    assert got.status in (400, 404)
    assert not [word for word in ("SECRET", "root:", "OFL", "private_note") if word in got.text]


def test_a_search_leads_nowhere_else(bench):
    """What is searched for is shown as text, and no search leads to another site."""
    got = bench.ask("/find?q=%3Cscript%3Ealert(1)%3C/script%3E")
    assert got.status == 404 and "<script>alert" not in got.text and "&lt;script&gt;" in got.text
    assert bench.ask("/find?q=https://evil.example/").status == 404
    assert bench.ask(f"/find?q=https://evil.example/{smallshop.KEYS['main']}/").headers["location"] == FRAME


@pytest.mark.parametrize("length", [LONGEST_FORM + 1, 10_000_000, 10**18])
def test_a_form_of_ten_megabytes_is_refused_before_it_is_read(bench, length):
    """W4: A form that says that it is large is refused by that."""
    head = (
        f"POST {FORMS[0]} HTTP/1.1\r\nHost: {bench.host}\r\nOrigin: http://{bench.host}\r\nCookie: {bench.cookie}\r\n"
    )
    kind = "Content-Type: application/x-www-form-urlencoded\r\n"
    assert bench.raw_answer(f"{head}{kind}Content-Length: {length}\r\n\r\n".encode())[:12] == b"HTTP/1.1 413"


def test_a_form_of_ten_megabytes_that_says_otherwise_is_cut_off(bench):
    """W4: A form that does not say its length, or too little, is not read to its end, and the bench goes on."""
    head = (
        f"POST {FORMS[0]} HTTP/1.1\r\nHost: {bench.host}\r\nOrigin: http://{bench.host}\r\nCookie: {bench.cookie}\r\n"
    )
    kind = "Content-Type: application/x-www-form-urlencoded\r\n"
    big = b"100000\r\n" + b"a" * 0x100000 + b"\r\n"
    for length in ("Transfer-Encoding: chunked", "Content-Length: 5"):
        with suppress(OSError):
            assert bench.raw_answer(f"{head}{kind}{length}\r\n\r\n".encode() + 10 * big)[:10] in (b"HTTP/1.1 4", b"")
    assert bench.ask("/").status == 200


def test_a_form_of_many_fields_is_no_form(bench):
    """Two thousand fields are more than a form has."""
    assert bench.send(FORMS[0], {str(n): "" for n in range(2000)}).status == 403


def test_a_head_that_is_too_long_ends(bench):
    """A request whose head never ends is cut off by its size."""
    with suppress(OSError):
        assert b"200" not in bench.raw_answer(b"GET / HTTP/1.1\r\nX: " + b"a" * 100_000)[:20]
    assert bench.ask("/").status == 200


def test_two_hundred_half_open_requests_keep_nobody_out(bench, counted):
    """W4: With 200 requests that never end, and 100 more than there are places for, this computer is answered at once."""
    with half_open(bench, 200):
        took = [bench.timed()]
        with half_open(bench, MOST - 100):
            took.append(bench.timed())
    assert max(took) < 5
    counted(f"bench: a page beside 200 half-open requests in {took[0]:.2f} s, beside {MOST + 100} in {took[1]:.2f} s")


def test_a_request_that_does_not_come_is_ended(bench, monkeypatch):
    """W4: What is not whole after its seconds, ten of them, is hung up on, however it trickles."""
    assert doorkeeper.SECONDS == 10
    monkeypatch.setattr(doorkeeper, "SECONDS", 0.5)
    with half_open(bench, 8) as socks:
        start = time.monotonic()
        for sock in socks:
            with suppress(OSError):
                while time.monotonic() < start + 15 and sock.recv(4096):
                    pass
        assert 0.3 < time.monotonic() - start < 15


def test_an_error_tells_nothing(bench, monkeypatch, capfd):
    """W5: What breaks while a page is made ends that answer; its text is for the terminal of this computer alone."""

    def broken(*_, **__):
        raise RuntimeError("SECRET-PATH")

    monkeypatch.setattr("passport.browser.rack.readable", broken)
    got = bench.ask("/")
    assert got.status == 500
    assert "SECRET" not in got.text and "Traceback" not in got.text
    assert "SECRET-PATH" in capfd.readouterr().err
