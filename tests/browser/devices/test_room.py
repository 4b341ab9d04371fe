"""Devices in the room: paired by a code, told apart by a key, shown what they may see; and all attacks from that network."""

import hashlib
import re
import stat
import time
from contextlib import ExitStack, closing, suppress

import pytest
import smallshop
from benchserver import Asker, RoomAsker, half_open, serving

from passport.acts.devices import kept
from passport.browser import doorkeeper
from passport.browser.devices.room import RoomWish
from passport.browser.doorkeeper import LONGEST_FORM, MOST
from passport.browser.gate import HEADERS, METHODS
from passport.browser.who import SECONDS, VEIL

FRAME = "/frame/ada/main"
PLACES = ("/", "/find?q=ada", FRAME, f"{FRAME}/job", "/history", "/card/ada/main", "/devices", "/nothing")
FORMS = (f"{FRAME}/knot", f"{FRAME}/job", f"{FRAME}/job/keep", "/history")
CONTACT = ("secret-mail@ada.example", "01632 960777", "SECRET-PHONE", "SECRET-ADDRESS")


@pytest.fixture(scope="module", params=["https", "http"])
def bench(request, tmp_path_factory):
    """A small shop's bench that answers the room, encrypted or not."""
    content = smallshop.write(tmp_path_factory.mktemp("shop") / "content")
    with serving(content, RoomWish("127.0.0.1", plain=request.param == "http")) as asker:
        yield asker


@pytest.fixture(scope="module")
def phone(bench):
    """A paired device that is shown the bench without contact data."""
    found = RoomAsker(bench.serving)
    found.pair(bench)
    return found


@pytest.fixture(scope="module")
def tablet(bench):
    """A paired device that may see everything."""
    found = RoomAsker(bench.serving)
    found.pair(bench, contacts=True, name="Tablet")
    return found


@pytest.fixture
def stranger(bench):
    """A device that was never paired."""
    return RoomAsker(bench.serving)


@pytest.mark.parametrize("path", PLACES)
def test_an_unpaired_device_sees_a_page_that_says_so_and_nothing_else(bench, stranger, path):
    """D1: Without a key, with another, with this computer's own cookie or key no page tells anything of the workshop."""
    cookies = (None, "__Host-bench=1", bench.cookie, bench.cookie.replace("bench", "__Host-bench"), "é=;;")
    pages = {stranger.ask(path, headers={"Cookie": cookie}).text for cookie in cookies}
    pages.add(stranger.ask(f"/?key={bench.serving.keys.door}").text)
    assert len(pages) == 1
    page = pages.pop()
    assert "not paired" in page
    assert not [word for word in ("Bench Nine", "Ada", "SECRET", smallshop.KEYS["main"]) if word in page]
    assert stranger.ask(path).status == 403


def test_a_code_pairs_one_device_once(bench, stranger):
    """D1: The code on the screen gives one device a key that no script may read; used once more it gives none."""
    got = bench.follow(bench.send("/devices", {"act": "code"}))
    code = re.search(r'class="spelled">([^<]+)', got.text)[1]
    assert re.fullmatch(r"[0-9A-Z]{5} [0-9A-Z]{5}", code)
    asked = stranger.ask(f"/pair?code={code.replace(' ', '')}")
    assert asked.status == 403 and asked.value("code") == code.replace(" ", "")
    assert stranger.ask("/").status == 403, "an address that was only opened uses nothing up"
    first = stranger.send("/pair", {"code": code.lower(), "name": "Old tablet"})
    assert (first.status, first.headers["location"]) == (303, "/")
    said = set(first.headers["set-cookie"].split("; ")[1:])
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= said and ("Secure" in said) == stranger.encrypted
    assert first.headers["set-cookie"].startswith("__Host-bench" if stranger.encrypted else "bench")
    stranger.cookie = first.headers["set-cookie"].partition(";")[0]
    assert "Bench Nine" in stranger.ask("/").text
    again = stranger.send("/pair", {"code": code, "name": "Another"}, {"Cookie": None})
    assert (again.status, "set-cookie" in again.headers) == (403, False)
    assert "Old tablet" in bench.ask("/devices").text


