"""Publishing cut at random, with real servers: ``.venv/bin/python tests/support/uploads.py 40``.

For each protocol a site is published, changed and published again, and the wire is cut after a random number of bytes.
Then nothing half may be served, the order of the run must hold, and the next run has to complete it. The exit code is 1
where something of that failed. Names of protocols behind the number try those alone.
"""

import io
import os
import random
import shutil
import subprocess
import sys
import tarfile
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "support")]

import servers  # noqa: E402
from onlineshop import OURS, Online, files_of, key_of, online, served, wrong  # noqa: E402
from unprivileged import obey_rights  # noqa: E402

from passport.acts.publishing.publish import Wish, publish  # noqa: E402
from passport.acts.refused import Refused  # noqa: E402
from passport.publish.remote import lease  # noqa: E402
from passport.publish.remote.far import PART  # noqa: E402

Files = dict[str, bytes]
ALL = 1 << 60
SETTLED = 0.3
"""Seconds in which a server that lost its client ends what it was doing."""


@dataclass
class Host:
    """A place to publish to: how it is written down, what it serves now, and how it is cut."""

    to: str
    seen: Callable[[], Files]
    allow: Callable[[int], None]
    carried: Callable[[], int]
    more: dict[str, str] = field(default_factory=dict)
    whole: bool = False
    """Whether all of a site changes at once."""
    refused: Path = Path()
    """The file in which stands what storage answers to a passport that goes up."""


@dataclass
class Counts:
    """What was seen."""

    cuts: int = 0
    finished: int = 0
    resumed: int = 0
    failed: list[str] = field(default_factory=list)


class Quiet:
    """Counts what is sent, and says nothing."""

    def __init__(self) -> None:
        """Nothing yet."""
        self.files = 0

    def say(self, words: str) -> None:
        """Nobody listens."""

    def sending(self, files: int, size: int) -> "nullcontext[Callable[[int, int], None]]":
        """Count."""
        return nullcontext(self._told)

    def _told(self, files: int, size: int) -> None:
        self.files = files


@contextmanager
def sftp(work: Path) -> Iterator[Host]:
    """OpenSSH."""
    far = _folder(work)
    with servers.sshd(work / "server") as ssh, _wire(ssh.port) as wire:
        more = {"key": str(ssh.key), "fingerprint": ssh.fingerprint}
        to = f"sftp://{servers.user()}@{servers.HERE}:{wire.port}{far}"
        yield Host(to, lambda: served(far), wire.allow, lambda: wire.carried, more)


@contextmanager
def git(work: Path) -> Iterator[Host]:
    """A bare repository behind OpenSSH."""
    repository = _repository(work)
    with servers.sshd(work / "server") as ssh, _wire(ssh.port) as wire:
        options = "-o BatchMode=yes -o StrictHostKeyChecking=no -o UserKnownHostsFile=/dev/null"
        os.environ["GIT_SSH_COMMAND"] = f"ssh {options} -o IdentitiesOnly=yes -i {ssh.key}"
        to = f"git+ssh://{servers.user()}@{servers.HERE}:{wire.port}{repository}"
        yield Host(to, lambda: _of_branch(repository), wire.allow, lambda: wire.carried, whole=True)


@contextmanager
def git_https(work: Path) -> Iterator[Host]:
    """A bare repository behind git's http-backend and https, with a password."""
    repository = _repository(work)
    with servers.git_https(work / "server", repository.parent) as (port, cert), _wire(port) as wire:
        os.environ["GIT_SSL_CAINFO"] = str(cert)
        to = f"git+https://{servers.USER}@{servers.HERE}:{wire.port}/{repository.name}"
        yield Host(to, lambda: _of_branch(repository), wire.allow, lambda: wire.carried, whole=True)


def _repository(work: Path) -> Path:
    repository = _folder(work) / "cards.git"
    subprocess.run(["git", "init", "--quiet", "--bare", str(repository)], check=True)
    return repository


def _of_branch(repository: Path) -> Files:
    got = subprocess.run(["git", f"--git-dir={repository}", "archive", "pages"], capture_output=True, check=False)
    if got.returncode:
        return {}
    with tarfile.open(fileobj=io.BytesIO(got.stdout)) as tar:
        return {one.name: (tar.extractfile(one) or io.BytesIO()).read() for one in tar if one.isfile()}


