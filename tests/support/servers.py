"""Real servers to publish to, each on 127.0.0.1 for one test, and a wire that is cut after so many bytes."""

import getpass
import os
import shutil
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

SSHD = "/usr/sbin/sshd"
HERE = "127.0.0.1"


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as one:
        one.bind((HERE, 0))
        return int(one.getsockname()[1])


def answers(port: int, process: "subprocess.Popen[bytes]", seconds: float = 60.0) -> bool:
    """Whether a program comes to listen on its port; not where another one had taken that meanwhile."""
    until = time.monotonic() + seconds
    while time.monotonic() < until and process.poll() is None:
        with suppress(OSError), socket.create_connection((HERE, port), timeout=1):
            time.sleep(0.3)  # one that could not have the port has ended by then
            return process.poll() is None
        time.sleep(0.05)
    return False


@contextmanager
def listening(program: str, arguments: Callable[[int], list[str]], log: Path) -> Iterator[int]:
    """A program that listens on a port, which it is given; on another one where that was taken meanwhile."""
    for _ in range(5):
        port = free_port()
        with running([program, *arguments(port)], log) as process:
            if answers(port, process):
                yield port
                return
    raise AssertionError(log.read_text())


class Wire:
    """A port that passes bytes on to another one until ``left`` are used up; then it is cut, and stays cut."""

    def __init__(self, to: int) -> None:
        """Listen; nothing is counted until `allow`."""
        self._to, self.left, self.carried = to, 1 << 60, 0
        self._server = socket.create_server((HERE, 0))
        self.port = int(self._server.getsockname()[1])
        self._open: set[socket.socket] = set()
        self._guard = threading.Lock()
        threading.Thread(target=self._accept, daemon=True).start()

    def allow(self, count: int) -> None:
        """Carry so many bytes from now on."""
        with self._guard:
            self.left, self.carried = count, 0

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._server.accept()
            except OSError:
                return
            if self.left <= 0:
                near.close()
                continue
            try:
                far = socket.create_connection((HERE, self._to), timeout=5)
            except OSError:
                near.close()
                continue
            far.settimeout(None)
            self._open |= {near, far}
            for one, other in ((near, far), (far, near)):
                threading.Thread(target=self._pump, args=(one, other), daemon=True).start()

    def _pump(self, one: socket.socket, other: socket.socket) -> None:
        with suppress(OSError):
            while data := one.recv(16384):
                with self._guard:
                    part = data[: max(self.left, 0)]
                    self.left -= len(data)
                    self.carried += len(part)
                other.sendall(part)
                if self.left <= 0:
                    self.cut()
                    break
        for end in (one, other):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def cut(self) -> None:
        """End every connection."""
        for end in list(self._open):
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        """Listen no more."""
        self.cut()
        with suppress(OSError):
            self._server.shutdown(socket.SHUT_RDWR)  # wakes who waits for a connection; closing alone does not
        self._server.close()


@dataclass(frozen=True)
class Ssh:
    """An OpenSSH server: its port, the key that it lets in, its own fingerprint."""

    port: int
    key: Path
    fingerprint: str


@contextmanager
def running(command: list[str], log: Path, **more: object) -> Iterator[subprocess.Popen[bytes]]:
    """A program for the time of a block."""
    with log.open("wb") as out, subprocess.Popen(command, stdout=out, stderr=out, **more) as process:  # type: ignore[call-overload]
        try:
            yield process
        finally:
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()


@contextmanager
def sshd(work: Path) -> Iterator[Ssh]:
    """OpenSSH with SFTP and git, which lets this user in with a key of its own."""
    work.mkdir(parents=True, exist_ok=True)
    for name in ("host", "user"):
        subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", name, "-f", str(work / name)], check=True)
    shutil.copy(work / "user.pub", work / "authorized")
    (work / "config").write_text(
        f"ListenAddress {HERE}\nHostKey {work}/host\nPidFile {work}/pid\n"
        f"AuthorizedKeysFile {work}/authorized\nStrictModes no\nUsePAM no\nPasswordAuthentication no\n"
        "KbdInteractiveAuthentication no\nSubsystem sftp internal-sftp\nMaxStartups 50:50:100\n"
    )
    if os.getuid() == 0:  # Debian makes it when the system starts, which no container does
        Path("/run/sshd").mkdir(mode=0o755, exist_ok=True)
    told = subprocess.run(["ssh-keygen", "-lf", str(work / "host.pub")], check=True, capture_output=True, text=True)
    start = ["-D", "-e", "-f", str(work / "config"), "-p"]
    with listening(SSHD, lambda port: [*start, str(port)], work / "log") as port:
        yield Ssh(port, work / "user", told.stdout.split()[1])


def user() -> str:
    """The name of the user that these tests run as."""
    return getpass.getuser()


