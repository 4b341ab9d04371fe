"""A mail handed to the shop's own server (RFC 5321, RFC 8314): encrypted on the way, the password in no file."""

import os
import smtplib
import ssl
from collections.abc import Callable
from datetime import datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime, formataddr, make_msgid
from importlib import import_module

from passport.acts.refused import Refused
from passport.records.language.worded import worded
from passport.records.schema.workshop import MailServer
from passport.render.notices.notice import NoticeText

PASSWORD = "PASSPORT_SMTP_PASSWORD"
"""The environment variable that holds the password, behind the server that it is for: ``smtp.shop.example:password``."""
_SERVICE = "racquet-passport"
"""Under which, with the server behind it, the system's keyring keeps it."""
_PORTS = {"starttls": 587, "tls": 465, "none": 25}
_HERE = ("localhost", "127.0.0.1", "::1")
_PATIENCE = 30.0
"""Seconds that a server may take for an answer."""


def mail(words: NoticeText, shop: str, sender: str, to: str, moment: datetime) -> EmailMessage:
    """A message as a mail of plain text."""
    made = EmailMessage(policy=SMTP)
    made["From"] = formataddr((shop, sender))
    made["To"] = to
    made["Subject"] = words.subject
    made["Date"] = format_datetime(moment)
    made["Message-ID"] = make_msgid(domain=sender.rpartition("@")[2])
    made["Auto-Submitted"] = "no"
    made.set_content(words.text)
    return made


def sender_of(server: MailServer, contact: str) -> str:
    """The address that mail comes from: the server's, or else the shop's own. Raises Refused where mail cannot be sent."""
    lacking = [name for name, value in (("server", server.server), ("sender", server.sender or contact)) if not value]
    if lacking:
        do = worded("Write 'mail: {server: smtp.shop.example, user: bench@shop.example}' in workshop.yaml.")
        raise Refused(worded("No mail can be sent: {lacking} not said. {do}", lacking=" and ".join(lacking), do=do))
    if server.security == "none" and server.server not in _HERE:
        do = worded("Write 'security: starttls' or 'tls': what goes unencrypted can be read on the way.")
        raise Refused(
            worded(
                "'{server}' is not this computer, and 'security: none' is for this computer alone. {do}",
                server=server.server,
                do=do,
            )
        )
    return server.sender or contact


def password_of(server: MailServer, ask: Callable[[str], str] | None) -> str:
    """The password: from the environment, the system's keyring where the package 'keyring' is installed, or a person.

    It is kept with the name of the server that it is for: records from somebody else may name another one, which gets
    nothing. Raises Refused where nothing knows it.
    """
    if not server.user:
        return ""
    found = _from_environment(server) or _from_keyring(server)
    if not found and ask:
        found = ask(worded("Password of {user} at {server} (not kept): ", user=server.user, server=server.server))
    if not found:
        ring = f"keyring set '{_SERVICE} {server.server}' {server.user}"
        do = worded(
            "Put '{server}:' and the password into the variable {password}, or into the keyring: {ring}",
            server=server.server,
            password=PASSWORD,
            ring=ring,
        )
        raise Refused(
            worded(
                "The password of {user} at {server} is not known. {do}", user=server.user, server=server.server, do=do
            )
        )
    return found


def _from_environment(server: MailServer) -> str:
    host, _, found = os.environ.get(PASSWORD, "").partition(":")
    if found and host.casefold() != server.server.casefold():
        do = worded("Nothing was sent. Look at 'mail' in workshop.yaml: is that your server?")
        raise Refused(
            worded(
                "The password in {password} is for '{host}', and the records name '{server}'. {do}",
                password=PASSWORD,
                host=host,
                server=server.server,
                do=do,
            )
        )
    return found


def sent(message: EmailMessage, server: MailServer, password: str) -> None:
    """Hand a mail over. Raises Refused where the server does not take it; then nothing was sent."""
    security = server.security or "starttls"
    port = server.port or _PORTS[security]
    try:
        with _connected(server.server, port, security) as connection:
            if server.user:
                connection.login(server.user, password)
            connection.send_message(message)
    except smtplib.SMTPAuthenticationError as error:
        raise Refused(
            worded(
                "'{server}' does not take the password of {user}: {said}",
                server=server.server,
                user=server.user,
                said=_said(error),
            )
        ) from None
    except smtplib.SMTPRecipientsRefused as error:
        code, said = next(iter(error.recipients.values()))
        raise Refused(
            worded(
                "'{server}' does not take mail to {message}: {code} {text}",
                server=server.server,
                message=message["To"],
                code=code,
                text=_text(said),
            )
        ) from None
    except smtplib.SMTPResponseException as error:
        raise Refused(
            worded("'{server}' did not take the mail: {said}", server=server.server, said=_said(error))
        ) from None
    except ssl.SSLError as error:
        raise Refused(
            worded("'{server}' cannot be trusted, so nothing was sent: {error}", server=server.server, error=error)
        ) from None
    except (smtplib.SMTPException, OSError) as error:
        raise Refused(
            worded(
                "The mail could not be handed to '{server}', port {port}: {error}",
                server=server.server,
                port=port,
                error=error,
            )
        ) from None


def _connected(host: str, port: int, security: str) -> smtplib.SMTP:
    if security == "tls":
        return smtplib.SMTP_SSL(host, port, timeout=_PATIENCE, context=ssl.create_default_context())
    connection = smtplib.SMTP(host, port, timeout=_PATIENCE)
    if security == "starttls":
        try:
            connection.starttls(context=ssl.create_default_context())
        except BaseException:
            connection.close()
            raise
    return connection


def _from_keyring(server: MailServer) -> str:
    try:
        keyring = import_module("keyring")
    except ImportError:
        return ""
    try:
        return str(keyring.get_password(f"{_SERVICE} {server.server}", server.user) or "")
    except Exception as error:  # each system's keyring has errors of its own
        raise Refused(
            worded("The keyring does not give the password of {user}: {error}", user=server.user, error=error)
        ) from None


def _said(error: smtplib.SMTPResponseException) -> str:
    return f"{error.smtp_code} {_text(error.smtp_error)}"


def _text(said: bytes | str) -> str:
    return said.decode("utf-8", "replace") if isinstance(said, bytes) else said
