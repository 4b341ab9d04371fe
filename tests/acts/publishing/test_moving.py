"""A site that moved: cards with the old address are sent on, by a real server and by pages in a real browser."""

import re
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread

import pytest
import smallshop
from browsing import chromium
from commandline import passport
from servers import certificate, free_port
from webserver import nginx_with

from passport.acts.publishing.moving import away, pages, set_up, write_pages
from passport.acts.refused import Refused
from passport.publish.asked.web import Web
from passport.records.ledger import ledger
from passport.records.ledger.ledger import LedgerLine
from passport.records.schema.numbers import with_check
from passport.records.transaction import ledger_file

NEW = "https://cards.bench-nine.example/p"
OLD = "https://old.bench-nine.example/cards"
KEYS = ["K" * 25 + last for last in "ABC"]


@pytest.fixture
def shop(tmp_path):
    """A workshop that three cards were given out from at another address."""
    content = smallshop.write(tmp_path / "content")
    lines = tuple(LedgerLine(ledger.ISSUED, key, "frame", with_check(2100 + at), OLD) for at, key in enumerate(KEYS))
    ledger_file.append(content, lines, smallshop.TODAY)
    return content


def test_the_cards_that_lean_on_it_are_counted(shop, tmp_path):
    """Without a server it says which cards lead elsewhere; after they are printed anew there is nothing to do."""
    said = passport("move-address", shop).stdout
    assert (
        f"The cards of 3 passports lead to {OLD}: {with_check(2100)}, {with_check(2101)}, {with_check(2102)}." in said
    )
    assert passport("addresses", shop, "--moved").exit_code == 0
    assert f"Every card leads to {NEW}: nothing to do." in passport("move-address", shop).stdout


def test_the_old_server_sends_every_address_on(shop, tmp_path):
    """nginx, set up by what is printed: a page, a card, the home page; what was never below the path stays unknown."""
    port, work = free_port(), tmp_path / "nginx"
    cert, key, _ = certificate(work)
    told = passport("move-address", shop, "nginx")
    assert told.exit_code == 0
    config = told.stdout
    for old, new in (
        (r"listen 80;", ""), (r"listen 443 ssl http2", f"listen 127.0.0.1:{port}"), (r"server_name \S+;", ""),
        (r"ssl_certificate +\S+;", f"ssl_certificate {cert};"), (r"ssl_certificate_key +\S+;", f"ssl_certificate_key {key};"),
    ):  # fmt: skip
        assert re.search(old, config)
        config = re.sub(old, new, config)
    with nginx_with(work, config, port), Web(f"http://127.0.0.1:{port}") as web:
        for path in (f"{KEYS[0]}/", f"{KEYS[0]}/card-1.pdf", "", "care/strings/"):
            answer = web.ask(f"cards/{path}")
            assert (answer.status, answer.leads_to) == (301, f"{NEW}/{path}")
        assert web.ask("other/").status == 404


def test_pages_lead_on_with_what_stands_behind_the_hash(shop, tmp_path):
    """On a host that cannot be set up a browser goes to the new address, the card's secret with it."""
    (one,) = away(shop)
    made = pages(one, "de")
    assert set(made) == {"index.html", "moved.js", "_redirects", ".nojekyll", *(f"{key}/index.html" for key in KEYS)}
    assert made["_redirects"] == f"/cards/* {NEW}/:splat 301\n".encode()
    assert "Diese Adresse ist umgezogen" in made["index.html"].decode()
    write_pages(one, tmp_path / "moved", "de")
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(tmp_path / "moved")))
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        with chromium() as browser:
            page = browser.new_page()
            page.route(f"{NEW}/**", lambda route: route.fulfill(body="<h1>here</h1>", content_type="text/html"))
            page.goto(f"http://127.0.0.1:{server.server_address[1]}/{KEYS[1]}/#SECRET")
            page.wait_for_url(f"{NEW}/{KEYS[1]}/#SECRET", timeout=10_000)
    finally:
        server.shutdown()
        server.server_close()


class _Quiet(SimpleHTTPRequestHandler):
    """Says nothing of what it serves."""

    def log_message(self, *_):
        """Nothing."""


def test_a_folder_that_holds_something_is_left(shop, tmp_path):
    """Nothing is written among files of others; several old addresses ask which one."""
    (tmp_path / "full").mkdir()
    (tmp_path / "full/mine.txt").write_text("x")
    (one,) = away(shop)
    with pytest.raises(Refused, match="is not empty"):
        write_pages(one, tmp_path / "full", "en")
    line = LedgerLine(ledger.ISSUED, "K" * 25 + "D", "frame", with_check(2103), "https://older.example")
    ledger_file.append(shop, (line,), smallshop.TODAY)
    asked = passport("move-address", shop, "caddy")
    assert asked.exit_code == 2
    assert "say which with --old" in asked.stderr
    assert (
        "redir @cards https://cards.bench-nine.example/p{re.rest.1} 301"
        in passport("move-address", shop, "caddy", "--old", OLD).stdout
    )
    assert set_up(away(shop)[-1], "nginx").count("older.example") >= 3