def test_a_code_ends_after_ten_minutes(bench, stranger, monkeypatch):
    """D1: A code that nobody used is none any more after its time; nor is one that was withdrawn."""
    room = bench.serving.room.room
    code = room.offer(contacts=False)
    assert SECONDS == 600
    monkeypatch.setattr(room, "clock", lambda: time.monotonic() + SECONDS)
    assert stranger.send("/pair", {"code": code.text}).status == 403
    monkeypatch.undo()
    code = room.offer(contacts=False)
    bench.send("/devices", {"act": "withdraw"})
    assert stranger.send("/pair", {"code": code.text}).status == 403
    assert stranger.send("/pair", {"code": ""}).status == 403


def test_a_code_is_not_guessed(bench):
    """D1: A code has fifty bits: five bits a sign, ten signs, each of 32 letters."""
    codes = [bench.serving.room.room.offer(contacts=False).text for _ in range(200)]
    assert {len(code) for code in codes} == {10} and len(set(codes)) == 200
    assert len({letter for code in codes for letter in code}) == 32
    bench.serving.room.room.withdraw()


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "http://evil.example"}, {"Origin": "null"}, {"Origin": None}, {"Sec-Fetch-Site": "cross-site"},
     {"Content-Type": "text/plain"}, {"Host": "evil.example"}],
)  # fmt: skip
def test_no_page_from_elsewhere_pairs_a_device(bench, stranger, headers):
    """D3: A page elsewhere cannot have a device's browser type a code; the code is not used up by that."""
    code = bench.serving.room.room.offer(contacts=False)
    got = stranger.send("/pair", {"code": code.text}, headers)
    assert got.status in (403, 415, 421) and "set-cookie" not in got.headers
    assert bench.serving.room.room.code == code
    bench.serving.room.room.withdraw()


def test_a_forgotten_device_is_out_at_once(bench):
    """D1: A device that is forgotten on this computer is let in no more, and its cookie is good for nothing."""
    device = RoomAsker(bench.serving)
    device.pair(bench, name="Lost phone")
    assert device.ask("/").status == 200
    page = bench.ask("/devices").text
    mark = re.search(r'Lost phone</b>.*?name="device" value="(\w+)"', page, re.DOTALL)[1]
    assert "Lost phone" not in bench.follow(bench.send("/devices", {"act": "forget", "device": mark})).text
    assert device.ask("/").status == 403
    assert mark not in device.cookie and hashlib.sha256(device.cookie.partition("=")[2].encode()).hexdigest() == mark


def test_devices_survive_a_restart_and_are_kept_for_their_owner_alone(bench, own_settings, tmp_path):
    """D5: The list stands outside the content, with rights for its owner alone; a key itself is in no file."""
    content = smallshop.write(tmp_path / "content")
    with serving(content, RoomWish("127.0.0.1", plain=not RoomAsker(bench.serving).encrypted)) as first:
        device = RoomAsker(first.serving)
        device.pair(first)
        port = first.serving.room.port
    with serving(content, RoomWish("127.0.0.1", port, plain=not RoomAsker(bench.serving).encrypted)) as second:
        device.serving = second.serving
        assert "Bench Nine" in device.ask("/").text
    files = [path for path in own_settings.rglob("*") if path.is_file()]
    assert files and all(stat.S_IMODE(path.stat().st_mode) == 0o600 for path in files)
    assert {stat.S_IMODE(path.parent.stat().st_mode) for path in files} == {0o700}
    assert not [path for path in files if device.cookie.partition("=")[2].encode() in path.read_bytes()]
    assert not [path for path in content.rglob("*") if "devices" in path.name or "certificate" in path.name]


def test_a_device_of_one_workshop_is_none_of_another(phone, tmp_path):
    """D1: The same computer's other workshop does not know it."""
    content = smallshop.write(tmp_path / "other")
    with serving(content, RoomWish("127.0.0.1", plain=not phone.encrypted)) as other:
        device = RoomAsker(other.serving)
        device.cookie = f"{phone.cookie.partition('=')[0].rstrip('0123456789')}{other.serving.room.port}={phone.cookie.partition('=')[2]}"
        assert device.ask("/").status == 403


