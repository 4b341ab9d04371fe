"""What the tests of the bench share: its day, and a browser."""

import pytest
from commandline import EPOCH


@pytest.fixture(scope="module", autouse=True)
def fixed_day():
    """The day on which the tests' shops are as they are."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", EPOCH)
        yield


@pytest.fixture(scope="module")
def browser():
    """A browser."""
    from browsing import chromium

    with chromium() as launched:
        yield launched
