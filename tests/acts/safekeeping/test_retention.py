"""A yearly look at what nobody needs: shown, kept for a year or cleared for good by a yes."""

from datetime import date

import pytest
import smallshop
from commandline import passport, tree

from passport.acts.safekeeping.retention import KEPT, unneeded
from passport.records.load import load
from passport.records.transaction import history

OLD = "\njobs: [{date: 2020-01-01, strings: {mains: {string: flint-120, tension: 50 lb}}}]\n"


@pytest.fixture
def content(tmp_path):
    """A workshop in which Bo was last seen years ago, with a photo of a retired frame and one of nobody."""
    bo = smallshop.FILES["players/bo/player.yaml"] + "contact: {email: bo@mail.example, phone: 01632 960455}\n"
    head, _, _ = smallshop.FILES["players/bo/only.yaml"].partition("jobs:")
    done = smallshop.FILES["players/ada/done.yaml"] + "photo: done.jpg\nphoto_alt: A racquet\nsince: 2019-01-01\n"
    changes = {
        "players/bo/player.yaml": bo,
        "players/bo/only.yaml": head + OLD.strip() + "\n",
        "players/ada/done.yaml": done,
    }
    root = smallshop.write(tmp_path / "content", changes)
    (root / "photos").mkdir()
    from PIL import Image

    for name in ("done.jpg", "stray.jpg"):
        Image.new("RGB", (40, 40)).save(root / "photos" / name)
    return root


def names(content, years=3.0, now=smallshop.TODAY):
    """What would be asked about."""
    return [one.name for one in unneeded(content, years, now)]


def test_what_nobody_needs_is_shown_and_nothing_else(content):
    """A player who came lately, one on the rack, one without contact, a photo in use are not asked about."""
    before = tree(content)
    result = passport("retention", content)
    assert result.exit_code == 0
    assert names(content) == ["contact:bo", "photo:done.jpg", "photo:stray.jpg"]
    assert "last job 2020-01-01" in result.stdout
    assert "3 things that perhaps nobody needs, 0 cleared" in result.stdout
    assert tree(content) == before
    assert names(content, years=10) == ["photo:stray.jpg"]
    broken = content / "players/ada/twin.yaml"
    text = broken.read_text()
    broken.write_text("lable: x\n")
    assert names(content) == ["contact:bo", "photo:done.jpg"]  # it may name the other photo
    broken.write_text(text)
    frame = content / "players/bo/only.yaml"
    frame.write_text(frame.read_text() + "rack: as before\n")
    assert "contact:bo" not in names(content)


def test_what_is_cleared_is_gone_for_good(content):
    """Neither record nor history holds it, the record stays sound, and there is no undo of it."""
    assert passport("log", content, "bo/only", "--mass", "330 g", "--date", "2020-02-01", "--no-build").exit_code == 0
    change = (content / "players/bo/player.yaml").read_text()
    (content / "players/bo/player.yaml").write_text(change)
    result = passport("retention", content, "--clear", "contact:bo", "--clear", "photo:done.jpg")
    assert result.exit_code == 0
    records, _ = load(content)
    assert records.players["bo"].record.contact.email == ""
    assert records.frames["ada/done"].record.photo == ""
    assert not (content / "photos/done.jpg").exists()
    data = b"".join(path.read_bytes() for path in content.rglob("*") if path.is_file())
    assert b"bo@mail.example" not in data
    assert b"960455" not in data
    assert [entry.kept for entry in history.entries(content)][:2] == [False, False]
    assert passport("retention", content, "--clear", "contact:bo").exit_code == 2


def test_a_photo_of_a_condition_is_cleared_where_it_is_named(content):
    """A photo that the order of a retired frame names, and its job, goes from both, and the records stay sound."""
    path = content / "players/ada/done.yaml"
    order = "{asked: a look, condition: {crack: none, photo: done.jpg}}"
    job = f"jobs:\n  - {{date: 2020-02-01, note: Looked over, order: {order}, handed: {{date: 2020-02-02}}}}\n"
    path.write_text(path.read_text(encoding="utf-8") + job, encoding="utf-8")
    assert "photo:done.jpg" in names(content)
    assert passport("retention", content, "--clear", "photo:done.jpg").exit_code == 0
    records, _ = load(content)
    frame = records.frames["ada/done"].record
    assert list(frame.photos()) == []
    assert (frame.jobs[0].order.condition.crack, frame.jobs[0].order.asked) == ("none", "a look")
    assert not (content / "photos/done.jpg").exists()
    assert passport("check", content).exit_code == 0


def test_what_is_kept_is_not_asked_about_for_a_year(content):
    """After a year it is asked again."""
    assert passport("retention", content, "--keep", "contact:bo").exit_code == 0
    assert "contact:bo" not in names(content)
    assert (content / ".passport" / KEPT).is_file()
    assert "contact:bo" in names(content, now=date(2027, 11, 26))
