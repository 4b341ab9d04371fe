"""What the web serves, asked back from a real server (nginx with https), with every fault that hosts make."""

import shutil
import socket
import ssl
from datetime import UTC, datetime, timedelta

import pytest
from onlineshop import files_of, key_of, online
from servers import free_port
from webserver import nginx

from passport.acts.publishing.verify import verify
from passport.publish.asked.web import Silent, Web
from passport.publish.folder.manifest import FILE
from passport.records.ledger import ledger
from passport.records.ledger.ledger import LedgerLine
from passport.records.transaction import ledger_file

CLOSED = b"<h1>closed</h1>"
NOTE = b"<h1>lost</h1>"


class Host:
    """A shop with a site of six passports, one of them closed and one lost, and the folder that a host serves."""

    def __init__(self, root):
        """Build it and put it on the host."""
        self.root, self.port = root, free_port()
        self.files = {path: data for path, data in files_of(6).items() if not path.startswith((key_of(4), key_of(5)))}
        self.files |= {f"{key_of(4)}/index.html": CLOSED, f"{key_of(5)}/index.html": NOTE}
        self.shop = online(root)
        self.shop.write(self.files, frozenset({key_of(4)}))
        workshop = self.shop.content / "workshop.yaml"
        told = workshop.read_text().replace("https://cards.bench-nine.example/p", f"https://localhost:{self.port}")
        workshop.write_text(told)
        self.web = root / "host"
        self.upload()

    def upload(self):
        """Put the site as it is on the host."""
        shutil.rmtree(self.web, ignore_errors=True)
        shutil.copytree(self.shop.site, self.web)

    def number(self, at):
        """The number of a passport of this site."""
        from passport.records.schema.numbers import with_check

        return with_check(2000 + at)

    def asked(self, spoil=(), sample=None):
        """What the host serves, asked; by rule."""
        with nginx(self.root / "nginx", self.shop.content, self.web, self.port, spoil) as cert:
            trust = ssl.create_default_context(cafile=str(cert))
            found = verify(self.shop.content, self.shop.site, sample, web_at=lambda at: Web(at, 5, trust))
        return found, {one.finding.rule: one.finding for one in found.found}


@pytest.fixture
def host(tmp_path):
    """A site on a host."""
    return Host(tmp_path)


def test_a_site_that_is_served_as_it_was_built(host):
    """By the example for nginx: nothing is wrong, nothing is to be noted, and the closed address is proven closed."""
    found, rules = host.asked()
    assert rules == {"certificate-ends": rules["certificate-ends"]}  # the test's own lasts two days
    assert (found.same, found.closed, found.passports) == (True, 1, 5)
    assert found.ends == (datetime.now(UTC) + timedelta(days=2)).date()
    assert found.asked > 12


SPOILT = [
    ("missing", lambda web: shutil.rmtree(web / key_of(1)), "of passport", "is not there"),
    ("changed", lambda web: (web / key_of(1) / "card-1.pdf").write_bytes(b"%PDF"), "'card-1.pdf' of passport", "4 bytes came"),
    ("changed", lambda web: (web / key_of(4) / "index.html").write_bytes(b"<h1>her racquet</h1>"), "The page of a frame", ""),
    ("still-there", lambda web: (web / key_of(4) / "photo.jpg").write_bytes(b"x"), "'photo.jpg' of a frame", "still served"),
    ("records-public", lambda web: (web / "ledger.txt").write_text(ledger.HEAD), "'ledger.txt'", "for everybody"),
    ("records-public", lambda web: (web / "workshop.yaml").write_text("name: X\n"), "'workshop.yaml'", ""),
    ("no-manifest", lambda web: (web / FILE).unlink(), "no manifest on-line", ""),
    ("foreign-manifest", lambda web: (web / FILE).write_bytes(b"x" * 99), "does not open", ""),
    ("refused", lambda web: (web / key_of(2) / "index.html").unlink(), "refused with the status 403", ""),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "spoil", "what", "more"), SPOILT)
def test_what_is_wrong_on_the_host_is_found(host, rule, spoil, what, more):
    """A file that is missing, changed, left over or private, told by the passport's number and with what to do."""
    spoil(host.web)
    found, rules = host.asked()
    assert found.wrong
    assert what in rules[rule].what
    assert more in rules[rule].what
    assert rules[rule].do


def test_an_older_build_on_line_is_told_from_a_damaged_one(host):
    """Pages of the last build, and files that this one no longer has, are known by the manifest on-line."""
    newer = {path: data for path, data in host.files.items() if path != f"{key_of(0)}/card-0.pdf"}
    newer[f"{key_of(1)}/index.html"] = b"<h1>new</h1>"
    host.shop.write(newer, frozenset({key_of(4)}))
    found, rules = host.asked(sample=0)
    assert found.same is False
    assert host.number(1) in rules["older"].what
    assert "'card-0.pdf' of passport" in rules["still-there"].what
    host.upload()
    assert host.asked()[0].same is True


