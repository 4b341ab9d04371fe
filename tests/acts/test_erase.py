"""What is known of a player, found and removed."""

import json

import pytest
import smallshop
from commandline import passport

from passport.acts import erase
from passport.acts.drafts import Draft
from passport.acts.erase import Traces
from passport.publish.folder import site_pages
from passport.publish.folder.foreign import MARK

KEY = "A" * 26


@pytest.fixture
def content(tmp_path):
    """The small workshop."""
    return smallshop.write(tmp_path / "content")


def test_what_is_known_of_a_player(content):
    """Keys with numbers, and the words by which the player would be known elsewhere."""
    found = erase.traces(content, "ada")
    assert found
    assert {key: (kind, number) for key, kind, number in found.keys}[smallshop.KEYS["main"]] == (
        "frame", smallshop.NUMBERS["main"],
    )  # fmt: skip
    assert len(found.keys) == 8
    assert {"SECRET-FULL-NAME", "secret-mail@ada.example", "SECRET-PHONE 01632 960777", "TL-1"} <= set(found.words)
    assert "larch-98" not in found.words
    assert erase.traces(content, "nobody") is None


def test_a_photo_outside_the_folder_is_not_touched(content):
    """A path in place of a photo's name leads nowhere."""
    (content / "players/ada/new.yaml").write_text(
        "model: larch-98\nlabel: N\nphoto: ../workshop.yaml\n", encoding="utf-8"
    )
    found = erase.traces(content, "ada")
    assert found
    assert found.photos == ()


def test_a_linked_folder_is_not_erased(content, tmp_path):
    """A player's folder that is a link leads out of the content and stays."""
    (tmp_path / "elsewhere").mkdir()
    (content / "players/cy").symlink_to(tmp_path / "elsewhere")
    assert erase.traces(content, "cy") is None


@pytest.mark.parametrize("ours", [True, False])
def test_a_page_is_closed_in_our_own_site_only(tmp_path, ours):
    """In a site of ours all is taken from the address but the page that says so; elsewhere nothing is touched."""
    folder = tmp_path / KEY
    (folder / "deep").mkdir(parents=True)
    for name in ("index.html", "card.pdf", "deep/photo.jpg"):
        (folder / name).write_bytes(b"old")
    if ours:
        (tmp_path / MARK).write_text("x")
    site_pages.close_page(tmp_path, KEY, lambda: b"closed")
    found = {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    assert found == (
        {"index.html": b"closed"} if ours else dict.fromkeys(("index.html", "card.pdf", "deep/photo.jpg"), b"old")
    )


@pytest.mark.parametrize("key", ["..", ".", "assets", KEY[:-1], KEY.lower()])
def test_only_a_key_is_an_address(tmp_path, key):
    """Nothing but a folder named by a key is touched."""
    (tmp_path / MARK).write_text("x")
    (tmp_path / "assets").mkdir()
    (tmp_path / "assets/style.css").write_text("x")
    site_pages.close_page(tmp_path, key, lambda: b"closed")
    assert sorted(p.name for p in tmp_path.rglob("*")) == [MARK, "assets", "style.css"]


OWN = ("1042-9-plan.json", "card-1042-9.pdf", "set/1042-9.pdf", "rebuild-ada-new.pdf", "match-1042-9-and-2-more.pdf")
SHARED = ("cards-1107-7-and-3-more.pdf", "cards-all-2.pdf", "day-2026-11-12.pdf", "tags-since-2026-01-01.pdf")
OTHERS = (
    "card-1042-X.pdf",
    "card-11042-9.pdf",
    "x-1042-91.pdf",
    "rebuild-ada-newer.pdf",
    "holiday-2026.pdf",
    "set-all.txt",
)


def test_sheets_by_their_name(tmp_path):
    """Files are known by a whole number or frame in their name, in folders below too; those of several players go too."""
    for name in (*OWN, *SHARED, *OTHERS):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x")
    known = Traces(tmp_path, "ada", (tmp_path / "new.yaml",), (("K" * 26, "frame", "1042-9"),), (), ())
    found = [p.relative_to(tmp_path).as_posix() for p in erase.sheets(tmp_path, known)]
    assert found == sorted([*OWN, *SHARED])
    assert erase.sheets(tmp_path / "none", known) == []


def test_mentions_are_whole_words(tmp_path):
    """A name is found as a word of its own, with its line; in a longer word, a picture or a skipped file it is not."""
    (tmp_path / "a.md").write_text("Juniper was here\nJunipers\njuniper\n(Juniper)\n", encoding="utf-8")
    (tmp_path / "b.jpg").write_text("Juniper")
    (tmp_path / "skip.txt").write_text("Juniper")
    found = list(erase.mentions(tmp_path, ["Juniper"], [tmp_path / "skip.txt"]))
    assert found == [(tmp_path / "a.md", 1, "Juniper"), (tmp_path / "a.md", 4, "Juniper")]
    assert list(erase.mentions(tmp_path, [])) == []


def test_a_draft_that_tells_of_the_player_goes_too(content):
    """What was typed at a dialogue and not written yet is erased with the player; other drafts stay."""
    told, other = Draft(content, "walk-in"), Draft(content, "log-bo/only")
    told.keep([("Player", "Ada"), ("Reach", "secret-mail@ada.example")])
    other.keep([("Date", "2026-11-24")])
    assert passport("erase", content, "ada", "--yes").exit_code == 0
    assert (told.kept(), other.kept()) == ([], [("Date", "2026-11-24")])


def test_what_an_erased_player_was_given_stays_taken(content):
    """The jobs of an erased player are gone, and what they took from stock is still not on the shelf."""
    stock = content / "catalogue/stock.yaml"
    stock.write_text("reel: {of: reed-125, bought: {date: 2026-01-01, amount: 200 m}}\n", encoding="utf-8")
    before = json.loads(passport("stock", content, "--json").stdout)[0]
    assert before["left"] < 190
    assert passport("erase", content, "ada", "--yes").exit_code == 0
    after = json.loads(passport("stock", content, "--json").stdout)[0]
    assert after["left"] == pytest.approx(before["left"], abs=0.02)
    text = stock.read_text(encoding="utf-8")
    assert "by frames that were erased" in text
    assert "ada" not in text.lower()


def test_the_sheet_of_a_series_goes(content):
    """A sheet for several frames of a player names that player, and goes with it; another's stays."""
    found = erase.traces(content, "ada")
    bench = content.parent / "bench"
    bench.mkdir()
    for name in ("series-ada-2026-11-25.pdf", "series-adam-2026-11-25.pdf"):
        (bench / name).write_bytes(b"%PDF-")
    assert [path.name for path in erase.sheets(bench, found)] == ["series-ada-2026-11-25.pdf"]


@pytest.mark.parametrize("named", ["ada/main", smallshop.NUMBERS["main"]])
def test_a_blank_that_a_frame_was_built_on_forgets_whose_it_was(content, named):
    """The work that is not finished names the frame: erasing its player takes that out of the blank, and no other line."""
    blank = content / "blanks/larch-a.yaml"
    before = blank.read_text(encoding="utf-8")
    blank.write_text(f"{before}rebuild: {{frame: {named}}}\n", encoding="utf-8")
    assert passport("check", content).exit_code == 0
    assert passport("erase", content, "ada", "--yes").exit_code == 0
    assert blank.read_text(encoding="utf-8") == before
