"""Names that must lead somewhere."""

from pathlib import Path

import pytest
from overlay import THIRD, TODAY, checked, laid, rules, third, underlined
from PIL import Image

from passport.records import checks
from passport.records.load import load


@pytest.mark.parametrize(
    ("text", "rule", "name"),
    [
        ("model: lark-98\n", "unknown-model", "lark-98"),
        ("build: {part: lead-tap, place: 12}\n", "unknown-part", "lead-tap"),
        ("jobs: [{date: 2026-05-01, fitted: {part: lead-tap, place: 12}}]\n", "unknown-part", "lead-tap"),
        ("jobs: [{date: 2026-05-01, removed: {part: lead-tap, place: 12}}]\n", "unknown-part", "lead-tap"),
        ("jobs: [{date: 2026-05-01, repairs: {what: bumper, part: bumper-89}}]\n", "unknown-part", "bumper-89"),
        ("jobs: [{date: 2026-05-01, strings: {mains: {string: reed, tension: 24 kg}}}]\n", "unknown-string", "reed"),
    ],
)  # fmt: skip
def test_every_name_is_looked_up(tmp_path: Path, text: str, rule: str, name: str) -> None:
    """A model, a part or a string that is not in the catalogue is one fault, at the name."""
    (fault,) = third(tmp_path, text)
    assert (fault.rule, underlined(fault)) == (rule, name)


def test_mains_and_crosses_are_looked_up_apart(tmp_path: Path) -> None:
    """Both strings of a hybrid are checked, and the crosses only where they are written."""
    strings = "{mains: {string: a, tension: 24 kg}, crosses: {string: b, tension: 24 kg}, pieces: 2}"
    faults = third(tmp_path, f"jobs: [{{date: 2026-05-01, strings: {strings}}}]\n")
    assert [underlined(fault) for fault in faults] == ["a", "b"]


def test_blanks_name_models_and_parts(tmp_path: Path) -> None:
    """A blank's model and the parts that are on it are looked up too."""
    _, faults = checked(tmp_path, {"blanks/b.yaml": "model: lark\nbuild: {part: tap, place: 12}\n"})
    assert rules(faults) == ["unknown-model", "unknown-part"]


def test_a_repair_without_a_part_is_fine(tmp_path: Path) -> None:
    """Not every repair takes a part out of stock."""
    assert third(tmp_path, "jobs: [{date: 2026-05-01, repairs: {what: grommets, where: at 6}}]\n") == []


def test_a_near_miss_is_suggested_and_the_file_is_named(tmp_path: Path) -> None:
    """The advice offers the nearest name, and says where a new one belongs."""
    (near,) = third(tmp_path / "near", "model: larch-89\n")
    (far,) = third(tmp_path / "far", "model: zenith\n")
    assert near.do == "Did you mean 'larch-98'? If not, add it to catalogue/frames.yaml."
    assert far.do == "Add it to catalogue/frames.yaml."


def test_a_name_that_could_not_be_read_is_no_second_fault(tmp_path: Path) -> None:
    """A broken entry of the catalogue is one fault, however many records name it."""
    parts = "lead-tape: {kind: tap, name: Lead tape}\nthin-overgrip: {kind: overgrip, name: Thin, mass: 5 g}\n"
    _, faults = checked(tmp_path, {"catalogue/parts.yaml": parts})
    assert rules(faults) == ["unknown-word"]


def test_a_photo_needs_its_file_and_its_text(tmp_path: Path) -> None:
    """A photo that is there and described has no fault."""
    files = {THIRD: "model: larch-98\nlabel: Third\nphoto: third.jpg\nphoto_alt: The third\n"}
    photos = tmp_path / "content/photos"
    photos.mkdir(parents=True)
    Image.new("RGB", (8, 6)).save(photos / "third.jpg")
    assert checked(tmp_path, files)[1] == []


def test_a_missing_photo_is_suggested(tmp_path: Path) -> None:
    """A slip in a photo's name is put right with the name that is there."""
    files = {THIRD: "model: larch-98\nlabel: Third\nphoto: thrid.jpg\nphoto_alt: The third\n", "photos/third.jpg": "x"}
    (fault,) = checked(tmp_path, files)[1]
    assert (fault.rule, fault.do) == ("missing-photo", "Did you mean 'third.jpg'?")


@pytest.mark.parametrize("name", ["../secret.jpg", "/etc/passwd", "a/b.jpg", "..", ".", "a\\\\b.jpg", "c/../third.jpg"])
def test_a_photo_is_a_name_not_a_path(tmp_path: Path, name: str) -> None:
    """Nothing outside the photos folder can be asked for, not even where it exists."""
    photo = f"model: larch-98\nlabel: Third\nphoto: '{name}'\nphoto_alt: x\n"
    _, faults = checked(tmp_path, {THIRD: photo, "secret.jpg": "x", "photos/third.jpg": "x"})
    assert rules(faults) == ["missing-photo"]


def test_a_photo_that_leads_outside_is_refused(tmp_path: Path) -> None:
    """A link in the photos folder must not publish a file from elsewhere."""
    root = laid(tmp_path, {THIRD: "model: larch-98\nlabel: Third\nphoto: third.jpg\nphoto_alt: x\n"})
    (tmp_path / "secret.jpg").write_text("x")
    (root / "photos").mkdir(exist_ok=True)
    (root / "photos/third.jpg").symlink_to(tmp_path / "secret.jpg")
    content, faults = load(root)
    assert faults == []
    assert rules(checks.run(content, TODAY)) == ["outside-link"]
