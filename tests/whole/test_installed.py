"""The wheel, installed for real into an empty environment, builds the demo that it carries from any folder."""

import os
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest
from places import ROOT

from passport import __version__

pytestmark = pytest.mark.installed


SHIPPED = ("templates", "content_demo")


def run(*command: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run a program away from the checkout, with nothing of this test's Python in its environment."""
    hidden = ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV", "PYTHONWARNINGS", "SOURCE_DATE_EPOCH")
    env = {k: v for k, v in os.environ.items() if k not in hidden}
    return subprocess.run([str(c) for c in command], cwd=cwd, env=env, capture_output=True, text=True, check=False)


def done(result: subprocess.CompletedProcess[str]) -> str:
    """What a program printed; it must have ended well."""
    assert result.returncode == 0, f"{result.args}\n{result.stdout}\n{result.stderr}"
    return result.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    """The wheel of the checkout as it is."""
    folder = tmp_path_factory.mktemp("wheel")
    done(run(sys.executable, "-m", "build", "--wheel", "--outdir", folder, ROOT, cwd=folder))
    (found,) = folder.glob("*.whl")
    return found


@pytest.fixture(scope="module")
def scripts(wheel, tmp_path_factory) -> Path:
    """The scripts of an empty environment into which the wheel was installed with what it depends on."""
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=True)
    inside = folder / ("Scripts" if os.name == "nt" else "bin")
    done(run(inside / "python", "-m", "pip", "install", "--quiet", wheel, cwd=folder))
    return inside


def shipped_files() -> set[str]:
    """The templates, fonts and demo records of the checkout, hidden files and empty folders apart."""
    found = {p.relative_to(ROOT) for name in SHIPPED for p in (ROOT / name).rglob("*") if p.is_file()}
    return {p.as_posix() for p in found if not any(part.startswith(".") for part in p.parts)}


def test_the_wheel_carries_templates_fonts_and_demo(wheel):
    """Every template, style, font, licence and record of the demo is in the wheel, and no test is."""
    names = set(zipfile.ZipFile(wheel).namelist())
    wanted = {f"passport/shipped/{name}" for name in shipped_files()}
    assert len(wanted) > 60
    assert {Path(name).suffix for name in wanted} >= {".yaml", ".md", ".j2", ".css", ".js", ".ttf", ".woff2", ".txt"}
    assert not wanted - names
    assert not [name for name in names if name.startswith("tests") or "/tests/" in name or name.endswith(".pyc")]


def test_the_wheel_holds_every_module(wheel):
    """Every module of the package is in the wheel."""
    names = set(zipfile.ZipFile(wheel).namelist())
    modules = {p.relative_to(ROOT).as_posix() for p in (ROOT / "passport").rglob("*.py")}
    assert len(modules) > 60
    assert not modules - names


def test_the_command_is_there(scripts, tmp_path):
    """The installed command answers with its version, from its own environment."""
    assert __version__ in done(run(scripts / "passport", "--version", cwd=tmp_path))
    where = done(run(scripts / "python", "-c", "import passport; print(passport.__file__)", cwd=tmp_path))
    assert Path(where.strip()).is_relative_to(scripts.parent)


def test_it_builds_the_demo_from_any_folder(scripts, tmp_path, built_demo):
    """Away from the checkout the installed command checks the demo inside the package and builds all of its site."""
    code = "from passport.render.theme.assets import shipped; print(shipped('content_demo'))"
    demo = done(run(scripts / "python", "-c", code, cwd=tmp_path)).strip()
    assert Path(demo).is_relative_to(scripts.parent)
    done(run(scripts / "passport", "check", demo, cwd=tmp_path))
    result = run(scripts / "passport", "build", demo, "--out", "mine", cwd=tmp_path)
    files = {p.relative_to(tmp_path / "mine").as_posix() for p in (tmp_path / "mine").rglob("*") if p.is_file()}
    plain = {p.relative_to(built_demo).as_posix() for p in built_demo.rglob("*") if p.is_file()}
    assert plain <= files
    cards = files - plain
    if "Pango" in result.stderr:
        assert (result.returncode, cards) == (1, set())
        pytest.skip("no Pango on this machine, so no cards were built; the pages were")
    done(result)
    sealed = {name.partition("/")[0] for name in plain if name.endswith(".bin")}
    assert len(cards) == len([name for name in plain if "/setup-" in name]) + len(sealed)
    assert {name for name in cards if not name.endswith(".pdf")} == {
        name for name in cards if name.endswith(".bin") and name.partition("/")[0] in sealed
    }


def test_what_it_depends_on_is_declared(scripts, tmp_path):
    """Every module of the installed package can be imported with what the wheel asked for, and pip finds no conflict."""
    code = (
        "import pkgutil, importlib, passport\n"
        "names = [m.name for m in pkgutil.walk_packages(passport.__path__, 'passport.')]\n"
        "for name in names: importlib.import_module(name)\n"
        "print(len(names))"
    )
    assert int(done(run(scripts / "python", "-c", code, cwd=tmp_path))) > 60
    done(run(scripts / "python", "-m", "pip", "check", cwd=tmp_path))
