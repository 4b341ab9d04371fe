"""``passport build``: nothing written with faults, nothing lost without Pango, nothing of others overwritten."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import smallshop
import unprivileged
from commandline import full_disk, passport, refused, tree

from passport.publish.folder.foreign import MARK

TYPO = {"players/bo/only.yaml": smallshop.FILES["players/bo/only.yaml"].replace("label:", "lable:")}


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def test_pages_are_built(content, tmp_path):
    """A build without cards writes the site and says how much of what, and where to look."""
    result = passport("build", content, "--out", tmp_path / "site", "--no-cards")
    assert (result.exit_code, result.stderr) == (0, "")
    assert "8 passports and 2 player pages, 0 cards" in result.stdout
    assert f"Look at it with: passport preview {content}" in result.stdout
    assert "in a browser" not in result.stdout
    assert (tmp_path / "site" / smallshop.KEYS["main"] / "index.html").is_file()
    assert not list((tmp_path / "site").rglob("*.pdf"))


def test_site_is_the_default_folder(content, tmp_path, monkeypatch):
    """Without --out the site goes to ``site`` where one stands."""
    monkeypatch.chdir(tmp_path)
    assert passport("build", "content", "--no-cards").exit_code == 0
    assert (tmp_path / "site/index.html").is_file()


def test_links_for_reading_from_disk(content, tmp_path):
    """``--from-disk`` names index.html in every link to a folder, and the file to open."""
    result = passport("build", content, "--out", tmp_path / "site", "--no-cards", "--from-disk")
    assert 'href="care/care/index.html"' in (tmp_path / "site/index.html").read_text(encoding="utf-8")
    assert f"Open {tmp_path / 'site/index.html'} in a browser." in result.stdout


def test_warnings_do_not_stop_a_build(tmp_path):
    """A warning is counted in one line that names the command which shows it, and the site is built."""
    changes = {"players/bo/only.yaml": smallshop.FILES["players/bo/only.yaml"].replace("50 lb", "60 lb")}
    result = passport("build", smallshop.write(tmp_path / "c", changes), "--out", tmp_path / "site", "--no-cards")
    assert result.exit_code == 0
    assert result.stderr == "1 warning: 'passport check' shows it.\n"
    assert (tmp_path / "site/index.html").is_file()


def test_with_faults_nothing_is_written(tmp_path):
    """One error anywhere stops the build before anything is written, and says so."""
    content = smallshop.write(tmp_path / "content", TYPO)
    refused(passport("build", content, "--out", tmp_path / "site"), "unknown-key", "Nothing was written: 1 error in")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["content"]


def test_with_faults_the_old_site_stands(content, tmp_path):
    """When an error slips into the records the site of the last build stays, byte for byte."""
    site = tmp_path / "site"
    passport("build", content, "--out", site, "--no-cards")
    before = tree(site)
    smallshop.write(content, TYPO)
    refused(passport("build", content, "--out", site, "--no-cards"), "Nothing was written")
    assert tree(site) == before


def test_a_folder_without_a_workshop(tmp_path):
    """A folder that is not a content folder is refused, and no site appears."""
    (tmp_path / "content").mkdir()
    refused(passport("build", tmp_path / "content", "--out", tmp_path / "site"), "no-workshop")
    assert not (tmp_path / "site").exists()


@pytest.mark.parametrize("given", ["soon", "-5", ""])
def test_a_malformed_day_is_an_error_before_anything_is_written(content, tmp_path, given):
    """A malformed SOURCE_DATE_EPOCH ends the build with 1 and writes nothing."""
    result = passport("build", content, "--out", tmp_path / "site", env={"SOURCE_DATE_EPOCH": given})
    refused(result, "SOURCE_DATE_EPOCH", "unset it")
    assert not (tmp_path / "site").exists()


def test_the_same_day_gives_the_same_site(content, tmp_path):
    """Two builds of the same records are the same, byte for byte."""
    for name in ("one", "two"):
        passport("build", content, "--out", tmp_path / name, "--no-cards")
    assert tree(tmp_path / "one") == tree(tmp_path / "two")


def test_a_foreign_folder_is_refused(content, tmp_path):
    """A folder that holds something else is left alone, and the error says what to do."""
    target = tmp_path / "photos"
    target.mkdir()
    (target / "holiday.jpg").write_bytes(b"x")
    result = passport("build", content, "--out", target, "--no-cards")
    refused(result, "holiday.jpg", "It is left as it is.", "--out")
    assert tree(target) == {"holiday.jpg": b"x"}


def test_the_content_is_never_the_output(content):
    """The content folder itself is refused as the output, and stays as it was."""
    before = tree(content)
    refused(passport("build", content, "--out", content, "--no-cards"), "did not make")
    assert tree(content) == before


@pytest.mark.parametrize("step", ["pathlib.Path.write_bytes", "pathlib.Path.write_text", "pathlib.Path.mkdir"])
def test_a_full_disk_keeps_the_old_site(content, tmp_path, monkeypatch, step):
    """When the disk is full the old site stands, nothing is left beside it, and the error says so."""
    site = tmp_path / "site"
    passport("build", content, "--out", site, "--no-cards")
    before = tree(site)
    monkeypatch.setattr(step, full_disk)
    result = passport("build", content, "--out", site, "--no-cards", "--anew")
    monkeypatch.undo()
    refused(result, "No space left on device", "is as it was")
    assert tree(site) == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["content", "content.closed.txt", "site"]


def test_a_file_where_the_folder_should_go(content, tmp_path):
    """An output below something that is a file is refused with a reason."""
    (tmp_path / "file").write_text("x")
    refused(passport("build", content, "--out", tmp_path / "file/site", "--no-cards"), "could not be written")
    refused(passport("build", content, "--out", tmp_path / "file", "--no-cards"), "not a folder of its own")


def test_without_pango_the_pages_are_built(content, tmp_path, monkeypatch):
    """Where the Pango library is missing the pages stand, the end is code 1, and each system's package is named."""
    from passport.render.print import pdf

    def broken(*_, **__):
        raise OSError("cannot load library 'libpango-1.0-0': not found")

    import builtins

    real = builtins.__import__

    def importing(name, *args, **kwargs):
        return broken() if name.partition(".")[0] == "weasyprint" else real(name, *args, **kwargs)

    pdf.available.cache_clear()
    monkeypatch.setattr(builtins, "__import__", importing)
    try:
        result = passport("build", content, "--out", tmp_path / "site")
    finally:
        monkeypatch.undo()
        pdf.available.cache_clear()
    refused(
        result, "Pango", "libpango-1.0-0", "libpangoft2-1.0-0", "brew install pango", "Windows", "dnf install pango"
    )
    assert "0 cards" in result.stdout
    assert (tmp_path / "site" / smallshop.KEYS["main"] / "index.html").is_file()
    assert not list((tmp_path / "site").rglob("*.pdf"))
    page = (tmp_path / "site" / smallshop.KEYS["main"] / "index.html").read_text(encoding="utf-8")
    assert "card-" not in page, "no link to a card that is not there"