USER, PASSWORD = "bench", "correct horse"
_S3 = """
import os
import sys
from pathlib import Path
os.environ["MOTO_PORT"] = sys.argv[1]
from moto.moto_server.werkzeug_app import DomainDispatcherApplication, create_backend_app
from moto.server import MotoRequestHandler
from werkzeug.serving import run_simple
port, refused = sys.argv[1:]
refused = Path(refused)
storage = DomainDispatcherApplication(create_backend_app)
def app(asked, start):
    # What stands in the file 'refused' is what a page of a passport that goes up is answered with: a status and S3's
    # word for it.
    if asked["REQUEST_METHOD"] == "PUT" and asked["PATH_INFO"].startswith("/cards/K") and refused.exists():
        status, code = refused.read_text().split()
        asked["wsgi.input"].read(int(asked.get("CONTENT_LENGTH") or 0))
        start(f"{status} {code}", [("Content-Type", "application/xml")])
        return [f"<Error><Code>{code}</Code><Message>{code}</Message></Error>".encode()]
    return storage(asked, start)
run_simple("127.0.0.1", int(port), app, threaded=True, request_handler=MotoRequestHandler)
"""
_DAV = """
import sys
from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server
from wsgidav.wsgidav_app import WsgiDAVApp
port, root, cert, key = sys.argv[1:]
app = WsgiDAVApp({
    "provider_mapping": {"/": root}, "verbose": 1, "lock_storage": True, "property_manager": False,
    "simple_dc": {"user_mapping": {"*": {"bench": {"password": "correct horse"}}}},
})
server = Server(("127.0.0.1", int(port)), app, numthreads=8)
server.ssl_adapter = BuiltinSSLAdapter(cert, key)
server.start()
"""
_FTPS = """
import sys
from pathlib import Path
from pyftpdlib.authorizers import DummyAuthorizer
from pyftpdlib.handlers import TLS_DTPHandler, TLS_FTPHandler
from pyftpdlib.servers import FTPServer
port, root, both, left = sys.argv[1:]
left = Path(left)
class Data(TLS_DTPHandler):
    # What stands in the file 'left' is how many bytes of data go up before the connection for them is cut.
    def recv(self, size):
        got = super().recv(size)
        if left.exists() and got:
            rest = int(left.read_text()) - len(got)
            left.write_text(str(rest))
            if rest < 0:
                self.cmd_channel.close()
                self.close()
                return b""
        return got
class Commands(TLS_FTPHandler):
    certfile = both
    tls_control_required = tls_data_required = True
    dtp_handler = Data
    authorizer = DummyAuthorizer()
Commands.authorizer.add_user("bench", "correct horse", root, perm="elradfmwMT")
FTPServer(("127.0.0.1", int(port)), Commands).serve_forever()
"""


_GIT = """
import subprocess
import sys
from base64 import b64encode
from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server
port, root, cert, key = sys.argv[1:]
allowed = "Basic " + b64encode(b"bench:correct horse").decode()
def app(asked, start):
    if asked.get("HTTP_AUTHORIZATION") != allowed:
        start("401 Unauthorized", [("WWW-Authenticate", 'Basic realm="git"')])
        return [b""]
    told = {name: value for name, value in asked.items() if isinstance(value, str)}
    told |= {"GIT_PROJECT_ROOT": root, "GIT_HTTP_EXPORT_ALL": "1", "REMOTE_USER": "bench"}
    body = asked["wsgi.input"].read()
    told["CONTENT_LENGTH"] = str(len(body))
    done = subprocess.run(["git", "http-backend"], input=body, env=told, capture_output=True)
    head, _, rest = done.stdout.partition(b"\\r\\n\\r\\n")
    headers = dict(line.split(": ", 1) for line in head.decode().splitlines())
    start(headers.pop("Status", "200 OK"), list(headers.items()))
    return [rest]
server = Server(("127.0.0.1", int(port)), app, numthreads=8)
server.ssl_adapter = BuiltinSSLAdapter(cert, key)
server.start()
"""


def certificate(folder: Path) -> tuple[Path, Path, Path]:
    """A certificate for this computer, its key, and both in one file (openssl)."""
    folder.mkdir(parents=True, exist_ok=True)
    cert, key, both = folder / "cert.pem", folder / "key.pem", folder / "both.pem"
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    names = ["-subj", "/CN=localhost", "-addext", f"subjectAltName=DNS:localhost,IP:{HERE}"]
    subprocess.run([*make, *names, "-keyout", str(key), "-out", str(cert)], check=True, capture_output=True)
    both.write_bytes(cert.read_bytes() + key.read_bytes())
    return cert, key, both


@contextmanager
def s3(work: Path) -> Iterator[tuple[int, Path]]:
    """Storage that speaks S3, in memory (moto); its port, and the file that has it refuse passports."""
    refused = work / "refused"
    with _python(work, _S3, str(refused)) as port:
        yield port, refused


@contextmanager
def webdav(work: Path, root: Path) -> Iterator[tuple[int, Path]]:
    """A folder behind WebDAV and https (wsgidav); its port, and the certificate to trust."""
    cert, key, _ = certificate(work)
    with _python(work, _DAV, str(root), str(cert), str(key)) as port:
        yield port, cert


@contextmanager
def git_https(work: Path, root: Path) -> Iterator[tuple[int, Path]]:
    """The repositories below a folder behind git's own http-backend and https (cheroot); port and certificate."""
    cert, key, _ = certificate(work)
    with _python(work, _GIT, str(root), str(cert), str(key)) as port:
        yield port, cert


@contextmanager
def ftps(work: Path, root: Path) -> Iterator[tuple[int, Path, Path]]:
    """A folder behind FTP with TLS (pyftpdlib); its port, the certificate to trust, and the file that cuts."""
    cert, _, both = certificate(work)
    left = work / "left"
    with _python(work, _FTPS, str(root), str(both), str(left)) as port:
        yield port, cert, left


@contextmanager
def _python(work: Path, program: str, *arguments: str) -> Iterator[int]:
    work.mkdir(parents=True, exist_ok=True)
    with listening(sys.executable, lambda port: ["-c", program, str(port), *arguments], work / "log") as port:
        yield port
