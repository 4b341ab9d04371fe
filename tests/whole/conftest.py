"""What the tests in a browser share; playwright is imported only where one of them runs."""

import pytest


@pytest.fixture(scope="module")
def browser():
    """A browser."""
    from browsing import chromium

    with chromium() as launched:
        yield launched


@pytest.fixture(scope="module")
def address(built_demo):
    """The address under which the demo's site is served on this machine."""
    from browsing import served

    with served(built_demo) as found:
        yield found


@pytest.fixture(scope="module")
def paths(demo_content, demo_facts):
    """A page of the demo of each kind by its path."""
    from browsing import paths_of

    return paths_of(demo_content, demo_facts)