def test_a_list_that_others_could_write_is_not_believed(own_settings, tmp_path):
    """D5: A list of devices with rights for others may be theirs: nobody on it is let in, and it is written anew for its owner."""
    content = smallshop.write(tmp_path / "content")
    with serving(content, RoomWish("127.0.0.1", plain=True)) as bench:
        device = RoomAsker(bench.serving)
        device.pair(bench)
        (path,) = {p for p in kept.folder().glob("devices-*.json") if device_mark(device) in p.read_text()}
        path.chmod(0o666)
        assert device.ask("/").status == 403
        device.pair(bench)
        assert device.ask("/").status == 200 and stat.S_IMODE(path.stat().st_mode) == 0o600


def device_mark(device) -> str:
    """The mark of a device's key."""
    return hashlib.sha256(device.cookie.partition("=")[2].encode()).hexdigest()


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:{port}", "127.0.0.1", "localhost:{port}", "127.0.0.1:{port}@evil.example", "127.0.0.1:1",
     "", None, "a b", "127.0.0.1:{port}, evil.example", "127.0.0.1:{own}"],
)  # fmt: skip
def test_another_name_gets_no_page(bench, phone, host):
    """D3: The room's server answers under the one name that it shows, paired or not (DNS rebinding)."""
    host = host and host.format(port=bench.serving.room.port, own=bench.serving.port)
    got = phone.ask("/", headers={"Host": host})
    assert got.status in (400, 421) and "Ada" not in got.text


def test_the_room_s_name_opens_nothing_at_the_own_door(bench, phone):
    """D3: A device's cookie is none at this computer's own door, nor is the room's name one there."""
    assert Asker(bench.serving).ask("/", headers={"Cookie": phone.cookie}).status == 403
    assert bench.ask("/", headers={"Host": phone.host}).status == 421


@pytest.mark.parametrize("path", FORMS)
@pytest.mark.parametrize(
    ("headers", "form"),
    [
        ({"Origin": "http://evil.example"}, {}),
        ({"Origin": "null"}, {}),
        ({"Origin": None}, {}),
        ({"Origin": "{other}://{host}"}, {}),
        ({"Origin": "{own}"}, {}),
        ({"Sec-Fetch-Site": "cross-site"}, {}),
        ({"Sec-Fetch-Site": "same-site"}, {}),
        ({}, {"token": ""}),
        ({}, {"token": "0" * 64}),
        ({}, {"token": "{keys}"}),
        ({}, {"token": "{tablet}"}),
        ({"Cookie": None}, {}),
        ({"Content-Type": "text/plain"}, {}),
        ({"Content-Type": "multipart/form-data; boundary=x"}, {}),
    ],
)
def test_no_page_from_elsewhere_writes(bench, phone, tablet, path, headers, form):
    """D3: A form or fetch from another site, with another's token or without the key changes nothing by a paired device."""
    said = {"host": phone.host, "other": "http" if phone.encrypted else "https", "own": bench.origin,
            "keys": bench.token, "tablet": tablet.token}  # fmt: skip
    given = {name: value and value.format(**said) for name, value in headers.items()}
    filled = {name: value.format(**said) for name, value in form.items()}
    got = phone.send(path, {"act": "tie", **filled}, given)
    assert got.status in (403, 415)
    assert "last knot at" not in phone.ask(FRAME).text


def test_a_paired_device_s_own_form_writes(phone):
    """D3: The same form from its own page is taken."""
    assert "last knot at" in phone.follow(phone.send(FORMS[0], {"act": "tie"})).text
    assert "last knot at" not in phone.follow(phone.send(FORMS[0], {"act": "forget"})).text


@pytest.mark.parametrize("act", ["code", "withdraw", "forget", "show"])
def test_devices_are_paired_and_forgotten_at_this_computer_alone(bench, phone, tablet, act):
    """D1: A paired device sees no list, no code, and changes nothing about any device, itself neither."""
    for device in (phone, tablet):
        page = bench.ask("/devices").text
        assert device.ask("/devices").status == 409 and "Tablet" not in device.ask("/devices").text
        got = device.send("/devices", {"act": act, "device": device_mark(phone), "contacts": "yes"})
        assert got.status == 409 and bench.ask("/devices").text == page
        assert bench.serving.room.room.code is None
        assert "/devices" not in device.ask("/").text


