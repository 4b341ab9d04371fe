"""Clocks that are off by a day, here or on the far side: what does not care about them, and what says so."""

import os
import socket
import ssl
import threading
import time
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from passport.publish.asked.web import Silent, Web
from passport.publish.remote.far import Trouble, troubled
from passport.publish.remote.folder import FolderFar
from passport.publish.remote.lease import FILE, Lease, NotAlone
from passport.publish.remote.s3 import S3Far, Storage
from passport.records.target import target_of

DAY = timedelta(days=1)


@pytest.mark.parametrize("off", [DAY, -DAY])
def test_the_lock_asks_no_clock(tmp_path, monkeypatch, off):
    """With a clock a day ahead or behind a lock that is held stays held, and one that is forsaken is taken over."""
    far, real = FolderFar(tmp_path), time.time
    holder = Lease(far, "holder", patience=0.4)
    holder.take(lambda words: None)
    os.utime(tmp_path / FILE, (real() - off.total_seconds(),) * 2)
    monkeypatch.setattr(time, "time", lambda: real() + off.total_seconds())
    done = threading.Event()

    def works():
        while not done.wait(0.1):
            holder.hold()

    working = threading.Thread(target=works)
    working.start()
    try:
        with pytest.raises(NotAlone):
            Lease(far, "other", patience=0.4).take(lambda words: None)
    finally:
        done.set()
        working.join()
    Lease(far, "other", patience=0.4).take(lambda words: None)
    with pytest.raises(NotAlone):
        holder.hold()


@contextmanager
def shown(folder, begins, ends):
    """A host that shows a certificate of its own for such a time; its port, and whom to trust."""
    key, now = ec.generate_private_key(ec.SECP256R1()), datetime.now(UTC)
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "localhost")])
    made = x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number(), now + begins, now + ends)
    made = made.add_extension(x509.SubjectAlternativeName([x509.DNSName("localhost")]), critical=False)
    pem = made.sign(key, hashes.SHA256()).public_bytes(serialization.Encoding.PEM)
    secret = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    (folder / "both.pem").write_bytes(pem + secret)
    asked = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    asked.load_cert_chain(folder / "both.pem")

    def answers(server):
        for _ in range(2):
            with server.accept()[0] as line, suppress(OSError):
                asked.wrap_socket(line, server_side=True).close()

    with socket.create_server(("127.0.0.1", 0)) as server:
        threading.Thread(target=answers, args=(server,), daemon=True).start()
        yield server.getsockname()[1], ssl.create_default_context(cadata=pem.decode())


@pytest.mark.parametrize(("begins", "ends"), [(DAY / 2, 2 * DAY), (-2 * DAY, -DAY / 2)])
def test_a_certificate_of_another_day_names_the_clock(tmp_path, begins, ends):
    """One that is not valid yet, or any more, may be right and the clock here wrong: both are said, with its day."""
    today = f"clock says {datetime.now().astimezone():%Y-%m-}"
    with shown(tmp_path, begins, ends) as (port, trust):
        with pytest.raises(Silent) as silent, Web(f"https://localhost:{port}", 5, trust) as web:
            web.ask("")
        with (
            pytest.raises(Trouble) as trouble,
            troubled("web.example", "Connecting"),
            socket.create_connection(("127.0.0.1", port), 5) as plain,
        ):
            trust.wrap_socket(plain, server_hostname="localhost")
    assert today in silent.value.do
    assert today in trouble.value.do
    assert "cannot prove that it is that host: certificate" in trouble.value.what


def test_storage_that_refuses_for_the_clock_names_it():
    """The answer RequestTimeTooSkewed (S3's documentation, list of error codes) is no question of rights."""
    from botocore.exceptions import ClientError
    from s3fs.errors import translate_boto_error

    said = {"Error": {"Code": "RequestTimeTooSkewed", "Message": "The difference is too large."}}
    far = S3Far(target_of("s3://cards"), Storage("https://s3.web.example", "x", "BENCH", "pw"))
    with pytest.raises(Trouble) as error, far._troubled("Reading"):
        raise translate_boto_error(ClientError(said, "PutObject"))
    assert "clocks here and at 's3://cards' are too far apart" in error.value.what
