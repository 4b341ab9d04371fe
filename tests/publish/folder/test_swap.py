"""The output folder: replaced whole or not at all, and never one that is not ours."""

import errno
import os
from pathlib import Path

import pytest

from passport.publish.folder import swap
from passport.publish.folder.swap import MARK, NotOurs, refuse_foreign, replacing


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
    with replacing(target) as folder:
        (folder / "index.html").write_text("first")
        (folder / "gone").mkdir()
        (folder / "gone/index.html").write_text("old page")
    return target


def rebuild(target: Path, text: str = "second") -> None:
    """A build of one page."""
    with replacing(target) as folder:
        (folder / "index.html").write_text(text)


def test_the_new_site_takes_the_place_of_the_old(site):
    """After a build the folder holds the new site only, marked as ours, readable by a web server."""
    rebuild(site)
    assert set(tree(site)) == {"index.html", MARK}
    assert (site / "index.html").read_text() == "second"
    assert site.stat().st_mode & 0o777 == 0o755
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
    with pytest.raises(type(error)), replacing(site) as folder:
        (folder / "index.html").write_text("half")
        raise error
    assert tree(site) == before
    assert names(site.parent) == ["site"]


def test_the_old_site_stands_until_the_new_one_is_whole(site):
    """While the new site is being written the old one is untouched."""
    before = tree(site)
    with replacing(site) as folder:
        (folder / "index.html").write_text("second")
        assert tree(site) == before
        assert folder.parent == site.parent, "only inside one file system can a folder be renamed"


@pytest.mark.parametrize("name", ["notes.txt", "index.html", ".git/config", ".hidden", "sub/deep/file"])
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


@pytest.mark.parametrize("names", [[], [".gitignore"], [".gitkeep", ".DS_Store"]])
def test_an_empty_folder_is_taken(tmp_path, names):
    """A folder that is empty but for the dot files that tools leave may be written to."""
    target = tmp_path / "site"
    target.mkdir()
    for name in names:
        (target / name).write_text("x")
    rebuild(target)
    assert set(tree(target)) == {"index.html", MARK, *names}


def test_gitignore_is_kept(site):
    """The .gitignore of the output folder survives every build, as it was."""
    (site / ".gitignore").write_text("*\n!.gitignore\n")
    for _ in range(2):
        rebuild(site)
        assert (site / ".gitignore").read_text() == "*\n!.gitignore\n"


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
        if self.name.endswith("-new"):
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


def test_what_a_killed_build_left_is_taken_away(site):
    """A half-built folder whose build was killed goes at the next build; one whose build still runs stays."""
    left = site.parent / ".site-abcd1234-new"
    (left / "deep").mkdir(parents=True)
    others = [site.parent / name for name in (".site-notes", ".sitemap-abcd1234-new", "site-abcd1234-new")]
    for other in others:
        other.mkdir()
    with replacing(site) as running:
        (running / "index.html").write_text("slow")
        assert not left.exists()
        rebuild(site, "quick")
        assert (running / "index.html").read_text() == "slow"
    assert (site / "index.html").read_text() == "slow"
    assert names(site.parent) == sorted(["site", *(other.name for other in others)])


def test_a_new_folder_that_another_build_cleared_away_is_made_again(site, monkeypatch):
    """In the moment before a new folder is locked another build may take it for a killed one's: another is made."""
    real, made = swap._lock, []

    def hurried(folder):
        made.append(folder)
        if len(made) == 1:
            folder.rmdir()
        return real(folder)

    monkeypatch.setattr(swap, "_lock", hurried)
    rebuild(site)
    assert len(set(made)) == 2
    assert (site / "index.html").read_text() == "second"
    assert names(site.parent) == ["site"]


def test_without_locks_only_old_leftovers_go(site, monkeypatch):
    """On a disk that knows no locks a folder of today may be another build's; one of last week is nobody's."""
    monkeypatch.setattr(swap, "_lock", lambda _: (None, None))
    fresh, old = site.parent / ".site-abcd1234-new", site.parent / ".site-abcd5678-new"
    for left in (fresh, old):
        left.mkdir()
    os.utime(old, (0, 0))
    rebuild(site)
    assert names(site.parent) == [fresh.name, "site"]


def test_an_old_site_that_was_put_aside_comes_back(site, monkeypatch):
    """Where two folders cannot be exchanged and a build was killed between the two steps, the next one puts it back."""
    before = tree(site)
    site.rename(site.parent / ".site-old-4242")
    with pytest.raises(RuntimeError), replacing(site):
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
