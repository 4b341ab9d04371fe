"""What records know of a photo: its size as it is seen, and whether it can be shown at all."""

import os
from pathlib import Path

import pytest
from pictures import camera, claiming

from passport.records.photofile import photo_file


def put(folder: Path, data: bytes, name: str = "a.jpg") -> str:
    """A photo in a folder."""
    (folder / name).write_bytes(data)
    return name


@pytest.mark.parametrize(("orientation", "size"), [(1, (400, 300)), (3, (400, 300)), (6, (300, 400)), (8, (300, 400))])
def test_the_size_is_that_of_the_upright_picture(tmp_path, orientation, size):
    """Width and height are those that a person sees, whichever way the camera was held."""
    found = photo_file(tmp_path, put(tmp_path, camera(orientation=orientation)))
    assert found
    assert (found.width, found.height) == size


def test_the_mark_changes_with_the_file(tmp_path):
    """A photo that is replaced under its name is noticed."""
    name = put(tmp_path, camera())
    first = photo_file(tmp_path, name)
    put(tmp_path, camera(410))
    os.utime(tmp_path / name, ns=(1, 1))
    second = photo_file(tmp_path, name)
    assert first
    assert second
    assert first.mark != second.mark


@pytest.mark.parametrize("data", [b"", b"text", camera()[:20], claiming(60_000, 60_000), b"GIF89a" + bytes(20)])
def test_what_cannot_be_shown_is_none(tmp_path, data):
    """Files that are no photo, damaged or far too large count as none."""
    assert photo_file(tmp_path, put(tmp_path, data)) is None


def test_photos_lie_in_their_folder(tmp_path):
    """A name that leads elsewhere, by a path or by a link, and one that leads nowhere, count as none."""
    folder = tmp_path / "photos"
    folder.mkdir()
    put(tmp_path, camera(), "outside.jpg")
    (folder / "link.jpg").symlink_to(tmp_path / "outside.jpg")
    for name in ("../outside.jpg", str(tmp_path / "outside.jpg"), "link.jpg", "none.jpg", ""):
        assert photo_file(folder, name) is None
