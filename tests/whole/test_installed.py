"""The wheel, installed for real into an empty environment, builds the demo that it carries from any folder."""

import os
import re
import shutil
import subprocess
import sys
import tarfile
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


def checkout_files(*names: str) -> set[str]:
    """The files below some folders that belong to the checkout: hidden ones and Python's own do not, nor do untracked ones."""
    found = {p.relative_to(ROOT) for name in names for p in (ROOT / name).rglob("*") if p.is_file()}
    plain = {p.as_posix() for p in found if not any(x.startswith(".") or x == "__pycache__" for x in p.parts)}
    if not (ROOT / ".git").exists():
        return plain
    listed = ["git", "-c", f"safe.directory={ROOT}", "-C", str(ROOT), "ls-files"]
    return plain & set(subprocess.run(listed, check=True, capture_output=True, text=True).stdout.splitlines())


def test_the_wheel_carries_templates_fonts_and_demo(wheel):
    """Every template, style, font, licence and record of the demo is in the wheel, and no test is."""
    names = set(zipfile.ZipFile(wheel).namelist())
    wanted = {f"passport/shipped/{name}" for name in checkout_files(*SHIPPED)}
    assert len(wanted) > 60
    assert {Path(name).suffix for name in wanted} >= {".yaml", ".md", ".j2", ".css", ".js", ".ttf", ".woff2", ".txt"}
    assert not wanted - names
    assert not [name for name in names if name.startswith("tests") or "/tests/" in name or name.endswith(".pyc")]


def test_the_wheel_holds_every_module(wheel):
    """Every module of the package is in the wheel."""
    names = set(zipfile.ZipFile(wheel).namelist())
    modules = {name for name in checkout_files("passport") if name.endswith(".py")}
    assert len(modules) > 60
    assert not modules - names


LEFTOVERS = (
    "content_demo/.passport-cache/outlines.json",
    "content_demo/ledger.txt.orig",
    "content_demo/players/hallerwund/a-real-person.yaml",
    "templates/card/.card.html.j2.swp",
    "passport/records/scratch.py",
    "tests/notes.txt",
)
"""What using, editing and trying leave behind in a checkout."""
VISIBLE = tuple(name for name in LEFTOVERS if "/." not in name)
KEPT = ("passport", "templates", "content_demo", "tests/support/smallshop.py", "tests/faults/_base")
BESIDE = ("pyproject.toml", ".dev/hatch_build.py", "README.md", "DEVELOPERS.md", ".gitignore")


@pytest.fixture
def used(tmp_path) -> Path:
    """A checkout in which somebody has worked."""
    folder = tmp_path / "used"
    belongs = [
        name for name in checkout_files("passport", "templates", "content_demo", "tests") if name.startswith(KEPT)
    ]
    for name in (*belongs, *BESIDE):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes((ROOT / name).read_bytes())
    for command in (("init", "-q"), ("add", "-A")):
        subprocess.run(["git", "-C", str(folder), *command], check=True)
    for name in LEFTOVERS:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text("leftover\n", encoding="utf-8")
    return folder


def built(folder: Path, kind: str) -> set[str]:
    """The files of the wheel or the source archive made from a folder, by their paths in it."""
    done(
        run(
            sys.executable,
            "-m",
            "build",
            f"--{kind}",
            "--no-isolation",
            "--outdir",
            folder / "dist",
            folder,
            cwd=folder,
        )
    )
    (made,) = (folder / "dist").glob("*.whl" if kind == "wheel" else "*.tar.gz")
    if kind == "wheel":
        return {name.replace("passport/shipped/", "") for name in zipfile.ZipFile(made).namelist()}
    with tarfile.open(made) as archive:
        return {member.name.partition("/")[2] for member in archive.getmembers() if member.isfile()}


@pytest.mark.parametrize(("kind", "folders"), [("wheel", 3), ("sdist", 4)])
def test_a_used_checkout_ships_what_is_tracked_and_nothing_else(used, kind, folders):
    """Whatever lies about untracked, ignored or not, is neither in the wheel nor in the source archive."""
    listed = subprocess.run(["git", "-C", str(used), "ls-files"], check=True, capture_output=True, text=True).stdout
    top = ("passport", "templates", "content_demo", "tests")[:folders]
    tracked = {name for name in listed.splitlines() if name.partition("/")[0] in top}
    found = built(used, kind)
    assert {name for name in found if name.partition("/")[0] in top} == tracked
    assert len(tracked) > 300
    assert not found & set(LEFTOVERS)


def test_an_unpacked_archive_ships_nothing_hidden(used):
    """Without version control all that can be seen is taken; a cache that a build left there is not."""
    shutil.rmtree(used / ".git")
    assert built(used, "wheel") & set(LEFTOVERS) == set(VISIBLE) - {"tests/notes.txt"}


def test_where_git_cannot_answer_nothing_is_built(used):
    """A checkout whose version control is broken is not taken for one without."""
    (used / ".git/index").write_bytes(b"broken")
    result = run(sys.executable, "-m", "build", "--wheel", "--no-isolation", used, cwd=used)
    assert result.returncode == 1
    assert "git has to say what belongs into the archive, and could not" in result.stdout + result.stderr
    assert not list((used / "dist").glob("*.whl"))


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
    sealed = {name.partition("/")[0] for name in plain if name.endswith(".bin") and "/" in name}
    assert len(cards) == len([name for name in plain if re.search(r"/setup-\d{4}-[\dX]\.json$", name)]) + len(sealed)
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