def test_without_cards_pango_is_not_asked_for(content, tmp_path, monkeypatch):
    """``--no-cards`` succeeds where Pango is missing."""
    from passport.render.print import pdf

    monkeypatch.setattr(pdf, "available", lambda: "Pango is missing")
    assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0


def test_cards_are_built(content, tmp_path):
    """With Pango a build makes a card for each passport in use."""
    from passport.render.print import pdf

    missing = pdf.available()
    if missing:
        pytest.skip(missing.splitlines()[0])
    result = passport("build", content, "--out", tmp_path / "site")
    assert (result.exit_code, result.stderr) == (0, "")
    cards = sorted(Path(p).name for p in (tmp_path / "site").rglob("*.pdf"))
    numbers = [smallshop.NUMBERS[name] for name in ("main", "twin", "fresh", "split", "only")]
    assert cards == sorted(f"card-{number}.pdf" for number in numbers)


def test_the_site_is_marked_as_ours(content, tmp_path):
    """The built folder carries the mark by which a later build knows it, and a second build replaces it."""
    for _ in range(2):
        assert passport("build", content, "--out", tmp_path / "site", "--no-cards").exit_code == 0
    assert (tmp_path / "site" / MARK).is_file()


def put(site, **files: str) -> None:
    """Files of others in a site's folder, by name."""
    for name, text in files.items():
        (site / name).parent.mkdir(parents=True, exist_ok=True)
        (site / name).write_text(text, encoding="utf-8")


def build(content, site):
    """A build of the pages alone."""
    return passport("build", content, "--out", site, "--no-cards")


