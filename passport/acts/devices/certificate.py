"""A certificate of this computer's own, by which a paired device knows it and what passes between them is encrypted.

No authority signs it, since none knows a computer in a room: a person compares its fingerprint once, on both screens.
"""

import hashlib
import ipaddress
import socket
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from passport.acts.devices import kept

_FILE = "certificate.pem"
_LIVES = timedelta(days=820)
"""Telephones refuse certificates that are good for more than 825 days (Apple, "Requirements for trusted certificates", 2019)."""
_RENEWED = timedelta(days=30)
"""Before its end, so that it does not end in the middle of a day's work."""


@dataclass(frozen=True, slots=True)
class OwnCertificate:
    """The file that holds key and certificate, and the certificate's SHA-256 as browsers show it."""

    file: Path
    fingerprint: str

    @property
    def pairs(self) -> tuple[str, ...]:
        """The fingerprint two by two, as it is compared."""
        return tuple(self.fingerprint.split(":"))


def own_certificate(address: str) -> OwnCertificate:
    """The certificate of this computer; made where there is none, or it ends soon. Raises Refused.

    It stays the same where the computer's address changes: a device that was told to trust it once need not be again.
    """
    data = kept.read(_FILE)
    found = _good(data) if data else None
    if found is None:
        data, found = _made(address)
        kept.write(_FILE, data)
    digest = hashlib.sha256(found.public_bytes(serialization.Encoding.DER)).hexdigest().upper()
    return OwnCertificate(kept.folder() / _FILE, ":".join(digest[n : n + 2] for n in range(0, 64, 2)))


def _good(data: bytes) -> x509.Certificate | None:
    """The certificate of a file whose key goes with it and that is good for some time yet."""
    with suppress(ValueError, TypeError):
        key = serialization.load_pem_private_key(data, None)
        found = x509.load_pem_x509_certificate(data)
        if found.public_key() == key.public_key() and found.not_valid_after_utc - _now() > _RENEWED:
            return found
    return None


def _made(address: str) -> tuple[bytes, x509.Certificate]:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "The bench on this computer")])
    start = _now() - timedelta(days=1)  # the telephone's clock may be behind
    usage = x509.KeyUsage(True, False, False, False, False, False, False, False, False)
    found = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start)
        .not_valid_after(start + _LIVES)
        .add_extension(x509.SubjectAlternativeName(_names(address)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    plain = serialization.NoEncryption()  # the file is its owner's alone, and the program starts without a person
    pem = key.private_bytes(serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, plain)
    return pem + found.public_bytes(serialization.Encoding.PEM), found


def _names(address: str) -> list[x509.GeneralName]:
    names: list[x509.GeneralName] = []
    with suppress(ValueError):
        names.append(x509.IPAddress(ipaddress.ip_address(address)))
    host = socket.gethostname().partition(".")[0]
    if host.isascii() and host:
        names += [x509.DNSName(host), x509.DNSName(f"{host}.local")]
    return names or [x509.DNSName("bench.invalid")]


def _now() -> datetime:
    """The day by the computer's own clock: what a telephone compares with, whatever day the records are at."""
    return datetime.now(UTC)
