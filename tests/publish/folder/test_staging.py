"""The spare of a large site: what is linked into it, and that none of it is believed by its path alone."""

import shutil
import stat

import pytest

from passport.publish.folder import staging
from passport.publish.folder.listing import listing
from passport.publish.folder.staging import working
from passport.publish.folder.swap import MARK

FIRST = {"index.html": "home", "a/index.html": "a", "b/index.html": "b", "c": "file"}


@pytest.fixture
def site(tmp_path, monkeypatch):
    """A site of four files that counts as a large one."""
    monkeypatch.setattr(staging, "LARGE", 2)
    target = tmp_path / "site"
    publish(target, {}, FIRST)
    return target


def publish(target, kept, made):
    """A build that keeps some files of the site and makes others."""
    with working(target, "test") as bench:
        for name, text in made.items():
            bench.stage(name, text.encode())
        bench.publish({path: mark for path, mark in listing(target).items() if path[-1] != "/"}, kept, made)


def texts(folder):
    """The text of each file below a folder but for its mark."""
    files = (p for p in folder.rglob("*") if p.is_file() and p.name != MARK)
    return {p.relative_to(folder).as_posix(): p.read_text() for p in files}


def spare_of(target):
    """The folder that the next build fills."""
    with working(target, "test") as bench:
        return bench.spare


def numbers(folder):
    """The number of each file below a folder, its mark left out."""
    return {
        p.relative_to(folder).as_posix(): p.stat().st_ino for p in folder.rglob("*") if p.is_file() and p.name != MARK
    }


def test_the_spare_is_the_site_by_links_and_its_owners_alone(site):
    """Each file of it is the site's own, none a copy, and nobody else may look into it."""
    assert texts(site) == FIRST
    assert numbers(spare_of(site)) == numbers(site)
    assert stat.S_IMODE(spare_of(site).stat().st_mode) == 0o700


def test_it_follows_what_changed(site):
    """A page that is new, one that is another and one that is gone: the site is right each time, and so is the spare."""
    publish(site, ["index.html", "c"], {"a/index.html": "A", "d/index.html": "d"})
    wanted = {"index.html": "home", "c": "file", "a/index.html": "A", "d/index.html": "d"}
    assert texts(site) == texts(spare_of(site)) == wanted
    assert numbers(spare_of(site)) == numbers(site)
    assert not (site / "b").exists()
    assert not (spare_of(site) / "b").exists()
    publish(site, [*wanted], {})
    assert texts(site) == wanted


def test_a_spare_that_was_taken_away_is_made_whole_again(site):
    """After it is gone the next build leaves one of all files, not of those alone that it made."""
    shutil.rmtree(spare_of(site))
    publish(site, ["index.html", "b/index.html", "c"], {"a/index.html": "A"})
    assert numbers(spare_of(site)) == numbers(site)
    assert texts(site) == FIRST | {"a/index.html": "A"}


def test_a_file_of_the_spare_is_not_believed_by_its_path(site):
    """What stands there under the right name with another content or number never comes on to the site."""
    spare = spare_of(site)
    for name in FIRST:
        (spare / name).unlink()
        (spare / name).write_text("planted")
    (spare / "more.html").write_text("planted")
    publish(site, [*FIRST], {})
    assert texts(site) == FIRST
    assert texts(spare_of(site)) == FIRST


def test_a_file_gives_way_to_a_folder_and_a_folder_to_a_file(site):
    """Under the same name, in the site and in the spare."""
    publish(site, ["index.html"], {"c/index.html": "now a folder", "a": "now a file"})
    wanted = {"index.html": "home", "c/index.html": "now a folder", "a": "now a file"}
    assert texts(site) == wanted
    publish(site, ["index.html"], {"c": "a file", "a/index.html": "a folder"})
    assert texts(site) == {"index.html": "home", "c": "a file", "a/index.html": "a folder"}


def test_links_in_the_spare_lead_nowhere(site, tmp_path):
    """A link to a folder elsewhere that stands in a folder's place is taken away, and nothing is written through it."""
    outside = tmp_path / "outside"
    outside.mkdir()
    spare = spare_of(site)
    shutil.rmtree(spare / "a")
    (spare / "a").symlink_to(outside)
    publish(site, ["index.html", "b/index.html", "c"], {"a/index.html": "A"})
    assert texts(site) == FIRST | {"a/index.html": "A"}
    assert not (site / "a").is_symlink()
    assert list(outside.iterdir()) == []


def test_a_file_of_others_that_is_the_same_as_a_new_one_gives_way_to_it(site):
    """The new file stands on the site, not the old one under its name, whose marks no build remembers."""
    with working(site, "test") as bench:
        made = bench.stage("c", FIRST["c"].encode())
        own = {path: mark for path, mark in listing(site).items() if path[-1] != "/" and path != "c"}
        bench.publish(own, [*own], ["c"])
    assert (site / "c").stat().st_ino == made.st_ino
    assert texts(site) == FIRST
