"""Tries the nginx example for real: ``.venv/bin/python tests/hosting.py`` (Debian: apt install nginx openssl).

Nothing of the example is changed but where it listens and where its files lie. The demo and a sealed frame are served
over https and opened in Chromium; the exit code is 1 where a header is missing or a page does not work.
"""

import shutil
import ssl
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import smallshop
from browsing import chromium
from building import built

from passport.acts.publishing import hosting

ROOT = Path(__file__).parents[2]
HTTP, HTTPS = 18080, 18443
SECRET = "7K2M9QX4C8VTRN5B3WJH6YDPZ1GSFA0E"
KEY = smallshop.KEYS["main"]
EVERYWHERE = {
    "Strict-Transport-Security": "max-age=31536000",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Permissions-Policy": "camera=()",
    "Content-Security-Policy": "frame-ancestors 'none'",
}


def example(work: Path, server: str = "nginx") -> str:
    """The set-up as ``passport hosting`` writes it for a workshop at the top of its host."""
    text = smallshop.FILES["workshop.yaml"].replace("cards.bench-nine.example/p", "cards.shop.example")
    content = smallshop.write(work / f"hosted-{server}", {"workshop.yaml": text})
    return hosting.example(content, server, "/srv/passports/site")


@contextmanager
def hosted(work: Path, site: Path) -> Iterator[None]:
    """The example running, with a certificate of its own making."""
    moved = example(work).replace("/etc/ssl/cards.shop.example", str(work)).replace("/srv/passports/site", str(site))
    moved = moved.replace("listen 80;", f"listen 127.0.0.1:{HTTP};").replace("listen 443", f"listen 127.0.0.1:{HTTPS}")
    names = ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    folders = "".join(f"{name}_temp_path {work};" for name in names)
    frame = f"pid {work}/pid; user root; error_log {work}/errors; events {{}}\n"
    (work / "nginx.conf").write_text(f"{frame}http {{ include /etc/nginx/mime.types; {folders}\n{moved}}}\n")
    make = ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    files = ["-subj", "/CN=cards.shop.example", "-keyout", work / "privkey.pem", "-out", work / "fullchain.pem"]
    subprocess.run([*make, *files], check=True, capture_output=True)
    said = subprocess.run(["nginx", "-t", "-c", work / "nginx.conf"], check=False, capture_output=True, text=True)
    print(said.stderr.strip())
    assert said.returncode == 0
    server = subprocess.Popen(["nginx", "-c", str(work / "nginx.conf"), "-g", "daemon off;"])
    try:
        time.sleep(1)
        yield
    finally:
        server.terminate()
        server.wait()


def asked(path: str, port: int = HTTPS) -> tuple[int, dict[str, str]]:
    """The answer to a request, redirects not followed: its status and headers."""

    class Stay(urllib.request.HTTPRedirectHandler):
        def redirect_request(self, *_: object) -> None:
            """A redirect is the answer itself."""

    trust = ssl.create_default_context()
    trust.check_hostname, trust.verify_mode = False, ssl.CERT_NONE
    opener = urllib.request.build_opener(Stay, urllib.request.HTTPSHandler(context=trust))
    scheme = "https" if port == HTTPS else "http"
    request = urllib.request.Request(f"{scheme}://127.0.0.1:{port}{path}", headers={"Host": "cards.shop.example"})
    try:
        with opener.open(request) as answer:
            return answer.status, dict(answer.headers)
    except urllib.error.HTTPError as error:
        return error.code, dict(error.headers)


def requests(site: Path) -> Iterator[str]:
    """What is wrong with the answers to each kind of file."""
    calendar = next((p.relative_to(site).as_posix() for p in site.rglob("*.ics")), "")
    data = next(p.relative_to(site).as_posix() for p in site.rglob("setup-*.json"))
    cases = {
        "/": (200, "text/html", "", "private, no-cache"),
        f"/{KEY}/": (200, "text/html", "noindex", "private, no-cache"),
        f"/{data}": (200, "application/json", "noindex", "private, no-cache"),
        f"/{calendar}": (200, "text/calendar", "noindex", "private, no-cache"),
        "/assets/seal.js": (200, "application/javascript", "", "private, no-cache"),
        f"/fonts/{next((site / 'fonts').glob('*.woff2')).name}": (200, "font/woff2", "", "max-age=2592000"),
        "/none": (404, "text/html", "", "private, no-cache"),
        "/.racquet-passport": (404, "text/html", "", ""),
    }
    for path, (status, kind, robots, cache) in cases.items():
        code, headers = asked(path)
        told = {**EVERYWHERE, "Content-Type": kind, "Cache-Control": cache, "X-Robots-Tag": robots}
        wrong = [f"{name}: {headers.get(name)}" for name, part in told.items() if part not in headers.get(name, "")]
        wrong += [f"status {code}"] if code != status else []
        wrong += ["X-Robots-Tag on a public page"] if not robots and "X-Robots-Tag" in headers else []
        yield from (f"{path}: {what}" for what in wrong)
    code, headers = asked(f"/{KEY}/", HTTP)
    if (code, headers.get("Location")) != (301, f"https://cards.shop.example/{KEY}/"):
        yield f"plain http: {code} {headers.get('Location')}"


def pages(folders: list[str]) -> Iterator[str]:
    """What goes wrong in the browser on the usual pages and on the sealed one."""
    with chromium() as browser:
        context = browser.new_context(ignore_https_errors=True)
        page = context.new_page()
        wrong: list[str] = []
        page.on("console", lambda m: wrong.append(f"{page.url}: {m.text}") if m.type == "error" else None)
        page.on("response", lambda r: wrong.append(f"{r.url}: {r.status}") if r.status >= 400 else None)
        for folder in folders:
            page.goto(f"https://127.0.0.1:{HTTPS}/{folder}")
            page.wait_for_load_state()
        page.goto(f"https://127.0.0.1:{HTTPS}/{KEY}/#{SECRET}")
        page.wait_for_selector("[data-seal]", state="detached", timeout=10_000)
        if "Main" not in page.locator("h1").inner_text() and "Main" not in page.title():
            wrong.append(f"the sealed page did not open: {page.title()}")
        page.goto("about:blank")
        context.close()
        yield from wrong


def main() -> int:
    """Build, serve, ask, open; 1 where something is wrong."""
    if not shutil.which("nginx"):
        print("nginx is not installed (Debian: apt install nginx openssl).")
        return 1
    with tempfile.TemporaryDirectory(prefix="hosting-") as name:
        work = Path(name)
        changes = {
            "players/ada/main.yaml": smallshop.FILES["players/ada/main.yaml"] + f"sealed: yes\nsecret: {SECRET}\n"
        }
        built(smallshop.write(work / "content", changes), work / "site")
        work.chmod(0o755)
        folders = [
            p.parent.relative_to(work / "site").as_posix() + "/" for p in sorted((work / "site").rglob("index.html"))
        ]
        with hosted(work, work / "site"):
            wrong = [*requests(work / "site"), *pages(["" if f == "./" else f for f in folders])]
    print(*wrong, sep="\n")
    print(
        f"hosting: {len(folders)} pages and a sealed one opened over https behind the example's headers, {len(wrong)} wrong"
    )
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