@contextmanager
def s3(work: Path) -> Iterator[Host]:
    """Storage (moto)."""
    import boto3

    with servers.s3(work / "server") as (port, refused), _wire(port) as wire:
        asked = boto3.client(
            "s3",
            endpoint_url=f"http://{servers.HERE}:{port}",
            aws_access_key_id="x",
            aws_secret_access_key="x",
            region_name="us-east-1",
        )
        asked.create_bucket(Bucket="cards")

        def seen() -> Files:
            listed = asked.list_objects_v2(Bucket="cards").get("Contents", [])
            names = [one["Key"] for one in listed if "publishing-lock" not in one["Key"]]
            return {name: asked.get_object(Bucket="cards", Key=name)["Body"].read() for name in names}

        more = {"endpoint": f"http://{servers.HERE}:{wire.port}", "user": "BENCH", "region": "us-east-1"}
        yield Host("s3://cards", seen, wire.allow, lambda: wire.carried, more, refused=refused)


@contextmanager
def webdav(work: Path) -> Iterator[Host]:
    """WebDAV over https (wsgidav)."""
    far = _folder(work)
    with servers.webdav(work / "server", far) as (port, cert), _wire(port) as wire:
        os.environ["SSL_CERT_FILE"] = str(cert)
        to = f"davs://{servers.USER}@{servers.HERE}:{wire.port}/"
        yield Host(to, lambda: served(far), wire.allow, lambda: wire.carried)


@contextmanager
def ftps(work: Path) -> Iterator[Host]:
    """FTP with TLS (pyftpdlib): by turns commands and data are cut."""
    far = _folder(work)
    with servers.ftps(work / "server", far) as (port, cert, left), _wire(port) as wire:
        os.environ["SSL_CERT_FILE"] = str(cert)
        turn = [0, 0]

        def allow(count: int) -> None:
            turn[0] += count != ALL
            wire.allow(count if turn[0] % 2 or count == ALL else ALL)
            left.write_text(str(ALL if turn[0] % 2 or count == ALL else count * 20))

        to = f"ftps://{servers.USER}@{servers.HERE}:{wire.port}/"
        yield Host(to, lambda: served(far), allow, lambda: wire.carried)


PROTOCOLS = {"sftp": sftp, "git": git, "git-https": git_https, "s3": s3, "webdav": webdav, "ftps": ftps}


def _folder(work: Path) -> Path:
    far = work / "far"
    far.mkdir(exist_ok=True)
    return far


@contextmanager
def _wire(port: int) -> Iterator[servers.Wire]:
    wire = servers.Wire(port)
    try:
        yield wire
    finally:
        wire.close()


def tried(name: str, times: int, seed: int, work: Path) -> Counts:
    """Cut a protocol's wire so many times."""
    drawn, counts = random.Random(f"{name} {seed}"), Counts()
    editions = [files_of(6), files_of(5, edition=1, other=2)]
    with PROTOCOLS[name](work) as host:
        shop = online(work / "shop", host.to, editions[0], **host.more)
        publish(shop.content, shop.site, Wish(), Quiet())
        host.allow(ALL)
        shop.write(editions[1])
        publish(shop.content, shop.site, Wish(delete=1), Quiet())
        most = host.carried()
        for turn in range(times):
            _once(host, shop, editions[turn % 2], drawn.randrange(most), counts)
    return counts


def _once(host: Host, shop: Online, new: Files, budget: int, counts: Counts) -> None:
    before = host.seen()
    shop.write(new)
    told = Quiet()
    host.allow(budget)
    try:
        publish(shop.content, shop.site, Wish(delete=1), told)
        counts.finished += 1
    except Refused:
        counts.cuts += 1
    time.sleep(SETTLED)
    seen = host.seen()
    said = wrong(before, new, seen)
    site = {path: data for path, data in seen.items() if path not in OURS}
    if host.whole and site not in (new, {path: data for path, data in before.items() if path not in OURS}):
        said.append("the branch is neither the old site nor the new one")
    host.allow(ALL)
    again = Quiet()
    try:
        publish(shop.content, shop.site, Wish(delete=1), again)
    except Refused as error:
        said.append(f"the next run did not complete it: {error}")
    counts.resumed += told.files > 0 and again.files < 9 and not host.whole
    after = host.seen()
    if after.pop("manifest.bin", b"") != (shop.site / "manifest.bin").read_bytes() or after != new:
        said.append(f"after the next run it differs: {sorted(after.keys() ^ new.keys())[:4]}")
    counts.failed += [f"cut after {budget} bytes: {one}" for one in said]


@dataclass(frozen=True)
class Fault:
    """Something that is wrong on the far side: what its folder stands on, and what is done to it during one run."""

    name: str
    ground: Callable[[Path], AbstractContextManager[None]]
    during: Callable[[Path, Host], AbstractContextManager[None]]


