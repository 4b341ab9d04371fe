"""The output folder: replaced whole or not at all, and never one that is not ours."""

import ctypes
import errno
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import calamities
import pytest

from passport.publish.folder import staging, swap
from passport.publish.folder.foreign import MARK, InTheWay, foreign
from passport.publish.folder.listing import listing
from passport.publish.folder.staging import working
from passport.publish.folder.swap import NotOurs, refuse_foreign
from passport.records.transaction import atomic, lock


def tree(folder: Path) -> dict[str, bytes]:
    """All files below a folder with their content."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def names(folder: Path) -> list[str]:
    """What stands in a folder, hidden files too."""
    return sorted(path.name for path in folder.iterdir())


@pytest.fixture
def site(tmp_path):
    """A site that a first build made."""
    target = tmp_path / "site"
    rebuild(target, {"index.html": "first", "care/gone.html": "old page"})
    return target


def rebuild(target: Path, pages: dict[str, str] | None = None) -> None:
    """A build of one page, or of others, all of them new."""
    pages = pages or {"index.html": "second"}
    with working(target, "test") as bench:
        for name, text in pages.items():
            bench.stage(name, text.encode())
        ours = listing(target)
        bench.publish({path: ours[path] for path in ours.keys() - foreign(ours, None)}, (), pages)


def test_the_new_site_takes_the_place_of_the_old(site):
    """After a build the folder holds the new site only, marked as ours, readable by a web server."""
    rebuild(site)
    assert set(tree(site)) == {"index.html", MARK}
    assert (site / "index.html").read_text() == "second"
    (site.parent / "plain").mkdir()  # whatever the umask here leaves to others
    assert site.stat().st_mode & 0o777 == (site.parent / "plain").stat().st_mode & 0o777
    (site.parent / "plain").rmdir()
    assert names(site.parent) == ["site"]


def test_missing_folders_above_are_made(tmp_path):
    """A site may be written to a folder that does not exist yet, at any depth."""
    rebuild(tmp_path / "a/b/site")
    assert (tmp_path / "a/b/site/index.html").is_file()


@pytest.mark.parametrize(
    "error", [RuntimeError("in the middle"), OSError(28, "full"), KeyboardInterrupt(), SystemExit(1)]
)
def test_an_error_in_the_middle_keeps_the_old_site(site, error):
    """After any error or interruption the old site stands as it was and nothing is left beside it."""
    before = tree(site)
    with pytest.raises(type(error)), working(site, "test") as bench:
        bench.stage("index.html", b"half")
        raise error
    assert tree(site) == before
    assert names(site.parent) == ["site"]


def test_the_old_site_stands_until_the_new_one_is_whole(site):
    """While the new site is being written the old one is untouched."""
    before = tree(site)
    with working(site, "test") as bench:
        bench.stage("index.html", b"second")
        assert tree(site) == before
        assert bench.folder.parent == site.parent, "only inside one file system can a folder be renamed"


@pytest.mark.parametrize("name", ["notes.txt", "index.html", ".hidden", "sub/deep/file"])
def test_a_foreign_folder_is_refused(tmp_path, name):
    """A folder with anything in it that this program did not make is left as it is."""
    target = tmp_path / "site"
    path = target / name
    path.parent.mkdir(parents=True)
    path.write_text("mine")
    with pytest.raises(NotOurs, match=r"did not make: " + name.split("/")[0].replace(".", r"\.")):
        rebuild(target)
    assert tree(target) == {name: b"mine"}
    assert names(tmp_path) == ["site"]


def test_a_file_or_a_link_is_refused(tmp_path, site):
    """A file, a link to a folder and a link to nothing are not an output folder, even where the folder is ours."""
    file = tmp_path / "file"
    file.write_text("mine")
    link, dangling = tmp_path / "link", tmp_path / "dangling"
    link.symlink_to(site)
    dangling.symlink_to(tmp_path / "nowhere")
    before = tree(site)
    for target in (file, link, dangling):
        with pytest.raises(NotOurs, match="not a folder of its own"):
            rebuild(target)
    assert file.read_text() == "mine"
    assert link.is_symlink()
    assert tree(site) == before


@pytest.mark.parametrize("names", [[], [".gitignore"], [".gitkeep", ".DS_Store"], ["CNAME", ".nojekyll"]])
def test_an_empty_folder_is_taken(tmp_path, names):
    """A folder that is empty but for the dot files that tools leave may be written to."""
    target = tmp_path / "site"
    target.mkdir()
    for name in names:
        (target / name).write_text("x")
    rebuild(target)
    assert set(tree(target)) == {"index.html", MARK, *names}


THEIRS = {
    "CNAME": "cards.example\n",
    ".nojekyll": "",
    ".gitignore": "*\n!.gitignore\n",
    ".git/HEAD": "ref: refs/heads/pages\n",
    ".well-known/security.txt": "Contact: mailto:bench@shop.example\n",
    "verify-4711.html": "a host's proof",
    "imprint/index.html": "who we are",
}
"""What hosts, version control and a shop put into a site's folder."""


