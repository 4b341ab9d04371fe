"""A file on its way to the publisher."""

import dataclasses

import pytest

from passport.publish.outputs.tasks import File


def test_a_file_cannot_be_changed_once_made():
    """What a render made is what gets written."""
    file = File("a/index.html", b"x")
    with pytest.raises(dataclasses.FrozenInstanceError):
        file.data = b"y"
