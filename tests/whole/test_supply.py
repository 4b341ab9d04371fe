"""What is depended on: bounded below and above, locked with hashes, and the lock within the bounds."""

import re
import tomllib

import pytest
from packaging.markers import default_environment
from packaging.requirements import Requirement
from places import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NEEDED = {
    "requirements.lock": PROJECT["dependencies"],
    "requirements-test.lock": [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["dev"]],
}
SYSTEMS = [{"python_full_version": f"{v}.4", "python_version": v} for v in ("3.11", "3.12", "3.13")]


def plain(name: str) -> str:
    """A package's name as registries compare it (PEP 503)."""
    return re.sub("[-_.]+", "-", name).lower()


def locked(file: str) -> list[tuple[Requirement, list[str]]]:
    """Each package of a lock file with its hashes."""
    text = (ROOT / ".dev" / file).read_text(encoding="utf-8")
    lines = [line for line in text.replace("\\\n", " ").splitlines() if line.strip() and not line.startswith("#")]
    return [
        (Requirement(line.partition("--hash")[0]), re.findall("--hash=sha256:([0-9a-f]{64})", line)) for line in lines
    ]


@pytest.mark.parametrize("text", NEEDED["requirements-test.lock"])
def test_each_dependency_is_bounded_at_both_ends(text):
    """Every dependency, of the program and of its tests, names the oldest version and the first that is too new."""
    assert {s.operator for s in Requirement(text).specifier} == {">=", "<"}


@pytest.mark.parametrize("file", NEEDED)
def test_the_lock_is_within_the_bounds(file, counted):
    """For each Python the lock names exactly one version of every dependency, within the bounds."""
    for system in SYSTEMS:
        env = {**default_environment(), **system}
        pinned = [r for r, _ in locked(file) if r.marker is None or r.marker.evaluate(env)]
        versions = {plain(r.name): next(iter(r.specifier)).version for r in pinned}
        assert len(versions) == len(pinned)
        for text in NEEDED[file]:
            needed = Requirement(text)
            if needed.marker is None or needed.marker.evaluate(env):
                assert needed.specifier.contains(versions[plain(needed.name)]), text
    counted(f"{file}: {len(locked(file))} packages, {sum(len(h) for _, h in locked(file)):,} hashes")


@pytest.mark.parametrize("file", NEEDED)
def test_the_lock_is_exact_and_names_no_host(file):
    """Each package of the lock has one exact version and hashes; nothing says where it is to come from."""
    found = locked(file)
    assert len(found) > 40
    for requirement, hashes in found:
        assert [s.operator for s in requirement.specifier] == ["=="]
        assert hashes and not requirement.url
    text = (ROOT / ".dev" / file).read_text(encoding="utf-8")
    assert "://" not in text
    assert "index" not in text


def test_demo_and_tests_are_locked_to_the_same_versions():
    """What the demo runs with is what the tests tested."""
    demo, tests = ({str(r).partition(";")[0] for r, _ in locked(file)} for file in NEEDED)
    assert demo <= tests


def test_what_is_installed_here_is_what_the_lock_names():
    """These tests run with the versions that the lock names."""
    from importlib.metadata import version

    env = default_environment()
    for requirement, _ in locked("requirements.lock"):
        if requirement.marker is None or requirement.marker.evaluate(env):
            assert requirement.specifier.contains(version(requirement.name)), requirement
