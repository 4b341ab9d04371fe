"""Mail handed to a real server on this computer (aiosmtpd, an SMTP server of its own, RFC 5321)."""

import email.policy
import socket
import ssl
from datetime import UTC, datetime, timedelta
from email import message_from_bytes
from types import SimpleNamespace

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

from passport.acts.refused import Refused
from passport.acts.telling import post
from passport.acts.telling.post import PASSWORD, mail, password_of, sender_of, sent
from passport.records.schema.workshop import MailServer
from passport.render.notices.notice import NoticeText

WORDS = NoticeText(
    "Bench Nine: Ihr Schläger ist fertig", "Guten Tag Zoë,\n\nIhr Schläger ist fertig.\n.\nBench Nine", ""
)
MOMENT = datetime(2026, 11, 25, 10, 30, tzinfo=UTC)


class Inbox:
    """Keeps what the server was handed."""

    def __init__(self):
        self.envelopes = []

    async def handle_RCPT(self, server, session, envelope, address, options):
        """Take every address but one."""
        if address.startswith("nobody"):
            return "550 no such mailbox here"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        """Keep a mail."""
        self.envelopes.append(envelope)
        return "250 kept"


@pytest.fixture(scope="module")
def certificate(tmp_path_factory):
    """A certificate for localhost that nobody but this test trusts, with its key in one file."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "localhost")])
    made = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
        .serial_number(1).not_valid_before(datetime.now(UTC) - timedelta(days=1)).not_valid_after(datetime.now(UTC) + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .sign(key, hashes.SHA256())
    )  # fmt: skip
    path = tmp_path_factory.mktemp("tls") / "both.pem"
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    path.write_bytes(private + made.public_bytes(serialization.Encoding.PEM))
    return path


def login(server, session, envelope, mechanism, data):
    """Take one user with one password."""
    return AuthResult(success=(data.login, data.password) == (b"bench", b"hush"), handled=False)


@pytest.fixture
def served(certificate):
    """A server that asks for STARTTLS and a password."""
    inbox, context = Inbox(), ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate)

    class Secured(Controller):
        def factory(self):
            return SMTP(self.handler, hostname="localhost", tls_context=context, require_starttls=True,
                        authenticator=login, auth_required=True)  # fmt: skip

    with socket.socket() as free:
        free.bind(("localhost", 0))
        port = free.getsockname()[1]
    controller = Secured(inbox, hostname="localhost", port=port)
    controller.start()
    yield inbox, MailServer(server="localhost", port=port, user="bench", security="starttls")
    controller.stop()


def letter(to="zoe@ropewalk.example"):
    """A mail."""
    return mail(WORDS, "Bench Nine & Daughters", "bench@nine.example", to, MOMENT)


def test_a_mail_arrives_whole_and_encrypted(served, certificate, monkeypatch):
    """What the server got reads back letter for letter, a line with a dot alone too; it came by STARTTLS with a password."""
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
    inbox, server = served
    sent(letter(), server, "hush")
    envelope = inbox.envelopes[0]
    assert (envelope.mail_from, envelope.rcpt_tos) == ("bench@nine.example", ["zoe@ropewalk.example"])
    got = message_from_bytes(envelope.content, policy=email.policy.default)
    assert got["Subject"] == WORDS.subject
    assert got["From"].addresses[0].display_name == "Bench Nine & Daughters"
    assert got["Date"].datetime == MOMENT
    assert got["Message-ID"].endswith("@nine.example>")
    assert got.get_content().replace("\r\n", "\n").rstrip("\n") == WORDS.text


def test_a_server_that_cannot_be_trusted_gets_nothing(served):
    """A certificate that nobody vouches for ends it before the password or a word of the mail is said."""
    inbox, server = served
    with pytest.raises(Refused, match="cannot be trusted, so nothing was sent"):
        sent(letter(), server, "hush")
    assert inbox.envelopes == []


def test_a_refusal_is_told(served, certificate, monkeypatch):
    """A wrong password, an address that the server does not take, a server that is not there."""
    monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
    inbox, server = served
    with pytest.raises(Refused, match="does not take the password of bench: 535"):
        sent(letter(), server, "loud")
    with pytest.raises(Refused, match=r"does not take mail to nobody@ropewalk\.example: 550 no such mailbox here"):
        sent(letter("nobody@ropewalk.example"), server, "hush")
    with pytest.raises(Refused, match="could not be handed to 'localhost', port 1"):
        sent(letter(), server.model_copy(update={"port": 1}), "hush")
    assert inbox.envelopes == []


def test_a_server_without_encryption_is_this_computer_alone():
    """Nothing goes unencrypted over a network, and nothing without a sender."""
    with pytest.raises(Refused, match="is not this computer"):
        sender_of(MailServer(server="smtp.nine.example", security="none"), "bench@nine.example")
    assert sender_of(MailServer(server="localhost", security="none"), "bench@nine.example") == "bench@nine.example"
    with pytest.raises(Refused, match="server and sender not said"):
        sender_of(MailServer(), "")


def test_the_password_stands_in_no_file(monkeypatch):
    """It comes from the environment, from the keyring, or from a person; a record has no field for it."""
    server = MailServer(server="localhost", user="bench")
    monkeypatch.setattr(post, "_from_keyring", lambda _: "")
    monkeypatch.delenv(PASSWORD, raising=False)
    with pytest.raises(Refused, match="password of bench at localhost is not known"):
        password_of(server, None)
    assert password_of(server, lambda question: "typed" if "not kept" in question else "") == "typed"
    monkeypatch.setattr(post, "_from_keyring", lambda _: "from the keyring")
    assert password_of(server, None) == "from the keyring"
    monkeypatch.setenv(PASSWORD, "localhost:hush:hush")
    assert password_of(server, None) == "hush:hush"
    assert not [name for name in MailServer.model_fields if "pass" in name]


def test_another_server_does_not_get_the_password(monkeypatch):
    """C0: records from somebody else may name a server of theirs; a password that was kept for another one is not said."""
    theirs = MailServer(server="smtp.elsewhere.example", user="bench")
    monkeypatch.setenv(PASSWORD, "smtp.nine.example:hush")
    with pytest.raises(Refused, match=r"is for 'smtp\.nine\.example', and the records name 'smtp\.elsewhere\.example'"):
        password_of(theirs, lambda _: "typed")
    monkeypatch.delenv(PASSWORD)
    kept = {("racquet-passport smtp.nine.example", "bench"): "hush"}
    ring = SimpleNamespace(get_password=lambda service, user: kept.get((service, user)))
    monkeypatch.setattr(post, "import_module", lambda name: ring)
    with pytest.raises(Refused, match="is not known"):
        password_of(theirs, None)
    assert password_of(MailServer(server="smtp.nine.example", user="bench"), None) == "hush"
