"""What ``.dev/needed`` finds: the programs that tests start, the libraries that they load, and what would be missing."""

import importlib.util
import shutil
import sys
from types import ModuleType

import pytest
from places import ROOT

sys.path.insert(0, str(ROOT / ".dev"))

from needed import debian, scripts
from needed.starts import OURS, Source, Start

DEBIAN = pytest.mark.skipif(not shutil.which("apt-get"), reason="no Debian packages here to hold the list against")
SOURCE = """
import shutil, subprocess, sys
TOOL = ["alpha", "--check"]

def run(*command, cwd):
    return subprocess.run([str(c) for c in command], cwd=cwd)

def wrapped(more, before=()):
    call = [*before, sys.executable, *more]
    return subprocess.Popen(call)

def test(tmp_path, unknown):
    subprocess.run([*TOOL, "x"])
    subprocess.check_output("beta -v", shell=True)
    run("gamma", tmp_path, cwd=tmp_path)
    run(tmp_path / "delta", cwd=tmp_path)
    wrapped([], before=() if tmp_path else ("epsilon", "-r"))
    found = shutil.which("zeta")
    subprocess.run([found, unknown])
    subprocess.run(unknown)
    for one in [["eta", str(n)] for n in range(3)]:
        subprocess.call(one)
    found.run("none of ours")
"""
SHELL = """#!/usr/bin/env bash
# alpha in a comment
as_root() { if [[ $(id -u) == 0 ]]; then "$@"; else sudo "$@"; fi; }
cd "$(dirname "$0")/.." || exit 1
own=$HOME/venv/bin/python
if command -v beta >/dev/null; then as_root env X=1 gamma update; fi
printf '%s' "delta epsilon" | grep -q d && .venv/bin/zeta
"$own" -m eta
$1 theta
"""


@pytest.fixture(scope="module")
def needed() -> ModuleType:
    """The command."""
    spec = importlib.util.spec_from_file_location("needed_main", ROOT / ".dev/needed/__main__.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def programs(starts: list[Start]) -> set[tuple[int, str | None]]:
    """Lines and programs."""
    return {(start.line, start.program) for start in starts}


def test_programs_are_read_from_python(tmp_path):
    """Lists, names, loops, defaults and what callers give are followed; what cannot be told is said, not passed over."""
    (tmp_path / "test_x.py").write_text(SOURCE, encoding="utf-8")
    source = Source(tmp_path)
    source.add(tmp_path / "test_x.py")
    assert programs(source.starts()) == {
        (6, "gamma"), (6, OURS), (10, "epsilon"), (10, OURS), (13, "alpha"), (14, "beta"), (18, "zeta"), (19, None), (20, None),
        (22, "eta"),
    }  # fmt: skip


def test_programs_are_read_from_shell(tmp_path):
    """Commands, those in substitutions and those that others start are found; words of the shell and functions are not."""
    (tmp_path / "x").write_text(SHELL, encoding="utf-8")
    assert scripts.is_shell_script(tmp_path / "x")
    found = programs(scripts.starts(tmp_path, [tmp_path / "x"]))
    assert {(line, name) for line, name in found if name != OURS} == {
        (3, "id"), (3, "sudo"), (4, "dirname"), (6, "beta"), (6, "env"), (6, "gamma"), (7, "grep"), (9, None),
    }  # fmt: skip


@pytest.fixture(scope="module")
def starts(needed) -> list[Start]:
    """Everything that is started."""
    return needed.started()


@DEBIAN
def test_what_the_tests_call_is_known(starts):
    """Programs of which it is known by hand that tests start them are found, each in the package that Debian has it in."""
    assert None not in {start.program for start in starts}
    paths = {name: debian.path_of(name) for name in ("chromium", "git", "qpdf", "mount", "unshare")}
    assert paths.keys() <= {start.program for start in starts}
    owners = debian.owners(filter(None, paths.values()))
    assert {name: owners[path] for name, path in paths.items() if path} == {
        "chromium": {"chromium"}, "git": {"git"}, "qpdf": {"qpdf"}, "mount": {"mount"}, "unshare": {"util-linux"},
    }  # fmt: skip


@DEBIAN
def test_what_is_left_out_of_the_list_is_missed(needed, starts):
    """Without two packages of the list a bare system lacks just what they bring, named with the test or binary that wants it.

    That the whole list is enough is tried by ``.ci/run``, which runs the command.
    """
    left_out = {"qpdf", "libatomic1"}
    named = [name for name in needed.packages() if name not in left_out]
    assert len(named) == len(needed.packages()) - len(left_out)
    first, *others = sorted(set(needed.missing(starts, needed.wanted(), named)))
    assert "libatomic.so.1', which node loads, comes with 'libatomic1'" in first
    tests = ("render/sheets/test_sheet.py", "render/standards/test_pdfa.py")
    assert len(others) == len(tests)
    for other, test in zip(others, tests, strict=True):
        assert other.startswith(f"'qpdf', which tests/{test}:")