@pytest.mark.parametrize("path", [*(p for p in PLACES if not p.startswith("/card/")), "/assets/bench.css", "/pair"])
def test_every_answer_has_a_strict_policy(phone, stranger, path):
    """D3: Nothing is loaded from elsewhere, framed or kept, by whoever is answered."""
    for got in (phone.ask(path), stranger.ask(path), phone.ask(path, headers={"Host": "evil.example"})):
        assert {name: got.headers[name] for name in HEADERS} == HEADERS
        assert "server" not in got.headers and "access-control-allow-origin" not in got.headers


def test_a_card_is_framed_by_pages_of_the_bench_alone(phone, stranger):
    """D3: The card, from which the print dialogue opens, is shown inside no page from elsewhere, and to nobody unpaired."""
    got = phone.ask("/card/ada/main")
    assert (got.status, got.headers["x-frame-options"]) == (200, "SAMEORIGIN")
    assert got.headers["content-security-policy"].endswith("frame-ancestors 'self'")
    assert stranger.ask("/card/ada/main").headers["x-frame-options"] == "DENY"


@pytest.mark.parametrize("method", ["OPTIONS", "PUT", "DELETE", "PATCH", "TRACE", "CONNECT", "PROPFIND", "GETT", "get"])
def test_other_methods_are_refused(phone, stranger, method):
    """D4: Methods that no page of ours uses are refused to all."""
    for device in (phone, stranger):
        got = device.ask("/", method, headers={"Origin": "http://evil.example"})
        assert got.status in (400, 405) and "Ada" not in got.text
        assert got.status == 400 or got.headers["allow"] == ", ".join(METHODS)


@pytest.mark.parametrize("path", ["/", FRAME, "/pair", "/assets/bench.css"])
def test_head_is_get_without_the_page(phone, stranger, path):
    """D4: HEAD says how the answer would begin, and pairs nothing."""
    for device in (phone, stranger):
        one, other = device.ask(path), device.ask(path, "HEAD")
        assert (other.status, other.text) == (one.status, "")


@pytest.mark.parametrize(
    "path",
    ["/../workshop.yaml", "/assets/../workshop.yaml", "/assets/%2e%2e/%2e%2e/workshop.yaml", "/fonts/..%2fstyle%2ftokens.css",
     "/workshop.yaml", "/frame/../workshop", "/frame/%00/x", "//evil.example/", "/players/ada/player.yaml", "/.passport/history"],
)  # fmt: skip
def test_no_path_leads_out(phone, stranger, path):
    """D4: No address leads to a file that is not a screen, for a paired device or another."""
    for device in (phone, stranger):
        got = device.ask(path)
        assert got.status in (400, 403, 404)
        assert not [word for word in ("SECRET", "root:", "OFL", "private_note") if word in got.text]


@pytest.mark.parametrize("length", [LONGEST_FORM + 1, 10_000_000, 10**18])
def test_a_form_of_ten_megabytes_is_refused_before_it_is_read(phone, stranger, length):
    """D4: A form that says that it is large is refused by that, the one that pairs too."""
    for device, path in ((phone, FORMS[0]), (stranger, "/pair"), (stranger, "/")):
        head = f"POST {path} HTTP/1.1\r\nHost: {device.host}\r\nOrigin: {device.origin}\r\nCookie: {device.cookie}\r\n"
        kind = "Content-Type: application/x-www-form-urlencoded\r\n"
        assert device.raw_answer(f"{head}{kind}Content-Length: {length}\r\n\r\n".encode())[:12] == b"HTTP/1.1 413"


def test_a_form_of_ten_megabytes_that_says_otherwise_is_cut_off(phone):
    """D4: A form that does not say its length, or too little, is not read to its end."""
    head = f"POST {FORMS[0]} HTTP/1.1\r\nHost: {phone.host}\r\nOrigin: {phone.origin}\r\nCookie: {phone.cookie}\r\n"
    kind = "Content-Type: application/x-www-form-urlencoded\r\n"
    big = b"100000\r\n" + b"a" * 0x100000 + b"\r\n"
    for length in ("Transfer-Encoding: chunked", "Content-Length: 5"):
        with suppress(OSError):
            assert phone.raw_answer(f"{head}{kind}{length}\r\n\r\n".encode() + 10 * big)[:10] in (b"HTTP/1.1 4", b"")
    assert phone.ask("/").status == 200