def put_theirs(site: Path) -> None:
    """Put other files, a link and an empty folder into a site's folder."""
    for path, text in THEIRS.items():
        (site / path).parent.mkdir(parents=True, exist_ok=True)
        (site / path).write_text(text, encoding="utf-8")
    (site / ".git/refs/tags").mkdir(parents=True)
    (site / ".git").chmod(0o700)
    (site / "latest").symlink_to("imprint")


def test_what_others_put_there_stays(site):
    """Files, links, empty folders and their rights that this program did not make survive builds, whole, as they were."""
    put_theirs(site)
    numbers = {path: (site / path).lstat().st_ino for path in (*THEIRS, "latest")}
    for text in ("second", "third"):
        rebuild(site, {"index.html": text})
        assert {path: (site / path).read_text(encoding="utf-8") for path in THEIRS} == THEIRS
        assert {path: (site / path).lstat().st_ino for path in numbers} == numbers, "the same files, not copies"
        assert (site / ".git/refs/tags").is_dir()
        assert (site / ".git").stat().st_mode & 0o777 == 0o700
        assert (site / "latest").is_symlink()
        assert (site / "index.html").read_text() == text
        assert not (site / "care").exists(), "what this program made and does not want any more goes"
    assert names(site.parent) == ["site"]


def test_a_fresh_checkout_is_taken(tmp_path):
    """A folder with nothing but version control's and a host's files may become a site."""
    target = tmp_path / "site"
    for name in (".git/HEAD", "CNAME", ".nojekyll"):
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        (target / name).write_text("x")
    rebuild(target)
    assert set(tree(target)) == {"index.html", MARK, ".git/HEAD", "CNAME", ".nojekyll"}


def test_nothing_stays_at_an_address(site):
    """At the address of a passport nothing stays but what the new site has there, whoever put it there."""
    key = "7M3X9QK2WP5HTR8VB4N6C0DZYA"
    rebuild(site, {"index.html": "x", f"{key}/index.html": "page"})
    (site / key / "notes.txt").write_text("a player's")
    (site / key / ".hidden").write_text("a player's")
    rebuild(site)
    assert not (site / key).exists()


@pytest.mark.parametrize("theirs", ["index.html", "assets", "care/page.html/deep"])
def test_what_stands_in_the_way_stops_a_build(site, theirs):
    """A foreign file where one of the site's own is to be, or a folder of them, stops the build with its path."""
    before = tree(site)
    with working(site, "test") as bench:
        for name in ("index.html", "assets/style.css", "care/page.html"):
            bench.stage(name, b"new")
        if theirs == "index.html":
            ours = {path: mark for path, mark in listing(site).items() if path != theirs}
        else:
            ours = listing(site)
            (site / theirs).parent.mkdir(parents=True, exist_ok=True)
            (site / theirs).write_text("mine")
            before[theirs] = b"mine"
        with pytest.raises(InTheWay) as stopped:
            bench.publish(ours, (), {"index.html", "assets/style.css", "care/page.html"})
    assert stopped.value.paths == (theirs,)
    assert tree(site) == before
    assert names(site.parent) == ["site"]


def test_the_swap_is_one_step(site, monkeypatch):
    """Where the system can exchange two folders there is no moment without a site."""
    seen = []
    real = swap._exchange

    def watched(one, other):
        before = (other / "index.html").read_text()
        done = real(one, other)
        seen.append((before, (other / "index.html").read_text(), done))
        return done

    monkeypatch.setattr(swap, "_exchange", watched)
    rename = []
    monkeypatch.setattr(Path, "rename", lambda *args: rename.append(args))
    rebuild(site)
    assert seen == [("first", "second", True)]
    assert not rename


def test_a_system_that_cannot_exchange(site, monkeypatch):
    """Where two folders cannot be exchanged the old one is put aside, and nothing of it stays."""
    monkeypatch.setattr(swap, "_exchange", lambda *_: False)
    rebuild(site)
    assert (site / "index.html").read_text() == "second"
    assert names(site.parent) == ["site"]


def test_the_old_site_comes_back_when_the_second_rename_fails(site, monkeypatch):
    """When the new folder cannot take its place the old one is put back."""
    before = tree(site)
    real = Path.rename

    def failing(self, target):
        if self.name == "spare":
            raise OSError(errno.EIO, "disk trouble")
        return real(self, target)

    monkeypatch.setattr(swap, "_exchange", lambda *_: False)
    monkeypatch.setattr(Path, "rename", failing)
    with pytest.raises(OSError, match="disk trouble"):
        rebuild(site)
    assert tree(site) == before
    assert names(site.parent) == ["site"]


