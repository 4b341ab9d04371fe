"""What the tests of the bench share: its day, and a browser."""

import shutil

import pytest
from commandline import EPOCH
from places import DEMO


@pytest.fixture(scope="module", autouse=True)
def fixed_day():
    """The day on which the tests' shops are as they are."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        yield


@pytest.fixture
def shops(tmp_path):
    """Two copies of the demo: one for the bench, one for the commands."""
    for name in ("bench", "commands"):
        shutil.copytree(DEMO, tmp_path / name)
    return tmp_path / "bench", tmp_path / "commands"


@pytest.fixture(scope="module")
def browser():
    """A browser."""
    from browsing import chromium

    with chromium() as launched:
        yield launched
