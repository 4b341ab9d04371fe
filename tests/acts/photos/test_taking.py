"""A photo and the record that names it are one change: written whole, taken back whole, erased with their player."""

import io
import subprocess

import pytest
import smallshop
from commandline import EPOCH, passport
from pictures import SECRET, camera
from PIL import Image

from passport.acts.amending.undo import changes, undone
from passport.acts.change import base_of, carry_out, rehearsed
from passport.acts.photos.taking import named, photographed, readied, shown
from passport.acts.refused import Faulty, Refused
from passport.browser.asking import AtTheScreen
from passport.records import checks
from passport.records.load import load

NAME = "ada/main"


@pytest.fixture
def shop(tmp_path, monkeypatch):
    """A small shop in which a frame waits."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", EPOCH)
    content = smallshop.write(tmp_path / "content")
    passport("take", content, NAME, "--again", "--condition", "crack none", "--yes", "--sure")
    return content


def put(content, of="condition", alt="", data=None, name=NAME):
    """Put a photo into a record as the bench does it."""
    photo = readied(data or camera(kind="HEIF", orientation=6))
    asking = AtTheScreen()
    return carry_out(
        content,
        "passport take",
        lambda base: photographed(base, name=name, of=of, photo=photo, alt=alt),
        asking,
        base_of(content, {"ada"}),
    )


def back(content, *, redo=False) -> None:
    """Take the last change back, or bring it again, as a press at the screen does that was shown what comes of it."""
    asking = AtTheScreen()
    if not undone(content, asking, None, redo=redo):
        assert asking.faults == ()


def sound(content) -> bool:
    """Whether no check finds an error."""
    records, faults = load(content)
    return not [f for f in [*faults, *checks.run(records, smallshop.TODAY)] if f.severity == "error"]


def test_the_condition_s_photo_is_what_the_command_writes(shop, tmp_path):
    """The record is the same, byte for byte, as `passport take --photo` writes it with that file in the folder."""
    other = tmp_path / "other"
    subprocess.run(["cp", "-a", shop, other], check=True)
    put(shop)
    (file,) = (shop / "photos").iterdir()
    assert file.name == "ada-main-2026-11-25.jpg"
    (other / "photos").mkdir(exist_ok=True)
    (other / "photos" / file.name).write_bytes(file.read_bytes())
    passport("take", other, NAME, "--photo", file.name, "--yes", "--sure")
    record = f"players/{NAME}.yaml"
    assert (shop / record).read_bytes() == (other / record).read_bytes()
    assert sound(shop) and "crack: none" in (shop / record).read_text()
    assert SECRET.encode() not in file.read_bytes() and Image.open(io.BytesIO(file.read_bytes())).size == (300, 400)


def test_the_page_s_photo_is_what_the_command_writes(shop, tmp_path):
    """The record is the same as `passport correct --frame` writes it."""
    other = tmp_path / "other"
    subprocess.run(["cp", "-a", shop, other], check=True)
    put(shop, "page", "The racquet on the bench,\n strung")
    (file,) = (shop / "photos").iterdir()
    (other / "photos").mkdir(exist_ok=True)
    (other / "photos" / file.name).write_bytes(file.read_bytes())
    said = ("--set", f"photo={file.name}", "--set", "photo_alt=The racquet on the bench, strung")
    passport("correct", other, NAME, "--frame", *said, "--yes", "--sure")
    record = f"players/{NAME}.yaml"
    assert (shop / record).read_bytes() == (other / record).read_bytes()
    assert sound(shop)


def test_undo_takes_photo_and_line_back_and_brings_both_again(shop):
    """One change, one way back; and one way on again."""
    record = shop / f"players/{NAME}.yaml"
    before = record.read_bytes()
    put(shop)
    after, (file,) = record.read_bytes(), (shop / "photos").iterdir()
    data = file.read_bytes()
    assert "photo for the condition" in changes(shop)[0].summary
    back(shop)
    assert record.read_bytes() == before and not file.exists() and sound(shop)
    back(shop, redo=True)
    assert record.read_bytes() == after and file.read_bytes() == data


def test_a_new_photo_takes_the_place_of_the_old_one(shop):
    """The old file goes where nothing else names it; undo brings it back with its line."""
    put(shop)
    (first,) = (shop / "photos").iterdir()
    put(shop, data=camera(200, 100))
    (second,) = (shop / "photos").iterdir()
    assert first.name != second.name and Image.open(io.BytesIO(second.read_bytes())).size == (200, 100)
    back(shop)
    assert [path.name for path in (shop / "photos").iterdir()] == [first.name]


def test_a_photo_that_is_needed_elsewhere_stays(shop):
    """A file that another place of the records names is not taken away with the one that gives place."""
    put(shop)
    (first,) = (shop / "photos").iterdir()
    passport(
        "correct", shop, NAME, "--frame", "--set", f"photo={first.name}", "--set", "photo_alt=x", "--yes", "--sure"
    )
    put(shop, "page", "another")
    assert first.is_file() and len(list((shop / "photos").iterdir())) == 2 and sound(shop)


@pytest.mark.parametrize(
    ("name", "of", "alt", "what"),
    [("ada/twin", "condition", "", "does not wait"), (NAME, "page", " \n", "what the photo shows")],
)
def test_what_cannot_be_said_is_refused_and_nothing_is_written(shop, name, of, alt, what):
    """No condition of a frame that does not wait; no photo for a page without words for those who cannot see it."""
    with pytest.raises(Refused, match=what):
        put(shop, of, alt, name=name)
    assert not list((shop / "photos").glob("*"))


def test_no_picture_is_refused_in_words():
    """What is no picture is told why."""
    with pytest.raises(Refused, match="no picture that can be kept: it is"):
        readied(b"GIF89a")


def test_nothing_is_written_where_the_record_has_errors(shop):
    """A photo does not come into the folder where the record that would name it cannot be written."""
    record = shop / f"players/{NAME}.yaml"
    base = base_of(shop, {"ada"})
    photo = readied(camera())
    record.write_text(record.read_text().replace("model: larch-98", "model: none-98"))

    def made(base):
        return photographed(base, name=NAME, of="condition", photo=photo)

    with pytest.raises((Faulty, Refused)):
        carry_out(shop, "passport take", made, AtTheScreen(), base)
    assert not list((shop / "photos").glob("*"))


def test_a_photo_that_is_only_tried_is_in_no_folder(shop):
    """A rehearsal finds no fault in a record that names the coming photo, and writes nothing."""
    photo = readied(camera())
    _, after, faults = rehearsed(
        base_of(shop, {"ada"}), lambda base: photographed(base, name=NAME, of="condition", photo=photo)
    )
    assert faults == [] and named(after.frames[NAME].record, "condition") in after.photos
    assert not list((shop / "photos").glob("*"))


def test_what_a_screen_shows_has_nothing_of_the_camera(shop):
    """A photo that somebody put there by hand is shown small and bare."""
    (shop / "photos").mkdir(exist_ok=True)
    (shop / "photos" / "by-hand.jpg").write_bytes(camera(1200, 900))
    passport("take", shop, NAME, "--photo", "by-hand.jpg", "--yes", "--sure")
    records = load(shop)[0]
    data = shown(records, records.frames[NAME].record, "condition")
    assert SECRET.encode() not in data and Image.open(io.BytesIO(data)).size == (416, 312)
    assert shown(records, records.frames[NAME].record, "page") is None


def test_an_erased_player_s_photo_is_gone_from_the_history_too(shop):
    """Nothing of a photo is left anywhere in the folder once its player was erased."""
    put(shop)
    (file,) = (shop / "photos").iterdir()
    mark = file.read_bytes()[:400]
    passport("erase", shop, "ada", "--yes")
    assert not file.exists()
    import base64

    coded = base64.b64encode(mark)[:300]
    assert not [p for p in shop.rglob("*") if p.is_file() and (mark in p.read_bytes() or coded in p.read_bytes())]