def test_a_folder_that_cannot_be_renamed_is_copied(site, monkeypatch):
    """A folder from a container's image, which the system will not rename, is replaced all the same."""
    real = os.rename

    def other_device(source, target, **kwargs):
        if str(source) == str(site):
            raise OSError(errno.EXDEV, "Invalid cross-device link")
        return real(source, target, **kwargs)

    monkeypatch.setattr(swap, "_exchange", lambda *_: False)
    monkeypatch.setattr(os, "rename", other_device)
    rebuild(site)
    assert set(tree(site)) == {"index.html", MARK}
    assert names(site.parent) == ["site"]


def test_a_failing_exchange_keeps_the_old_site(site, monkeypatch):
    """An exchange that the system refuses for a reason of its own is an error, and the old site stands."""
    before = tree(site)

    def refused(one, other):
        raise OSError(errno.EACCES, "not allowed")

    monkeypatch.setattr(swap, "_exchange", refused)
    with pytest.raises(OSError, match="not allowed"):
        rebuild(site)
    assert tree(site) == before
    assert names(site.parent) == ["site"]


def answering(number: int):
    """A system whose exchange of two folders ends with an error of that number."""

    def exchange(*_: object) -> int:
        ctypes.set_errno(number)
        return -1 if number else 0

    return lambda *_, **__: SimpleNamespace(renameat2=exchange, renamex_np=exchange)


@pytest.mark.parametrize("number", [errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EXDEV])
def test_what_a_system_cannot_do_is_no_error(tmp_path, monkeypatch, number):
    """Disks and systems that know no exchange say so in one of four ways (renameat2(2)); so does one without the call."""
    monkeypatch.setattr(swap.ctypes, "CDLL", answering(number))
    assert not swap._exchange(tmp_path, tmp_path)
    monkeypatch.setattr(swap.ctypes, "CDLL", lambda *_, **__: SimpleNamespace())
    assert not swap._exchange(tmp_path, tmp_path)
    monkeypatch.setattr(swap.ctypes, "CDLL", answering(0))
    assert swap._exchange(tmp_path, tmp_path)


def test_folders_are_exchanged_by_paths_from_here_too(tmp_path, monkeypatch):
    """A site that is named without the folders above it is exchanged as any other."""
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    monkeypatch.chdir(tmp_path)
    if swap._exchange(Path("one"), Path("other")):
        assert (names(tmp_path / "one"), names(tmp_path / "other")) == (["other"], ["one"])
    else:
        assert (names(tmp_path / "one"), names(tmp_path / "other")) == (["one"], ["other"])


def test_another_error_of_an_exchange_is_one(tmp_path, monkeypatch):
    """It has the system's number and words, and the site's path."""
    monkeypatch.setattr(swap.ctypes, "CDLL", answering(errno.EACCES))
    with pytest.raises(PermissionError, match="denied") as caught:
        swap._exchange(tmp_path / "one", tmp_path / "other")
    assert caught.value.filename == str(tmp_path / "other")


def test_what_a_killed_build_left_is_taken_away(site):
    """What a killed build staged goes at the next build, and so does the half-built folder of an earlier version's."""
    for left in (".site-abcd1234-new/deep", ".site-bench/new/gone", ".site-bench/spare/gone"):
        (site.parent / left).mkdir(parents=True)
        (site.parent / left / "index.html").write_text("half")
    others = [site.parent / name for name in (".site-notes", ".sitemap-abcd1234-new", "site-abcd1234-new")]
    for other in others:
        other.mkdir()
    rebuild(site)
    assert set(tree(site)) == {"index.html", MARK}
    assert names(site.parent) == sorted(["site", *(other.name for other in others)])


def test_one_build_at_a_time(site):
    """While a build works at a site a second one waits, and says for whom."""
    with working(site, "passport build") as bench:
        bench.stage("index.html", b"slow")
        said = []
        with pytest.raises(lock.Busy, match="'passport build'"), working(site, "another", said.append, wait=0.1):
            pass
        assert "'passport build'" in said[0]
        bench.publish(listing(site), (), {"index.html"})
    assert (site / "index.html").read_text() == "slow"
    assert names(site.parent) == ["site"]