def refused(name: str, work: Path, fault: Fault) -> list[str]:
    """Let a server be refused its write in the middle of a run; what was said is printed, and what was wrong."""
    old, new = files_of(12), {**files_of(12, 2), "assets/large.jpg": random.Random(name).randbytes(400_000)}
    far = work / "far"
    far.mkdir()
    with fault.ground(far), PROTOCOLS[name](work) as host:
        shop = online(work / "shop", host.to, old, **host.more)
        publish(shop.content, shop.site, Wish(), Quiet())
        before = host.seen()
        shop.write(new)
        said = "nothing"
        with fault.during(far, host):
            try:
                publish(shop.content, shop.site, Wish(), Quiet())
            except Refused as error:
                said = str(error).partition("\n")[0]
            wrongs = wrong(before, new, host.seen()) + (["nothing was said"] if said == "nothing" else [])
        publish(shop.content, shop.site, Wish(), Quiet())
        after = {path: data for path, data in host.seen().items() if path not in OURS}
        wrongs += ["the next run did not complete it"] if after != new else []
    print(f"{name}: {fault.name}: {said} {len(wrongs)} wrong", *wrongs, sep="\n  ", flush=True)
    return wrongs


@contextmanager
def _small_disk(far: Path) -> Iterator[None]:
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(far)], check=True)
    try:
        yield
    finally:
        subprocess.run(["umount", "--lazy", str(far)], check=True)


@contextmanager
def _filled(far: Path, host: Host) -> Iterator[None]:
    """All but a little of the disk is taken."""
    room = shutil.disk_usage(far).free - 150_000
    (far / ".ballast").write_bytes(bytes(max(room, 0)))
    yield
    (far / ".ballast").unlink()


@contextmanager
def _closed(far: Path, host: Host) -> Iterator[None]:
    """A folder of the site, or the repository's branches, may not be written to."""
    shut = next(path for path in (far / "cards.git/refs/heads", far / key_of(6)) if path.is_dir())
    shut.chmod(0o555)
    yield
    shut.chmod(0o755)


@contextmanager
def _full_device(far: Path, host: Host) -> Iterator[None]:
    """Linux's ``/dev/full`` stands where a part is to go up."""
    full = far / f"{PART}-1"
    full.symlink_to("/dev/full")
    yield
    full.unlink(missing_ok=True)


def _answering(answer: str) -> Callable[[Path, Host], AbstractContextManager[None]]:
    @contextmanager
    def during(far: Path, host: Host) -> Iterator[None]:
        host.refused.write_text(answer)
        yield
        host.refused.unlink()

    return during


FULL = Fault("a full disk", _small_disk, _filled)
WITHOUT_MOUNT = Fault("a full disk (/dev/full)", lambda far: nullcontext(), _full_device)
FAULTS = (
    FULL,
    Fault("a part that may not be written to", lambda far: nullcontext(), _closed),
)
STORAGE_FAULTS = (
    Fault("no room (507)", lambda far: nullcontext(), _answering("507 InsufficientStorage")),
    Fault("a part that may not be written to", lambda far: nullcontext(), _answering("403 AccessDenied")),
)
"""What storage that keeps all in memory is made to answer."""


def _can_mount(work: Path) -> bool:
    tried = subprocess.run(["mount", "-t", "tmpfs", "tmpfs", str(work)], check=False, capture_output=True)
    return tried.returncode == 0 and subprocess.run(["umount", str(work)], check=False).returncode == 0


def main(arguments: list[str]) -> int:
    """Try all of it; 1 where something failed."""
    times = int(arguments[0]) if arguments else 40
    lease.PATIENCE = 0.5
    obey_rights()  # what may not be written is refused to the servers started here, whoever runs this
    os.environ["PASSPORT_PUBLISH_SECRET"] = f"{servers.HERE}:{servers.PASSWORD}"
    bad = 0
    for name in arguments[1:] or PROTOCOLS:
        with tempfile.TemporaryDirectory(prefix="uploads-") as work:
            counts = tried(name, times, 20, Path(work))
        print(
            f"{name}: {times} runs, {counts.cuts} cut, {counts.finished} finished all the same, "
            f"{counts.resumed} went on where they stopped, {len(counts.failed)} wrong",
            *counts.failed,
            sep="\n  ",
            flush=True,
        )
        bad += len(counts.failed)
        for one in STORAGE_FAULTS if name == "s3" else FAULTS:
            fault = one
            with tempfile.TemporaryDirectory(prefix="uploads-") as work:
                if fault is FULL and (times < 40 or not _can_mount(Path(work))):
                    if name.startswith("git"):
                        print(f"{name}: {fault.name}: tried in full only, by who may mount a small disk", flush=True)
                        continue
                    fault = WITHOUT_MOUNT
                bad += len(refused(name, Path(work), fault))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