SET_UP = [
    ("listed", (r"charset utf-8;", "charset utf-8; autoindex on;"), True),
    ("headers", (r"add_header Referrer-Policy[^;]*;", ""), False),
    ("searchable", (r"add_header X-Robots-Tag[^;]*;", ""), False),
    ("no-404", (r"error_page 404 /404.html;", "error_page 404 =200 /404.html;"), False),
    ("wrong-kind", (r"include /etc/nginx/mime.types;", "") , True),
    ("leads-elsewhere", (r"charset utf-8;", "location ~ [.]pdf$ { return 302 /elsewhere; }"), True),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "spoil", "wrong"), SET_UP)
def test_how_the_host_serves_is_told(host, rule, spoil, wrong):
    """Lists of folders, headers, answers to what is not there, kinds of files, visitors sent elsewhere."""
    if rule == "wrong-kind":
        spoil = (r"charset utf-8;", "charset utf-8; location ~ [.]html$ { types {} default_type text/plain; }")
    _, rules = host.asked((spoil,))
    assert rules[rule].wrong is wrong
    assert rules[rule].do


def _cards_given_out(host, base):
    """Have the ledger say that two cards lead to another address."""
    lines = tuple(LedgerLine(ledger.ISSUED, key_of(at), "frame", host.number(at), base) for at in (0, 1))
    ledger_file.append(host.shop.content, lines, datetime.now(UTC).date())


def test_cards_of_an_earlier_address_lead_here_or_it_is_told(host):
    """An old address that leads on is well; one that does not, or does not answer, leaves people before nothing."""
    _cards_given_out(host, f"https://localhost:{host.port}/old")
    leads = (
        r"charset utf-8;",
        rf"charset utf-8; location ~ ^/old/(.*) {{ return 301 https://localhost:{host.port}/$1; }}",
    )
    assert "old-address" not in host.asked((leads,))[1]
    rules = host.asked()[1]
    assert host.number(0) in rules["old-address"].what or host.number(1) in rules["old-address"].what


def test_it_says_since_when(host, monkeypatch):
    """A finding keeps the day on which it was first met, until it is gone."""
    shutil.rmtree(host.web / key_of(1))
    first = host.asked()[0]
    monkeypatch.setattr("passport.acts.publishing.verify.today", lambda: datetime.now(UTC).date() + timedelta(days=1))
    again = {one.finding.rule: one.since for one in host.asked()[0].found}
    assert again["missing"] == next(one.since for one in first.found if one.finding.rule == "missing")


def test_a_clock_that_was_ahead_leaves_no_day_that_is_to_come(host, monkeypatch):
    """What was first met while the clock was a day ahead is dated no later than today once it is right again."""
    shutil.rmtree(host.web / key_of(1))
    day = datetime.now(UTC).date()
    monkeypatch.setattr("passport.acts.publishing.verify.today", lambda: day + timedelta(days=1))
    host.asked()
    monkeypatch.setattr("passport.acts.publishing.verify.today", lambda: day)
    assert {one.since for one in host.asked()[0].found} == {day}


def _ask(address, seconds=5):
    """The home page of an address."""
    with Web(address, seconds) as web:
        return web.ask("")


def test_a_host_that_is_not_there_says_why(host):
    """Nobody listens, the name is unknown, the certificate is not trusted, the answer never comes."""
    at = f"https://localhost:{free_port()}"
    with pytest.raises(Silent, match="does not answer"):
        _ask(at)
    with pytest.raises(Silent, match="not found"):
        _ask("https://nobody.invalid")
    with (
        nginx(host.root / "nginx", host.shop.content, host.web, host.port),
        pytest.raises(Silent, match="not to be trusted"),
    ):
        _ask(f"https://localhost:{host.port}")
    with socket.create_server(("127.0.0.1", 0)) as mute, pytest.raises(Silent, match="did not answer within 1 s"):
        _ask(f"http://127.0.0.1:{mute.getsockname()[1]}", 1)
    found = verify(host.shop.content, host.shop.site, 5, web_at=lambda address: Web(address, 1))
    assert [one.finding.rule for one in found.found] == ["silent"]


def test_without_a_site_here_the_one_on_line_is_held_against_its_own_manifest(host):
    """Content on another computer: what is served must be what the manifest there says."""
    (host.web / key_of(1) / "card-1.pdf").write_bytes(b"%PDF")
    shutil.rmtree(host.shop.site)
    found, rules = host.asked()
    assert found.same is None
    assert "changed" in rules
