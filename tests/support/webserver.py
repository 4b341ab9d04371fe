"""nginx with https on this computer, set up by the project's own example, and spoilt in ways that hosts are."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from servers import answers, certificate, free_port, running

from passport.acts.publishing.hosting import example

NGINX = "/usr/sbin/nginx"


@contextmanager
def nginx(
    work: Path, content: Path, root: Path, port: int = 0, spoil: tuple[tuple[str, str], ...] = ()
) -> Iterator[Path]:
    """Serve ``root`` at https://localhost:PORT while the block runs; gives the certificate that is to be trusted.

    ``spoil`` replaces parts of the set-up (regular expressions), as somebody does who writes it anew.
    """
    port = port or free_port()
    cert, key, _ = certificate(work)
    made = example(content, "nginx", str(root))
    for old, new in (
        (r"server \{\s*listen 80;.*?\n\}", ""),
        (r"listen 443 ssl http2", f"listen 127.0.0.1:{port} ssl"),
        (r"server_name \S+;", "server_name localhost;"),
        (r"ssl_certificate +\S+;", f"ssl_certificate {cert};"),
        (r"ssl_certificate_key +\S+;", f"ssl_certificate_key {key};"),
        *spoil,
    ):
        made, count = re.subn(old, new, made, flags=re.DOTALL)
        assert count, f"{old} is not in the example"
    with nginx_with(work, f"include /etc/nginx/mime.types;\n{made}", port):
        yield cert


@contextmanager
def nginx_with(work: Path, servers: str, port: int) -> Iterator[None]:
    """nginx with a set-up of servers, of which one listens on ``port``."""
    names = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    folders = "".join(f"{name}_temp_path {work}/{name};" for name in names)
    frame = f"pid {work}/pid; user root; error_log {work}/errors; events {{}}\n"
    (work / "nginx.conf").write_text(f"{frame}http {{ {folders}\n{servers}}}\n")
    with running([NGINX, "-c", str(work / "nginx.conf"), "-g", "daemon off;"], work / "log") as server:
        assert answers(port, server), (work / "log").read_text()
        yield
