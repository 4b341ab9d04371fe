"""Compiled templates are kept beside the compiled modules, and only where they may be."""

import importlib.util
import sys
from pathlib import Path

import jinja2
import pytest

from passport.render.theme import assets, templating
from passport.render.theme.compiled import CompiledTemplates
from passport.render.theme.sandbox import Sandbox


@pytest.fixture
def kept(tmp_path, monkeypatch):
    """The folder in which Python would keep the bytecode of the compiler, and shipped templates of two words."""
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "cache"))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    shipped = tmp_path / "templates"
    shipped.mkdir()
    shipped.joinpath("a.j2").write_text("one {{ 1 + 1 }}")
    monkeypatch.setattr("passport.render.theme.compiled.templates", lambda: shipped)
    monkeypatch.setattr(templating, "_COMPILED", CompiledTemplates(templating.__file__))
    folder = Path(importlib.util.cache_from_source(templating.__file__)).parent
    folder.mkdir(parents=True)
    return folder


def _compiled(folder, kind, monkeypatch):
    """The text that a template gives, and how many were compiled for it."""
    count = []
    plain = kind.compile
    monkeypatch.setattr(kind, "compile", lambda self, *a, **k: count.append(1) or plain(self, *a, **k))
    text = kind([folder]).get_template("a.j2").render()
    monkeypatch.setattr(kind, "compile", plain)
    return text, len(count)


def test_a_template_is_compiled_once(kept, tmp_path, monkeypatch):
    """What was compiled is taken up as long as the text is the same, and one that was damaged is compiled anew."""
    folder = tmp_path / "templates"
    assert _compiled(folder, templating.Environment, monkeypatch) == ("one 2", 1)
    assert _compiled(folder, templating.Environment, monkeypatch) == ("one 2", 0)
    folder.joinpath("a.j2").write_text("two {{ 1 + 1 }}")
    assert _compiled(folder, templating.Environment, monkeypatch) == ("two 2", 1)
    (file,) = kept.iterdir()
    file.write_bytes(file.read_bytes()[:40])
    assert _compiled(folder, templating.Environment, monkeypatch) == ("two 2", 1)


def test_neither_a_shops_own_template_nor_a_sandbox_uses_it(kept, tmp_path, monkeypatch):
    """What is kept is run as it is: nothing of a shop's is written there, and a sandbox compiles its own."""
    own = tmp_path / "own"
    own.mkdir()
    own.joinpath("a.j2").write_text("own")
    assert _compiled(own, templating.Environment, monkeypatch) == ("own", 1)
    assert _compiled(tmp_path / "templates", Sandbox, monkeypatch) == ("one 2", 1)
    assert list(kept.iterdir()) == []


def test_a_folder_that_is_not_there_or_closed_does_no_harm(kept, tmp_path, monkeypatch):
    """Where nothing can be kept, and where Python was told to keep none, templates are compiled as before."""
    kept.rmdir()
    kept.write_text("no folder")
    assert _compiled(tmp_path / "templates", templating.Environment, monkeypatch) == ("one 2", 1)
    kept.unlink()
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert _compiled(tmp_path / "templates", templating.Environment, monkeypatch) == ("one 2", 1)
    assert not kept.exists()


def test_the_shipped_templates_are_among_those_that_are_kept():
    """The environment of pages keeps what it compiled."""
    made = templating.Environment([assets.templates()])
    assert isinstance(made.bytecode_cache, CompiledTemplates)
    assert made.bytecode_cache.get_cache_key("a", str(assets.templates() / "pages/frame.html.j2"))
    assert jinja2.Environment().bytecode_cache is None
