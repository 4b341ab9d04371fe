"""What all tests share."""

import os
from pathlib import Path

import pytest
from hypothesis import settings

from passport.records.load import Content, load
from passport.render.theme import assets
from passport.workshop.facts.facts import SiteFacts
from passport.workshop.gathering.gather import site_facts

os.environ.setdefault("PASSPORT_JOBS", "1")  # what a test needs is loaded already; other processes would load it anew
REFUSE = os.environ.get("PASSPORT_REFUSE_SKIPS") == "1"
DEMO = Path(__file__).parents[1] / "content_demo"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]):
    """Where everything must run (CI), a skipped test is a failed one."""
    report = yield
    if REFUSE and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped where nothing may be skipped: {report.longrepr}"
    return report


@pytest.fixture
def counted(record_property):
    """Have a count that a test made (kills survived, texts searched) printed at the end of the run."""

    def note(text: str) -> None:
        record_property("counted", text)

    return note


def pytest_terminal_summary(terminalreporter):
    """Print what the tests counted."""
    reports = (report for key in ("passed", "failed") for report in terminalreporter.stats.get(key, ()))
    said = [value for report in reports for name, value in getattr(report, "user_properties", ()) if name == "counted"]
    if said:
        terminalreporter.section("what was counted")
        for line in sorted(set(said)):
            terminalreporter.line(line)


settings.register_profile("here", deadline=None, derandomize=True)
settings.load_profile("here")


@pytest.fixture(scope="session")
def demo_content() -> Content:
    """The records of the demo workshop."""
    return load(DEMO)[0]


@pytest.fixture(scope="session")
def demo_facts(demo_content: Content) -> SiteFacts:
    """The facts of the demo workshop."""
    return site_facts(demo_content)


@pytest.fixture(scope="session")
def built_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's site without cards, built once; tests read it and do not change it."""
    from building import built

    folder = tmp_path_factory.mktemp("demo") / "site"
    built(DEMO, folder)
    return folder


@pytest.fixture(scope="module", autouse=True)
def no_shop_is_left_in_use():
    """A server that a module of tests started works with a shop's files; the next module begins without."""
    before = assets.own().content
    yield
    if assets.own().content != before:
        assets.use(before)


@pytest.fixture(autouse=True)
def _shipped_files_alone():
    """A test that lets a content folder's own templates stand above the shipped ones leaves none of that behind."""

    before = assets.own().content  # a module of tests may work with one throughout
    yield
    if assets.own().content != before:
        assets.use(before)
