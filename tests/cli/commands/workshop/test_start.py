"""``passport start``: a folder that is a workshop at once."""

import re

import pytest
from click.testing import CliRunner
from commandline import EPOCH, as_a_person, full_disk, passport, refused, tree
from htmlread import Page
from places import ROOT

from passport.cli.main import main
from passport.records.ledger import ledger
from passport.records.load import load
from passport.render.theme.words import read_languages


def test_a_workshop_without_a_question(tmp_path):
    """With --yes nothing is asked: the records are sound but for the address, issued, and build a site with a page for the sample."""
    result = passport("start", tmp_path / "shop", "--yes")
    assert (result.exit_code, result.stderr) == (0, "")
    checked = passport("check", tmp_path / "shop")
    built = passport("build", tmp_path / "shop", "--out", tmp_path / "site", "--no-cards")
    for done in (checked, built):
        assert done.exit_code == 0
        assert re.findall(r": (?:error|warning): (\S+)", done.stderr) == ["placeholder-address"]
    assert "0 errors, 1 warning" in checked.stdout
    records, _ = load(tmp_path / "shop")
    key = records.frames["sample/first"].record.key
    text = (tmp_path / "site" / key / "index.html").read_text(encoding="utf-8")
    assert Page(text)
    assert "Marlpit 98" in text
    assert "My racquet bench" in text
    known = ledger.read(tmp_path / "shop")
    assert known
    assert known.unlisted(records) == known.dropped(records) == ()


def _stopped(*_, **__):
    """A server that is stopped at once with Ctrl-C."""
    raise KeyboardInterrupt


def test_it_tells_the_next_step(tmp_path, monkeypatch):
    """What it prints can be typed as it stands: build, a look at it, a frame of one's own, the sample taken out."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("passport.browser.previewing.PreviewServing.run", _stopped)
    said = passport("start", "shop", "--yes").stdout
    commands = re.findall(r"passport (\w+) (.*?)(?:  +|$)", said, re.MULTILINE)
    assert [name for name, _ in commands] == ["build", "preview", "issue", "erase"]
    for name, rest in commands:
        arguments = [word.strip('"') for word in re.findall(r'"[^"]*"|\S+', rest)]
        more = {"build": ["--no-cards"], "preview": ["--no-cards", "--port", "0"], "erase": ["--yes"]}.get(name, [])
        assert passport(name, *arguments, *more).exit_code == 0, name
    assert list(load(tmp_path / "shop")[0].players) == ["player"]
    assert passport("check", "shop").exit_code == 0
    assert "real web address" in said


def test_what_is_said_stands_in_the_records(tmp_path):
    """Name, address, contact and language are taken as they are, however odd."""
    said = ("--name", "Bench: 'Nine' & #1", "--address", "https://cards.nine.example/p/", "--contact", "01632 960001")
    assert passport("start", tmp_path / "shop", "--yes", *said, "--language", "en").exit_code == 0
    shop = load(tmp_path / "shop")[0].workshop
    assert shop
    assert (shop.record.name, shop.record.address) == ("Bench: 'Nine' & #1", "https://cards.nine.example/p")
    assert (shop.record.contact.phone, shop.record.contact.email) == ("01632 960001", "")
    assert passport("start", tmp_path / "b", "--yes", "--contact", "a@nine.example").exit_code == 0
    other = load(tmp_path / "b")[0].workshop
    assert other
    assert other.record.contact.email == "a@nine.example"


@pytest.mark.parametrize(
    ("option", "value", "words"),
    [
        ("--address", "cards.example", "is not a web address"),
        ("--language", "xx", "Use one of"),
        ("--name", " ", "has a name"),
    ],
)
def test_what_cannot_be_is_wrong_usage(tmp_path, option, value, words):
    """A slip in an answer is told with how to write it, and nothing is made."""
    result = passport("start", tmp_path / "shop", "--yes", option, value)
    assert result.exit_code == 2
    assert words in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_control_character_in_a_name(tmp_path):
    """An answer that no record takes is refused with the record's own fault, and nothing is made."""
    refused(
        passport("start", tmp_path / "shop", "--yes", "--name", "a\u202eb"), "control-character", "Nothing was written"
    )
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["notes.txt", "workshop.yaml", "players/x/y.yaml"])
def test_a_folder_that_holds_something_is_refused(tmp_path, name):
    """Nothing is put among other people's files."""
    path = tmp_path / "shop" / name
    path.parent.mkdir(parents=True)
    path.write_text("x", encoding="utf-8")
    before = tree(tmp_path)
    refused(passport("start", tmp_path / "shop", "--yes"), "is not empty", name.partition("/")[0])
    assert tree(tmp_path) == before


def test_a_file_in_its_place_is_refused(tmp_path):
    """A file is not a folder."""
    (tmp_path / "shop").write_text("x", encoding="utf-8")
    refused(passport("start", tmp_path / "shop", "--yes"), "is not a folder")


def test_an_empty_folder_and_one_under_version_control_will_do(tmp_path):
    """An empty folder is used, and hidden files of version control stay in it."""
    for name in ("empty", "kept"):
        (tmp_path / name).mkdir()
    (tmp_path / "kept/.gitignore").write_text("x\n", encoding="utf-8")
    for name in ("empty", "kept"):
        assert passport("start", tmp_path / name, "--yes").exit_code == 0
        assert passport("check", tmp_path / name).exit_code == 0
    assert (tmp_path / "kept/.gitignore").read_text(encoding="utf-8") == "x\n"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["empty", "kept"]