def test_two_hundred_slow_connections_keep_nobody_out(bench, phone, stranger, counted):
    """D4: With 200 connections that never end, and then more than there are places for, a paired device is answered, and
    this computer as if they were not there."""
    with half_open(stranger, 200):
        took = [(bench.timed(), phone.timed())]
        with half_open(stranger, MOST - 100):
            took.append((bench.timed(), phone.timed()))
    assert max(max(pair) for pair in took) < 5
    kind = "TLS" if phone.encrypted else "plain"
    counted(
        f"bench in the room, {kind}: a page beside 200 slow connections {took[0]}, beside {MOST + 100} {took[1]} (here, phone)"
    )


def test_a_request_that_does_not_come_is_ended(phone, stranger, monkeypatch):
    """D4: What is not whole after its seconds, the greeting counted in, is hung up on."""
    assert doorkeeper.SECONDS == 10
    monkeypatch.setattr(doorkeeper, "SECONDS", 0.5)
    with ExitStack() as stack:
        start = time.monotonic()
        socks = [stack.enter_context(closing(sock)) for sock in (stranger.raw(), stranger.plain())]
        for sock in socks:
            with suppress(OSError):
                while time.monotonic() < start + 15 and sock.recv(4096):
                    pass
        assert 0.3 < time.monotonic() - start < 15
    monkeypatch.undo()
    assert phone.ask("/").status == 200


def test_what_speaks_no_tls_is_ended(bench, phone):
    """D2: Plain http to the encrypted port gets nothing but an end; the fingerprint is the one on the screen. An unencrypted
    bench shows none."""
    if not phone.encrypted:
        assert bench.serving.room.room.fingerprint == ()
        return
    with closing(phone.plain()) as sock:
        sock.sendall(f"GET / HTTP/1.1\r\nHost: {phone.host}\r\nCookie: {phone.cookie}\r\n\r\n".encode())
        with suppress(ConnectionError):
            assert b"HTTP" not in b"".join(iter(lambda: sock.recv(65_536), b""))
    with closing(phone.raw()) as sock:
        der = sock.getpeercert(binary_form=True)
        assert sock.version() in ("TLSv1.2", "TLSv1.3")
    digest = hashlib.sha256(der).hexdigest().upper()
    shown = "".join(bench.serving.room.room.fingerprint)
    assert digest == shown
    bench.serving.room.room.offer(contacts=False)
    page = bench.ask("/devices").text
    assert "".join(re.findall(r"<span>([0-9A-F]{2})</span>", page)) == digest
    bench.serving.room.room.withdraw()


def test_without_encryption_it_is_said_and_contact_data_stay_here(bench, phone, tablet, stranger):
    """D2: Where it is unencrypted both screens say so, and a device that may see everything is shown no contact data."""
    plain = not stranger.encrypted
    assert ("unencrypted" in bench.ask("/devices").text) is plain
    assert ("unencrypted" in stranger.ask("/").text) is plain
    assert any(word in tablet.ask("/").text for word in CONTACT) is not plain


def test_this_computer_and_a_device_that_may_see_everything_see_contact_data(bench, tablet):
    """D6: What is left out for others is there for them: the tests of leaving out could fail."""
    assert "01632 960777" in bench.ask("/").text
    if RoomAsker(bench.serving).encrypted:
        assert "01632 960777" in tablet.ask("/").text


def test_what_a_device_is_shown_is_changed_here(bench):
    """D6: A device's setting is changed on this computer, and holds from its next page on."""
    device = RoomAsker(bench.serving)
    device.pair(bench)
    assert "01632 960777" not in device.ask("/").text
    bench.send("/devices", {"act": "show", "device": device_mark(device), "contacts": "yes"})
    assert ("01632 960777" in device.ask("/").text) is RoomAsker(bench.serving).encrypted
    bench.send("/devices", {"act": "show", "device": device_mark(device), "contacts": "no"})
    assert "01632 960777" not in device.ask("/").text


def test_a_form_that_brings_the_veil_back_is_not_taken(phone):
    """D6: What stands in contact data's place is never written into a record."""
    got = phone.send(f"{FRAME}/job", {"act": "save", "note": f"call {VEIL}"})
    assert got.status == 409 and "Nothing was saved" in got.text
    assert VEIL not in phone.ask("/history").text
