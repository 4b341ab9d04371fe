"""What is depended on: bounded below and above, locked with hashes, and the lock within the bounds."""

import json
import re
import tomllib
import uuid
from importlib.metadata import PackageNotFoundError, version

import pytest
from cyclonedx.schema import SchemaVersion
from cyclonedx.validation.json import JsonStrictValidator
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
    env = default_environment()
    for requirement, _ in locked("requirements.lock"):
        if requirement.marker is None or requirement.marker.evaluate(env):
            assert requirement.specifier.contains(version(requirement.name)), requirement


def test_what_installs_is_what_the_lock_names_too():
    """pip is that of the lock, and of setuptools, which Python brings in a version of its own day, there is none."""
    pinned = {r.name: r for r, _ in locked("requirements.lock")}
    assert pinned["pip"].specifier.contains(version("pip"))
    assert "setuptools" not in pinned
    with pytest.raises(PackageNotFoundError):
        version("setuptools")


@pytest.fixture(scope="module")
def bill() -> dict:
    """The bill of materials as it is kept."""
    return json.loads((ROOT / ".dev/sbom.json").read_text(encoding="utf-8"))


def test_the_bill_of_materials_is_valid():
    """It keeps to the published schema of CycloneDX 1.6 (ECMA-424), which the standard's own library holds it to."""
    text = (ROOT / ".dev/sbom.json").read_text(encoding="utf-8")
    validator = JsonStrictValidator(SchemaVersion.V1_6)
    assert validator.validate_str(text) is None
    assert validator.validate_str(text.replace('"type": "library"', '"type": "lib"')) is not None


def test_the_bill_of_materials_is_that_of_the_lock(bill, counted):
    """It has every package of the lock with its version and the hashes of all its files, and nothing else but typefaces."""
    packages = [c for c in bill["components"] if c["type"] == "library"]
    pinned = locked("requirements.lock")
    wanted = {(plain(r.name), next(iter(r.specifier)).version): set(hashes) for r, hashes in pinned}
    found = {
        (c["name"], c["version"]): {h["content"] for ref in c["externalReferences"] for h in ref["hashes"]}
        for c in packages
    }
    assert found == wanted
    assert len(packages) == len(pinned)
    assert {c["purl"] for c in packages} == {f"pkg:pypi/{name}@{v}" for name, v in wanted}
    lock = (ROOT / ".dev/requirements.lock").read_text(encoding="utf-8")
    assert bill["serialNumber"] == f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_OID, lock)}"
    counted(f"bill of materials: {len(packages)} packages, {len(bill['components']) - len(packages)} typefaces")


def test_the_bill_of_materials_says_what_depends_on_what(bill):
    """The program depends on what pyproject.toml names, and all else is reached from there or builds the program."""
    edges = {d["ref"]: set(d.get("dependsOn", ())) for d in bill["dependencies"]}
    refs = {c["bom-ref"] for c in bill["components"]}
    assert edges.keys() == refs | {"racquet-passport"}
    names = {c["bom-ref"]: c["name"] for c in bill["components"]}
    direct = {plain(Requirement(text).name) for text in PROJECT["dependencies"]}
    fonts = {ref for ref in refs if ref.startswith("font:")}
    assert {names[ref] for ref in edges["racquet-passport"] - fonts} == direct
    builders = {ref for ref, name in names.items() if name in ("hatchling", "editables", "pip")}
    assert len(builders) == 3
    assert reached(edges, {"racquet-passport"}) | reached(edges, builders) == edges.keys()
    assert not reached(edges, {"racquet-passport"}) & builders


def reached(edges: dict[str, set[str]], start: set[str]) -> set[str]:
    """Everything that some depend on, directly or not, themselves included."""
    found, waiting = set(), start
    while waiting:
        found |= waiting
        waiting = set().union(*(edges[ref] for ref in waiting)) - found
    return found


def nearest(family: str, names: list[str]) -> str:
    """The longest of the names that a family's begins with, since its weights stand in it too."""
    return max((name for name in names if family.startswith(name)), key=len, default="")


def test_the_typefaces_of_the_bill_are_those_that_are_shipped(bill):
    """Each typeface is named with the version and licence that the fonts themselves carry (OpenType, table name 5 and 13)."""
    from fontTools.ttLib import TTFont

    carried = {}
    named = [c["name"] for c in bill["components"] if c["bom-ref"].startswith("font:")]
    for path in [*(ROOT / "templates/fonts").glob("*.ttf"), *(ROOT / "templates/looks").glob("*/fonts/*.ttf")]:
        name = TTFont(path)["name"]
        carried[path] = (name.getDebugName(16) or name.getDebugName(1), name.getDebugName(5))
    for font in (c for c in bill["components"] if c["bom-ref"].startswith("font:")):
        said = [v for family, v in carried.values() if nearest(family, named) == font["name"]]
        assert said and all(font["version"] in v for v in said), (font, carried)
