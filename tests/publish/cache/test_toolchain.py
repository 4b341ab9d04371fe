"""What everything is made with: a program that changed is noticed."""

import shutil

import pytest
from places import ROOT

from passport.publish.cache import toolchain

LAYERS = ("physics", "records", "workshop", "render", "publish")


@pytest.fixture(scope="module")
def package(tmp_path_factory):
    """A copy of the program's modules."""
    folder = tmp_path_factory.mktemp("program") / "passport"
    shutil.copytree(ROOT / "passport", folder, ignore=shutil.ignore_patterns("__pycache__"))
    return folder


@pytest.mark.parametrize("layer", LAYERS)
def test_a_change_in_any_layer_is_noticed(package, monkeypatch, layer):
    """One more line in a module of a layer that a site is made by gives the program another fingerprint."""
    monkeypatch.setattr(toolchain, "_PACKAGE", package)
    before = toolchain.program.__wrapped__()
    module = next(path for path in sorted((package / layer).rglob("*.py")) if path.stat().st_size)
    text = module.read_text(encoding="utf-8")
    module.write_text(f"{text}\n# changed\n", encoding="utf-8")
    assert toolchain.program.__wrapped__() != before
    module.write_text(text, encoding="utf-8")
    assert toolchain.program.__wrapped__() == before
