"""The site made as it is asked for."""

import shutil

import pytest
import smallshop
from building import built
from speed import Pace

from passport.cli.shared.common import checked
from passport.publish.build import preview as module
from passport.publish.build.preview import Preview
from passport.render.theme import assets

KEY = "YGA836F5BN4WK7S3X0KPS4MK8Y"


@pytest.fixture
def preview(demo_content, tmp_path):
    """A preview of a copy of the demo."""
    target = tmp_path / "content"
    shutil.copytree(demo_content.root, target, ignore=shutil.ignore_patterns(".*"))
    yield Preview(target, checked)
    assets.use(None)


def _change(preview, old, new):
    path = preview.root / "players/askwell/i.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/", "text/html; charset=utf-8"),
        (f"/{KEY}/", "text/html; charset=utf-8"),
        (f"/{KEY}/setup-1042-9.json", "application/json"),
        ("/assets/style.css", "text/css"),
        ("/assets/icon.svg", "image/svg+xml"),
        ("/care/when-to-restring/", "text/html; charset=utf-8"),
        ("/robots.txt", "text/plain"),
    ],
)
def test_each_kind_of_file_is_there(preview, path, kind):
    """Pages, data, styles and pictures are answered with their kind."""
    answer = preview.answer(path)
    assert (answer.status, answer.kind) == (200, kind)
    assert answer.data


def test_a_page_is_that_of_the_build_but_for_the_watching_script(preview, built_demo):
    """What the preview shows is what the build writes, with one script more and leave to ask its own server."""
    page = Preview(preview.root, checked, cards=False).answer(f"/{KEY}/").data
    page = page.replace(b'<script src="/-watch.js" defer></script>', b"", 1)
    assert (
        page.replace(b"connect-src 'self'", b"connect-src 'none'", 1) == (built_demo / KEY / "index.html").read_bytes()
    )


def test_a_saved_record_shows_within_a_second(preview):
    """After a save the state changes, and the page with the new text is there within a second of work (once it is warm)."""
    preview.answer(f"/{KEY}/")
    before = preview.state()
    _change(preview, "label: I", "label: Heron")
    with Pace() as pace:
        assert preview.state() != before
        assert "“Heron”".encode() in preview.answer(f"/{KEY}/").data
    assert pace.spent < 1.0 * pace.slow


def test_an_error_is_shown_in_the_browser_and_goes_when_it_is_mended(preview):
    """A faulty record gives a page with the fault's text; mended, the pages are back."""
    _change(preview, "label: I", "labl: I")
    answer = preview.answer(f"/{KEY}/")
    assert answer.status == 500
    assert b"unknown-key" in answer.data
    assert b"-watch.js" in answer.data
    _change(preview, "labl: I", "label: I")
    assert preview.answer(f"/{KEY}/").status == 200


def test_a_fault_across_records_is_shown_too(preview):
    """What only the checks across records find stops the pages as a build would; without a workshop they are not asked."""
    other = preview.root / "players/askwell/ii.yaml"
    text = other.read_text(encoding="utf-8")
    number = next(
        line for line in (preview.root / "players/askwell/i.yaml").read_text().splitlines() if "number:" in line
    )
    other.write_text("\n".join(number if line.startswith("number:") else line for line in text.splitlines()) + "\n")
    answer = preview.answer("/")
    assert (answer.status, b"number-twice" in answer.data) == (500, True)
    (preview.root / "workshop.yaml").unlink()
    answer = preview.answer("/")
    assert (answer.status, b"no-workshop" in answer.data, b"number-twice" in answer.data) == (500, True, False)


def test_before_the_first_good_reading_there_is_nothing(preview):
    """Where the records were faulty from the start, what the page of faults may ask for is not there yet, which is said."""
    _change(preview, "label: I", "labl: I")
    answer = preview.answer("/assets/style.css")
    assert (answer.status, answer.kind, answer.data) == (404, "text/plain; charset=utf-8", b"Nothing here yet.")


def test_sealed_files_are_those_of_the_build(tmp_path):
    """Whatever lies beside two sealed pages is answered under its own name with the build's own bytes."""
    secrets = {"main": "7K2M9QX4C8VTRN5B3WJH6YDPZ1GSFA0E", "twin": "8" * 32}
    changes = {
        f"players/ada/{name}.yaml": smallshop.FILES[f"players/ada/{name}.yaml"] + f"\nsealed: yes\nsecret: {secret}\n"
        for name, secret in secrets.items()
    }
    root = smallshop.write(tmp_path / "content", changes)
    built(root, tmp_path / "site")
    preview, seen = Preview(root, checked, cards=False), 0
    for name in secrets:
        for path in (tmp_path / "site" / smallshop.KEYS[name]).glob("*.bin"):
            answer = preview.answer(f"/{smallshop.KEYS[name]}/{path.name}")
            assert (answer.status, answer.data) == (200, path.read_bytes())
            seen += 1
    assert seen >= 2
    assets.use(None)


def test_what_breaks_while_a_page_is_made_is_said(preview, monkeypatch):
    """The page says which one broke; the error's own words are for this computer alone."""

    def broken(task):
        raise RuntimeError("/home/someone/zqsecret")

    preview.answer("/")
    monkeypatch.setattr(module, "made", broken)
    here, there = preview.answer("/", at_the_bench=True), preview.answer("/")
    assert here.status == there.status == 500
    assert b"zqsecret" in here.data
    assert b"zqsecret" not in there.data


def test_the_lines_of_records_are_for_the_bench_alone(preview):
    """At the computer a fault is shown with its line; another device is told where it is, and nothing that stands there."""
    _change(preview, "label: I", "label: I\nprivate_note: zqbcdf\nsecret: zqbcdf")
    told = preview.answer("/", at_the_bench=True)
    assert (told.status, b"bad-key" in told.data, b"zqbcdf" in told.data) == (500, True, True)
    told = preview.answer("/")
    assert (told.status, b"bad-key" in told.data, b"zqbcdf" in told.data) == (500, True, False)


def test_what_is_not_there_is_the_missing_page(preview):
    """An address that leads nowhere, or out of the site, gets the page for that."""
    for path in ("/nothing/", "/../workshop.yaml", "/players/askwell/player.yaml", "/%2e%2e/"):
        assert preview.answer(path).status == 404


def test_the_list_of_frames_is_for_the_bench_alone(preview):
    """Only who sits at the computer gets the list."""
    assert KEY.encode() in preview.answer("/-frames", at_the_bench=True).data
    assert preview.answer("/-frames").status == 404


def test_nothing_is_written(preview):
    """Looking leaves the content folder as it was."""
    before = sorted(p for p in preview.root.rglob("*"))
    preview.answer("/")
    preview.answer(f"/{KEY}/")
    assert sorted(p for p in preview.root.rglob("*")) == before
