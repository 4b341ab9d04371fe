"""What every test of a command has around it."""

import pytest


@pytest.fixture(autouse=True)
def _beside_no_site(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """A test starts in an empty folder: a site that somebody built in the project is none of its business."""
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))
