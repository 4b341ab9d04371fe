"""What follows a job: the site brought up to date, the card named."""

import pytest
import smallshop
from commandline import passport, tree

from passport.cli.shared.bench_folder import bench_folder
from passport.render.print import pdf

NUMBER, KEY = smallshop.NUMBERS["main"], smallshop.KEYS["main"]


@pytest.fixture
def content(tmp_path, monkeypatch):
    """The small workshop, in a folder that one stands in."""
    monkeypatch.chdir(tmp_path)
    return smallshop.write(tmp_path / "content")


def built(*options):
    """A build of the site, which must go well."""
    assert passport("build", "content", *options).exit_code == 0


def test_the_bench_folder_lies_beside_the_content(tmp_path):
    """Cards and sheets of the bench are neither in the records nor in the site."""
    assert bench_folder(tmp_path / "shop/content") == tmp_path / "shop/bench"


@pytest.mark.parametrize("options", [("--no-cards",), ("--no-cards", "--from-disk")])
def test_the_site_is_what_a_build_makes(content, tmp_path, options):
    """After a job the site is, byte for byte, the one that a build from nothing makes, with links of the same kind."""
    built(*options)
    before = tree(tmp_path / "site")
    result = passport("log", "content", NUMBER, "--again", "--ring", "584 Hz", "--minutes", "15")
    assert (result.exit_code, result.stderr) == (0, "")
    after = tree(tmp_path / "site")
    changed = {name for name in {*before, *after} if before.get(name) != after.get(name)}
    assert f"{KEY}/index.html" in changed
    assert not any(name.startswith(smallshop.KEYS["only"]) for name in changed)
    assert passport("build", "content", "--out", "fresh", *options).exit_code == 0
    assert tree(tmp_path / "fresh") == after


def test_another_site_is_named(content, tmp_path):
    """With --site another folder is brought up to date, and only if it is one of ours."""
    built("--no-cards", "--out", "public")
    (tmp_path / "site").mkdir()
    (tmp_path / "site/own.txt").write_text("x", encoding="utf-8")
    assert passport("log", "content", NUMBER, "--again", "--site", "public").exit_code == 0
    assert "25 November 2026" in (tmp_path / "public" / KEY / "index.html").read_text(encoding="utf-8")
    assert tree(tmp_path / "site") == {"own.txt": b"x"}


def test_the_card_in_the_site_is_named(content, tmp_path):
    """Where the site has cards, the frame's new one lies there and nothing is put on the bench."""
    if pdf.available():
        pytest.skip("Pango is missing")
    built()
    card = tmp_path / "site" / KEY / f"card-{NUMBER}.pdf"
    before = card.read_bytes()
    result = passport("log", "content", NUMBER, "--again", "--tension", "25/24 kg")
    assert f"Card to print: site/{KEY}/card-{NUMBER}.pdf" in result.stdout
    assert card.read_bytes() != before
    assert not (tmp_path / "bench").exists()


def test_a_site_that_cannot_be_made_stays(content, tmp_path):
    """With an error in another record the job is on record, the old site stands, and the reason is told."""
    built("--no-cards")
    before = tree(tmp_path / "site")
    (content / "players/bo/only.yaml").write_text("lable: x\n", encoding="utf-8")
    result = passport("log", "content", NUMBER, "--again")
    assert result.exit_code == 0
    assert "unknown-key" in result.stderr
    assert "'site' is not brought up to date" in result.stderr
    assert tree(tmp_path / "site") == before
    assert "2026-11-25" in (content / "players/ada/main.yaml").read_text(encoding="utf-8")


def test_the_job_alone(content, tmp_path):
    """With --no-build neither site nor card is touched."""
    built("--no-cards")
    before = tree(tmp_path / "site")
    assert passport("log", "content", NUMBER, "--again", "--no-build").exit_code == 0
    assert tree(tmp_path / "site") == before
    assert not (tmp_path / "bench").exists()


def test_without_cards_in_the_site_the_card_lies_on_the_bench(content, tmp_path):
    """A site that was built without cards stays so; the card is made for the bench, for a frame in play."""
    if pdf.available():
        pytest.skip("Pango is missing")
    built("--no-cards")
    assert f"bench/card-{NUMBER}.pdf" in passport("log", "content", NUMBER, "--again").stdout
    assert not list((tmp_path / "site").rglob("*.pdf"))
    split = passport("log", "content", "ada/split", "--mass", "320 g").stdout
    assert "has no card: it is marked broken" in split
