"""Whatever is lost, a workshop comes back sound, or stops with a way out that leads there."""

import pytest
import restores


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """A workshop with a backup of a week ago, and what happened since."""
    return restores.make(tmp_path_factory.mktemp("restores") / "whole")


@pytest.mark.parametrize("loss", restores.LOSSES, ids=lambda loss: loss.__name__)
def test_it_comes_back_sound(whole, loss, tmp_path, counted):
    """After the loss and the way out that is told, nothing is given twice and nobody who was erased is back."""
    counted(restores.line(loss, restores.copied(whole, tmp_path / "place")).replace(f"{tmp_path}/place/", ""))
