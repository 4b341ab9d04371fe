"""Imports point one way only, and the command line starts without the heavy libraries."""

import ast
import shutil
import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import pytest
from places import DEMO, ROOT

PACKAGE = ROOT / "passport"
LAYERS = ("physics", "records", "workshop", "render", "publish", "acts", "browser", "cli")
MODULES = 15
"""No folder holds more than a person can keep in mind."""


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
    assert list((PACKAGE / layer).rglob("*.py"))
    assert not found


def _name(path: Path) -> str:
    return ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts).removesuffix(".__init__")


def _imported(path: Path, modules):
    """The modules of the package that one imports, wherever in it."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("passport"):
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                yield inner if inner in modules else node.module


def _group(name: str, path: Path) -> str:
    """The folder that a module stands in; a module that stands at the root of a layer is a group of its own."""
    parts = name.split(".")
    return name if path.name == "__init__.py" or len(parts) <= 3 else ".".join(parts[:-1])


def test_groups_inside_a_layer_have_no_circles():
    """Folders of a layer import each other without circles, imports inside functions counted too."""
    modules = {_name(path): path for path in PACKAGE.rglob("*.py")}
    order = TopologicalSorter()
    for name, path in modules.items():
        group = _group(name, path)
        order.add(group, *({_group(other, modules[other]) for other in _imported(path, modules)} - {group}))
    assert len(list(order.static_order())) > 20  # raises CycleError with the circle


def test_no_folder_holds_more_than_a_person_keeps_in_mind():
    """No folder of the package holds more than fifteen modules, and every module of tests has a room of the package's."""
    full = {path: sum(1 for p in path.glob("*.py") if p.name != "__init__.py") for path in PACKAGE.rglob("*/")}
    assert {path.name: count for path, count in full.items() if count > MODULES} == {}


def test_a_class_name_has_one_meaning():
    """No two modules of the package define classes of the same name, leading underscores aside."""
    seen: dict[str, list[str]] = {}
    for path in PACKAGE.rglob("*.py"):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef):
                seen.setdefault(node.name.lstrip("_"), []).append(_name(path))
    assert {name: where for name, where in seen.items() if len(where) > 1} == {}


def test_the_browser_parses_calls_acts_and_shows():
    """The web layer reaches no transaction, opens and writes no file of the records: what it changes it has an act change."""
    forbidden = (
        *(f"passport.records.transaction.{name}" for name in ("journal", "lock", "atomic", "undo")),
        "passport.records.disk",
        "passport.publish.folder",
        "passport.cli",
    )
    modules = list((PACKAGE / "browser").rglob("*.py"))
    names = {(path.name, name) for path in modules for name in _imports(path)}
    assert len(modules) > 5
    assert not [found for found in names if found[1].startswith(forbidden)]
    calls = {
        (path.name, node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", ""))
        for path in modules
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
    }
    assert not [found for found in calls if found[1] in ("open", "write_text", "write_bytes", "unlink", "mkdir")]


@pytest.mark.parametrize(
    ("library", "hand"), [("click", "cli"), ("rich", "cli"), ("starlette", "browser"), ("uvicorn", "browser")]
)
def test_only_the_command_line_knows_a_terminal(library, hand):
    """Acts and all below them say what went wrong in exceptions; none of them prints, asks or serves: one hand each does."""
    found = [
        _name(path)
        for layer in LAYERS
        if layer != hand
        for path in (PACKAGE / layer).rglob("*.py")
        for name in _imports(path)
        if name.split(".")[0] == library
    ]
    assert found == []


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


_USED = """
import sys
from passport.cli.main import main
content, site, *others = sys.argv[1:]
for arguments in (
    ["build", content, "--out", site, "--jobs", "1", "--no-cards"],
    ["show", content, "0967-1"],
    ["cards", content, "0967-1", "--out", others[0]],
    ["log", content, "0967-1", "--again", "--yes", "--sure", "--site", site],
):
    try:
        main(arguments)
    except SystemExit as done:
        assert not done.code, (arguments, done.code)
    assert "matplotlib" not in sys.modules, arguments
"""


def test_pages_and_cards_do_without_matplotlib(tmp_path):
    """Building pages and cards, ``show``, ``cards`` and ``log`` never import matplotlib, which is for plots alone."""
    content = tmp_path / "content"
    shutil.copytree(DEMO, content)
    done = subprocess.run(
        [sys.executable, "-c", _USED, content, tmp_path / "site", tmp_path / "card.pdf"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "card.pdf").exists() and (tmp_path / "site" / "index.html").exists()


def test_only_plots_know_matplotlib():
    """No module outside the plots imports matplotlib, and those take no private part of it."""
    found = {
        (_name(path), name)
        for path in PACKAGE.rglob("*.py")
        for name in _imports(path)
        if name.split(".")[0] == "matplotlib"
    }
    assert found and {module.rpartition(".")[0] for module, _ in found} == {"passport.render.plots"}
    assert not [name for _, name in found if "._" in name]