def test_a_bench_that_another_build_cleared_away_is_made_again(site, monkeypatch):
    """In the moment before a new bench is locked another build may take it away as its own: another is made."""
    real, made = lock.locked, []

    def hurried(folder, *given, **more):
        made.append(folder)
        if len(made) == 1:
            folder.rmdir()
        return real(folder, *given, **more)

    monkeypatch.setattr(lock, "locked", hurried)
    rebuild(site)
    assert len(made) == 2
    assert (site / "index.html").read_text() == "second"
    assert names(site.parent) == ["site"]


def test_an_old_site_that_was_put_aside_comes_back(site, monkeypatch):
    """Where two folders cannot be exchanged and a build was killed between the two steps, the next one puts it back."""
    before = tree(site)
    site.rename(site.parent / ".site-old-4242")
    with pytest.raises(RuntimeError), working(site, "test"):
        assert tree(site) == before
        raise RuntimeError
    assert tree(site) == before
    monkeypatch.setattr(swap, "_exchange", lambda *_: False)
    (site.parent / ".site-old-4343").mkdir()
    rebuild(site)
    assert names(site.parent) == ["site"]


@pytest.mark.parametrize("target", [".", "..", "../inside"])
def test_the_folder_one_stands_in_is_refused(tmp_path, monkeypatch, target):
    """The folder that the command runs in, or one above it, is not replaced under one's feet."""
    inside = tmp_path / "inside"
    inside.mkdir()
    monkeypatch.chdir(inside)
    with pytest.raises(NotOurs, match="you stand in"):
        rebuild(Path(target))
    assert names(tmp_path) == ["inside"]
    assert names(inside) == []


def test_asking_changes_nothing(tmp_path):
    """Whether a folder may be written to is asked without touching it."""
    refuse_foreign(tmp_path / "none")
    assert names(tmp_path) == []


def test_a_folder_that_cannot_be_exchanged_is_changed_file_by_file(site, monkeypatch):
    """What pages show comes first, the home page last of the new, what is not wanted any more after that; the folder and
    what others put there stay the same."""
    put_theirs(site)
    written: list[str] = []
    real = atomic.write

    def watched(path, data, mode=0o666):
        assert (site / "care/gone.html").is_file(), "nothing goes before everything new is there"
        written.append(path.relative_to(site).as_posix())
        real(path, data, mode)

    monkeypatch.setattr(staging, "is_held", lambda target: True)
    monkeypatch.setattr(atomic, "write", watched)
    number = site.stat().st_ino
    rebuild(site, {"index.html": "second", "care/new.html": "page", "assets/a.css": "x"})
    assert written == ["assets/a.css", "care/new.html", "index.html"]
    assert (site / "index.html").read_text() == "second"
    assert not (site / "care/gone.html").exists()
    assert {path: (site / path).read_text(encoding="utf-8") for path in THEIRS} == THEIRS
    assert site.stat().st_ino == number
    assert names(site.parent) == ["site"]


@pytest.mark.skipif(sys.platform != "linux", reason="a disk in memory is mounted with Linux's own command")
def test_a_mounted_disk_is_brought_up_to_date(tmp_path):
    """Where a disk of its own is mounted the new site is there, whole, with what others put there; tried on a real one."""
    target = tmp_path / "mounted"
    work = [sys.executable, "-c", _ON_A_DISK, str(target)]
    if os.getuid() == 0:
        with calamities.small_disk(target):
            done = subprocess.run(work, capture_output=True, text=True, check=False)
    else:
        target.mkdir()
        own = [
            "unshare",
            "--user",
            "--map-root-user",
            "--mount",
            "sh",
            "-c",
            'mount -t tmpfs none "$1"; shift; exec "$@"',
        ]
        done = subprocess.run([*own, "sh", str(target), *work], capture_output=True, text=True, check=False)
        if "unshare" in done.stderr or "mount:" in done.stderr:
            pytest.skip(f"this system lets nobody mount a disk: {done.stderr}")
    assert done.returncode == 0, done.stderr
    assert done.stdout.split() == ["True", "second", "x", "cards.example", "False", "True"]


_ON_A_DISK = """
import sys
from pathlib import Path
from passport.publish.folder.listing import listing
from passport.publish.folder.staging import working
from passport.publish.folder.swap import is_held
target = Path(sys.argv[1])
(target / "CNAME").write_text("cards.example")
for pages in ({"index.html": "first", "old/index.html": "gone"}, {"index.html": "second", "assets/a.css": "x"}):
    with working(target, "test") as bench:
        for name, text in pages.items():
            bench.stage(name, text.encode())
        ours = {path: mark for path, mark in listing(target).items() if path != "CNAME" and path[-1] != "/"}
        bench.publish(ours, (), pages)
print(is_held(target), (target / "index.html").read_text(), (target / "assets/a.css").read_text(),
      (target / "CNAME").read_text(), (target / "old").exists(), (target / ".racquet-passport").is_file())
"""
