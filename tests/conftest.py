"""What all tests share."""

import os

import pytest
from hypothesis import settings

REFUSE = os.environ.get("PASSPORT_REFUSE_SKIPS") == "1"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]):
    """Where everything must run (CI), a skipped test is a failed one."""
    report = yield
    if REFUSE and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped where nothing may be skipped: {report.longrepr}"
    return report


settings.register_profile("here", deadline=None, derandomize=True)
settings.load_profile("here")
