"""``passport erase``: no trace of a player in content, site and bench folder, and no dead code on a card."""

import shutil
import subprocess

import pytest
import smallshop
from commandline import as_a_person, full_disk, passport, refused, tree
from everybyte import Searched, squeezed
from PIL import Image

from passport.acts.erase import ASIDE
from passport.records.ledger import ledger
from passport.records.load import load
from passport.records.schema import numbers
from passport.records.transaction import history
from passport.records.transaction.private import made
from passport.render.print import pdf

PHOTO = b"SECRET-PHOTO"
TELLING = (
    b"SECRET-FULL-NAME", b"secret-mail", b"SECRET-PHONE", b"SECRET-ADDRESS", b"TL-1", b"TL-TORN", b"Said to the player",
)  # fmt: skip
ADA = [smallshop.KEYS[name] for name in ("ada", "main", "twin", "torn", "fresh", "gone", "done", "split")]


@pytest.fixture
def content(tmp_path, monkeypatch):
    """The small workshop with a built site, a photo and files on the bench, in a folder that one stands in."""
    monkeypatch.chdir(tmp_path)
    main = smallshop.FILES["players/ada/main.yaml"] + "photo: ada.jpg\nphoto_alt: Ada's\n"
    smallshop.write(tmp_path / "content", {"players/ada/main.yaml": main})
    (tmp_path / "content/photos").mkdir()
    Image.effect_noise((60, 40), 50).convert("RGB").save(tmp_path / "content/photos/ada.jpg", comment=PHOTO)
    assert passport("build", "content", "--out", "site", "--no-cards").exit_code == 0
    assert passport("find", "content", "ada main").exit_code == 0
    bench = tmp_path / "bench"
    bench.mkdir()
    for name in ("main", "only"):
        (bench / f"card-{smallshop.NUMBERS[name]}.pdf").write_bytes(b"%PDF")
    (bench / f"plan-1{smallshop.NUMBERS['main']}.pdf").write_bytes(b"%PDF of another number")
    return tmp_path / "content"