def test_a_full_disk_leaves_nothing(tmp_path, monkeypatch):
    """When it cannot be written no half of a workshop stays."""
    monkeypatch.setattr("os.fsync", full_disk)
    result = passport("start", tmp_path / "shop", "--yes")
    monkeypatch.undo()
    refused(result, "No space left on device")
    assert list(tmp_path.iterdir()) == []


def test_two_workshops_share_no_key(tmp_path):
    """Every workshop gets keys of its own."""
    keys = []
    for name in ("a", "b"):
        passport("start", tmp_path / name, "--yes")
        records, _ = load(tmp_path / name)
        keys += [records.frames["sample/first"].record.key, records.players["sample"].record.key]
    assert len(set(keys)) == 4


def test_four_questions_at_most(tmp_path, monkeypatch):
    """On a terminal it asks four questions, each until it can be read, and not what was said already."""
    as_a_person(monkeypatch)
    runner = CliRunner(env={"SOURCE_DATE_EPOCH": EPOCH, "LANG": "en_GB.UTF-8", "LC_ALL": ""})
    typed = "Nine\nnine\nhttps://nine.example\nhello@nine.example\n\n"
    result = runner.invoke(main, ["start", str(tmp_path / "shop")], input=typed)
    assert result.exit_code == 0, result.output
    assert len(re.findall(r"\[[^]]*\]: |\): ", result.output)) == 5
    shop = load(tmp_path / "shop")[0].workshop
    assert shop
    assert (shop.record.name, shop.record.language) == ("Nine", "en")
    assert (shop.record.address, shop.record.contact.email) == ("https://nine.example", "hello@nine.example")
    fewer = runner.invoke(main, ["start", str(tmp_path / "b"), "--name", "B", "--contact", ""], input="\n\n")
    assert fewer.exit_code == 0, fewer.output


@pytest.mark.parametrize(
    ("language", "says", "care"),
    [("de", "Was mit Ihrem Schläger geschieht", "Saiten pflegen"), ("fr", "", ""), ("es", "", ""), ("en", "", "")],
)
def test_a_shop_begins_in_its_own_language(tmp_path, language, says, care):
    """Tagline, home page and the care notes that it leads to are in the language asked for, and no other stands there."""
    assert passport("start", tmp_path / "shop", "--yes", "--language", language).exit_code == 0
    assert passport("build", tmp_path / "shop", "--out", tmp_path / "site", "--no-cards").exit_code == 0
    home = Page((tmp_path / "site/index.html").read_text(encoding="utf-8"))
    assert says in home.words
    assert care in home.words
    main = home.html[home.html.index("<main") : home.html.index("</main>")]
    assert set(re.findall(r'lang="(\w+)"', main)) == set()
    notes = [link for link in home.links if link.startswith("care/")]
    assert len(notes) == 5
    assert {link.split("/")[1].rpartition(".")[2] for link in notes} == {language}


@pytest.mark.parametrize(
    ("language", "says", "care"),
    [
        ("it", "Che cosa succede alla sua racchetta", "La cura delle corde"),
        ("pt", "O que acontece com a sua raquete", "Cuidar das cordas"),
        ("id", "Apa yang terjadi pada raket Anda", "Merawat senar"),
    ],
)
def test_a_shop_in_a_language_that_no_native_has_read(tmp_path, language, says, care):
    """All is in the language asked for but the note that is a caution as a whole: that is in English, and says so."""
    assert passport("start", tmp_path / "shop", "--yes", "--language", language).exit_code == 0
    assert passport("build", tmp_path / "shop", "--out", tmp_path / "site", "--no-cards").exit_code == 0
    home = Page((tmp_path / "site/index.html").read_text(encoding="utf-8"))
    assert home.all("html")[0]["lang"] == language
    assert says in home.words
    assert care in home.words
    assert "Racquets are strung" not in home.words
    notes = {link.split("/")[1] for link in home.links if link.startswith("care/")}
    assert {note.rpartition(".")[2] for note in notes} == {language, "en"}
    assert [note for note in notes if note.endswith(".en")] == ["cracked-frame.en"]
    main = home.html[home.html.index("<main") : home.html.index("</main>")]
    assert re.findall(r'lang="(\w+)"', main) == ["en"]


def test_care_notes_for_the_shop_s_language_and_those_that_somebody_read(tmp_path):
    """A shop has the notes in its own language, and for its players in those that a native reader has read: the same that
    the demo has."""
    assert passport("start", tmp_path / "shop", "--yes", "--language", "de").exit_code == 0
    notes = {path.name: path.read_bytes() for path in (tmp_path / "shop/pages").iterdir()}
    assert {"de", *read_languages()} == {name.split(".")[1] for name in notes}
    assert [name for name in notes if name.startswith("home")] == ["home.de.md"]
    for path in (ROOT / "content_demo/pages").glob("*.md"):
        if path.stem != "home":
            name = path.name if "." in path.stem else f"{path.stem}.en.md"
            assert notes[name] == path.read_bytes(), name


@pytest.mark.parametrize(("language", "script"), [("ja", "CJK"), ("ar", "Arabic")])
def test_a_language_without_a_typeface_is_begun_with_word_of_it(tmp_path, language, script):
    """The workshop is made, and what comes before the first build is said: no typeface for its words comes along."""
    result = passport("start", tmp_path / "shop", "--yes", "--language", language)
    assert result.exit_code == 0
    assert f"no typeface for {script} comes with this program" in result.output
    assert f"passport fonts {tmp_path / 'shop'} --take" in result.output
    assert passport("check", tmp_path / "shop").exit_code == 1
    assert "First" not in passport("start", tmp_path / "other", "--yes", "--language", "en").output.split("frame")[0]
