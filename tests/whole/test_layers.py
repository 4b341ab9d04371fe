"""Imports point one way only, and the command line starts without the heavy libraries."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest
from places import ROOT

PACKAGE = ROOT / "passport"
LAYERS = ("physics", "records", "bench", "render", "publish", "cli")


def _imports(path: Path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            yield node.module
        elif isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)


@pytest.mark.parametrize("layer", LAYERS)
def test_a_layer_imports_only_itself_and_what_lies_below(layer):
    """No module of a layer imports from a layer above it."""
    allowed = LAYERS[: LAYERS.index(layer) + 1]
    found = [
        (path.name, name)
        for path in (PACKAGE / layer).rglob("*.py")
        for name in _imports(path)
        if name.startswith("passport.") and name.split(".")[1] not in allowed
    ]
    assert list((PACKAGE / layer).glob("*.py"))
    assert not found


def test_help_starts_without_the_heavy_libraries():
    """``passport --help`` imports neither matplotlib, WeasyPrint, scipy nor pydantic."""
    code = (
        "import sys; from passport.cli.main import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'matplotlib', 'weasyprint', 'scipy', 'numpy', 'pydantic', 'jinja2'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "Usage" in done.stdout