def everything(folder):
    """All bytes below a folder, names of files too, but for the addresses that stay."""
    found = {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    files = {name: data for name, data in found.items() if name != f"content/{ledger.FILE}"}
    return b"\n".join(data for name, data in files.items()) + "\n".join(files).encode()


def test_no_byte_of_the_player_remains(content, tmp_path):
    """Records, photo, pages, downloads and the card on the bench are gone; everyone else's are as they were."""
    assert passport("log", "content", "ada/main", "--mass", "331 g", "--no-build").exit_code == 0
    assert passport("log", "content", "bo/only", "--mass", "329 g", "--no-build").exit_code == 0
    form = made(content, "forms") / "half.json"
    form.write_text('{"player": "ada", "phone": "SECRET-PHONE"}', encoding="utf-8")
    before = tree(tmp_path)
    assert (content / ".passport-cache").exists()
    assert all(word in everything(tmp_path) for word in TELLING)
    result = passport("erase", "content", "ada", "--yes")
    assert (result.exit_code, result.stderr) == (0, "")
    left = everything(tmp_path)
    for word in (*TELLING, PHOTO, b"Ada"):
        assert word not in left, word
    after = tree(tmp_path)
    gone = {name for name in before if name not in after}
    assert not (content / ".passport-cache").exists()
    assert f"bench/card-{smallshop.NUMBERS['main']}.pdf" in gone
    assert {name.split("/")[1] for name in gone if name.startswith("site/")} <= set(ADA)
    changed = {name for name in after if after[name] != before.get(name)}
    assert [entry.summary for entry in history.entries(content)] == [
        "A player was erased",
        f"A job of 2026-11-25 on {smallshop.NUMBERS['only']} Only",
    ]
    assert not form.exists()
    assert changed == {f"content/{ledger.FILE}", "content.closed.txt", *(f"site/{key}/index.html" for key in ADA)}
    assert passport("check", "content").exit_code == 0


def test_nothing_remains_on_sheets_of_several_players(content, tmp_path, counted):
    """Sheets whose names do not tell who is on them are made for real, hold the player's texts, and go with the player."""
    if missing := pdf.available():
        pytest.skip(missing.splitlines()[0])
    number = smallshop.NUMBERS["only"]
    assert passport("cards", "content", number, smallshop.NUMBERS["main"]).exit_code == 0
    assert passport("cards", "content", "--kind", "tag", "--changed-since", "2020-01-01").exit_code == 0
    assert passport("day", "content", "ada/main", "ada/new").exit_code == 0
    assert passport("cards", "content", number).exit_code == 0
    told = {squeezed(text) for text in ("SECRET-FULL-NAME", smallshop.NUMBERS["main"], smallshop.KEYS["main"])}
    before = Searched(tmp_path / "bench", told)
    assert {mark for mark in told if not before.where(mark)} == set()
    assert passport("erase", "content", "ada", "--yes").exit_code == 0
    after = Searched(tmp_path, told)
    another = f"bench/plan-1{smallshop.NUMBERS['main']}.pdf"  # another's number, which ends alike
    known = {f"content/{ledger.FILE}", "content.closed.txt", f"site/{smallshop.KEYS['main']}/index.html", another}
    assert {name for mark in told for name in after.where(mark)} <= known
    assert f"cards-{number}.pdf" in {path.name for path in (tmp_path / "bench").iterdir()}
    counted(f"erased player: {len(told)} canaries searched in {after.files} files of content, site, bench, 0 found")


def test_a_sealed_passport_is_erased_too(content, tmp_path):
    """Of a sealed frame neither the sealed files nor the secret remain, and its address answers like any closed one."""
    assert passport("seal", "content", "ada/main", "--yes").exit_code == 0
    secret = load(content)[0].frames["ada/main"].record.secret.encode()
    assert passport("build", "content", "--out", "site", "--no-cards").exit_code == 0
    page = tmp_path / "site" / smallshop.KEYS["main"]
    assert b"data-seal" in (page / "index.html").read_bytes()
    assert list(page.glob("*.bin"))
    assert secret in everything(tmp_path)
    assert passport("erase", "content", "ada", "--yes").exit_code == 0
    assert secret not in everything(tmp_path)
    closed = (tmp_path / "site" / smallshop.KEYS["twin"] / "index.html").read_bytes()
    assert {path.name: path.read_bytes() for path in page.iterdir()} == {"index.html": closed}
    assert b"data-seal" not in closed


def test_what_killed_builds_left_is_erased_too(content, tmp_path):
    """A half-built site that a killed build left beside the site goes with the player."""
    shutil.copytree(tmp_path / "site", tmp_path / ".site-abcd1234-new")
    assert passport("erase", "content", "ada", "--yes").exit_code == 0
    assert not any(word in everything(tmp_path) for word in TELLING)


def test_the_addresses_stay_and_say_so(content, tmp_path):
    """Each address leads to a page that says that it is closed, now and after the next build, and its number is spent."""
    passport("erase", "content", "ada", "--yes")
    page = (tmp_path / "site" / ADA[1] / "index.html").read_text(encoding="utf-8")
    assert "This passport is closed" in page
    assert not any(number in page for number in smallshop.NUMBERS.values())
    built = passport("build", "content", "--out", "site", "--no-cards")
    assert (built.exit_code, built.stderr) == (0, "")
    for key in ADA:
        assert (tmp_path / "site" / key / "index.html").read_text(encoding="utf-8") == page
        assert [p.name for p in (tmp_path / "site" / key).iterdir()] == ["index.html"]
    issued = passport("issue", "content", "bo/two", "--model", "larch-98", "--label", "Two")
    highest = max(map(numbers.running_number, smallshop.NUMBERS.values()))
    assert numbers.with_check(highest + 1) in issued.stdout


def test_the_ledger_knows_keys_and_nobody(content):
    """Every address of the player is closed in the ledger, which names no one."""
    passport("erase", "content", "ada", "--yes")
    known = ledger.read(content)
    assert known
    assert set(known.closed) == set(ADA)
    assert known.damaged == known.lost == ()
    text = (content / ledger.FILE).read_text(encoding="utf-8")
    assert "ada" not in text.lower().split()


def test_it_says_what_remains_elsewhere(content, tmp_path):
    """Backups, the host, paper and version control are named, with the commands that clear the history."""
    assert "version control" in passport("erase", "content", "bo", "--yes").stdout
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    said = passport("erase", "content", "ada", "--yes").stdout
    for word in ("backups", "web host", "paper", "passport build content --out site"):
        assert word in said
    assert "git filter-repo --invert-paths --path 'content/players/ada' --path 'content/photos/ada.jpg'" in said


def test_where_the_player_is_still_named_is_told(content, tmp_path):
    """Mentions in other records and pages are pointed at, file and line."""
    (content / "pages/care.md").write_text("# Care\n\nAda's strings.\nSECRET-PHONE 01632 960777\n", encoding="utf-8")
    (tmp_path / "bench/list.txt").write_text(f"{smallshop.NUMBERS['main']}\n", encoding="utf-8")
    said = passport("erase", "content", "ada", "--yes").stdout
    assert "content/pages/care.md:4: SECRET-PHONE 01632 960777" in said
    assert f"list.txt:1: {smallshop.NUMBERS['main']}" in said


def test_a_photo_that_another_frame_shows_stays(content):
    """A photo is erased only where no other player's frame uses it."""
    with (content / "players/bo/only.yaml").open("a", encoding="utf-8") as file:
        file.write("photo: ada.jpg\nphoto_alt: shared\n")
    passport("erase", "content", "ada", "--yes")
    assert (content / "photos/ada.jpg").is_file()


def test_records_that_cannot_be_read_are_erased_too(content, tmp_path):
    """A broken record gives its key and number all the same."""
    path = content / "players/ada/main.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "setup: [\n", encoding="utf-8")
    assert passport("erase", "content", "ada", "--yes").exit_code == 0
    known = ledger.read(content)
    assert known
    assert set(known.closed) == set(ADA)
    assert not (tmp_path / f"bench/card-{smallshop.NUMBERS['main']}.pdf").exists()
    assert not (content / "photos/ada.jpg").exists()


@pytest.mark.parametrize("called", ["bo", "Bo", "BO"])
def test_a_player_by_folder_or_name(content, called):
    """The player is named by the folder or by the public name."""
    assert passport("erase", "content", called, "--yes").exit_code == 0
    assert list(load(content)[0].players) == ["ada"]


@pytest.mark.parametrize(
    ("who", "code", "words"),
    [
        ("adda", 1, "Did you mean"),
        ("ada/main", 2, "is not a player"),
        ("..", 2, "is not a player"),
        (".hidden", 2, "is not a player"),
        (smallshop.NUMBERS["main"], 1, "is a frame of 'ada'"),
        ("ada", 1, "--yes"),
    ],
)
def test_what_is_not_meant_is_not_erased(content, tmp_path, who, code, words):
    """Without agreement, or for anything but a player, nothing is touched."""
    before = tree(tmp_path)
    result = passport("erase", "content", who, *([] if words == "--yes" else ["--yes"]))
    assert result.exit_code == code
    assert words in result.stderr
    assert tree(tmp_path) == before


def test_a_folder_that_is_no_site_is_refused(content, tmp_path):
    """Only a site that this program made is touched."""
    (tmp_path / "other").mkdir()
    before = tree(tmp_path)
    assert passport("erase", "content", "ada", "--site", "other", "--yes").exit_code == 2
    assert tree(tmp_path) == before


@pytest.mark.parametrize(("answer", "erased"), [("y\n", True), ("\n", False), ("no\n", False)])
def test_it_asks_first(content, monkeypatch, answer, erased):
    """On a terminal everything that goes is listed, and Enter does not agree."""
    from click.testing import CliRunner

    from passport.cli.main import main

    as_a_person(monkeypatch)
    result = CliRunner().invoke(main, ["erase", "content", "ada"], input=answer)
    for word in ("Ada (ada)", "photos/ada.jpg", "8 pages", f"card-{smallshop.NUMBERS['main']}.pdf", "cannot be undone"):
        assert word in result.output
    assert (content / "players/ada").exists() is not erased


def test_an_erasing_that_was_stopped_is_finished(content, monkeypatch):
    """After an error in the middle the player is out of the records, and a second run finishes it."""
    monkeypatch.setattr("shutil.rmtree", full_disk)
    refused(passport("erase", "content", "ada", "--yes"), "No space left")
    monkeypatch.undo()
    monkeypatch.chdir(content.parent)
    assert (content / f"{ASIDE}ada").is_dir()
    assert list(load(content)[0].players) == ["bo"]
    assert passport("erase", "content", "ada", "--yes").exit_code == 0
    assert not (content / f"{ASIDE}ada").exists()
    known = ledger.read(content)
    assert known
    assert len(known.closed) == sum(line.event == "closed" for line in known.lines) == 8


def test_an_address_whose_record_is_gone_is_closed(content, tmp_path):
    """The number of a passport whose record was deleted by hand closes its address."""
    passport("issue", "content", "ada/new")
    (content / "players/bo/only.yaml").unlink()
    number = smallshop.NUMBERS["only"]
    assert "no record has it" in passport("build", "content", "--out", "site", "--no-cards").stderr
    assert passport("erase", "content", number.replace("-", ""), "--yes").exit_code == 0
    built = passport("build", "content", "--out", "site", "--no-cards")
    assert (built.exit_code, built.stderr) == (0, "")
    assert "closed" in (tmp_path / "site" / smallshop.KEYS["only"] / "index.html").read_text(encoding="utf-8")


def test_every_sheet_that_goes_is_named_with_the_reason(content, tmp_path):
    """Each file that leaves the bench folder has a line that says why, no other has one, and where another workshop's
    sheets may be among them that is said before."""
    bench, number = tmp_path / "bench", smallshop.NUMBERS["main"]
    for name in ("day-2026-11-25.pdf", "cards-all.pdf", f"cards-{number}-and-1-more.pdf"):
        (bench / name).write_bytes(b"%PDF")
    before = tree(bench)
    alone = passport("erase", "content", "ada")
    assert (alone.exit_code, tree(bench)) == (1, before)
    assert "is shared with" not in alone.stdout
    smallshop.write(tmp_path / "second")
    said = passport("erase", "content", "ada", "--yes").stdout
    assert said.index("is shared with second") < said.index("Deleted: ")
    told = dict(line.removeprefix("Deleted: ").split(": ") for line in said.splitlines() if line.startswith("Deleted"))
    assert {str(bench / name) for name in before.keys() - tree(bench).keys()} == told.keys()
    assert {path.rpartition("/")[2]: why for path, why in told.items()} == {
        f"card-{number}.pdf": "holds this player",
        f"cards-{number}-and-1-more.pdf": "holds this player",
        "cards-all.pdf": "may hold this player",
        "day-2026-11-25.pdf": "may hold this player",
    }