@pytest.mark.parametrize("memory", ["kept", "lost", "lost with its key"])
def test_what_others_put_into_the_site_stays(content, tmp_path, memory):
    """A host's and version control's files survive builds, with what the last build remembers, with the manifest alone,
    and with neither; they are said once, and a build that changed nothing stays a short one."""
    site = tmp_path / "site"
    assert build(content, site).exit_code == 0
    theirs = {"CNAME": "cards.example", ".git/HEAD": "ref", ".well-known/x": "y", "verify-1.txt": "z"}
    put(site, **theirs)
    if memory != "kept":
        shutil.rmtree(content / ".passport-cache")
    if memory == "lost with its key":
        (content / "manifest-key.txt").unlink()
        (site / "manifest.bin").unlink()
    first = build(content, site)
    assert first.exit_code == 0, first.output
    assert "Not made by this program, and left as they are" in first.output
    assert ".git/, .well-known/, CNAME, verify-1.txt" in first.output
    main = content / "players/ada/main.yaml"
    main.write_text(main.read_text(encoding="utf-8").replace("label: Main", "label: Other"), encoding="utf-8")
    for _ in range(2):
        again = build(content, site)
        assert again.exit_code == 0, again.output
        assert "Not made by this program" not in again.output
        assert {name: (site / name).read_text(encoding="utf-8") for name in theirs} == theirs
    assert "nothing changed" in again.output


def test_a_file_in_the_way_is_named_with_the_choice(content, tmp_path):
    """Where a foreign file stands in the place of one of the site's own nothing is written, and it is said what to do."""
    site = tmp_path / "site"
    put(site, CNAME="cards.example", **{".git/HEAD": "ref"})
    assert build(content, site).exit_code == 0
    (content / "pages").mkdir(exist_ok=True)
    put(site, **{"care/strings/index.html": "mine"})
    put(content, **{"pages/strings.md": "# Strings\n\nKeep them dry.\n"})
    stopped = build(content, site)
    assert stopped.exit_code == 1
    assert "'care/strings/index.html' in" in stopped.output
    assert "Move it elsewhere to keep it, or delete it" in stopped.output
    assert (site / "care/strings/index.html").read_text() == "mine"
    (site / "care/strings/index.html").unlink()
    assert build(content, site).exit_code == 0
    assert "Keep them dry" in (site / "care/strings/index.html").read_text(encoding="utf-8")


def test_a_closed_folder_of_others_stops_a_build(content, tmp_path):
    """A folder in the site that cannot be looked into would be lost, so nothing is written."""
    site = tmp_path / "site"
    assert build(content, site).exit_code == 0
    put(site, **{".git/HEAD": "ref"})
    main = content / "players/ada/main.yaml"
    main.write_text(main.read_text(encoding="utf-8").replace("label: Main", "label: Other"), encoding="utf-8")
    before = (site / "index.html").read_bytes()
    asked = json.dumps([[str(site / ".git"), 0, ["build", str(content), "--out", str(site), "--no-cards"]]])
    done = subprocess.run(
        [sys.executable, unprivileged.__file__], input=asked, capture_output=True, text=True, check=True
    )
    (told,) = json.loads(done.stdout)
    assert told["code"] == 1, told
    assert "'.git/' in it cannot be read, so it could not be kept" in told["said"]
    assert (site / "index.html").read_bytes() == before
    assert (site / ".git/HEAD").read_text() == "ref"


PUBLIC = {
    "public/CNAME": "cards.example\n",
    "public/.well-known/security.txt": "Contact: tel:+44\n",
    "public/imprint/index.html": "us",
}


def test_the_shops_own_files_stand_on_the_site_as_they_are(content, tmp_path):
    """What lies below public is on the site under its own path, hidden or not; a change is seen, and what goes, goes."""
    site = tmp_path / "site"
    put(content, **PUBLIC, **{"public/.git/HEAD": "not this"})
    assert build(content, site).exit_code == 0
    assert {name: (site / name.removeprefix("public/")).read_text(encoding="utf-8") for name in PUBLIC} == PUBLIC
    assert not (site / ".git").exists()
    put(content, **{"public/.well-known/security.txt": "Contact: tel:+49\n"})
    again = build(content, site)
    assert (site / ".well-known/security.txt").read_text(encoding="utf-8") == "Contact: tel:+49\n"
    assert "made anew" in again.output
    assert "nothing changed" in build(content, site).output
    (content / "public/CNAME").unlink()
    assert build(content, site).exit_code == 0
    assert not (site / "CNAME").exists()
    assert (site / "imprint/index.html").is_file()


def test_a_hosts_file_may_become_the_shops_own(content, tmp_path):
    """A file that a host had put there, and that the shop now keeps itself, is no clash where both are the same."""
    site = tmp_path / "site"
    assert build(content, site).exit_code == 0
    put(site, CNAME="cards.example\n")
    put(content, **{"public/CNAME": "other.example\n"})
    stopped = build(content, site)
    assert stopped.exit_code == 1
    assert "'CNAME' in" in stopped.output
    put(content, **{"public/CNAME": "cards.example\n"})
    assert build(content, site).exit_code == 0
    put(content, **{"public/CNAME": "other.example\n"})
    assert build(content, site).exit_code == 0
    assert (site / "CNAME").read_text(encoding="utf-8") == "other.example\n"
